"""What the trade says of encoders and lamps, and where a push switch, a turn or a lamp test tells something."""

from __future__ import annotations

from functools import cache

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model

from benchtui.faults import hunt
from benchtui.faults.events import TestAnswered
from benchtui.faults.hunt import HuntState
from benchtui.faults.layout import outcome_column
from benchtui.faults.model import Test
from benchtui.faults.proposal import propose
from benchtui.faults.table import clamp
from benchtui.faults.target import bare_target


@cache
def begin(subject: str, symptom: str = "") -> HuntState:
    design, _ = demo()
    return hunt.start(model_of("control", subject), design, scope="control", subject=subject, symptom=symptom)


def shares(state: HuntState, test: str, fault: str) -> dict[str, float]:
    entry = next(each for each in state.layout.tests if each.id == test)
    column = outcome_column(state.model, entry, fault, state.target)
    return dict(zip([each.id for each in entry.outcomes], column, strict=True))


def test_broken_leads_of_a_and_b_do_not_silence_the_push_switch() -> None:
    model, target = shipped_model(), bare_target("control", kind="encoder", features=frozenset({"press"}))
    test = next(each for each in model.tests if each.id == "T37")
    missing = [each.id for each in test.outcomes].index("missing")
    for fault in ("F20", "F21", "F22", "F35"):
        assert outcome_column(model, test, fault, target)[missing] < 0.12, fault
    toggle = bare_target("control", kind="toggle", features=frozenset({"press"}))
    assert outcome_column(model, test, "F21", toggle)[missing] > 0.5
    for fault in ("F35@E1.a.open", "F35@E1.B"):
        assert shares(begin("E1"), "T37", fault)["ten"] > 0.9


@pytest.mark.parametrize(
    ("fault", "outcome"),
    [("F31", "fewer"), ("F32", "more"), ("F35@E1.a.open", "still"), ("F36", "one-way"), ("F37@J4.6", "back")],
)
def test_one_turn_each_way_tells_the_faults_of_an_encoder_apart(fault: str, outcome: str) -> None:
    # Trade notes 3.2: F31 needs several presses, F32 counts two for one, F35 dithers and never travels, F36 leaps.
    state = begin("E1")
    names = [each.id for each in state.layout.faults if each.id.partition("@")[0] == fault.partition("@")[0]]
    found = shares(state, "T42", fault if fault in names else names[0])
    wrong = {key: share for key, share in found.items() if key != "right"}
    if fault == "F31":
        found = dict(zip(wrong, outcome_column(shipped_model(), _turn(), "F31", state.target)[1:], strict=True))
        wrong = found
    assert max(wrong, key=lambda key: wrong[key]) == outcome
    assert _turn().source.endswith("an estimate after what the trade says of each fault")


def _turn() -> Test:
    return next(each for each in shipped_model().tests if each.id == "T42")


def test_an_open_push_lead_stops_no_value_and_makes_none_count_double() -> None:
    state = begin("E1", "counts-double")
    assert shares(state, "T33", "F21@E1.push.open")["right"] > 0.9
    assert shares(state, "T36", "F21@E1.push.open")["quiet"] > 0.9
    assert shares(state, "T33", "F35@E1.a.open")["still"] > 0.9
    by_fault = dict(zip(state.layout.table.faults, state.position.weights, strict=True))
    push = sum(share for id, share in by_fault.items() if "push" in id or id.startswith("F20@E1.D"))
    assert push < 0.02
    assert by_fault["F32"] > 0.1
    assert propose(state).title != "Ten presses"


def test_a_lamp_that_lights_in_its_own_lamp_test_is_first_of_all_mapped_wrong_in_the_show() -> None:
    state = hunt.advance(begin("L4", "lamp-dark"), TestAnswered(test="T40", outcome="lights"))
    weights = dict(zip(state.layout.table.faults, state.position.weights, strict=True))
    assert max(weights, key=lambda id: weights[id]) == "F41"
    # Of a bank and of the classes in general the trade table stands.
    test = next(each for each in shipped_model().tests if each.id == "T40")
    assert clamp(float(test.finds["F41"])) == 0.9
