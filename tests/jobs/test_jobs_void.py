"""No unit is released on a proof that later work or another order of the marks has made void."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import BANK, plan, step
from helpers.proven import AGAIN, RAIL, SHORT, SOLDERED, begun, built, heated, marks, rework_begun, through

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.plan import Limits
    from benchtui.jobs.run import Run


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


# -- what a proof rests on -------------------------------------------------------------------------------------------


def test_a_reading_from_before_a_rework_proves_nothing_by_being_marked_after_it(bench: PlannedBench) -> None:
    # Row I4 (J-STD-001): measured in one job, heated in another, and then marked done with the old reading.
    bench.plans["fix"] = plan(step("fix@F1"), id="fix", procedure_kind="service", design_id="hollin-cue-desk")
    unit, run = begun(bench)
    through(run, until="bank").read("2.02")
    other = bench.start("fix", unit)
    rework_begun(other)
    other.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    through(other).close()
    run.act(ev.StepDone(step="bank"))
    through(run).close()
    assert bench.units.missing(unit) == (f"{AGAIN}bank",), "the rail was measured after it"
    through(bench.open(bench.units.retest_plan(unit), unit)).close()
    assert bench.units.missing(unit) == ()


AT_A_POINT = replace(BANK, point="signal")
HIGH = replace(AT_A_POINT, low=7000.0, nominal=8000.0, high=9000.0)
LOW_AND_HIGH = plan(
    step("low@F1", "measure", limits=AT_A_POINT, required=True),
    step("high@F1", "measure", limits=HIGH, required=True),
    design_id="hollin-cue-desk",
)


def test_two_tests_at_one_test_point_are_two_tests(bench: PlannedBench) -> None:
    # Row I4: the upper stop says nothing of the lower one.
    typed = {"low": "2.5k", "high": "8k"}
    unit, run = begun(bench, LOW_AND_HIGH)
    through(run, typed=typed).close()
    heated(bench, unit)
    assert bench.units.missing(unit) == (f"{AGAIN}low@F1", f"{AGAIN}high@F1")
    again = bench.open(bench.units.retest_plan(unit), unit)
    through(again, until="high@F1", typed=typed).close(decision="the rest tomorrow")
    assert f"{AGAIN}high@F1" in bench.units.missing(unit)
    through(bench.open(bench.units.retest_plan(unit), unit), typed=typed).close()
    assert AGAIN not in " ".join(bench.units.missing(unit))


@pytest.mark.parametrize(("limits", "counts"), [(AT_A_POINT, True), (HIGH, False), (replace(BANK, point=""), False)])
def test_a_test_of_another_procedure_counts_where_it_asks_the_same(
    bench: PlannedBench, limits: Limits, counts: bool
) -> None:
    # Two procedures may bear a step of one name: it counts by its test point, subject and limits, not by its name.
    unit = built(bench, plan(LOW_AND_HIGH.steps[0], design_id="hollin-cue-desk"))
    heated(bench, unit)
    bench.plans["service"] = plan(
        step("low@F1", "measure", limits=limits, required=True, text="measure it some other way"),
        id="service",
        procedure_kind="service",
        design_id="hollin-cue-desk",
    )
    through(bench.start("service", unit), typed={"low": "8k" if limits is HIGH else "2.5k"}).close()
    assert bench.units.missing(unit) == (() if counts else (f"{AGAIN}low@F1",))


# -- work done after its test ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("how", ["edit", "taken back", "skipped"])
def test_a_joint_made_after_its_test_is_tested_again_and_nothing_else_is(bench: PlannedBench, how: str) -> None:
    # Row I4 (J-STD-001): the wire sits on another pin than the one that was measured.
    _, run = begun(bench, SOLDERED)
    if how == "skipped":
        run.act(ev.StepSkipped(step="solder@F1", reason="the wire is on its way"))
    through(run, until="last")
    match how:
        case "edit":
            other = replace(SOLDERED.steps[0], text="wire to pin 4, not 3")
            run.move_to(plan(other, *SOLDERED.steps[1:], design_id="hollin-cue-desk", revision=2), reason="wrong pin")
        case "taken back" | "skipped":
            run.act(ev.StepReopened(step="solder@F1", reason="wrong pin"))
    run.act(ev.StepDone(step="solder@F1"))
    assert marks(run) == {"ohms@F1": "reopened", "last": "open"}
    assert run.state.current == "ohms@F1"


def test_a_joint_made_with_tools_after_a_test_of_the_whole_unit_makes_that_void_too(bench: PlannedBench) -> None:
    # Row I4: a splash of solder on the supply shows at the rail, whichever joint it came from.
    hot = replace(SOLDERED.steps[0], uses=("iron",))
    _, run = begun(bench, plan(hot, *SOLDERED.steps[1:], design_id="hollin-cue-desk"))
    through(run, until="last").act(ev.StepReopened(step="solder@F1", reason="wrong pin"))
    run.act(ev.StepDone(step="solder@F1"))
    assert marks(run) == {"ohms@F1": "reopened", "rail": "reopened", "last": "open"}


def test_what_is_done_to_the_unit_after_a_test_of_the_whole_is_tested_again_in_its_own_procedure(
    bench: PlannedBench,
) -> None:
    # Row I4: the bonding of the panel is screwed on anew after it was measured; no control is named by that step.
    bench.plans["tests"] = plan(step("idle", "measure", limits=BANK, required=True, touches=()), id="tests")
    steps = (step("bond"), step("power-up", begins="power-on"), RAIL, step("power-down", ends="power-on"))
    call = step("test", "call", call="tests")
    unit, run = begun(bench, plan(*steps, call, step("last"), design_id="hollin-cue-desk"))
    through(run, until="test")
    called = bench.call(run, "test")
    through(called).close()
    run.act(ev.CallReturned(step="test", called=called.job, result="complete"))
    run.act(ev.StepDone(step="test"))
    run.act(ev.StepReopened(step="power-up", reason="taken back"))
    run.act(ev.StepDone(step="power-up"))
    assert marks(run) == {"last": "open"}, "the power is no work on the unit"
    run.act(ev.StepReopened(step="bond", reason="the screw was loose"))
    run.act(ev.StepDone(step="bond"))
    assert marks(run) == {"rail": "reopened", "last": "open"}
    assert bench.units.view(unit).void == ()


def test_a_joint_that_was_left_open_and_made_later_makes_its_tests_void(bench: PlannedBench) -> None:
    # Row I4, over two jobs: the left-open job does the step, and the tests of it were made before.
    unit, run = begun(bench, SOLDERED)
    run.act(ev.StepSkipped(step="solder@F1", reason="the wire is on its way"))
    through(run).close(decision="later")
    (left,) = bench.units.left_open(unit)
    assert [each.key for each in left.plan.steps] == ["solder@F1"]
    through(bench.open(left.plan, unit)).close()
    assert bench.units.missing(unit) == (f"{AGAIN}ohms@F1",)


def test_a_joint_made_after_a_test_in_a_called_procedure_makes_that_void(bench: PlannedBench) -> None:
    # Row I4: the tests of a joint stand in procedures that the build calls after it.
    bench.plans["tests"] = plan(SOLDERED.steps[1], SOLDERED.steps[3], id="tests", procedure_kind="assembly")
    calls = plan(SOLDERED.steps[0], step("test", "call", call="tests"), step("last"), design_id="hollin-cue-desk")
    unit, run = begun(bench, calls)
    run.act(ev.StepDone(step="solder@F1"))
    called = bench.call(run, "test")
    through(called).close()
    run.act(ev.CallReturned(step="test", called=called.job, result="complete"))
    run.act(ev.StepDone(step="test"))
    assert bench.units.view(unit).void == ()
    run.act(ev.StepReopened(step="solder@F1", reason="wrong pin"))
    through(run).close()
    assert bench.units.missing(unit) == (f"{AGAIN}ohms@F1",)
