"""Measured before power after a repair: what it takes, and what a bad reading means."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model

from benchtui.errors import JobError, UnitError
from benchtui.faults import hunt
from benchtui.faults.events import HuntEvent, RepairDone, TestAnswered, TriedAgain, from_data, kind_of, to_data
from benchtui.faults.hunt import HuntState
from benchtui.faults.points import judge, points_of, unit_of
from benchtui.faults.power import FIRST_POWER
from benchtui.faults.proofs import UNHEALTHY, cold
from benchtui.faults.proposal import propose
from benchtui.faults.target import target_of
from benchtui.ui.hunt_answers import event_for


def begin(scope: str, subject: str, symptom: str = "", *events: HuntEvent) -> HuntState:
    design, _ = demo()
    state = hunt.start(model_of(scope, subject), design, scope=scope, subject=subject, symptom=symptom)
    return hunt.replay(state, events)


def test_a_bad_proof_that_may_mean_a_short_locks_the_power() -> None:
    # A bridge made with the iron: V+ to GND reads 3 ohm, so nothing is plugged in.
    state = begin("control", "F3", "control-dead", RepairDone(repair="rewire-leg"))
    page = propose(state)
    answer = next(each for each in page.outcomes if each.key == f"{UNHEALTHY}T44")
    assert answer.text.endswith("is not healthy: no power")
    event = event_for(page, answer.key)
    assert event == TriedAgain(gone=None, unhealthy="T44")
    assert from_data(kind_of(event), to_data(event)) == event
    before = dict(zip(state.layout.table.faults, state.position.weights, strict=True))
    state = hunt.advance(state, event)
    assert (state.phase, state.powered, state.locks, state.due) == ("look", False, ("T44",), ("T44",))
    after = dict(zip(state.layout.table.faults, state.position.weights, strict=True))
    leg = next(id for id in after if id.startswith("F25@"))
    assert after[leg] < before[leg]
    due = propose(state)
    assert due.move is not None and due.move.id == "T44"
    assert "Plug" not in due.do
    # Measured, cleared and measured again: then the first power is not on the show computer.
    state = hunt.replay(state, (TestAnswered(test="T44", outcome="low"), RepairDone(repair="find-short")))
    while state.due:
        state = hunt.advance(
            state, TestAnswered(test=state.due[0], outcome={"T44": "sound", "T11": "steady"}[state.due[0]])
        )
    assert FIRST_POWER in propose(state).do


def test_another_bad_proof_means_the_repair_again() -> None:
    state = begin("control", "F3", "control-dead", RepairDone(repair="re-terminate"))
    weights = state.position.weights
    answer = next(each for each in propose(state).outcomes if each.key == f"{UNHEALTHY}T15")
    assert answer.text == '"Wire from lug to pin, flexed" is not healthy: make the repair again'
    state = hunt.advance(state, TriedAgain(gone=None, unhealthy="T15"))
    assert (state.phase, state.locks, state.powered, state.repaired) == ("look", (), False, ())
    assert state.position.weights == weights
    assert propose(state, move="re-terminate").kind == "repair"
    with pytest.raises(JobError, match="is no proof of this repair"):
        hunt.advance(
            begin("control", "F3", "", RepairDone(repair="re-terminate")), TriedAgain(gone=None, unhealthy="T01")
        )


def test_the_proofs_cost_minutes_in_the_plan_on_the_page_and_by_the_clock() -> None:
    state = begin("control", "F3", "control-dead")
    tests = {test.id: test for test in state.layout.tests}
    repair = next(each for each in state.layout.repairs if each.id == "re-terminate")
    assert [test.id for test in cold(repair, tests.values())] == ["T44", "T15"]
    minutes = tests["T44"].minutes_again + tests["T15"].minutes_again
    assert minutes == pytest.approx(2.0)  # estimate: the meter is in hand
    cure = state.layout.table.cures[state.layout.repair_index("re-terminate")]
    assert cure.minutes == pytest.approx(repair.minutes + minutes + state.model.try_again)
    done = hunt.advance(state, RepairDone(repair="re-terminate"))
    assert propose(done).minutes == pytest.approx(minutes + state.model.try_again)
    gone = hunt.advance(done, TriedAgain(gone=True))
    assert gone.elapsed - done.elapsed == pytest.approx(minutes + state.model.try_again)


@pytest.mark.parametrize("scope", ["unit", "bank"])
def test_the_first_power_after_a_short_that_was_measured_is_not_on_the_show_computer(scope: str) -> None:
    # Common practice, as at the first power of a new unit.
    subject = "A" if scope == "bank" else ""
    state = begin(scope, subject, "", TestAnswered(test="T04", outcome="silent"))
    state = hunt.replay(state, (TestAnswered(test="T44", outcome="low"), RepairDone(repair="find-short")))
    while state.due:
        healthy = next(
            each.id
            for test in state.layout.tests
            if test.id == state.due[0]
            for each in test.outcomes
            if not each.finding
        )
        state = hunt.advance(state, TestAnswered(test=state.due[0], outcome=healthy))
    assert FIRST_POWER in propose(state).do
    state = hunt.advance(state, TriedAgain(gone=False))
    assert FIRST_POWER not in propose(state).do


def test_where_a_plug_was_off_the_rail_is_measured_before_power() -> None:
    # Off by one pin can put V+ on an input or short the rail (trade notes 3.5, F14).
    for repair in shipped_model().repairs:
        if repair.id in ("seat-connector", "replace-board", "spare-pin"):
            assert repair.prove[0] == "T44"
    for test in shipped_model().tests:
        if test.id in ("T18", "T22"):
            assert "pin 1" in test.do and "from both sides" in " ".join(test.do.split())
    for subject in ("E1", "L1", "B6"):
        state = begin("control", subject)
        if any(each.id == "seat-connector" for each in state.layout.repairs):
            page = propose(hunt.advance(state, RepairDone(repair="seat-connector")))
            assert page.do.index("V+ to GND") < page.do.index("Plug the unit in.")


@pytest.mark.parametrize(
    ("test", "typed"),
    [("T14", ("3.3", "-3.3")), ("T12", ("-3.3", "1.65", "3.3")), ("T15", ("-5",)), ("T14", ("-3.3",))],
)
def test_a_reading_far_below_zero_is_taken_with_the_probes_exchanged(test: str, typed: tuple[str, ...]) -> None:
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    entry = next(each for each in shipped_model().tests if each.id == test)
    with pytest.raises(UnitError, match="is below 0"):
        judge(entry, points_of(design, target, entry), typed)


def test_a_bare_number_at_the_ground_lug_is_volts() -> None:
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    entry = next(each for each in shipped_model().tests if each.id == "T14")
    assert [unit_of(point) for point in points_of(design, target, entry)] == ["V", "V", "V"]
    assert judge(entry, points_of(design, target, entry), ("3.3", "3.3", "3.3")).outcome == "ground"


def test_an_input_that_leaks_below_zero_is_no_healthy_one() -> None:
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    entry = next(each for each in shipped_model().tests if each.id == "T13")
    points = points_of(design, target, entry)
    assert judge(entry, points, ("-0.4", "-0.4", "-0.4")).outcome == "wrong"
    assert judge(entry, points, ("-0.01", "1.65", "3.3")).outcome == "right"  # a count or two of the meter


def test_a_low_lowest_reading_asks_whether_it_stays_low() -> None:
    # T44 wants the lowest of all positions, so a low one alone does not tell a dead short from a swapped wiper.
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    entry = next(each for each in shipped_model().tests if each.id == "T44")
    assert judge(entry, points_of(design, target, entry), ("3 ohm",)).outcome == ""
    assert judge(entry, points_of(design, target, entry), ("OL",)).outcome == "sound"


def test_only_a_clean_soak_takes_the_time_of_a_soak() -> None:
    state = begin("unit", "", "not-at-venue", RepairDone(repair="other-port"))
    page = propose(state)
    assert page.tries > 1
    clean = hunt.advance(state, TriedAgain(gone=True, tries=page.tries))
    assert clean.elapsed - state.elapsed == pytest.approx(11.0 * page.tries)
    for gone in (False, None):  # trouble that is still there shows at the first look: nobody lets it run ten minutes
        dirty = hunt.advance(state, TriedAgain(gone=gone, tries=page.tries))
        assert dirty.elapsed - state.elapsed == pytest.approx(state.model.try_again)
