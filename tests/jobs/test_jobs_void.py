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
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
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
