"""What is said where time or tries do not reach: too little to fasten the lid, too seldom to prove anything."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.faults import hunt
from benchtui.faults.events import Opened, RepairDone
from benchtui.faults.hunt import HuntState
from benchtui.faults.proposal import propose
from benchtui.faults.soak import RISK, doubt, tries_to_believe
from benchtui.faults.words import in_words


def begun(subject: str = "F1", scope: str = "control", **more: Any) -> HuntState:
    state = hunt.start(model_of(scope, subject), demo()[0], scope=scope, subject=subject)
    return hunt.start(state.model, state.design, begun=replace(state.started, **more), target=state.target)


@pytest.mark.parametrize("shows", [0.0, 0.001])
def test_a_fault_that_shows_too_seldom_is_not_tried_two_hundred_times(shows: float) -> None:
    # Success run: ln 0.05 / ln 0.999 is about 3000 tries (MIL-HDBK-338B).
    assert tries_to_believe(0.42, shows) == 0
    state = hunt.advance(begun(symptom="jumpy", shows=shows), RepairDone(repair="replace-control"))
    told = propose(state)
    assert told.tries == 5
    assert told.do.endswith("Try it 5 times, and wiggle leads, plugs and what was repaired meanwhile.")
    assert told.why.startswith("It shows so seldom that no number of clean tries in one sitting proves it gone.")
    assert told.minutes < 30.0


def test_where_tries_can_prove_it_as_many_as_it_takes_are_asked_for() -> None:
    wanted = tries_to_believe(0.8, 0.1)
    assert doubt(0.8, 0.1, wanted) <= RISK < doubt(0.8, 0.1, wanted - 1)
    state = hunt.advance(begun(symptom="jumpy", shows=0.1), RepairDone(repair="replace-control"))
    assert "all of them clean" in propose(state).do


def test_with_a_minute_left_the_lid_is_put_back_and_not_fastened() -> None:
    state = hunt.advance(begun(deadline=1.0), Opened(access="lid", minute=0.0))
    told = propose(state, elapsed=0.0)
    assert told.title == "Nothing fits before curtain"
    assert "Put the lid back, and fasten it after the show." in told.do


def test_texts_for_the_whole_unit_fit_a_unit_of_two_controls() -> None:
    assert in_words("Work {each}.", "the whole unit") == "Work three controls of different kinds, or all there are."
    tests = {test.id: test for test in model_of("unit", "").tests}
    lamps = in_words(tests["T29"].do, "the whole unit")
    assert "watch the whole unit" not in lamps
    assert "Where there are faders or rotary controls" in tests["T44"].do


def test_the_encoder_is_turned_round_in_the_firmware() -> None:
    repair = next(each for each in model_of("control", "E1").repairs if each.id == "encoder-sense")
    assert "exchange A and B for {it} in the firmware" in repair.do
    assert repair.power == "on"  # so nothing is re-soldered
