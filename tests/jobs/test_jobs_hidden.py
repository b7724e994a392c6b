"""No mark, no edit and no other job hides what failed, was signed for less, or was left open."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.jobs import BANK, plan, step
from helpers.proven import RAIL, SHORT, begun, built, heated, through

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.plan import Choice
from benchtui.jobs.run_decisions import concede, may_concede
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.plan import PlanStep


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
    concede(bench.units, unit, line, reason="the bank is measured under power now", by="the builder")
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
    assert may_concede(bench.units, unit) == (line,), "who signs for it signs for what was read"


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
