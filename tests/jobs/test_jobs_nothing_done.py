"""A job that was begun by a slip, or on the wrong unit, is closed with nothing done and leaves the unit as it was."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import page, plan, step
from helpers.proven import SOLDERED, begun, bench_on, built

from benchtui.jobs import events as ev
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from helpers.bench_of_plans import PlannedBench

WHY = "wrong unit, nothing was done"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    with bench_on(tmp_path) as bench:
        check = plan(step("lead-out"), SOLDERED.steps[4], id="check", procedure_kind="service")
        bench.plans["check"] = replace(check, design_id="hollin-cue-desk")
        swap = plan(step("swap@F1"), id="swap", procedure_kind="rework", design_id="hollin-cue-desk")
        bench.plans["swap"] = swap
        yield bench


@pytest.mark.parametrize("procedure", ["check", "swap", "hollin-assembly"])
def test_a_job_begun_by_a_slip_on_a_released_unit_leaves_it_as_it_was(bench: PlannedBench, procedure: str) -> None:
    # Row I11 (ISO 9001:2015 8.6): nothing was touched, so what the release rests on still holds.
    unit = built(bench, SOLDERED)
    bench.units.release(unit, by="the builder")
    run = bench.start(procedure, unit, subject="F1")
    assert bench.units.view(unit).state == "released"
    if procedure != "swap":
        run.act(ev.StepBegun(step=run.state.current))  # as the page of the step does by itself
    run.close(decision=WHY)
    assert (run.state.closed, run.state.decision) == ("closed with nothing done", WHY)
    view = bench.units.view(unit)
    assert (view.state, view.void, bench.units.missing(unit), bench.units.left_open(unit)) == ("released", (), (), ())


def test_a_build_in_which_nothing_was_done_is_no_build(bench: PlannedBench) -> None:
    unit, run = begun(bench, SOLDERED)
    run.close(decision=WHY)
    assert any("has not been gone through to the end" in line for line in bench.units.missing(unit))


@pytest.mark.parametrize("procedure", ["swap", "hollin-assembly"])
def test_a_unit_that_was_released_is_in_work_from_the_first_work_on(bench: PlannedBench, procedure: str) -> None:
    unit = built(bench, SOLDERED)
    bench.units.release(unit, by="the builder")
    run = bench.start(procedure, unit, subject="F1")
    run.act(ev.StepDone(step=run.state.current))
    assert bench.units.view(unit).state == "in work"
    run.act(ev.StepReopened(step=run.plan.steps[0].key, reason="taken back"))
    run.close(decision="home")
    assert run.state.closed == "closed with open items", "something was done, though it was taken back"


def test_rework_whose_step_was_in_hand_was_begun(bench: PlannedBench) -> None:
    # Row I4: hands are on the joint before any mark.
    unit = built(bench, SOLDERED)
    run = bench.start("swap", unit, subject="F1")
    run.act(ev.StepBegun(step="swap@F1"))
    run.close(decision="the telephone")
    assert run.state.closed == "closed with open items"
    assert bench.units.view(unit).void


def test_a_tool_that_was_not_counted_back_in_is_asked_for_though_nothing_was_done(bench: PlannedBench) -> None:
    # Row B5: it may lie in the unit.
    unit = built(bench, SOLDERED)
    bench.plans["check"] = replace(bench.plans["check"], before=page(tools=("driver",)))
    run = bench.start("check", unit)
    run.act(ev.KitTicked(heading="tools", item="driver", found=True))
    run.close(decision=WHY)
    assert [line for line in bench.units.missing(unit) if "not counted back in: driver" in line]


def test_work_of_another_bench_is_not_closed_with_nothing_done(bench: PlannedBench, tmp_path: Path) -> None:
    # Row H15: the bench that closed it did not know.
    unit, run = begun(bench, SOLDERED)
    with Store.open(tmp_path / "other.sqlite", clock=bench.clock) as store:
        merge(store, lines(bench.store))
        there = type(bench)(bench.plans, store, bench.clock)
        other = there.resume(run.job)
        if other.state.suspended is not None:
            other.act(ev.Resumed())
        other.act(ev.StepDone(step="solder@F1"))
        run.close(decision=WHY)
        merge(bench.store, lines(store))
        (job,) = bench.units.view(unit).jobs
        assert job.closed == "closed with open items"


def test_a_hand_that_was_on_the_unit_at_another_bench_is_no_slip_of_this_one(
    bench: PlannedBench, tmp_path: Path
) -> None:
    # What the other bench did does not fit here, where the step was skipped; the iron was on the joint all the same.
    unit = built(bench, SOLDERED)
    run = bench.start("swap", unit, subject="F1")
    with Store.open(tmp_path / "other.sqlite", clock=bench.clock) as store:
        merge(store, lines(bench.store))
        there = type(bench)(bench.plans, store, bench.clock)
        other = there.resume(run.job)
        run.act(ev.StepSkipped(step="swap@F1", reason="not this one"))
        for _ in range(5):
            run.act(ev.NoteAdded(text="looked for the right one"))
        if other.state.suspended is not None:
            other.act(ev.Resumed())
        other.act(ev.StepDone(step="swap@F1"))
        run.close(decision=WHY, untouched=True)
        assert run.state.closed == ev.NOTHING_DONE
        merge(bench.store, lines(store))
        job = bench.look(run.job)
        assert (job.handled, job.closed) == (True, "closed with open items")
