"""What is allowed when in a job, and what follows from each act."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers.jobs import (
    BANK,
    IRON,
    POWER,
    SHOCK,
    acknowledge,
    after,
    full_plan,
    page,
    plan,
    read,
    started,
    step,
    walked,
)

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.plan import Choice
from benchtui.jobs.state import advance
from benchtui.jobs.steps import SHAPES, Status


def test_a_job_walked_to_its_end_is_complete() -> None:
    state = walked(started(full_plan()))
    assert state.current == ""
    assert state.finished
    assert state.open_items() == ()
    assert after(state, ev.JobClosed()).closed == "complete"


def test_begun_and_done_are_two_marks() -> None:
    # Row C3 (DOE-STD-1029: circle and slash).
    state = after(started(full_plan()), ev.StepBegun(step="lay-out"))
    assert state["lay-out"].status is Status.BEGUN
    state = after(state, ev.Suspended(), ev.Resumed())
    assert state.current == "lay-out"
    assert state["lay-out"].status is Status.BEGUN
    assert after(state, ev.StepDone(step="lay-out")).current == "wipe"


def test_taking_a_mark_back_is_a_new_event_that_opens_the_step() -> None:
    # Row C4 (21 CFR 11.10(e); MIL-STD-1472E 5.15.8).
    state = after(started(full_plan()), ev.StepDone(step="lay-out"), ev.StepReopened(step="lay-out"))
    assert state["lay-out"].status is Status.REOPENED
    assert state.current == "lay-out"
    assert [act.kind for act in state.trail] == ["job-started", "step-done", "step-reopened"]
    with pytest.raises(JobError, match="no mark to take back"):
        after(state, ev.StepReopened(step="lay-out"))


def test_every_mark_has_its_own_word_and_shape() -> None:
    # Row C5 (NUREG-0700; WCAG 1.4.1).
    assert len({word.value for word in Status}) == 8
    assert len({shapes[0] for shapes in SHAPES.values()}) == len({shapes[1] for shapes in SHAPES.values()}) == 8
    assert all(shapes[1].isascii() for shapes in SHAPES.values())


def test_strict_order_refuses_a_later_step_and_says_what_comes_first() -> None:
    # Row C6 (21 CFR 11.10(f); S1000D process).
    with pytest.raises(JobError, match="step 1 comes first: do lay-out"):
        after(started(full_plan()), ev.StepDone(step="wipe"))


def test_free_order_binds_only_the_sections_and_any_order_only_the_holds() -> None:
    free = started(full_plan(order="free"))
    assert after(free, ev.StepDone(step="wipe"))["wipe"].status is Status.DONE
    with pytest.raises(JobError, match="step 1 comes first"):
        after(free, ev.StepSkipped(step="solder@F1", reason="later"))
    loose = acknowledge(started(full_plan(order="any")), "solder@F2")
    assert after(loose, ev.StepDone(step="solder@F2"))["solder@F2"].status is Status.DONE
    with pytest.raises(JobError, match="step 6 comes first: the hold point"):
        after(loose, read("rail", "3.3 V", 3.3, "pass"))


def test_skipped_and_not_applicable_differ_and_both_need_a_reason() -> None:
    # Row C7 (DOE-STD-1029; AS9100 8.5.1).
    state = started(full_plan())
    for cls in (ev.StepSkipped, ev.StepNotApplicable):
        with pytest.raises(JobError, match="this needs a reason"):
            after(state, cls(step="lay-out", reason="  "))
    skipped = after(state, ev.StepSkipped(step="lay-out", reason="glue later"))
    assert "step 1 skipped (glue later): do lay-out" in skipped.open_items()
    absent = after(state, ev.StepNotApplicable(step="lay-out", reason="acrylic panel"))
    assert not any("lay-out" in item for item in absent.open_items())


@pytest.mark.parametrize(("key", "words"), [("power-up", "a hold point"), ("bank", "a required test")])
def test_hold_points_and_required_tests_cannot_be_left_out(key: str, words: str) -> None:
    # Rows C7 and I1 (DOE-STD-1029; NPR 8735.2B ch. 8).
    state = walked(started(full_plan()), until=key)
    for cls in (ev.StepSkipped, ev.StepNotApplicable):
        with pytest.raises(JobError, match=words):
            after(state, cls(step=key, reason="no time"))


def test_a_job_with_open_items_closes_only_by_decision() -> None:
    # Row C8 (AS9100; NASA as-run open work).
    state = walked(after(started(full_plan()), ev.StepSkipped(step="lay-out", reason="later")))
    with pytest.raises(JobError, match="1 open: step 1 skipped"):
        after(state, ev.JobClosed())
    with pytest.raises(JobError, match="this needs a decision"):
        after(state, ev.JobClosed(result="closed with open items"))
    closed = after(state, ev.JobClosed(result="closed with open items", decision="show tonight"))
    assert closed.closed == "closed with open items"
    with pytest.raises(JobError, match="this job is closed"):
        after(closed, ev.NoteAdded(text="too late"))


def test_a_caution_is_read_before_its_step_opens_and_its_words_are_fixed() -> None:
    # Rows D1 and D6 (MIL-DTL-87268D 3.2.2.4; 21 CFR 11.50).
    state = walked(started(full_plan()), until="solder@F1")
    assert state.unread("solder@F1") == (IRON,)
    with pytest.raises(JobError, match="read the caution first: The iron burns"):
        after(state, ev.StepBegun(step="solder@F1"))
    with pytest.raises(JobError, match="no caution 'iron-burn' of those words"):
        after(state, ev.CautionAcknowledged(step="solder@F1", caution="iron-burn", digest=POWER.digest))
    state = acknowledge(state, "solder@F1")
    state = after(state, ev.StepDone(step="solder@F1"))
    assert state.unread("solder@F2") == (), "one hazard to a person is read once in a sitting"
    assert (IRON.digest, "solder") in state.acknowledged


def test_danger_is_read_at_every_step_that_brings_it_and_a_notice_at_none() -> None:
    state = started(plan(step("open", cautions=(SHOCK,)), step("measure", cautions=(SHOCK,))))
    state = after(acknowledge(state, "open"), ev.StepDone(step="open"))
    assert state.unread("measure") == (SHOCK,)
    assert started(full_plan()).unread("wipe") == ()


def test_cautions_are_read_anew_after_a_break() -> None:
    # Row D9 (Dismukes).
    state = walked(started(full_plan()), until="solder@F2")
    state = after(state, ev.Suspended(bench=("iron hot",)), ev.Resumed(answers=("off",)))
    assert state.unread("solder@F2") == (IRON,)


def test_a_hazard_stands_from_its_first_step_to_its_last() -> None:
    # Row D10 (IEC/IEEE 82079-1).
    state = walked(started(full_plan()), until="power-up")
    assert state.standing == ()
    state = after(acknowledge(state, "power-up"), ev.StepBegun(step="power-up"))
    assert state.standing == ("power-on",)
    live = walked(state, until="power-down")
    assert live.standing == ("power-on",)
    again = after(live, ev.StepReopened(step="power-up", reason="taken back"))
    assert again.standing == ("power-on",), "taking the mark back does not take the power off"
    off = walked(state, until="soak")
    assert off.standing == ()
    assert after(off, ev.StepReopened(step="power-up", reason="taken back")).standing == ()


def test_a_failed_reading_holds_the_job_and_the_first_reading_stays() -> None:
    # Rows E5 and E6 (FDA practice; ALCOA; ISO 9001 8.7).
    state = walked(started(full_plan()), until="bank")
    state = after(state, read("bank", "3.4k", 3400.0, "fail"))
    assert state["bank"].status is Status.FAILED
    with pytest.raises(JobError, match="this step failed"):
        after(state, ev.StepDone(step="bank"))
    with pytest.raises(JobError, match="this needs a reason"):
        after(state, read("bank", "2.5k", 2500.0, "pass"))
    state = after(state, read("bank", "2.5k", 2500.0, "pass", reason="probe slipped"), ev.StepDone(step="bank"))
    assert state["bank"].status is Status.DONE
    assert state["bank"].readings[0].typed == "3.4k"
    assert state["bank"].verdict_text == "pass on reading 2"


def test_a_reading_of_the_wrong_size_is_asked_about_before_it_is_kept() -> None:
    # Row E7 (MIL-STD-1472E 5.15.8.3).
    state = walked(started(full_plan()), until="rail")
    with pytest.raises(JobError, match="a thousand times more"):
        after(state, read("rail", "3300", 3300.0, "fail"))
    kept = after(state, read("rail", "3300", 3300.0, "fail", asked="3.3 kV?"))
    assert kept["rail"].readings[0].asked == "3.3 kV?"


def test_a_failed_step_is_passed_only_once_its_defect_is_written() -> None:
    state = started(plan(step("look"), step("next"), step("test", "observe", required=True), step("last")))
    state = after(state, ev.StepFailed(step="look", reason="scratched"))
    with pytest.raises(JobError, match="step 1 comes first"):
        after(state, ev.StepDone(step="next"))
    state = after(state, ev.DefectFound(defect="D1", text="scratch on the front", step="look"))
    state = after(state, ev.StepDone(step="next"), ev.StepFailed(step="test", reason="dead"))
    state = after(state, ev.DefectFound(defect="D2", text="dead", step="test"))
    with pytest.raises(JobError, match="step 3 comes first"):
        after(state, ev.StepDone(step="last"))


def test_an_answer_decides_the_verdict_of_a_choose_step() -> None:
    state = walked(started(full_plan()), until="lamps")
    with pytest.raises(JobError, match="not an answer of step 8"):
        after(state, ev.ChoiceMade(step="lamps", choice="most"))
    with pytest.raises(JobError, match="pick an answer first"):
        after(state, ev.StepDone(step="lamps"))
    failed = after(state, ev.ChoiceMade(step="lamps", choice="one is dark"))
    assert failed["lamps"].status is Status.FAILED
    with pytest.raises(JobError, match="this needs a reason"):
        after(failed, ev.ChoiceMade(step="lamps", choice="all lit"))


def test_no_step_is_marked_before_the_conditions_have_an_answer() -> None:
    # Row B6 (DOE-STD-1029; ESD S20.20).
    state = started(full_plan(before=page("the strap is tested", "the meter is zeroed")), conditions=False)
    assert state.gate == ("the strap is tested", "the meter is zeroed")
    with pytest.raises(JobError, match="answer the conditions first: the strap is tested"):
        after(state, ev.StepDone(step="lay-out"))
    with pytest.raises(JobError, match="this needs an answer"):
        after(state, ev.ConditionAnswered(condition="the strap is tested", answer=" "))
    for line in state.gate:
        state = after(state, ev.ConditionAnswered(condition=line, answer="yes, 1.1 MΩ"))
    assert after(state, ev.StepDone(step="lay-out"))["lay-out"].settled


def test_work_starts_short_only_by_decision_and_tools_are_counted_back() -> None:
    # Rows B3 and G7 (AS9100 8.5.1, foreign objects).
    state = started(full_plan())
    state = after(
        state,
        ev.KitTicked(heading="parts", item="spare encoder", found=False),
        ev.KitTicked(heading="tools", item="side cutters"),
    )
    with pytest.raises(JobError, match="something is missing: spare encoder"):
        after(state, ev.StepDone(step="lay-out"))
    state = after(state, ev.StartedShort(missing=("spare encoder",), reason="shop opens on Monday"))
    state = walked(state)
    assert state.open_items() == ("not counted back in: side cutters", "started without: spare encoder")
    state = after(state, ev.KitTicked(heading="tools", item="side cutters", back=True))
    assert state.open_items() == ("started without: spare encoder",)


def test_nothing_is_marked_in_a_suspended_job_and_each_bench_state_is_answered_for() -> None:
    # Rows C9 and C10 (Dodhia & Dismukes 2009).
    state = after(started(full_plan()), ev.Suspended(next_act="solder F2", bench=("power on", "iron hot")))
    with pytest.raises(JobError, match="suspended: take it up again first"):
        after(state, ev.StepDone(step="lay-out"))
    with pytest.raises(JobError, match="when you left: iron hot"):
        after(state, ev.Resumed(answers=("off",)))
    assert after(state, ev.Resumed(answers=("off", "cold"))).suspended is None


def test_after_a_break_the_serial_number_is_read_off_the_unit_where_units_can_be_mixed_up() -> None:
    # Row A7 (INL right-item verification; ISO 7064).
    state = after(started(full_plan()), ev.Suspended(), ev.Resumed(identify=True))
    state = after(state, ev.UnitIdentified(serial="HCD-002-C"))
    with pytest.raises(JobError, match="read the serial number off the unit first"):
        after(state, ev.StepDone(step="lay-out"))
    for typed in ("HCD-001-A", "hcd001a", "001-A"):
        assert not after(state, ev.UnitIdentified(serial=typed)).identify


def test_a_wait_ends_by_itself_or_early_with_a_reason() -> None:
    # Row C13 (J-STD-001 process control).
    state = walked(started(full_plan()), until="soak")
    with pytest.raises(JobError, match="start the wait first"):
        after(state, ev.StepDone(step="soak"))
    state = after(state, ev.TimerStarted(step="soak", seconds=1800.0), minutes=0)
    with pytest.raises(JobError, match="the wait is not over"):
        after(state, ev.StepDone(step="soak"))
    with pytest.raises(JobError, match="this needs a reason") as refusal:
        after(state, ev.TimerEnded(step="soak"), minutes=20)
    assert "10 min to go" in refusal.value.hint
    early = after(state, ev.TimerEnded(step="soak", reason="van is here"), ev.StepDone(step="soak"), minutes=20)
    assert early["soak"].settled
    assert after(state, ev.TimerEnded(step="soak"), minutes=30)["soak"].timer is not None


def test_a_call_returns_to_the_step_it_left() -> None:
    # Row C18 (S1000D linking; DOE).
    state = started(plan(step("crimp", "call", call="crimp-contact"), step("seat")))
    state = after(state, ev.CallOpened(step="crimp", called="JCRIMP"))
    with pytest.raises(JobError, match="has not come back yet"):
        after(state, ev.StepDone(step="crimp"))
    with pytest.raises(JobError, match="this step called another job"):
        after(state, ev.CallReturned(step="crimp", called="JOTHER", result="complete"))
    state = after(state, ev.CallReturned(step="crimp", called="JCRIMP", result="complete"), ev.StepDone(step="crimp"))
    assert state.current == "seat"


def test_a_changed_text_holds_for_this_job_and_keeps_the_original() -> None:
    # Row I6 (NASA as-run redlines).
    state = after(started(full_plan()), ev.Redlined(step="lay-out", text="use the longer screw", reason="short"))
    assert state.text("lay-out") == "use the longer screw"
    assert state.plan.step("lay-out").text == "do lay-out"


def test_an_unknown_step_is_refused() -> None:
    with pytest.raises(JobError, match="there is no step 'nowhere'"):
        advance(started(full_plan()), ev.StepDone(step="nowhere"))


def test_a_wait_for_something_outside_is_held_and_taken_up_again() -> None:
    state = after(started(full_plan()), ev.StepHeld(step="lay-out", reason="washers ordered"))
    assert "step 1 held (washers ordered): do lay-out" in state.open_items()
    assert after(state, ev.StepReopened(step="lay-out"), ev.StepDone(step="lay-out"))["lay-out"].settled


def test_only_a_second_person_s_check_is_called_independent() -> None:
    # Row I8 (DOE-STD-1036).
    state = walked(started(full_plan()), until="release")
    for meaning in ("self-check", "did"):
        state = after(state, ev.SignedOff(step="release", name="the builder", meaning=meaning))
    with pytest.raises(JobError, match="is a self-check"):
        after(state, ev.SignedOff(step="release", name="the builder", meaning="Independent check"))
    after(state, ev.SignedOff(step="release", name="a friend", meaning="independent check"))


def test_a_reading_is_tried_only_so_often() -> None:
    # Row C15 (S1000D process loops; MIL-PRF-87269).
    state = started(plan(replace(full_plan().step("bank"), tries=2), step("last")))
    for typed in ("3.4k", "3.3k"):
        state = after(state, read("bank", typed, 3400.0, "fail", reason="adjusted"))
    with pytest.raises(JobError, match="measured 2 times, and 2 is the limit") as refusal:
        after(state, read("bank", "2.5k", 2500.0, "pass", reason="adjusted"))
    assert refusal.value.hint == "write down the defect"


def test_a_step_opens_again_what_it_makes_void() -> None:
    state = started(plan(step("test", "observe"), step("file", voids=("test",)), step("last")))
    state = after(state, ev.StepDone(step="test"), ev.StepDone(step="file"))
    assert state["test"].status is Status.REOPENED
    assert state["test"].reason == "made void by step 2"
    assert state.current == "test", "it comes first, before what follows"


def test_choices_of_a_plan_are_plain_values() -> None:
    assert Choice(text="yes").verdict == "pass"
    assert BANK.near is None
