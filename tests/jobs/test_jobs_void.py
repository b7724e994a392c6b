"""No unit is released on a proof that later work, an edit or another order of the marks has made void."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, full_plan, plan, step

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.steps import Status
from benchtui.jobs.units import Needs
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from benchtui.jobs.plan import Plan
    from benchtui.jobs.run import Run

RAIL = full_plan().step("rail")
SHORT = plan(step("mount@F1"), step("mount@F2"), full_plan().step("bank"), RAIL, design_id="hollin-cue-desk")
AGAIN = "to be tested again after rework: measure "


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PlannedBench]:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": SHORT}, store, clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one Hollin cue desk"),))  # type: ignore[method-assign]
        yield bench


def begun(bench: PlannedBench, the_plan: Plan | None = None) -> tuple[str, Run]:
    """A new unit, and the job that builds it."""
    if the_plan is not None:
        bench.plans["hollin-assembly"] = the_plan
    unit = bench.units.make("hollin-cue-desk")
    return unit, bench.start("hollin-assembly", unit)


def through(run: Run, *, until: str = "", typed: Mapping[str, str] | None = None) -> Run:
    """Everything done up to a step, or to the end; a signature and an answer are given where they are asked for."""
    values = {"bank": "2.5", "rail": "3.3"} | dict(typed or {})
    while (here := run.current()) is not None and here.key != until:
        if here.limits:
            run.read(values.get(here.key, values.get(here.step_id, "2.5")))
        if here.choices:
            run.act(ev.ChoiceMade(step=here.key, choice=here.choices[0].text))
        if here.act == "sign":
            run.act(ev.SignedOff(step=here.key, name="the builder", meaning="did"))
        run.act(ev.StepDone(step=here.key))
    return run


def rework_begun(run: Run, number: str = "D1", subject: str = "F1") -> None:
    run.act(ev.DefectFound(defect=number, text="cold joint", subject=subject))
    run.act(ev.DispositionGiven(defect=number, disposition="rework", reason="to drawing"))
    run.act(ev.ReworkStarted(defect=number, joint=f"{subject} lug 2", limit=3))


# -- a step that waits -----------------------------------------------------------------------------------------------


def held_at_the_bank(bench: PlannedBench, reading: str) -> tuple[str, Run]:
    unit, run = begun(bench)
    through(run, until="bank").read(reading)
    run.act(ev.StepHeld(step="bank", reason="the telephone"))
    return unit, run


def test_a_test_that_waits_is_void_after_rework_like_any_other(bench: PlannedBench) -> None:
    # Row I4 (J-STD-001): the reading was taken before the joint was heated, and Space would have marked it done.
    _, run = held_at_the_bank(bench, "2.5")
    rework_begun(run)
    run.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    with pytest.raises(JobError, match="take the reading first"):
        run.act(ev.StepDone(step="bank"))


def test_a_reading_of_a_step_that_waits_is_judged_by_the_new_limits(bench: PlannedBench) -> None:
    # Row A3: 2.9 kΩ passed under 3.0 kΩ, and is out of the limits that the edit brings.
    _, run = held_at_the_bank(bench, "2.9")
    tighter = replace(SHORT.step("bank"), limits=replace(BANK, high=2700.0, text="2.0 kΩ to 2.7 kΩ"))
    steps = (*SHORT.steps[:2], tighter, RAIL)
    run.move_to(plan(*steps, design_id="hollin-cue-desk", revision=2), reason="the limit was wrong")
    with pytest.raises(JobError, match="take the reading first"):
        run.act(ev.StepDone(step="bank"))


def test_a_step_that_makes_another_void_does_so_while_that_one_waits(bench: PlannedBench) -> None:
    # Row I4.
    _, run = begun(bench, plan(SHORT.step("bank"), step("file", voids=("bank",)), step("last"), order="any"))
    run.read("2.5")
    run.act(ev.StepHeld(step="bank", reason="the telephone"))
    run.act(ev.StepDone(step="file"))
    assert run.state["bank"].status is Status.REOPENED


def test_a_step_that_waits_and_was_never_begun_goes_on_waiting(bench: PlannedBench) -> None:
    # It has nothing to lose, and why it waits is still true.
    _, run = begun(bench)
    through(run, until="bank")
    run.act(ev.StepHeld(step="bank", reason="the meter is away"))
    rework_begun(run)
    run.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    assert (run.state["bank"].status, run.state["bank"].reason) == (Status.HELD, "the meter is away")


# -- over several jobs of a unit -------------------------------------------------------------------------------------


def built(bench: PlannedBench, the_plan: Plan | None = None) -> str:
    unit, run = begun(bench, the_plan)
    through(run).close()
    return unit


def closed_in_rework(bench: PlannedBench) -> tuple[str, str]:
    """A unit whose job was closed while a defect was in rework, and the name of the defect."""
    unit, run = begun(bench)
    rework_begun(through(run))
    run.close(decision="home now")
    return unit, f"{run.job}:D1"


def test_rework_that_began_in_one_job_is_not_decided_otherwise_in_the_next(bench: PlannedBench) -> None:
    # Row I3 (ISO 9001 8.7): the joint was heated; "use as is" in a second job would leave its tests standing.
    unit, name = closed_in_rework(bench)
    (left,) = bench.units.left_open(unit)
    assert [each.key for each in left.plan.steps] == ["put-right", "end"], "it was begun already"
    run = bench.open(left.plan, unit, defect=left.defect)
    with pytest.raises(JobError, match="has begun"):
        run.act(ev.DispositionGiven(defect=name, disposition="use as is", reason="looks fine"))
    run.act(ev.ReworkDone(defect=name, touched=("F1",)))
    through(run).close()
    assert bench.units.missing(unit) == (f"{AGAIN}bank", f"{AGAIN}rail")


def test_rework_that_nobody_ended_makes_the_tests_of_its_subject_void(
    bench: PlannedBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Row I4: so it does where an older program let the defect be used as it is.
    unit, name = closed_in_rework(bench)
    (left,) = bench.units.left_open(unit)
    monkeypatch.setattr(bench.units, "rework_begun", lambda *_: False)
    run = bench.open(left.plan, unit, defect=left.defect)
    run.act(ev.DispositionGiven(defect=name, disposition="use as is", reason="looks fine"))
    through(run).close()
    assert bench.units.missing(unit) == (f"{AGAIN}bank", f"{AGAIN}rail")


# -- what closed jobs left open, by the order of what happened -------------------------------------------------------


def test_a_test_that_failed_after_another_run_had_passed_is_told(bench: PlannedBench) -> None:
    # Row H13 (ISO 9001 8.6): job A was begun first and failed last; the run that came to its end before says nothing.
    unit, first = begun(bench)
    through(first, until="bank")
    through(bench.start("hollin-assembly", unit)).close()
    first.read("9", asked="so?")
    first.close(decision="never mind")
    failed = f"step 3 failed (reading outside its limits): measure bank (job {first.job})"
    assert bench.units.missing(unit) == (failed, f"step 4 open: measure rail (job {first.job})")


def test_a_test_that_failed_while_another_run_went_on_is_told_though_that_one_ends_later(bench: PlannedBench) -> None:
    # Row H13: the run passed the test before it failed in the other job.
    unit, first = begun(bench)
    second = bench.start("hollin-assembly", unit)
    through(first, until="bank")
    through(second)
    first.read("9", asked="so?")
    first.close(decision="never mind")
    second.close()
    assert any("failed" in line and first.job in line for line in bench.units.missing(unit))


def test_an_edit_between_two_jobs_makes_no_failed_test_go_away(bench: PlannedBench) -> None:
    # Row A3 (AS9102 4.6; ISO 9001 8.7): the next revision has no such step; what failed is decided, by name.
    unit, run = begun(bench)
    through(run, until="bank").read("9", asked="so?")
    run.close(decision="later")
    newer = plan(*SHORT.steps[:2], RAIL, design_id="hollin-cue-desk", revision=2)
    bench.plans["hollin-assembly"] = newer
    through(bench.start("hollin-assembly", unit)).close()
    line = f"failed, and taken out by revision 2: measure bank (job {run.job})"
    assert bench.units.missing(unit) == (line,)
    (left,) = bench.units.left_open(unit)
    assert [each.key for each in left.plan.steps] == ["bank"], "it can be measured once more"
    bench.units.concede(unit, line, reason="the bank is measured under power now", by="the builder")
    assert bench.units.missing(unit) == ()


def test_what_a_run_left_open_without_any_finding_is_made_good_by_a_later_run(bench: PlannedBench) -> None:
    # The bank was not measured in the first job, and the newer text has no such step: nothing is known against it.
    unit, run = begun(bench)
    through(run, until="mount@F2").close(decision="later")
    bench.plans["hollin-assembly"] = plan(SHORT.steps[0], SHORT.steps[1], RAIL, design_id="hollin-cue-desk", revision=2)
    through(bench.start("hollin-assembly", unit)).close()
    assert bench.units.missing(unit) == ()


def test_the_same_left_open_work_in_hand_twice_tells_what_failed_last(bench: PlannedBench) -> None:
    # Row I11: one of the two came to its end, and then the test failed in the other.
    unit, run = begun(bench)
    through(run, until="bank").close(decision="later")
    (left,) = bench.units.left_open(unit)
    one, other = bench.open(left.plan, unit), bench.open(left.plan, unit)
    through(other).close()
    one.read("9", asked="so?")
    one.close(decision="later")
    assert any("failed" in line and one.job in line for line in bench.units.missing(unit))


def test_a_wait_cut_short_after_a_whole_one_counts_in_whichever_job_it_was(bench: PlannedBench) -> None:
    # Row C13 (J-STD-001): the job that was begun first cut its wait short last.
    soak = plan(step("mount@F1"), step("cure", "wait", seconds=1800.0), design_id="hollin-cue-desk")
    unit, first = begun(bench, soak)
    second = bench.start("hollin-assembly", unit)
    for run, minutes, why in ((second, 40, ""), (first, 5, "the van is here")):
        run.act(ev.StepDone(step="mount@F1"))
        run.start_wait()
        bench.clock.forward(minutes=minutes)  # type: ignore[attr-defined]
        run.end_wait(reason=why)
        run.act(ev.StepDone(step="cure"))
        run.close()
    assert any("cut short" in line and first.job in line for line in bench.units.missing(unit))
