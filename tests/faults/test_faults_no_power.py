"""A hunt where there is no power: said once, and only what needs none is proposed until it is there again."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of
from helpers.hunts_seen import hunting, real_hunt

from benchtui.faults import hunt
from benchtui.faults.events import NotPossible, PowerSaid, RepairDone, TriedAgain, from_data, kind_of, to_data
from benchtui.faults.moves import NONE_HERE, all_moves
from benchtui.faults.proposal import propose


def dark(control: str = "F3", symptom: str = "control-dead", minutes: float | None = None) -> hunt.HuntState:
    design, _ = demo()
    model = model_of("control", control)
    state = hunt.start(model, design, subject=control, symptom=symptom, deadline_minutes=minutes)
    return hunt.advance(state, PowerSaid(there=False))


@pytest.mark.parametrize("minutes", [None, 20.0])
def test_only_moves_without_power_are_proposed_one_after_the_other(minutes: float | None) -> None:
    # Ten reasons had to be typed before: each next move still wanted the unit on.
    state, seen = dark(minutes=minutes), []
    for _ in range(60):
        proposal = propose(state)
        if proposal.kind == "close":
            break
        assert proposal.kind in ("test", "repair")
        power, plugs = getattr(proposal.move, "power", ""), getattr(proposal.move, "plugs", False)
        assert (power != "on", plugs) == (True, False), proposal.title
        seen.append(proposal.title)
        state = hunt.advance(state, NotPossible(move=proposal.move.id if proposal.move else ""))
    assert seen
    assert proposal.title == "Nothing more can be done without power"
    assert "say so" in proposal.do
    assert proposal.outcomes == ()
    assert proposal.workaround is not None  # it stays in sight, and can be asked for
    assert propose(state, move=proposal.workaround.id).kind == "work-around"


def test_the_list_says_why_and_power_brings_the_moves_back() -> None:
    state = dark()
    barred = {each.id for each in all_moves(state) if each.note == NONE_HERE}
    assert barred
    again = hunt.advance(state, PowerSaid(there=True))
    assert not [each for each in all_moves(again) if each.note == NONE_HERE]
    assert barred & {each.id for each in all_moves(again) if each.expected is not None}
    assert "Plug the unit in" in " ".join(propose(again, move=id).do for id in barred & _offered(again))


def _offered(state: hunt.HuntState) -> set[str]:
    return {each.id for each in all_moves(state) if each.expected is not None}


def test_taking_it_back_is_as_if_it_had_not_been_said() -> None:
    state = dark()
    assert state.no_power
    from benchtui.faults.events import Withdrawn

    assert not hunt.advance(state, Withdrawn()).no_power


def test_after_a_repair_what_needs_power_waits_and_says_so() -> None:
    state = hunt.advance(dark(), RepairDone(repair="re-terminate"))
    proposal = propose(state)
    assert proposal.kind == "try again"
    assert "There is no power here, as you said." in proposal.detail[0]
    gone = hunt.advance(hunt.advance(state, PowerSaid(there=True)), TriedAgain(gone=True))
    assert "no power" not in " ".join(propose(gone).detail)


def test_a_short_still_goes_first_though_there_is_no_power() -> None:
    design, _ = demo()
    state = hunt.start(model_of("control", "F3"), design, subject="F3", signs=("smells",))
    state = hunt.advance(state, PowerSaid(there=False))
    assert propose(state).why.startswith("Safety goes first.")


def test_it_is_kept_in_the_record() -> None:
    event = PowerSaid(there=False)
    assert from_data(kind_of(event), to_data(event)) == event


def test_a_reason_that_says_so_counts_for_every_move() -> None:
    one = real_hunt()
    reply = one.not_possible("No power here")
    assert reply.text == "only what needs no power is proposed, until you say there is power"
    assert one.run.hunts.kept == ["hunt-power"]  # type: ignore[attr-defined]
    assert getattr(one.proposal.move, "power", "") != "on"
    assert one.power(there=False).text == "that is known already"
    assert one.power(there=True).text == "there is power again"
    assert not hunting(one.run.state).run.state.no_power


@pytest.mark.parametrize("why", ["no power drill", "no spare"])
def test_another_reason_counts_for_its_move_alone(why: str) -> None:
    one = real_hunt()
    one.not_possible(why)
    assert one.run.hunts.kept == ["hunt-not-possible"]  # type: ignore[attr-defined]


def test_a_move_that_is_not_on_offer_is_refused_by_its_name_and_its_reason() -> None:
    one = real_hunt()
    one.power(there=False)
    barred = next(each for each in all_moves(one.run.state) if each.note == NONE_HERE)
    reply = one.pick(barred.id)
    assert reply.problem
    assert reply.text == f'"{barred.title}" is not on offer now: {NONE_HERE}'
    assert barred.id not in reply.text.split('"')[2]


def test_no_note_in_the_list_of_moves_is_a_code() -> None:
    for each in all_moves(dark()):
        assert not each.note.startswith("T"), each.note
