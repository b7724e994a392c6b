"""What an answer is said to mean: no suspect that cannot give it is named; after a short was cleared, the short is."""

from __future__ import annotations

import pytest
from helpers.hunts_seen import real_hunt

from benchtui.faults import hunt
from benchtui.faults.events import CANNOT_TELL, RepairDone, TestAnswered
from benchtui.faults.meanings import CAN, outcomes_of
from benchtui.faults.proposal import propose

CASES = [
    ("control", "F6", "control-dead"),
    ("control", "K2", "jumpy"),
    ("control", "B1", "phantom-presses"),
    ("bank", "A", "bank-dead"),
    ("unit", "", "unit-dead"),
]


@pytest.mark.parametrize(("scope", "subject", "symptom"), CASES)
def test_no_suspect_is_named_for_an_answer_that_it_cannot_give(scope: str, subject: str, symptom: str) -> None:
    state = real_hunt(subject, symptom, scope=scope).run.state
    names = list(state.layout.table.faults)
    for index, test in enumerate(state.layout.tests):
        for number, outcome in enumerate(outcomes_of(state, index)[:-1]):
            if not outcome.raises:
                continue
            named = [each.id for each in state.layout.faults if each.short == outcome.raises]
            rates = [state.layout.table.looks[index].rows[number][names.index(id)] for id in named]
            assert max(rates) >= CAN, (test.id, outcome.key)
            assert "not listed" not in outcome.meaning


def test_exchanged_ends_do_not_speak_for_a_break_in_the_ground() -> None:
    # A builder's finding: ends are exchanged where the two end wires are crossed, and by no open wire.
    state = real_hunt("A", "bank-dead", scope="bank").run.state
    (exchanged,) = [each for each in outcomes_of(state, state.layout.test_index("T14")) if each.key == "exchanged"]
    assert exchanged.meaning == "fits no suspect: measure again"
    assert not exchanged.raises


def test_a_reversed_voltage_speaks_for_swapped_ends_and_not_for_an_open_wiper() -> None:
    state = real_hunt("F6", "control-dead").run.state
    for test in ("T12", "T13"):
        (reversed_,) = [each for each in outcomes_of(state, state.layout.test_index(test)) if each.key == "reversed"]
        assert "wiper open" not in reversed_.meaning
        assert reversed_.meaning == "measure again: it fits ends of F6 swapped (4 %)"


def test_after_a_short_was_cleared_the_measurement_is_about_the_short() -> None:
    from helpers.fault_worlds import demo, model_of

    state = hunt.start(model_of("unit", ""), demo()[0], scope="unit", symptom="unit-dead", signs=("smells",))
    test = state.due[0]
    before = {each.key: each.meaning for each in propose(state).outcomes}
    low = next(o for t in state.layout.tests if t.id == test for o in t.outcomes if o.locks)
    state = hunt.advance(state, TestAnswered(test=test, outcome=low.id))
    cure = next(each for each in state.layout.repairs if each.power == "off" and "F05" in each.cures)
    state = hunt.advance(state, RepairDone(repair=cure.id))
    after = {each.key: each.meaning for each in propose(state).outcomes}
    assert after.keys() == before.keys()
    assert not any("board" in text or "%" in text for text in after.values())
    assert after[low.id] == "the short is still inside: no power"
    assert "the short is gone: the symptom comes next" in after.values()
    assert after[CANNOT_TELL] == "no change"
