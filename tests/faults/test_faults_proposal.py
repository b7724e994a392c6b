"""The move in sight: its minutes, its reason, and what each answer to it would mean."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers.fault_worlds import demo, model_of
from helpers.small_fault_model import small_hunt

from benchtui.faults import hunt
from benchtui.faults.allowed import position_now, rank
from benchtui.faults.deepen import Ranking
from benchtui.faults.events import RepairDone, TestAnswered, TriedAgain
from benchtui.faults.huntstate import HuntState, too_late
from benchtui.faults.moves import clock_minutes
from benchtui.faults.pattern_evidence import pattern_event
from benchtui.faults.proposal import propose


def test_looking_further_ahead_saves_minutes_and_losses_alike() -> None:
    """Else the price of a work-around that is chosen less often would come off the minutes, down to nothing."""
    state = small_hunt()
    position = position_now(state)
    for option in rank(state).options:
        if option.kind == "stop":
            continue
        plan = clock_minutes(state, position, option)
        further = clock_minutes(state, position, replace(option, minutes=option.minutes * 0.8))
        assert further == pytest.approx(max(plan * 0.8, option.spends))


def test_a_mere_hope_is_not_begun_when_the_work_around_is_too_late() -> None:
    """Two minutes before curtain: twenty sweeps cure a dead fader in under one case of a hundred."""
    state = _desk("F3", minutes=1.9)
    assert too_late(state)
    assert propose(state).title == "Nothing fits before curtain"
    likely = propose(_desk("", "unit-dead", scope="unit", minutes=1.9))
    assert likely.title == "Change the lead"
    assert likely.why.endswith("If that does not help, nothing more fits before curtain.")


def test_no_repair_that_hardly_cures_eats_the_time_of_the_work_around() -> None:
    """Eight minutes before curtain: re-loading takes five and a half, cures in few cases, and may take ten."""
    state = hunt.advance(_desk("F3", minutes=8.0), TestAnswered(test="T32", outcome="reaches"))
    assert propose(state).move.id == "sweep-clean"  # a minute and a half of what is left
    state = hunt.advance(state, RepairDone(repair="sweep-clean"))
    state = hunt.advance(state, TriedAgain(gone=False))
    assert propose(state).kind == "work-around"
    no_hurry = hunt.advance(_desk("F3", minutes=60.0), TestAnswered(test="T32", outcome="reaches"))
    assert propose(no_hurry).kind in ("test", "repair")


def _desk(subject: str, symptom: str = "control-dead", *, scope: str = "control", minutes: float) -> HuntState:
    design, _ = demo()
    model = model_of(scope, subject)
    return hunt.start(model, design, scope=scope, subject=subject, symptom=symptom, deadline_minutes=minutes)


def test_trying_again_takes_as_long_as_its_tries() -> None:
    """A soak of five places, ten seconds each, is not done in thirty seconds."""
    state = _desk("F3", "jumpy", minutes=90)
    symptom = next(each for each in state.model.symptoms if each.id == "jumpy")
    model = replace(state.model, symptoms=(replace(symptom, minutes=1.0),))
    state = replace(state, model=model)
    state = hunt.advance(state, RepairDone(repair="re-terminate", minute=20))
    again = propose(state)
    assert again.tries > 1
    assert again.minutes == again.tries + 2  # V+ to GND and the lead are measured before power
    after = hunt.advance(state, TriedAgain(gone=True, tries=again.tries))
    assert after.elapsed == pytest.approx(state.elapsed + again.minutes)


def test_a_test_that_most_likely_tells_little_is_not_made_for_its_gentleness() -> None:
    """A phantom button, its diode named by three corners: ten presses would only put the diode test off."""
    design, _ = demo()
    state = hunt.start(model_of("control", "B1"), design, scope="control", subject="B1", symptom="phantom-presses")
    state = hunt.advance(state, pattern_event(state, "B1, B2 and B5 held, B6 shows"))
    by_minutes = rank(state).options
    gentle = next(each for each in by_minutes if each.kind == "look" and not each.opens)
    telling = next(each for each in by_minutes if each.kind == "look" and each.opens)
    # As it stands after looking further ahead: the test inside is better by a little.
    options = tuple(
        replace(each, minutes={gentle.index: 28.5, telling.index: 28.0}.get(each.index, 40.0), saves=1.0)
        if each.kind == "look"
        else replace(each, minutes=50.0)
        for each in by_minutes
    )
    proposal = propose(state, ranking=Ranking(options, "two steps"))
    idle = propose(state, ranking=Ranking(options, "two steps"), move=state.layout.tests[gentle.index].id)
    assert sum(each.share for each in idle.outcomes if each.meaning == "tells little") >= 0.5
    assert proposal.title == state.layout.tests[telling.index].title
