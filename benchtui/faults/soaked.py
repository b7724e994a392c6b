"""What is left of doubt when a hunt is closed after clean tries: said beside the answer and written at the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.events import TriedAgain
from benchtui.faults.soak import RISK, doubt
from benchtui.faults.words import percent

if TYPE_CHECKING:
    from benchtui.faults.huntstate import HuntState


def doubt_words(tries: int, left: float) -> str:
    """The chance that a fault is still there after that many clean tries, as a sentence without its full stop.

    Args:
        tries: Clean tries made.
        left: That chance, from 0 to 1.
    """
    made = f"{tries} clean tr{'y' if tries == 1 else 'ies'}"
    return f"After {made} the chance that it is still there is {percent(left)}"


def try_minutes(state: HuntState, tries: int) -> float:
    """Minutes that it takes to try so often for the symptom of a hunt; a work-around is tried once.

    Args:
        state: A hunt after a repair or a work-around.
        tries: How often.
    """
    if state.pending not in state.repaired:
        return state.model.try_again
    symptom = state.symptom
    one = symptom.minutes if symptom and symptom.minutes else state.model.try_again
    return one * max(tries, 1)


def doubt_left(state: HuntState) -> str:
    """What the close has to say about a repair tried too seldom to be believed; empty where it was tried enough.

    Args:
        state: A hunt after a repair that was tried again and found good.
    """
    if state.shows >= 1.0 or state.pending not in state.repaired:
        return ""
    tries = next(
        (event.tries for _, event in reversed(state.standing) if isinstance(event, TriedAgain) and event.gone), 0
    )
    index = state.layout.repair_index(state.pending)
    left = doubt(engine.chance_of_cure(state.layout.table, state.position, index), state.shows, tries)
    return doubt_words(tries, left) if tries and left > RISK else ""
