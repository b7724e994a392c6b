"""What a test leaves lifted, unplugged or swapped is put back before the next test, before power and at the close."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model
from helpers.second_plug import with_second_plug

from benchtui.faults import hunt
from benchtui.faults.events import CANNOT_TELL, RepairDone, TestAnswered, TriedAgain, Withdrawn, WorkaroundDone
from benchtui.faults.huntstate import HuntState
from benchtui.faults.points import points_of
from benchtui.faults.power import left_undone
from benchtui.faults.proposal import propose
from benchtui.faults.put_back import unplugged
from benchtui.faults.target import target_of

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
    assert left_undone(state) == "Refit the lead of toggle T1, or push J4 home again, pin 1 first."
    for test in ("T13", "T31", "T24"):
        assert propose(state, move=test).do.startswith(
            "Refit the lead of toggle T1, or push J4 home again, pin 1 first."
        )
    assert "Plug the unit in." in propose(state, move="T13").do
    after = hunt.advance(state, TestAnswered(test="T13", outcome="stuck"))
    assert left_undone(after) == ""


def test_a_repair_of_the_loose_end_says_so_only_before_power() -> None:
    state = started("T1", ("T39", "good"))
    assert "Refit" not in propose(state, move="re-terminate").do
    state = hunt.advance(state, RepairDone(repair="re-terminate"))
    assert propose(state).do.startswith("Refit the lead of toggle T1, or push J4 home again, pin 1 first. ")
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


@pytest.mark.parametrize(
    ("subject", "test", "undo"),
    [
        ("B1", "T20", "Push J3 home again, pin 1 first."),
        ("F1", "T15", "Refit each lead of fader F1 that was lifted. Push J1 home again, pin 1 first."),
        ("F1", "T11", "Push J1 home again, pin 1 first."),
        ("L1", "T41", "Push J6 home again, pin 1 first."),
        ("E1", "T39", "Refit the lead of encoder E1, or push J4 home again, pin 1 first."),
    ],
)
def test_a_plug_that_a_test_point_takes_off_goes_back_by_name(subject: str, test: str, undo: str) -> None:
    state = started(subject, (test, CANNOT_TELL))
    assert left_undone(state) == undo
    assert propose(state, move="T31" if subject != "L1" else "T24").do.startswith(f"{undo} ")


def test_every_plug_that_any_point_takes_off_is_put_back_whatever_is_hunted_on() -> None:
    design, _ = demo()
    subjects = [("control", each.id) for each in design.controls]
    subjects += [("bank", each.id) for each in design.banks]
    subjects += [("kind", kind) for kind in sorted({each.kind for each in design.controls})]
    seen = 0
    for scope, subject in subjects:
        target = target_of(design, scope=scope, subject=subject)
        for test in model_of(scope, subject).tests:
            for point in points_of(design, target, test):
                for plug in unplugged(design, point.where):
                    seen += 1
                    assert plug in test.undo, (scope, subject, test.id)
                    assert "board unplugged" not in test.do, (scope, subject, test.id)
            assert "unplugged" not in test.do or test.undo, (scope, subject, test.id)
    assert seen > 50


def test_the_plug_is_pulled_once_and_not_pushed_home_for_the_very_same_test() -> None:
    state = started("F1", ("T13", "right"))
    assert state.powered
    told = propose(state, move="T44").do
    assert told.startswith("USB out, every connector inside home")
    assert told.count("USB out") == 1
    state = hunt.advance(started("F1"), TestAnswered(test="T11", outcome="low"))
    state = hunt.advance(state, RepairDone(repair="clear-bridge"))
    told = propose(state, move="T11").do
    assert told.startswith("USB out, J1 unplugged")
    assert "home again" not in told
