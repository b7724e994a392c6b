"""Smell, heat and sparks: what they say of the suspects, and where the unit gets its first power after them."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model

from benchtui.design.testpoints import expected
from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.events import RepairDone, TestAnswered
from benchtui.faults.huntstate import HuntState
from benchtui.faults.power import FIRST_POWER
from benchtui.faults.proposal import propose

SHORTS = ("F05", "F53", "F27", "F45", "F49", "F39", "F14", "F08")
"""What takes too much current: shorts, a lead on the wrong lug, a wrong value, a dead regulator. Common practice."""


def started(subject: str, symptom: str, *signs: str, scope: str = "control") -> HuntState:
    design, _ = demo()
    return hunt.start(model_of(scope, subject), design, scope=scope, subject=subject, symptom=symptom, signs=signs)


def shorts(state: HuntState) -> float:
    return sum(each.share for each in suspects(state) if each.fault.partition("@")[0] in SHORTS)


@pytest.mark.parametrize("sign", ["smells", "sparked"])
@pytest.mark.parametrize(
    ("scope", "subject", "symptom"),
    [("unit", "", "unit-dead"), ("bank", "A", "bank-dead"), ("control", "F3", "control-dead"), ("control", "K2", "")],
)
def test_a_smell_or_a_spark_points_to_what_takes_too_much_current(
    scope: str, subject: str, symptom: str, sign: str
) -> None:
    before, after = started(subject, symptom, scope=scope), started(subject, symptom, sign, scope=scope)
    assert shorts(after) > max(0.3, 2.0 * shorts(before))
    assert propose(after).move.id == "T44"  # and still no power before the measurement


def test_every_sign_that_changes_the_suspects_says_where_its_figures_are_from() -> None:
    told = [sign for sign in shipped_model().signs if sign.likely]
    assert {sign.id for sign in told} == {"browned-out", "smells", "sparked"}
    assert all(sign.source for sign in told)


def test_the_first_power_after_a_smell_is_not_from_the_show_computer() -> None:
    # Trade notes 4 G 47: never from the show laptop; a current-limited supply or a hub that may be lost.
    state = started("F3", "control-dead", "smells")
    for test, outcome in (("T44", "sound"), ("T11", "steady")):
        assert FIRST_POWER not in propose(state, move=test).do
        state = hunt.advance(state, TestAnswered(test=test, outcome=outcome))
    assert FIRST_POWER in propose(state, move="T32").do
    repaired = hunt.advance(state, RepairDone(repair="re-terminate"))
    assert FIRST_POWER in propose(repaired).do
    # One order, not two contrary ones, with what this unit draws by its design (the same figures as its budget).
    said = propose(repaired).do
    idle, most = (expected(state.design, point) for point in ("idle-current", "all-on-current"))
    assert f"Healthy with the lamps off: {idle.text}." in said
    assert f"its current limit just above {most.text.split(' to ')[-1]}." in said
    assert said.index("Only when that is well, unplug it there and go on.") > said.index(FIRST_POWER)
    assert "charger" not in said
    assert "more than usual" not in said
    after = hunt.advance(state, TestAnswered(test="T32", outcome="odd"))
    assert FIRST_POWER not in propose(after, move="T13").do  # it had its first power
    assert FIRST_POWER not in propose(started("F3", "control-dead")).do


def test_a_lead_that_is_changed_after_a_spark_gets_its_first_power_elsewhere() -> None:
    state = started("", "unit-dead", "sparked", scope="unit")
    state = hunt.advance(state, TestAnswered(test="T44", outcome="sound"))
    assert propose(state, move="T02").do.startswith(FIRST_POWER)


def test_v_plus_to_ground_is_read_where_each_control_reads_worst() -> None:
    test = next(each for each in shipped_model().tests if each.id == "T44")
    assert any("at the place where it reads worst" in line for line in test.detail)
