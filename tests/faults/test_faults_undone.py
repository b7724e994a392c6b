"""What a test leaves lifted, unplugged or swapped is put back before the next test, before power and at the close."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model
from helpers.second_plug import with_second_plug

from benchtui.faults import hunt
from benchtui.faults.events import CANNOT_TELL, RepairDone, TestAnswered, TriedAgain, Withdrawn, WorkaroundDone
from benchtui.faults.huntstate import HuntState
from benchtui.faults.power import left_undone
from benchtui.faults.proposal import propose

LEAVES = {"T11", "T15", "T16", "T17", "T18", "T39", "T41", "T43"}
"""Tests that lift, unplug or swap something and do not say that it goes back; read from their words."""


def started(subject: str, *answers: tuple[str, str], scope: str = "control") -> HuntState:
    design, _ = demo()
    state = hunt.start(model_of(scope, subject), design, scope=scope, subject=subject)
    for test, outcome in answers:
        state = hunt.advance(state, TestAnswered(test=test, outcome=outcome))
    return state


def test_every_test_that_takes_something_apart_says_what_goes_back() -> None:
    tests = {test.id: test for test in shipped_model().tests}
    assert {id for id, test in tests.items() if test.undo} == LEAVES
    for id, test in tests.items():
        apart = [word for word in ("lifted", "unplugged", "off the board", "Exchange the plug") if word in test.do]
        assert not apart or id in LEAVES, f"{id}: {apart}"


@pytest.mark.parametrize("outcome", ["good", CANNOT_TELL])
def test_a_lifted_lead_is_refitted_before_the_next_test(outcome: str) -> None:
    state = started("T1", ("T39", outcome))
    assert left_undone(state) == "Refit the lead of toggle T1."
    for test in ("T13", "T31", "T24"):
        assert propose(state, move=test).do.startswith("Refit the lead of toggle T1.")
    assert "Plug the unit in." in propose(state, move="T13").do
    after = hunt.advance(state, TestAnswered(test="T13", outcome="stuck"))
    assert left_undone(after) == ""


def test_a_repair_of_the_loose_end_says_so_only_before_power() -> None:
    state = started("T1", ("T39", "good"))
    assert "Refit" not in propose(state, move="re-terminate").do
    state = hunt.advance(state, RepairDone(repair="re-terminate"))
    assert propose(state).do.startswith("Refit the lead of toggle T1. ")
    state = hunt.advance(state, TriedAgain(gone=True))
    assert "Refit" not in propose(state).do


def test_swapped_plugs_go_back_with_the_plug_out() -> None:
    design = with_second_plug(demo()[0], "J1", "J7")  # no plug of the demo desk itself fits in another's place
    state = hunt.start(shipped_model(), design, scope="control", subject="F3")
    state = hunt.advance(state, TestAnswered(test="T18", outcome="moves"))
    assert state.powered
    told = propose(state, move="T12").do
    assert told.startswith("USB out. Put both plugs back into their own places, pin 1 first.")
    assert "Plug the unit in." in told


def test_a_connector_that_was_pulled_for_a_whole_bank_is_named() -> None:
    state = started("A", ("T15", "good"), scope="bank")
    assert left_undone(state) == "Push J1 home again, pin 1 first."
    assert propose(state, move="T16").do.startswith("Push J1 home again")


def test_a_unit_that_goes_on_stage_gets_its_loose_ends_back_and_one_that_stays_out_too() -> None:
    state = started("K2", ("T16", "high"))
    around = next(each for each in state.model.workarounds if each.id == "spare-control")
    assert propose(state, move=around.id).do.startswith("Refit the end leg of rotary control K2.")
    played = hunt.advance(state, WorkaroundDone(workaround=around.id))
    assert left_undone(played) == ""
    back = hunt.advance(played, Withdrawn())
    assert left_undone(back) == "Refit the end leg of rotary control K2."
