"""Working through a job one key at a time, without a screen."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import go_to
from helpers.bench_of_plans import PlannedBench
from helpers.demo_plan import demo_plan, plain_plan
from helpers.jobs import SHOCK, plan, step
from helpers.screens import Clock, FakeBench, FakeLibrary

from benchtui.jobs.events import StepReopened
from benchtui.jobs.passport import passport
from benchtui.jobs.run_units import Units
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.ui import kept
from benchtui.ui.view.signature import left_out_before
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeBench]:
    clock = Clock()
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")  # so that the frozen clock is what counts
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = FakeBench(FakeLibrary(), store, clock=clock)  # type: ignore[arg-type]
        bench.plans = {"hollin-wiring": plain_plan(), "with-page": demo_plan()}
        yield bench


@pytest.fixture
def work(bench: FakeBench) -> Work:
    work = Work(bench.start("hollin-wiring", "HCD-003-K"))
    work.take_up()
    return work


def test_one_key_marks_a_step_done_and_begins_the_next(work: Work) -> None:
    assert work.known.status is Status.BEGUN
    work.go_on()
    assert work.state["lay-out"].status is Status.DONE
    assert work.key == "wipe"
    assert work.known.status is Status.BEGUN


def test_another_answer_is_asked_why_and_the_reason_is_kept(work: Work) -> None:
    # Row E16 (21 CFR 11.10(e)): also after the mark was taken back, by the same question as for a reading.
    go_to(work, "lever")
    work.choose(2)
    assert work.choose(1).ask == "why again"
    assert work.reading_again(" ").problem
    assert work.reading_again("1").text == ""
    assert work.state["lever"].status is Status.DONE
    kept = work.run.bench.store.events(kinds=["choice"])
    assert [event.data.get("reason", "") for event in kept] == ["", "probe slipped"]
    work.undo()
    assert work.choose(2).ask == "why again"


def test_taking_back_a_failed_reading_does_not_take_away_the_question_why(work: Work) -> None:
    go_to(work, "bank-ohms")
    work.reading("3k")
    work.undo()
    assert work.reading("5k").ask == "why again"
    work.reading_again("1")
    assert [reading.reason for reading in work.state["bank-ohms"].readings] == ["", "probe slipped"]


def test_the_last_mark_is_taken_back_though_an_edit_took_its_step_out(work: Work, bench: FakeBench) -> None:
    work.go_on()
    work.go_on()
    plan = plain_plan()
    kept = [step for step in plan.steps if step.key != "wipe"]
    steps = tuple(replace(step, number=number) for number, step in enumerate(kept, start=1))
    work.run.move_to(replace(plan, revision=2, steps=steps), reason="not needed")
    assert work.undo().text == "step 1 is open again"


def test_nothing_is_begun_on_a_unit_that_is_held(work: Work, bench: FakeBench) -> None:
    units = Units(bench.store)
    before = work.state
    units.set_state("HCD-003-K", "held", reason="bad board")
    assert work.go_on().text.startswith("HCD-003-K is held: nothing is marked on it")
    assert work.state is before
    work.undo()
    units.set_state("HCD-003-K", "in work", reason="new board")
    assert not work.go_on().problem
    units.set_state("HCD-003-K", "held", reason="again")
    begun = work.key
    work.undo()
    work.take_up()
    assert work.state[begun].status is Status.BEGUN
    assert work.known.status is Status.REOPENED, "it is not begun by itself"


def test_a_step_behind_a_caution_is_not_begun_until_it_was_read(work: Work) -> None:
    go_to(work, "solder@F1")
    assert work.known.status is Status.OPEN
    assert work.go_on().problem
    assert work.unread is not None
    assert work.unread.signal == "WARNING", "the gravest comes first"
    work.acknowledge()
    work.acknowledge()
    assert work.unread is None
    assert work.known.status is Status.BEGUN


def test_looking_back_marks_nothing_and_the_next_key_returns(work: Work) -> None:
    go_to(work, "solder@F1")
    work.back()
    work.back()
    assert (work.key, work.looking) == ("lay-out", True)
    before = work.run.bench.store.events()
    work.go_on()
    assert (work.key, work.looking) == ("solder@F1", False)
    assert work.run.bench.store.events() == before


def test_a_good_reading_is_kept_and_the_work_goes_on(work: Work) -> None:
    go_to(work, "bank-ohms")
    reply = work.reading("5.1k")
    assert not reply.problem
    assert work.state["bank-ohms"].status is Status.DONE
    assert work.state["bank-ohms"].readings[0].typed == "5.1k"
    assert work.key == "lever"


def test_nonsense_in_the_reading_is_refused_in_a_sentence(work: Work) -> None:
    go_to(work, "bank-ohms")
    reply = work.reading("five volts or so")
    assert reply.problem
    assert work.known.readings == ()


def test_a_reading_a_thousand_times_off_is_asked_about_first(work: Work) -> None:
    # MIL-STD-1472E 5.15.8.3: query before an implausible entry is stored.
    go_to(work, "bank-ohms")
    reply = work.reading("5 ohm")
    assert "thousand" in reply.text
    assert work.known.readings == ()
    work.reading("5 ohm", sure=False)
    assert work.known.readings == (), "a key held down does not confirm it"
    work.reading("5 ohm")
    assert work.known.readings[0].verdict == "fail"
    assert work.known.readings[0].asked


def test_a_second_reading_needs_its_reason_and_the_first_stays(work: Work) -> None:
    go_to(work, "bank-ohms")
    work.reading("8k")
    assert work.known.status is Status.FAILED
    assert work.reading("5k").ask == "why again"
    assert work.reading_again("").problem
    work.reading_again("1")
    readings = work.state["bank-ohms"].readings
    assert [reading.typed for reading in readings] == ["8k", "5k"]
    assert readings[1].reason == "probe slipped"


def test_a_meter_past_its_date_needs_a_reason_once(work: Work) -> None:
    # ISO 9001:2015 7.1.5: an expired meter is refused, or used by a recorded decision.
    from benchtui.jobs.readings import Meter

    go_to(work, "bank-ohms")
    work.run.bench.meter = Meter(id="old", name="Old meter", due="2025-12-31")
    assert work.reading("5k").ask == "override"
    assert work.override("").problem
    assert not work.override("compared with the new one this morning").problem
    event = next(event for event in work.run.bench.store.events() if event.kind == "reading")
    assert event.data["override"].startswith("compared")


def test_a_failed_required_test_stops_the_work(work: Work) -> None:
    go_to(work, "bank-ohms")
    work.reading("8k")
    assert "required test" in work.go_on().text
    work.fail("one element measures double")
    assert work.go_on().problem


def test_a_failed_answer_is_written_down_as_a_defect_and_can_be_passed(work: Work) -> None:
    go_to(work, "lever")
    assert work.choose(2).problem
    assert work.go_on().problem, "nothing was written down yet"
    work.fail("F2 scrapes on the panel")
    work.go_on()
    assert work.key == "first-power"
    assert work.state.defects["D1"].text == "F2 scrapes on the panel"


def test_skipping_needs_a_reason_and_a_hold_point_cannot_be_skipped(work: Work) -> None:
    assert work.leave_out("").problem
    work.leave_out("no mat here")
    assert work.state["lay-out"].status is Status.SKIPPED
    go_to(work, "first-power")
    while work.unread is not None:
        assert "read the caution first" in work.leave_out("in a hurry").text
        work.acknowledge()
    assert "hold point" in work.leave_out("in a hurry").text


def test_a_wait_starts_with_one_key_and_ends_only_when_it_is_over(work: Work) -> None:
    go_to(work, "soak")
    assert work.go_on().text == "the wait has begun"
    assert "29:" in work.go_on().text or "30:00" in work.go_on().text
    assert work.end_early("").problem
    work.end_early("curtain")
    assert work.state["soak"].status is Status.DONE


def test_undo_opens_the_last_step_again_with_a_new_event(work: Work) -> None:
    work.go_on()
    work.undo()
    assert work.key == "lay-out"
    assert work.known.status is Status.REOPENED
    kinds = [event.kind for event in work.run.bench.store.events()]
    assert kinds.count("step-done") == 1
    assert kinds[-1] == "step-reopened"


def test_jumping_looks_at_a_step_by_number_control_or_word(work: Work) -> None:
    work.jump("9")
    assert work.step.number == 9
    work.jump("f2")
    assert work.key == "solder@F2"
    work.jump("bank-ohms")
    assert work.key == "bank-ohms"
    assert work.jump("99").problem
    assert work.jump("zebra").problem


def test_a_later_step_cannot_be_worked_on_first(work: Work) -> None:
    work.jump("6")
    assert "comes first" in work.work_here().text


def test_the_last_step_leads_to_the_end_page(work: Work) -> None:
    go_to(work, "sign")
    assert work.go_on().ask == "sign"
    assert work.sign("").problem
    assert work.sign("A. Builder").at_end


@pytest.mark.parametrize("words", ["[x", "[/]", "[bold", "\x1b[31m", "x" * 5000, "ligne\nautre"])
def test_any_text_can_be_noted(work: Work, words: str) -> None:
    assert not work.note(words).problem
    kept = words.strip().replace("\x1b", "")  # a control character is no part of what was said
    assert work.known.notes[0].text == kept


def test_a_signature_names_the_steps_left_out_and_falls_with_one_that_is_opened_again(work: Work) -> None:
    """21 CFR 11.50 asks for the meaning of a signature; what it stands for must not change behind it."""
    work.go_on()
    left = work.step.number
    while work.unread is not None:
        work.acknowledge()
    work.leave_out("no cloth")
    go_to(work, "sign")
    assert left_out_before(work.state, work.key) == f"step {left}"
    work.sign("A. Builder")
    name, meaning = work.state["sign"].signed[-1]
    assert (name, meaning) == ("A. Builder", f"done as described, but for step {left}")
    work.run.act(StepReopened(step=work.run.plan.steps[0].key, reason="looked again"))
    assert work.state["sign"].status is Status.REOPENED


def test_a_wait_cut_short_stands_on_the_unit_and_in_its_passport(work: Work) -> None:
    """ISO 9001:2015 8.6: what was not done as planned is known at the release."""
    while work.step.act != "wait":
        go_to(work, next(step.key for step in work.run.plan.steps if step.act == "wait"))
    work.go_on()
    work.end_early("curtain")
    units = Units(work.run.bench.store, FakeLibrary())  # type: ignore[arg-type]
    view = units.view("HCD-003-K")
    line = next(line for line in units.missing("HCD-003-K") if "cut short" in line)
    assert line.endswith("its wait was cut short, because: curtain")
    assert f"- {line}" in passport(view)


@pytest.mark.parametrize("typed", ["OL", "xbox came bent", "12M", "100 kohm"])
def test_a_strap_that_does_not_read_right_is_no_strap_test(work: Work, typed: str) -> None:
    assert work.strap.keep(typed).problem
    assert not work.run.bench.store.events(kinds=["strap-tested"])
    assert not work.strap.keep("1.1M").problem
    assert work.run.bench.store.events(kinds=["strap-tested"])


def test_a_part_over_another_is_asked_about_before_it_is_kept(work: Work) -> None:
    # ISO 9001:2015 8.7.1: nobody is surprised by a test that is open again, nor by a fader that counts as taken out.
    first = kept.fit_other(work, "fader", "F1", "L1", "")
    assert first.text == "kept: fader at F1, lot L1"
    assert kept.how_it_goes_in(work, "fader", "F1", "L1", "", "") == ("", {})
    assert kept.how_it_goes_in(work, "knob", "F1", "K1", "", " ") == ("", {})
    question, answers = kept.how_it_goes_in(work, "fader knob", "F1", "K1", "", "")
    assert question == "In place of the fader, lot L1 at F1, or beside it?"
    assert list(answers) == ["in", "plain", "beside"]
    beside = kept.fit_other(work, "fader knob", "F1", "K1", "", goes="beside")
    assert beside.text == "kept: fader knob at F1, lot K1"
    question, _ = kept.how_it_goes_in(work, "fader knob", "F1", "K2", "", "")
    assert question == "In place of the fader knob, lot K1 at F1, or beside it?"
    plain = kept.fit_other(work, "fader knob", "F1", "K2", "", goes="plain")
    assert plain.text == "kept: fader knob at F1, lot K2. It went in for fader knob, lot K1"
    asked = kept.fit_other(work, "Fader 60 mm", "f1", "L2", "", goes="in")
    assert asked.text == (
        "kept: Fader 60 mm at f1, lot L2. It went in for fader, lot L1: what was tested there is tested again"
    )
    events = work.run.bench.store.events(kinds=["part-fitted"])
    assert [event.data["lot"] for event in events] == ["L1", "K1", "K2", "L2"]
    assert (events[1].data["beside"], events[2].data["touched"]) == (True, ["none"])
    assert [part.lot for part in work.run.fitted() if part.out is None] == ["K2", "L2"]


def test_what_was_touched_is_asked_where_somebody_says_what_came_out(work: Work) -> None:
    # Nothing of the kind may be known at that place: the old knob was never written down. Its fader was not touched.
    question, answers = kept.how_it_goes_in(work, "knob", "F1", "K2", "", "old knob")
    assert (question, list(answers)) == ("Came out at F1: old knob. What was touched for it?", ["in", "plain"])
    reply = kept.fit_other(work, "knob", "F1", "K2", "", replaces="old knob", goes="plain")
    assert reply.text == "kept: knob at F1, lot K2. It went in for old knob"
    written = work.run.bench.store.events(kinds=["part-fitted"])[-1]
    assert (written.data["replaces"], written.data["touched"]) == ("old knob", ["none"])
    assert not [part for part in work.run.fitted() if part.exchange]


def test_a_step_that_is_only_looked_at_is_not_left_with_its_caution_unread(tmp_path: Path) -> None:
    # ANSI Z535.6: the caution may be why one had better do the step, or not pass it by.
    loose = plan(step("a"), step("b", cautions=(SHOCK,)), order="any")
    with Store.open(tmp_path / "any.sqlite", clock=Clock()) as store:
        work = Work(PlannedBench({loose.id: loose}, store, Clock()).start(loose.id, "HCD-003-K"))
        work.look("b")
        assert work.looking
        assert work.no_leaving_out == "a caution of this step was not read: take the step in hand first"
        for reply in (work.leave_out("no time"), work.leave_out("no time", not_applicable=True)):
            assert reply.problem
            assert "was not read" in reply.text
        assert work.state["b"].status is Status.OPEN
        work.work_here()
        while work.unread is not None:
            work.acknowledge()
        work.leave_out("no time")
        assert work.state["b"].status is Status.SKIPPED


def test_one_bag_at_many_places_is_one_entry_for_each_and_the_line_says_where(work: Work) -> None:
    # IPC-1782 5.1, where-used: it is looked for by one place years later.
    reply = kept.fit_other(work, "fader", "F1 to F3", "BAG-17", "")
    assert reply.text == "kept: fader at F1 to F3, 3 entries, lot BAG-17"
    events = work.run.bench.store.events(kinds=["part-fitted"])
    assert [event.data["place"] for event in events] == ["F1", "F2", "F3"]
    assert work.state[work.key].fitted[:2] == ("fader at F1, BAG-17", "fader at F2, BAG-17")
    refused = kept.fit_other(work, "fader", "F1 to F3", "", "S-1")
    assert refused.text == "one serial number is on one part: type one place and not F1 to F3"
    question, _ = kept.how_it_goes_in(work, "fader knob", "F7, F2", "K1", "", "")
    assert question == "In place of the fader, lot BAG-17 at F2, or beside it?"
