"""No unit is released on a proof that later work, an edit or another order of the marks has made void."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, after, full_plan, plan, started, step

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.plan import Choice, Subject
from benchtui.jobs.revision import reopened_by
from benchtui.jobs.steps import Status
from benchtui.jobs.unit_events import WorkaroundSet, WorkaroundUndone
from benchtui.jobs.units import Needs
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from benchtui.jobs.plan import Limits, Plan, PlanStep
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
    run.act(ev.ReworkStarted(defect=number, joint=f"{subject} lug 2", attempts=4))


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


def test_a_test_made_again_that_failed_is_made_good_by_the_same_test_in_a_whole_run(bench: PlannedBench) -> None:
    # Row I11: whether it is made again alone or with the whole build, it is the same test.
    unit = built(bench)
    heated(bench, unit)
    again = bench.open(bench.units.retest_plan(unit), unit)
    again.read("9", asked="so?")
    again.close(decision="later")
    assert any("failed" in line and again.job in line for line in bench.units.missing(unit))
    through(bench.start("hollin-assembly", unit)).close()
    assert bench.units.missing(unit) == ()


def test_a_test_that_failed_in_a_whole_run_is_made_good_where_it_is_made_again(bench: PlannedBench) -> None:
    unit = built(bench)
    heated(bench, unit)
    run = bench.start("hollin-assembly", unit)
    through(run, until="bank").read("9", asked="so?")
    run.close(decision="later")
    through(bench.open(bench.units.retest_plan(unit), unit)).close()
    assert bench.units.missing(unit) == ()


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


def heated(bench: PlannedBench, unit: str) -> None:
    """A rework job on F1 was gone through."""
    bench.plans["fix"] = plan(step("fix@F1"), id="fix", procedure_kind="rework", design_id="hollin-cue-desk")
    through(bench.start("fix", unit, subject="F1")).close()


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

SOLDERED = plan(
    step("solder@F1"),
    step("ohms@F1", "measure", limits=BANK, required=True),
    step("solder@F2"),
    step("ohms@F2", "measure", limits=BANK, required=True),
    RAIL,
    step("last"),
    design_id="hollin-cue-desk",
)


def marks(run: Run) -> dict[str, str]:
    return {key: known.status.value for key, known in run.state.steps.items() if known.status is not Status.DONE}


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


# -- what stood otherwise for a while --------------------------------------------------------------------------------


def test_a_work_around_that_was_undone_makes_void_what_it_named(bench: PlannedBench) -> None:
    # Row I9 (ISO 9001 8.7): resoldered as designed, and tested as designed.
    unit = built(bench, SOLDERED)
    at = bench.units.write(unit, WorkaroundSet(text="F1 wired to the spare pin"))
    assert bench.units.missing(unit) == ("still in a temporary state: F1 wired to the spare pin",)
    bench.units.write(unit, WorkaroundUndone(workaround=at.id, note="resoldered"))
    assert bench.units.missing(unit) == (f"{AGAIN}ohms@F1", f"{AGAIN}ohms@F2", f"{AGAIN}rail"), "nothing says what"


def test_a_work_around_of_a_hunt_is_about_what_was_hunted_on_when_set_and_when_undone(bench: PlannedBench) -> None:
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    done = {"result": "work-around", "done": "F1 on the spare pin"}
    at = bench.store.append("hunt-closed", unit=unit, job="H1", data=done)
    about = {f"{AGAIN}ohms@F1", f"{AGAIN}rail"}
    assert about <= set(bench.units.missing(unit))
    through(bench.open(bench.units.retest_plan(unit), unit)).close()
    bench.units.write(unit, WorkaroundUndone(workaround=at.id, note="resoldered"))
    assert set(bench.units.missing(unit)) == about


# -- repairs of what several controls run through --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("touched", "void"),
    [
        (("F1",), ("ohms@F1", "rail")),
        (("J1", "F1", "F2"), ("ohms@F1", "ohms@F2", "rail")),
        (("all",), ("ohms@F1", "ohms@F2", "rail")),
        ((), ("ohms@F1", "ohms@F2", "rail")),
        (("none",), ()),
    ],
)
def test_a_repair_in_a_hunt_on_one_control_makes_void_all_that_it_touched(
    bench: PlannedBench, touched: tuple[str, ...], void: tuple[str, ...]
) -> None:
    # Row I4: another board, plug or chip was under F1 only because the hunt was about F1.
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    data = {"repair": "the-repair", **({"touched": list(touched)} if touched else {})}
    bench.store.append("hunt-repair", unit=unit, job="H1", data=data)
    assert [proof.step.key for proof in bench.units.view(unit).void] == list(void)


@pytest.mark.parametrize(
    ("fields", "void"),
    [
        ({}, ("ohms@F1", "ohms@F2", "rail")),
        ({"touched": ("J1", "F1", "F2")}, ("ohms@F1", "ohms@F2", "rail")),
        ({"touched": ("F2",)}, ("ohms@F2", "rail")),
    ],
)
def test_a_rework_procedure_is_not_about_the_control_that_a_hunt_handed_to_it(
    bench: PlannedBench, fields: Mapping[str, tuple[str, ...]], void: tuple[str, ...]
) -> None:
    # Row I4: the board was exchanged in a job that was begun from a hunt on F1; none of its steps works on F1.
    unit = built(bench, SOLDERED)
    swap = plan(step("lift"), step("set-in"), id="swap", procedure_kind="rework", design_id="hollin-cue-desk", **fields)
    bench.plans["swap"] = swap
    through(bench.start("swap", unit, subject="F1")).close()
    assert [proof.step.key for proof in bench.units.view(unit).void] == list(void)


@pytest.mark.parametrize("walked", [True, False])
def test_tests_at_the_end_of_a_repair_that_was_walked_through_in_a_hunt_hold(bench: PlannedBench, walked: bool) -> None:
    # The hunt says that the repair is done after its job was closed: an hour of tests in it is not made twice.
    unit = built(bench, SOLDERED)
    tests = [each for each in SOLDERED.steps if each.required]
    bench.plans["swap"] = plan(step("lift"), *tests, id="swap", procedure_kind="rework", design_id="hollin-cue-desk")
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    run = bench.start("swap", unit, subject="F1")
    bench.store.append("hunt-walk", unit=unit, job="H1", data={"procedure": "swap", "job": run.job})
    through(run).close()
    done = {"repair": "replace-board", "touched": ["all"], **({"walked": run.job} if walked else {})}
    bench.store.append("hunt-repair", unit=unit, job="H1", data=done)
    void = [proof.step.key for proof in bench.units.view(unit).void]
    assert void == ([] if walked else ["ohms@F1", "ohms@F2", "rail"]), "another repair was done after that job"


def test_more_names_for_what_a_step_runs_through_are_no_other_step() -> None:
    # A job that goes on by today's texts is not made to measure anew what only the program says more of.
    state = started(SOLDERED)
    state = after(state, ev.StepDone(step="solder@F1"))
    steps = [replace(each, touches=(*each.touches, "J1", "M1")) for each in SOLDERED.steps]
    assert reopened_by(state, plan(*steps, design_id="hollin-cue-desk")) == ()


def test_a_plug_that_was_touched_makes_void_the_tests_of_what_is_on_it_in_an_older_text(bench: PlannedBench) -> None:
    # Row I4: the tests of the text the unit was built by name their control and nothing it runs through.
    plug = Subject(id="J1", kind="connector", title="connector J1")
    look = step("look", "observe", subject=plug, touches=("J1", "F1"))
    unit, run = begun(bench, plan(*SOLDERED.steps[:4], look, design_id="hollin-cue-desk"))
    through(run).close()
    bench.plans["fix"] = plan(step("fix"), id="fix", procedure_kind="service", design_id="hollin-cue-desk")
    fix = bench.start("fix", unit)
    rework_begun(fix, subject="J1")
    fix.act(ev.ReworkDone(defect="D1", touched=("J1",)))
    through(fix).close()
    assert bench.units.missing(unit) == (f"{AGAIN}ohms@F1",)


# -- failures, signatures and calls that a mark or an edit would hide ------------------------------------------------

LOOK = step("look", "choose", choices=(Choice(text="clean"), Choice(text="cracked", verdict="fail")))


@pytest.mark.parametrize(
    ("first", "how"),
    [
        (LOOK, ev.ChoiceMade(step="look", choice="cracked")),
        (step("look", "observe"), ev.StepFailed(step="look", reason="answered cracked")),
    ],
)
def test_what_failed_is_not_called_not_applicable_and_says_so_when_it_is_skipped(
    bench: PlannedBench, first: PlanStep, how: ev.JobEvent
) -> None:
    # Row E5 (ISO 9001 8.7): cracked, taken back, not applicable: on no list, and released.
    unit, run = begun(bench, plan(first, RAIL, design_id="hollin-cue-desk"))
    run.act(how)
    run.act(ev.StepReopened(step="look", reason="taken back"))
    with pytest.raises(JobError, match=r"it had failed \(answered cracked\)"):
        run.act(ev.StepNotApplicable(step="look", reason="does not matter"))
    run.act(ev.StepSkipped(step="look", reason="does not matter"))
    through(run).close(decision="show tonight")
    line = f"step 1 skipped (does not matter): {first.text}; it had failed: answered cracked (job {run.job})"
    assert bench.units.missing(unit) == (line,)


def test_a_reading_that_failed_is_named_where_its_step_is_left_as_it_is(bench: PlannedBench) -> None:
    unit, run = begun(bench, plan(step("t", "measure", limits=BANK), RAIL, design_id="hollin-cue-desk"))
    run.read("9", asked="so?")
    run.act(ev.StepSkipped(step="t", reason="leave it"))
    through(run).close(decision="show tonight")
    (line,) = bench.units.missing(unit)
    assert "; it had failed: reading 9, outside its limits" in line
    assert bench.units.may_concede(unit) == (line,), "who signs for it signs for what was read"


def test_a_failure_taken_back_and_then_taken_out_by_an_edit_is_decided(bench: PlannedBench) -> None:
    # Row A3.
    _, run = begun(bench, plan(LOOK, step("last"), design_id="hollin-cue-desk"))
    run.act(ev.ChoiceMade(step="look", choice="cracked"))
    run.act(ev.StepReopened(step="look", reason="taken back"))
    run.move_to(plan(step("last"), design_id="hollin-cue-desk", revision=2), reason="shorter")
    through(run)
    assert run.state.open_items() == ("reopened, and taken out by revision 2: choose look",)


def test_a_signature_that_was_given_and_not_marked_falls_with_a_step_before_it(bench: PlannedBench) -> None:
    # Row I8 (21 CFR 11.70): the program was killed between the signature and the mark.
    _, run = begun(bench, plan(step("a"), step("release", "sign"), design_id="hollin-cue-desk"))
    through(run, until="release").act(ev.SignedOff(step="release", name="the builder", meaning="did"))
    run.act(ev.StepReopened(step="a", reason="taken back"))
    run.act(ev.StepDone(step="a"))
    with pytest.raises(JobError, match="sign first"):
        run.act(ev.StepDone(step="release"))


def test_a_signature_falls_when_an_edit_puts_another_step_before_it(bench: PlannedBench) -> None:
    # Row I8: nothing is new and nothing has changed but the order, and the signature would stand for b as well.
    a, sign, b = step("a"), step("release", "sign"), step("b")
    unit, run = begun(bench, plan(a, sign, b, design_id="hollin-cue-desk"))
    through(run, until="b")
    run.move_to(plan(a, b, sign, design_id="hollin-cue-desk", revision=2), reason="b is checked too")
    assert run.state["release"].status is Status.REOPENED
    other = bench.start("hollin-assembly", unit)
    through(other, until="b")
    other.move_to(plan(sign, a, b, design_id="hollin-cue-desk", revision=2), reason="signed at the start")
    assert other.state["release"].status is Status.DONE, "it stood for more than it has to now"


@pytest.mark.parametrize("calls", ["tests", "other"])
def test_a_call_that_an_edit_changed_goes_to_the_procedure_that_it_names_now(bench: PlannedBench, calls: str) -> None:
    # Row C18 (S1000D linking): the return from the old one would prove a step that calls another.
    for id in ("tests", "other"):
        bench.plans[id] = plan(step(id), id=id, procedure_kind="service", design_id="hollin-cue-desk")
    before, last = step("a"), step("last")
    _, run = begun(bench, plan(before, step("go", "call", call="tests"), last, design_id="hollin-cue-desk"))
    run.act(ev.StepDone(step="a"))
    old = bench.call(run, "go")
    newer = step("go", "call", call=calls, text="go there now")
    run.move_to(plan(before, newer, last, design_id="hollin-cue-desk", revision=2), reason="the wrong one")
    called = bench.call(run, "go")
    assert called.plan.id == calls
    assert (called.job == old.job) == (calls == "tests"), "one that is still called goes on where it was"
    if calls == "other":
        through(old).close()
        with pytest.raises(JobError, match="this step called another job"):
            run.act(ev.CallReturned(step="go", called=old.job, result="complete"))
        assert run.state["go"].earlier[0].called == old.job, "where it was is kept"
