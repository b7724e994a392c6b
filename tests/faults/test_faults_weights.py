"""What is likely before anything is known: the trade's weights of classes and the count of parts, half and half."""

from __future__ import annotations

from collections import defaultdict

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model

from benchtui.errors import JobError
from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.from_design import TRADE, spots
from benchtui.faults.hunt import HuntState
from benchtui.faults.layout import fault_fits
from benchtui.faults.pattern_evidence import pattern_event
from benchtui.faults.target import target_of

LINE = "B1, B2 and B5 held, B6 shows"


def by_class(scope: str, subject: str) -> dict[str, float]:
    """Weight of each class of a target, its spots together."""
    target = target_of(demo()[0], scope=scope, subject=subject)
    found: dict[str, float] = defaultdict(float)
    for fault in model_of(scope, subject).faults:
        if fault_fits(fault, target):
            found[fault.id.partition("@")[0]] += fault.weight
    return found


def begun(scope: str, subject: str, symptom: str = "") -> HuntState:
    return hunt.start(model_of(scope, subject), demo()[0], scope=scope, subject=subject, symptom=symptom)


@pytest.mark.parametrize("bank", ["A", "C"])
def test_a_connector_left_half_home_is_not_drowned_by_the_count_of_joints(bank: str) -> None:
    # Trade notes: 7 of the 28 of all bank faults, the heaviest (estimate). A mated connector itself hardly ever fails.
    found = by_class("bank", bank)
    assert found["F14"] / sum(found.values()) > 0.1


@pytest.mark.parametrize(("scope", "subject"), [("bank", "A"), ("bank", "C"), ("control", "F1"), ("control", "B6")])
def test_no_class_that_the_circuit_knows_falls_under_half_of_what_the_trade_gives_it(scope: str, subject: str) -> None:
    design, model = demo()[0], shipped_model()
    target = target_of(design, scope=scope, subject=subject)
    trade = {fault.id: fault.weight for fault in model.faults if fault_fits(fault, target)}
    placed = {spot.class_id for spot in spots(design, target, model) if spot.rate > 0.0} & set(trade)
    found = by_class(scope, subject)
    assert placed
    for each in placed:
        assert found[each] >= 0.999 * TRADE * trade[each], each
    assert sum(found[each] for each in placed) == pytest.approx(sum(trade[each] for each in placed))


def test_a_class_with_more_places_still_weighs_more_than_the_trade_gives_it() -> None:
    # Sixteen chains of joints to a row or column: the parts count keeps its half of the say.
    found, trade = by_class("bank", "C"), {fault.id: fault.weight for fault in shipped_model().faults}
    assert found["F17"] / found["F14"] > 1.5 * trade["F17"] / trade["F14"]


@pytest.mark.parametrize("symptom", ["", "ghost-press", "phantom-presses", "bank-dead"])
def test_what_the_line_is_said_to_be_is_what_is_believed(symptom: str) -> None:
    # The fourth corner shows while the other three are held: only a shorted diode makes that (trade notes, section 2).
    state = begun("bank", "C", symptom)
    event = pattern_event(state, LINE)
    assert event.words.endswith("that is the diode of B1")
    first, second = suspects(hunt.advance(state, event))[:2]
    if symptom == "bank-dead":  # who says that the whole bank is dead has seen more than a press too many
        first = max(first, second, key=lambda each: each.fault != "unknown")
        assert first.share > 0.25
    else:
        assert first.share > 1.5 * second.share
    assert first.fault == "F34@B1.diode"


def test_a_hunt_on_every_button_says_why_it_cannot_take_the_line() -> None:
    with pytest.raises(
        JobError, match="that is the diode of B1, and a hunt on every button of the matrix knows of none"
    ) as told:
        pattern_event(begun("kind", "button-matrix"), LINE)
    assert told.value.hint == "begin a hunt on B6, or on its bank"
    with pytest.raises(JobError, match="no three corners of a rectangle"):
        pattern_event(begun("kind", "button-matrix"), "B1, B2 and B3 held, B6 shows")
