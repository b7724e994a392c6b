"""What is tried after a repair besides the control itself: what hangs on a multiplexer, an encoder's push switch."""

from __future__ import annotations

from helpers.fault_worlds import demo, model_of

from benchtui.faults import hunt
from benchtui.faults.after_repair import spans, tried_beside
from benchtui.faults.events import NeighboursTried, RepairDone, TriedAgain
from benchtui.faults.huntstate import HuntState
from benchtui.faults.proposal import propose


def repaired(scope: str, subject: str, repair: str, symptom: str = "") -> HuntState:
    design, _ = demo()
    state = hunt.start(model_of(scope, subject), design, scope=scope, subject=subject, symptom=symptom)
    return hunt.advance(hunt.advance(state, RepairDone(repair=repair)), TriedAgain(gone=True))


def test_every_control_of_a_multiplexer_is_tried_after_work_on_it() -> None:
    design, _ = demo()
    chip = {each.id for each in design.controls if each.multiplexer == design.control("F1").multiplexer}
    assert {"F1", "F8", "K1", "K6"} <= chip
    state = repaired("bank", "A", "multiplexer")
    assert set(tried_beside(state)) == chip
    told = propose(state)
    assert "F1 to F8" in told.do
    assert "K1 to K6" in told.do
    # A repair of a common wire leaves the other bank alone.
    assert "K1" not in propose(repaired("bank", "A", "remake-common")).do


def test_the_push_switch_of_an_encoder_is_tried_too() -> None:
    state = repaired("control", "E1", "encoder-lead")
    told = propose(state)
    assert "press E1 as well as turning it" in told.do
    assert [each.text for each in told.outcomes][1] == "the push switch of E1 does not work"
    after = hunt.advance(state, NeighboursTried(well=False, which="E1"))
    assert propose(after).title == "The push switch of E1 does not work now"
    assert "press" not in propose(repaired("control", "T1", "re-terminate")).do


def test_a_diode_that_was_replaced_at_another_button_has_that_one_tried() -> None:
    state = repaired("control", "B1", "diode@B6", "ghost-press")
    assert next(iter(tried_beside(state))) == "B6"
    assert "B6" in propose(state).do


def test_ids_that_follow_each_other_are_drawn_together() -> None:
    assert spans(["F1", "F2", "F3", "K1", "K2", "E1", "PUSH"]) == ["F1 to F3", "K1", "K2", "E1", "PUSH"]


def test_after_a_hunt_on_the_whole_unit_every_control_is_named() -> None:
    state = repaired("unit", "", "other-lead", "unit-dead")
    told = propose(state)
    assert state.design is not None
    assert told.title == "Try every control"
    assert "next to it" not in f"{told.do} {told.why}"
    for name in ("F1 to F8", "K1 to K6"):
        assert name in told.do
    assert told.minutes >= 0.05 * len(state.design.controls)
