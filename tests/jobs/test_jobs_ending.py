"""A job that was begun by a slip, or is cut off, can be ended; what was not done stays open on the unit.

Sources: ISO 9001:2015 8.5.1 and 8.7 (work is under control from its beginning to its end; what is scrapped is used no
more), row B2 of the standards' list (stale work is named, and can be put away).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import page, plan, step
from helpers.proven import SOLDERED, begun, built, through

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_ending import begun_by_slip, end, left_on, made_safe, with_called

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.run import Run

WHY = "it was the other desk"


def check(bench: PlannedBench) -> None:
    bench.plans["check"] = plan(
        step("strap-on"),
        step("inner", "call", call="inner"),
        SOLDERED.steps[4],
        id="check",
        procedure_kind="service",
        design_id="hollin-cue-desk",
        touched=("F1",),
    )
    bench.plans["inner"] = plan(
        step("look"), step("wipe"), id="inner", procedure_kind="service", design_id="hollin-cue-desk"
    )


def slipped(bench: PlannedBench) -> tuple[str, Run]:
    """A check begun on a desk that is good to go, with its first step in hand as its page marks it."""
    check(bench)
    unit = built(bench, SOLDERED)
    run = bench.start("check", unit)
    run.act(ev.StepBegun(step="strap-on"))
    return unit, run


def test_work_begun_by_mistake_leaves_the_unit_as_it_was(bench: PlannedBench) -> None:
    unit, run = slipped(bench)
    assert end(bench, run, decision=WHY, mistake=True) == "closed with nothing done"
    view = bench.units.view(unit)
    assert (bench.open_jobs(), view.void, bench.units.missing(unit)) == ((), (), ())


def test_a_mark_that_was_taken_back_is_no_work_and_one_that_stands_is(bench: PlannedBench) -> None:
    unit, run = slipped(bench)
    run.act(ev.StepDone(step="strap-on"))
    with pytest.raises(JobError, match="was worked in"):
        end(bench, run, decision=WHY, mistake=True)
    run.act(ev.StepReopened(step="strap-on", reason="taken back"))
    assert begun_by_slip(run.state)
    assert end(bench, run, decision=WHY, mistake=True) == "closed with nothing done"
    assert bench.units.missing(unit) == ()


def test_a_hand_that_was_on_the_unit_is_not_undone_by_taking_the_mark_back(bench: PlannedBench) -> None:
    unit = built(bench, SOLDERED)
    hot = plan(
        step("old-off@F1", uses=("iron",)), step("wipe"), id="fix", procedure_kind="rework", design_id="hollin-cue-desk"
    )
    bench.plans["fix"] = hot
    run = bench.start("fix", unit, subject="F1")
    run.act(ev.StepDone(step="old-off@F1"))
    run.act(ev.StepReopened(step="old-off@F1", reason="taken back"))
    assert not begun_by_slip(run.state)
    with pytest.raises(JobError, match="was worked in"):
        end(bench, run, decision=WHY, mistake=True)


def test_work_that_ends_here_leaves_what_was_not_done_open_on_the_unit(bench: PlannedBench) -> None:
    unit, run = slipped(bench)
    run.act(ev.StepDone(step="strap-on"))
    assert end(bench, run, decision="the hall is locked") == "closed with open items"
    assert bench.open_jobs() == ()
    assert any("measure rail" in line for line in bench.units.missing(unit))
    assert bench.units.left_open(unit), "it is done from the page of the unit"


@pytest.mark.parametrize("mistake", [True, False])
def test_what_it_has_called_ends_with_it(bench: PlannedBench, mistake: bool) -> None:
    unit, run = slipped(bench)
    run.act(ev.StepNotApplicable(step="strap-on", reason="no strap here"))
    inner = bench.call(run, "inner")
    if not mistake:
        inner.act(ev.StepDone(step="look"))
    assert [each.job for each in with_called(bench, run)] == [inner.job, run.job]
    end(bench, run, decision=WHY, mistake=mistake)
    assert bench.open_jobs() == ()
    assert inner.state.closed == ("closed with nothing done" if mistake else "closed with open items")
    assert bool(bench.units.missing(unit)) is not mistake


def test_a_reason_is_needed_and_nothing_ends_without_it(bench: PlannedBench) -> None:
    _, run = slipped(bench)
    with pytest.raises(JobError):
        end(bench, run, decision=" ")
    assert not run.state.closed


def test_what_was_left_on_is_named_and_said_to_be_safe(bench: PlannedBench) -> None:
    _, run = slipped(bench)
    run.suspend(bench=("iron hot",))
    assert left_on([run]) == ("iron hot",)
    made_safe([run])
    assert left_on([run]) == ()
    assert end(bench, run, decision=WHY, mistake=True) == "closed with nothing done"


def test_a_tool_that_did_not_come_back_keeps_the_unit_here(bench: PlannedBench) -> None:
    # Row B5: it may lie in the unit.
    check(bench)
    bench.plans["check"] = replace(bench.plans["check"], before=page(tools=("torque driver",)))
    unit = built(bench, SOLDERED)
    run = bench.start("check", unit)
    run.act(ev.KitTicked(heading="tools", item="torque driver"))
    end(bench, run, decision=WHY, mistake=True)
    assert any("torque driver" in line for line in bench.units.missing(unit))


def test_a_unit_that_is_scrapped_has_no_open_work(bench: PlannedBench) -> None:
    unit, run = begun(bench, SOLDERED)
    through(run, until="solder@F2")
    check(bench)
    idle = bench.start("check", unit)
    bench.units.set_state(unit, "scrapped", reason="the panel is cracked", by="Ann")
    assert bench.open_jobs() == ()
    assert run.state.closed == "closed with open items" and idle.state.closed == "closed with nothing done"
    assert run.state.decision == f"{unit} was scrapped: the panel is cracked"
    assert bench.units.view(unit).state == "scrapped"


def test_a_pass_goes_on_without_the_unit_that_is_scrapped(bench: PlannedBench) -> None:
    bench.plans["hollin-assembly"] = SOLDERED
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    batch.start("hollin-assembly")
    batch.done("solder@F1")
    first, second = batch.units
    bench.units.set_state(first, "scrapped", reason="the panel is cracked")
    assert [*batch.runs()] == [second]
    assert [job.unit for job in bench.open_jobs()] == [second]


def test_a_job_of_a_unit_scrapped_by_an_older_program_can_be_ended(bench: PlannedBench) -> None:
    unit, run = begun(bench, SOLDERED)
    through(run, until="solder@F2")
    run.suspend()
    bench.store.append("unit-state", unit=unit, data={"state": "scrapped", "reason": "cracked"})
    assert end(bench, run, decision="it was scrapped") == "closed with open items"
    assert bench.open_jobs() == ()


@pytest.mark.parametrize("made", [True, False])
def test_a_repair_that_was_only_looked_at_does_not_put_its_unit_in_work(bench: PlannedBench, made: bool) -> None:
    # ISO 9001:2015 8.5.2: the state says what was done, and a look at a page is no work.
    bench.plans["fix"] = plan(step("fix@F1"), id="fix", procedure_kind="rework", design_id="hollin-cue-desk")
    unit = bench.units.make("hollin-cue-desk") if made else "HCD-007-X"
    run = bench.start("fix", unit)
    run.suspend()
    assert bench.units.view(unit).state == ("planned" if made else "")
    bench.resume(run.job)
    run.act(ev.Resumed())
    run.act(ev.StepDone(step="fix@F1"))
    assert bench.units.view(unit).state == "in work"
