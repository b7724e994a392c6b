"""A port that gives too much is never used again, and nothing gets power before the board was measured.

USB 2.0, ECN of 2014 and USB Type-C: VBUS is at most 5.50 V (from memory).
"""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.events import TestAnswered
from benchtui.faults.huntstate import HuntState
from benchtui.faults.proposal import propose


def over(scope: str, subject: str) -> HuntState:
    state = hunt.start(model_of(scope, subject), demo()[0], scope=scope, subject=subject)
    return hunt.advance(state, TestAnswered(test="T09", outcome="high", typed=("5.9 V",)))


@pytest.mark.parametrize(("scope", "subject"), [("unit", ""), ("bank", "A"), ("control", "F1"), ("control", "B1")])
def test_above_five_and_a_half_volts_the_plug_is_pulled_and_the_board_measured_first(scope: str, subject: str) -> None:
    state = over(scope, subject)
    told = propose(state)
    assert told.why.startswith("Safety goes first. Pull the plug now. Never use that port, hub or charger again")
    assert (told.kind, told.move and told.move.id, told.move and told.move.power) == ("test", "T44", "off")
    assert told.do.startswith("USB out")


def test_the_port_is_then_the_suspect_and_not_what_hangs_on_it() -> None:
    state = over("unit", "")
    first = suspects(state)[0]
    assert first.fault == "F03"
    assert first.share > 0.8
    state = hunt.advance(state, TestAnswered(test="T44", outcome="sound"))
    told = propose(state)
    assert told.move is not None
    assert told.move.id == "other-port"
    assert told.do.startswith("First power, never on the show computer")


def test_in_a_hunt_on_a_control_it_says_little_of_the_control() -> None:
    # Its own faults cannot make it: no short among them gains on the others, and what nobody has thought of does.
    before = hunt.start(model_of("control", "F1"), demo()[0], scope="control", subject="F1")
    was = {each.fault: each.share for each in suspects(before)}
    now = {each.fault: each.share for each in suspects(over("control", "F1"))}
    own = [fault for fault in now if fault in was and fault != "unknown"]
    gains = [now[fault] / was[fault] for fault in own]
    assert max(gains) < 4.0 * min(gains)
    assert now["unknown"] > 4.0 * was["unknown"]
