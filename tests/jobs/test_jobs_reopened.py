"""What a step was proven by counts no more once it is opened again, whatever opened it, and an edit loses nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers.jobs import after, full_plan, page, plan, read, started, step, walked

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.quality import voided
from benchtui.jobs.revision import reopened_by
from benchtui.jobs.state import advance
from benchtui.jobs.steps import Status

BANK = full_plan().step("bank")
LAMPS = full_plan().step("lamps")


def _reworked(state: JobState, *touched: str, subject: str = "F1") -> JobState:
    return after(
        state,
        ev.DefectFound(defect="D1", text="cold joint", subject=subject),
        ev.DispositionGiven(defect="D1", disposition="rework", reason="to drawing"),
        ev.ReworkStarted(defect="D1", joint="F1 lug 2", attempts=4),
        ev.ReworkDone(defect="D1", touched=touched),
    )


def _moved(state: JobState, *steps: object, revision: int = 2) -> JobState:
    newer = plan(*steps, revision=revision)  # type: ignore[arg-type]
    event = ev.RevisionMoved(plan="x", revision=revision, reason="the old text was wrong")
    return advance(state, event, plan=newer)


# -- proofs that are not readings ------------------------------------------------------------------------------------


def test_a_wait_opened_again_is_waited_again() -> None:
    # Row C13 (J-STD-001 process control): a soak that was over says nothing of one begun anew.
    state = started(plan(step("soak", "wait", seconds=1800.0), step("go")))
    state = after(state, ev.TimerStarted(step="soak", seconds=1800.0), minutes=0)
    state = after(state, ev.TimerEnded(step="soak"), ev.StepDone(step="soak"), minutes=31)
    state = after(state, ev.StepReopened(step="soak", reason="moved it"), minutes=32)
    with pytest.raises(JobError, match="start the wait first"):
        after(state, ev.StepDone(step="soak"))
    assert state["soak"].timer is None
    assert state["soak"].earlier[0].timer is not None, "what it was is kept"
    state = after(state, ev.TimerStarted(step="soak", seconds=1800.0), minutes=33)
    with pytest.raises(JobError, match="this needs a reason"):
        after(state, ev.TimerEnded(step="soak"), minutes=40)


def test_a_signature_a_call_and_a_part_opened_again_are_given_again() -> None:
    # Rows I8, C18 and H9 (DOE-STD-1036; S1000D linking; IPC-1782 5.1).
    state = started(plan(step("fit@F1", trace="lot"), step("crimp", "call", call="crimp"), step("release", "sign")))
    part = ev.PartFitted(step="fit@F1", part="fader", place="F1", lot="L7")
    back = ev.CallReturned(step="crimp", called="J2", result="complete")
    signed = ev.SignedOff(step="release", name="the builder", meaning="did")
    state = after(state, part, ev.StepDone(step="fit@F1"), ev.CallOpened(step="crimp", called="J2"), back)
    state = after(state, ev.StepDone(step="crimp"), signed, ev.StepDone(step="release"))
    for key, words in (
        ("release", "sign first"),
        ("crimp", "has not come back yet"),
        ("fit@F1", "type the lot of the part first"),
    ):
        state = after(state, ev.StepReopened(step=key, reason="taken back"))
        with pytest.raises(JobError, match=words):
            after(state, ev.StepDone(step=key))
    assert state["release"].earlier[0].signed == (("the builder", "did"),)
    assert state["fit@F1"].earlier[0].fitted == ("L7",)


def test_a_name_that_signed_before_is_no_second_person_after_a_reopening() -> None:
    # Row I8 (DOE-STD-1036).
    state = started(plan(step("release", "sign"), step("last")))
    state = after(state, ev.SignedOff(step="release", name="the builder", meaning="did"), ev.StepDone(step="release"))
    state = after(state, ev.StepReopened(step="release", reason="taken back"))
    with pytest.raises(JobError, match="is a self-check"):
        after(state, ev.SignedOff(step="release", name="the builder", meaning="independent check"))


@pytest.mark.parametrize("by", ["rework", "voids", "undo", "edit", "new step"])
def test_a_signature_falls_with_any_step_before_it(by: str) -> None:
    # Row I8 (21 CFR 11.70): a signature stands for the steps before it as they were when it was given.
    steps = (BANK, step("release", "sign"), step("file", voids=("bank",)))
    state = started(plan(*steps))
    state = after(state, read("bank", "2.5k", 2500.0, "pass"), ev.StepDone(step="bank"))
    state = after(state, ev.SignedOff(step="release", name="the builder", meaning="did"), ev.StepDone(step="release"))
    match by:
        case "rework":
            state = _reworked(state, "F1")
        case "voids":
            state = after(state, ev.StepDone(step="file"))
        case "undo":
            state = after(state, ev.StepReopened(step="bank", reason="taken back"))
        case "edit":
            state = _moved(state, replace(BANK, text="measure the bank, knobs on"), *steps[1:])
        case "new step":
            state = _moved(state, BANK, step("look", "observe"), *steps[1:])
    assert state["release"].status is Status.REOPENED
    assert state["release"].signed == ()


# -- readings and answers --------------------------------------------------------------------------------------------


def test_taking_a_mark_back_spares_nobody_the_reason_or_the_limit_of_tries() -> None:
    # Rows E5, E6 and C15 (FDA practice; ALCOA; S1000D process loops).
    state = started(plan(replace(BANK, tries=2), step("last")))
    state = after(state, read("bank", "1.5k", 1500.0, "fail"), ev.StepReopened(step="bank", reason="taken back"))
    with pytest.raises(JobError, match="take the reading first"):
        after(state, ev.StepDone(step="bank"))
    with pytest.raises(JobError, match="this needs a reason"):
        after(state, read("bank", "2.5k", 2500.0, "pass"))
    state = after(state, read("bank", "1.6k", 1600.0, "fail", reason="probe slipped"))
    state = after(state, ev.StepReopened(step="bank", reason="taken back"))
    with pytest.raises(JobError, match="measured 2 times, and 2 is the limit"):
        after(state, read("bank", "2.5k", 2500.0, "pass", reason="adjusted"))


def test_the_control_a_defect_is_about_is_tested_again_whatever_else_was_touched() -> None:
    # Row I4 (J-STD-001).
    about = replace(BANK, touches=("F1",))
    state = started(plan(step("mount@F1"), step("mount@F2"), about, step("last")))
    state = after(state, ev.StepDone(step="mount@F1"), ev.StepDone(step="mount@F2"))
    state = after(state, read("bank", "2.4k", 2400.0, "pass"), ev.StepDone(step="bank"))
    assert _reworked(state, "F2")["bank"].status is Status.REOPENED
    assert _reworked(state, "F2", subject="F2")["bank"].status is Status.DONE


def test_after_rework_a_reading_is_a_first_one_and_must_be_taken() -> None:
    # Row I4 (J-STD-001): the reading before the rework is kept, and proves nothing.
    state = started(plan(replace(BANK, tries=2), step("last")))
    state = after(state, read("bank", "2.4k", 2400.0, "pass"), ev.StepDone(step="bank"))
    state = _reworked(state, "F1")
    with pytest.raises(JobError, match="take the reading first"):
        after(state, ev.StepDone(step="bank"))
    state = after(state, read("bank", "1.5k", 1500.0, "fail"))
    state = after(state, read("bank", "2.5k", 2500.0, "pass", reason="adjusted"))
    assert [reading.reason for reading in state["bank"].readings] == ["", "", "adjusted"]
    with pytest.raises(JobError, match="measured 2 times"):
        after(state, read("bank", "2.5k", 2500.0, "pass", reason="adjusted"))


def test_a_failed_reading_that_an_older_program_let_be_held_is_not_passed_now() -> None:
    state = replace(started(plan(BANK, LAMPS)), rules=0)
    state = after(state, read("bank", "1.5k", 1500.0, "fail"), ev.StepHeld(step="bank", reason="paint"))
    assert after(state, ev.StepDone(step="bank"))["bank"].settled, "as it was accepted then"
    state = after(state, ev.Suspended(), ev.Resumed())
    with pytest.raises(JobError, match="the reading is outside its limits"):
        after(state, ev.StepDone(step="bank"))


def test_no_other_mark_hides_that_a_step_has_failed() -> None:
    # Row E5 (ISO 9001 8.7): held or called not applicable, a failed reading would be passed by without a word.
    state = after(started(plan(step("look"), BANK, step("last"))), ev.StepFailed(step="look", reason="scratched"))
    for act in (ev.StepHeld(step="look", reason="paint"), ev.StepNotApplicable(step="look", reason="not seen")):
        with pytest.raises(JobError, match="this step failed"):
            after(state, act)
    assert (
        "step 1 skipped (it will be covered): do look; it had failed: scratched"
        in after(state, ev.StepSkipped(step="look", reason="it will be covered")).open_items()
    )


def test_an_answer_is_given_again_and_another_one_needs_a_reason() -> None:
    # Row E16 (21 CFR 11.10(e)): what was said first stays, and why it changed.
    state = started(plan(LAMPS, step("last")))
    state = after(state, ev.ChoiceMade(step="lamps", choice="all lit"), ev.StepDone(step="lamps"))
    state = after(state, ev.StepReopened(step="lamps", reason="taken back"))
    with pytest.raises(JobError, match="pick an answer first"):
        after(state, ev.StepDone(step="lamps"))
    with pytest.raises(JobError, match="this needs a reason"):
        after(state, ev.ChoiceMade(step="lamps", choice="one is dark"))
    assert after(state, ev.ChoiceMade(step="lamps", choice="all lit"), ev.StepDone(step="lamps"))["lamps"].settled
    void = _reworked(after(state, ev.ChoiceMade(step="lamps", choice="all lit"), ev.StepDone(step="lamps")))
    assert after(void, ev.ChoiceMade(step="lamps", choice="one is dark"))["lamps"].status is Status.FAILED


# -- an edit of the procedure ----------------------------------------------------------------------------------------


def test_a_failed_test_that_an_edit_takes_out_stays_open_until_it_is_decided() -> None:
    # Row A3 (AS9102 4.6; ISO 9001 8.7): no edit makes a failure go away.
    state = started(plan(step("first"), BANK, step("last")))
    state = after(state, ev.StepDone(step="first"), read("bank", "1.5k", 1500.0, "fail"))
    state = _moved(state, step("first"), step("last"))
    assert state.gone["bank"].known.readings[0].typed == "1.5k"
    state = after(state, ev.StepDone(step="last"))
    assert state.open_items() == ("failed, and taken out by revision 2: measure bank",)
    with pytest.raises(JobError, match="1 open: failed, and taken out"):
        after(state, ev.JobClosed())
    with pytest.raises(JobError, match="this needs a reason"):
        after(state, ev.StepNotApplicable(step="bank", reason=" "))
    decided = after(state, ev.StepNotApplicable(step="bank", reason="the bank is measured after power now"))
    assert after(decided, ev.JobClosed()).closed == "complete"
    back = _moved(state, step("first"), BANK, step("last"), revision=3)
    assert back["bank"].status is Status.FAILED
    assert back.gone == {}
    changed = _moved(state, step("first"), replace(BANK, text="measure anew"), step("last"), revision=3)
    assert changed["bank"].status is Status.REOPENED


def test_a_step_left_out_that_an_edit_makes_a_required_test_is_open_again() -> None:
    # Row C7 (DOE-STD-1029): a required test cannot be left out, not by way of two edits either.
    state = started(plan(step("first"), BANK, step("last")))
    state = after(state, ev.StepDone(step="first"), read("bank", "1.5k", 1500.0, "fail"))
    state = after(_moved(state, step("first"), step("last")), ev.StepNotApplicable(step="bank", reason="not needed"))
    assert _moved(state, step("first"), BANK, step("last"), revision=3)["bank"].status is Status.REOPENED


def test_a_step_that_was_passed_or_never_begun_is_taken_out_in_peace() -> None:
    state = started(plan(BANK, step("look", "observe", required=True), step("last")))
    state = after(state, read("bank", "2.5k", 2500.0, "pass"), ev.StepDone(step="bank"))
    state = after(_moved(state, step("last")), ev.StepDone(step="last"))
    assert state.open_items() == ()
    assert [known.status for _, known in state.every()] == [Status.DONE, Status.DONE, Status.OPEN]


@pytest.mark.parametrize(("value", "verdict"), [(2990.0, "near limit"), (3400.0, "fail")])
def test_a_reading_in_hand_is_judged_by_the_new_limits(value: float, verdict: str) -> None:
    # Row A3: 2.99 kΩ passed under 3.0 kΩ, and says nothing under 2.6 kΩ.
    assert BANK.limits is not None
    tighter = replace(BANK, limits=replace(BANK.limits, high=2600.0))
    state = after(started(plan(BANK, step("last"))), read("bank", str(value), value, verdict))
    newer = plan(tighter, step("last"), revision=2)
    assert reopened_by(state, newer) == ("bank",)
    state = _moved(state, tighter, step("last"))
    assert state["bank"].status is Status.REOPENED
    with pytest.raises(JobError, match="take the reading first"):
        after(state, ev.StepDone(step="bank"))
    assert after(state, read("bank", "2.5k", 2500.0, "pass"), ev.StepDone(step="bank"))["bank"].settled


def test_work_on_a_defect_goes_on_after_its_step_was_taken_out() -> None:
    state = started(plan(step("first@F1"), replace(BANK, touches=("F1",)), step("last")))
    state = after(state, ev.StepDone(step="first@F1"), read("bank", "1.5k", 1500.0, "fail"))
    state = after(
        state,
        ev.DefectFound(defect="D1", text="cold joint", step="bank", subject="F1"),
        ev.DispositionGiven(defect="D1", disposition="rework", reason="to drawing"),
        ev.ReworkStarted(defect="D1"),
    )
    gone = after(_moved(state, step("first@F1"), step("last")), ev.ReworkDone(defect="D1", touched=("F1",)))
    assert "failed, and taken out by revision 2: measure bank" in gone.open_items()
    late = _moved(after(state, ev.ReworkDone(defect="D1", touched=("F1",))), step("first@F1"), step("last"))
    assert late.open_items() == ("step 2 open: do last", "reopened, and taken out by revision 2: measure bank")


# -- before the work, and changes by hand ----------------------------------------------------------------------------


def test_a_condition_answered_with_no_bars_the_work_until_it_is_so_or_decided() -> None:
    # Row B6 (DOE-STD-1029).
    state = started(plan(step("a"), step("b"), before=page("the power is off")), conditions=False)
    state = after(state, ev.ConditionAnswered(condition="the power is off", answer=ev.NO))
    with pytest.raises(JobError, match="answered with no: the power is off"):
        after(state, ev.StepDone(step="a"))
    assert after(state, ev.ConditionAnswered(condition="the power is off", answer="yes")).blocked("a") == ""
    decided = after(state, ev.StartedShort(missing=("the power is off",), reason="it has no plug yet"))
    assert walked(decided).open_items() == ("started without: the power is off",)
    so = after(decided, ev.ConditionAnswered(condition="the power is off", answer="yes"))
    assert walked(so).open_items() == ()


def test_a_change_by_hand_ends_in_its_own_job_too() -> None:
    # Row I6 (AS9100D 8.7: a deviation has an end, and after it the original is asked for again).
    state = started(plan(step("a"), step("b")))
    changed = ev.Redlined(step="b", text="use the longer screw", reason="short", until="2031-03-01")
    state = after(state, changed)
    assert state.text("b") == "use the longer screw"
    assert advance(state, ev.StepDone(step="a"), time="2031-03-02T09:00:00.000+01:00").text("b") == "do b"
    for until, text in (("HCD-001-R", "use the longer screw"), ("", "use the longer screw")):
        assert after(state, replace(changed, until=until)).text("b") == text
    late = after(started(plan(step("b")), unit="HCD-002-M"), replace(changed, until="HCD-001-R"))
    assert late.text("b") == "do b"


def test_rework_of_a_mounted_part_does_not_open_what_was_tried_while_it_was_loose() -> None:
    # A button that is soldered in cannot be pressed loose in the hand; what can be made again is made again.
    loose = step("new", "measure", touches=("B1",), loose=True, limits=BANK.limits)
    fitted = step("fitted", "measure", touches=("B1",), limits=BANK.limits)
    both = plan(loose, fitted)
    assert [each.key for each in voided(both, frozenset({"B1"}))] == ["fitted"]
    assert [each.key for each in voided(both, frozenset())] == ["fitted"]
    assert [each.key for each in voided(both, frozenset({"B1"}), exchanged=True)] == ["new", "fitted"]
