"""Repairs that were made where there is no power: their trial waits, and the hunt goes on as if they had not helped."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.faults import engine
from benchtui.faults.events import HuntClosed, NeighboursTried, PowerSaid, ShortBeside, TestAnswered, TriedAgain

if TYPE_CHECKING:
    from benchtui.faults.events import HuntEvent
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.table import Position


def put_off(state: HuntState, event: HuntEvent) -> HuntState:
    """The state after an event, with the trial of a repair put off while there is no power, and taken up once there is.

    What was believed stays as it was until the trial: only that says whether a repair helped.
    """
    if state.no_power and state.phase == "again" and state.pending in state.repaired:
        others = tuple(each for each in state.untried if each != state.pending)
        return replace(state, phase="look", pending="", untried=(*others, state.pending))
    comes = isinstance(event, PowerSaid | TestAnswered | ShortBeside)
    if comes and state.untried and not state.no_power and not state.locks and state.phase == "look":
        return taken_up(state)
    return state


def taken_up(state: HuntState) -> HuntState:
    """The state in which the symptom is tried, for everything that was repaired and not tried yet."""
    if state.phase != "look" or not state.untried:
        return state
    return replace(state, phase="again", pending=state.untried[-1])


def supposing(state: HuntState) -> HuntState:
    """The state as if no repair that waits for its trial had helped: from it follows what is worth doing meanwhile."""
    if not state.untried:
        return state
    return replace(state, position=not_helped(state, state.position, state.untried), untried=())


def not_helped(state: HuntState, position: Position, repairs: tuple[str, ...]) -> Position:
    """A position after repairs that did not help, with what is open and the time left as they are."""
    for repair in repairs:
        after = engine.failed(state.layout.table, position, state.layout.repair_index(repair))
        position = replace(position, weights=after.weights, cures=after.cures)
    return position


def refuse_trial(state: HuntState, event: HuntEvent) -> None:
    """Refuse a trial that cannot have been made.

    Raises:
        JobError: There is no power where the unit is, as was said.
    """
    tried = (
        (isinstance(event, TriedAgain) and not event.unhealthy)
        or (isinstance(event, NeighboursTried) and not event.left)
        or (isinstance(event, HuntClosed) and event.result in ("fixed", "not reproduced"))
    )
    if tried and state.no_power:
        raise JobError("there is no power here, as you said, so this cannot be tried", hint="say first that there is")


def untried_words(state: HuntState) -> str:
    """What waits to be tried, in a sentence; empty for nothing."""
    found = [repair.title for id in state.untried if (repair := state.layout.repair(id)) is not None]
    if not found:
        return ""
    names = " and ".join(f'"{each}"' for each in found)
    return f"{names} {'is' if len(found) == 1 else 'are'} done and not tried yet: that waits for power."
