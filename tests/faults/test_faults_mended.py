"""A test that is itself a repair: what helps is in place at once, and what did not help is not proposed again."""

from __future__ import annotations

from helpers.fault_worlds import demo, shipped_model

from benchtui.faults import hunt
from benchtui.faults.allowed import rank
from benchtui.faults.events import NeighboursTried, TestAnswered, TriedAgain, Withdrawn
from benchtui.faults.moves import all_moves


def started(scope: str = "unit", subject: str = "", symptom: str = "not-at-venue") -> hunt.HuntState:
    design, _ = demo()
    return hunt.start(shipped_model(), design, scope=scope, subject=subject, symptom=symptom)


def test_another_lead_that_clears_it_is_the_repair_and_the_symptom_comes_next() -> None:
    before = started()
    state = hunt.advance(before, TestAnswered(test="T02", outcome="clears"))
    assert (state.phase, state.pending, state.repaired) == ("again", "other-lead", ("other-lead",))
    assert state.elapsed == before.layout.tests[before.layout.test_index("T02")].minutes  # no minute is charged twice
    state = hunt.advance(state, TriedAgain(gone=True))
    state = hunt.advance(state, NeighboursTried(well=True))
    assert state.phase == "close"


def test_it_comes_back_and_the_lead_was_not_it() -> None:
    state = hunt.advance(started(), TestAnswered(test="T02", outcome="clears"))
    state = hunt.advance(state, TriedAgain(gone=False))
    assert state.phase == "look"
    offered = {state.layout.repairs[each.index].id for each in rank(state).options if each.kind == "cure"}
    assert "other-lead" not in offered


def test_another_lead_that_changes_nothing_is_not_proposed_as_a_repair() -> None:
    state = hunt.advance(started(), TestAnswered(test="T02", outcome="same"))
    assert state.phase == "look"
    view = next(each for each in all_moves(state) if each.id == "other-lead")
    assert view.note == "its own test says that it does not help"


def test_one_of_several_acts_that_helped_leaves_the_others_open() -> None:
    state = hunt.advance(started(), TestAnswered(test="T05", outcome="some"))
    left = {state.layout.repairs[each.index].id for each in rank(state).options if each.kind == "cure"}
    assert {"host-port", "no-suspend"} <= left


def test_the_answer_can_be_taken_back() -> None:
    before = started()
    state = hunt.advance(hunt.advance(before, TestAnswered(test="T02", outcome="clears")), Withdrawn())
    assert (state.phase, state.pending, state.repaired) == ("look", "", ())
    assert state.position.weights == before.position.weights
