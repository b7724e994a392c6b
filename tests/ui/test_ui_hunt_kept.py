"""What a hunt keeps and says: readings at once, clean tries, work-arounds, and pages that cut nothing."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of
from helpers.hunts_seen import hunting, page, real_hunt, shown

from benchtui.ui.hunting import Hunting
from benchtui.ui.view.hunt import HuntSight, hunt_page, trail
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain


def test_each_reading_is_kept_at_once_and_a_note_or_a_new_curtain_leaves_it_in_its_place() -> None:
    from benchtui.faults import hunt

    one = real_hunt()
    one.pick("T32")
    one.reading("3")
    assert one.run.hunts.kept == ["hunt-reading"]  # type: ignore[attr-defined]
    one.note("the lead is stiff")
    assert (one.move, one.typed, one.picked) == ("T32", ("3",), True)
    assert not one.curtain("90").problem
    assert (one.move, one.typed, one.picked) == ("T32", ("3",), True)
    state = one.run.state
    fresh = hunt.start(state.model, state.design, begun=state.started, target=state.target)
    later = hunting(hunt.replay(fresh, state.events[1:]))  # the program was killed in between
    assert later.typed == () or later.move == "T32"
    assert later.run.state.readings("T32") == ("3",)
    one.runner_up()
    one.pick("T32")
    assert one.typed == ("3",)
    assert "taken back" in one.undo().text  # the curtain time, which was said last
    one.undo()
    assert one.run.state.readings("T32") == ()


def test_readings_made_before_a_repair_or_with_the_lid_on_do_not_complete_a_test_after_it() -> None:
    from benchtui.faults.events import Opened, RepairDone, TriedAgain

    for between in (
        (RepairDone(repair="rewire-leg"), TriedAgain(gone=False)),
        (Opened(access="lid"),),
    ):
        one = real_hunt()
        one.pick("T12")
        one.reading("3.3 V")
        one.act(RepairDone(repair="seat-connector", before=True))  # only told of
        assert one.run.state.readings("T12") == ("3.3 V",)
        for event in between:
            one.act(event)
        one.pick("T12")
        assert one.typed == ()
        one.undo()
        if isinstance(between[-1], Opened):
            assert one.run.state.readings("T12") == ("3.3 V",)


def test_a_reading_in_doubt_is_asked_about_and_kept_with_the_question_when_given_again() -> None:
    one = real_hunt("B1", "phantom-presses")
    one.pick("T20")
    asked = one.reading("600 V")
    assert asked.problem
    assert asked.text.startswith("600 V is more than this unit can carry: 600 mV or 600 V?")
    assert one.run.hunts.kept == []  # type: ignore[attr-defined]
    assert "too quick" in one.reading("600 V", sure=False).text
    assert not one.reading("600").problem  # as the meter shows it, in the unit of the limits
    assert one.typed == ("600",)
    assert one.reading("600").problem  # 600 V the other way is no open diode
    assert one.reading("600 V").problem
    assert not one.reading("600 V").problem
    assert getattr(one.run.state.events[-1], "asked", "").endswith("600 mV or 600 V?")


def test_a_hunt_taken_up_in_the_middle_of_a_test_shows_that_test() -> None:
    one = real_hunt()
    one.pick("T32")
    one.reading("3")
    later = hunting(one.run.state)
    assert (later.move, later.typed, later.settled) == ("T32", ("3",), True)


def test_a_hunt_taken_up_after_a_new_curtain_time_shows_the_test_that_was_half_measured() -> None:
    one = real_hunt()
    one.pick("T32")
    one.reading("3")
    one.curtain("90")
    later = hunting(one.run.state)
    assert (later.move, later.typed, later.settled) == ("T32", ("3",), True)
    # A curtain so near that the test does not fit any more leaves what does in sight.
    one.curtain("1")
    near = hunting(one.run.state)
    near.settle()
    assert near.settled
    assert near.proposal.kind in ("work-around", "close", "test")


def test_no_move_is_shown_before_it_is_worked_out_and_then_it_stays() -> None:
    seconds = [0.0]
    one = Hunting(hunting().run, clock=lambda: seconds[0])
    lines, _ = hunt_page(one.proposal, HuntSight(waiting=True), width=80, height=20, shapes=UNICODE)
    text = plain(lines)
    assert "Working out the best move" in text
    assert one.proposal.title not in text.split("Suspects")[0]
    assert " 1 " not in text


def test_too_few_clean_tries_are_recorded_as_typed_and_their_doubt_goes_into_the_close() -> None:
    from benchtui.faults.events import HuntClosed, NeighboursTried
    from benchtui.faults.soak import doubt
    from benchtui.faults.words import percent

    one = real_hunt(symptom="drops-when-moved")
    one.pick("re-terminate")
    one.answer(1)
    belief = one.proposal.outcomes[0].share
    one.clean_tries("1")
    reply = one.answer(1)
    left = percent(doubt(belief, one.run.state.shows, 1))
    assert f"After 1 clean try the chance that it is still there is {left}" in reply.text
    assert getattr(one.run.state.events[-1], "tries", 0) == 1
    one.act(NeighboursTried(well=True))
    assert f"still there is {left}" in one.proposal.do
    one.act(HuntClosed(result="fixed", done="lead put right"))
    assert one.run.state.result is not None
    assert f"lead put right; After 1 clean try the chance that it is still there is {left}" in one.run.state.result.done


def test_how_often_it_showed_decides_how_often_it_is_tried() -> None:
    from benchtui.faults import hunt
    from benchtui.faults.events import HuntStarted
    from benchtui.faults.soak import tries_to_believe
    from benchtui.ui.view.subjects import shows_rows

    assert [row.id for row in shows_rows("2 in 10")] == ["shows:0.2"]
    assert shows_rows("often") == []
    assert shows_rows("")[0].text == "Not known"
    design, _ = demo()
    begun = HuntStarted(
        model="dead-input", design=design.id, scope="control", subject="F3", symptom="drops-when-moved", shows=0.1
    )
    one = hunting(hunt.start(model_of("control", "F3"), design, begun=begun))
    one.pick("re-terminate")
    one.answer(1)
    assert one.proposal.tries == tries_to_believe(one.proposal.outcomes[0].share, 0.1)
    assert "It showed in about 10 % of all tries (as was said)" in one.proposal.why


def test_after_a_work_around_what_stands_in_is_tried_and_the_fault_is_said_to_be_inside() -> None:
    one = real_hunt()
    one.way_out()
    one.answer(1)
    assert one.proposal.title == "Try what stands in for it"
    text = shown(one)
    assert "The fault is still in the unit." in text
    assert "stands in for fader F3, with the show program open" in text
    one.answer(1)
    assert one.proposal.title == "Write it down: the fault is still there"
    assert "What stands in serves" in plain(trail(one.run.state, 80))


def test_a_work_around_that_was_taken_back_is_not_what_was_tried() -> None:
    one = real_hunt()
    one.pick("re-terminate")
    one.answer(1)
    one.answer(2)
    one.way_out()
    one.answer(1)
    one.undo()
    one.undo()
    one.answer(1)
    told = plain(trail(one.run.state, 80))
    assert told.endswith("The symptom is gone")
    assert "taken back: The symptom is still there" in told


def test_suspects_below_three_in_a_hundred_are_only_counted() -> None:
    from benchtui.ui.view.hunt import LEAST_SHARE, suspects

    found = real_hunt().proposal.suspects
    text = plain(suspects(found, 100, UNICODE, most=60))
    few = sum(each.share < LEAST_SHARE for each in found)
    assert few > 1
    assert f"and {few} others, together" in text
    assert "<1 %" not in text.split("and ")[0]


@pytest.mark.parametrize("test", ["T12", "T15", "T32", "T33"])
def test_every_answer_is_whole_on_a_small_screen(test: str) -> None:
    one = real_hunt()
    assert not one.pick(test).problem
    text = " ".join(page(one, width=80, height=20).split())
    for outcome in one.proposal.outcomes:
        assert outcome.text in text
    assert one.proposal.title in text


def test_several_cautions_that_fit_stand_on_one_page() -> None:
    from benchtui.jobs.expand import caution_of
    from benchtui.ui.view.hunt import on_page

    with_lid = real_hunt()
    with_lid.pick("T15")
    from benchtui.content.library import Library

    entries = [caution_of(each) for each in Library.open().cautions().values()][:5]
    assert len(on_page(entries, 80, 60, UNICODE)) == 5
    assert len(on_page(entries, 80, 4, UNICODE)) == 1
    part = on_page(entries, 80, 24, UNICODE)
    assert 1 < len(part) < 5
    sight = HuntSight(cautions=tuple(entries), unread=tuple(entries), page=part, armed=True)
    lines, most = hunt_page(with_lid.proposal, sight, width=80, height=27, shapes=UNICODE)
    assert most == 0
    text = " ".join(plain(lines).split())
    assert all(" ".join(each.hazard.split()) in text for each in part)
    assert "the next page opens then" in text


def test_a_bare_prefix_is_that_of_the_quantity() -> None:
    from benchtui.faults.points import points_of, value_of

    state = real_hunt().run.state
    tests = {test.id: test for test in state.layout.tests}
    point = points_of(state.design, state.target, tests["T12"])[0]
    assert value_of(point, "12m") == pytest.approx(0.012)
    assert value_of(point, "1.64") == pytest.approx(1.64)


def test_a_text_says_what_fits_the_kind_and_the_extent_alone() -> None:
    from benchtui.faults.words import in_words

    text = "[pot, fader] Move {it}. [encoder] Turn {it}. [] Watch {each}."
    assert in_words(text, "fader F3", ("fader",)) == "Move fader F3. Watch fader F3."
    assert in_words(text, "encoder E1", ("encoder",)) == "Turn encoder E1. Watch encoder E1."
    assert in_words(text, "bank A", ("fader",)) == "Move bank A. Watch each control of bank A."
    assert in_words("[ribbon] Lift the finger.", "fader F3", ("fader",)) == ""
    assert in_words("Work {each}.", "every encoder") == "Work each encoder."


@pytest.mark.parametrize("control", ["F3", "B1", "E1", "R1", "L4", "K2", "T1"])
def test_no_text_of_a_control_speaks_of_another_kind(control: str) -> None:
    state = real_hunt(control, "").run.state
    kinds = {"fader": "fader", "ribbon": "ribbon", "encoder": "encoder"}
    own = state.target.kind
    for test in state.layout.tests:
        one = hunting(state)
        if one.pick(test.id).problem:
            continue
        text = " ".join((one.proposal.do, *one.proposal.detail)).lower()
        assert "[" not in text
        assert not [word for kind, word in kinds.items() if kind != own and f"on a {word}" in text]
