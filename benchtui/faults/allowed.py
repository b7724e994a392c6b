"""What may be done now: what fits before curtain, what stays shut, what safety forbids; and the ranking of the rest."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.deepen import Ranking, deepen
from benchtui.faults.hunt import HuntState, time_left
from benchtui.faults.huntstate import workaround_now
from benchtui.faults.layout import giving_up
from benchtui.faults.untried import supposing

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.faults.engine import Option
    from benchtui.faults.model import Repair, Test
    from benchtui.faults.table import Position, Table


def position_now(state: HuntState, elapsed: float | None = None) -> Position:
    """The position with everything masked out that may not, or cannot, be done now.

    What is too long, shut before curtain or unsafe, what waits for another test, and what wants power where there is
    none. A repair that waits for its trial counts as one that did not help.
    """
    state = supposing(state)
    position = replace(state.position, left=time_left(state, elapsed))
    looks, cures = position.looks, position.cures
    shut = kept_shut(state, elapsed)
    for index, test in enumerate(state.layout.tests):
        if test.access in shut or barred(state, test) or waits_for(state, test):
            looks &= ~(1 << index)
    for index, repair in enumerate(state.layout.repairs):
        if repair.access in shut or barred(state, repair):
            cures &= ~(1 << index)
    return replace(position, looks=looks, cures=cures)


def table_now(state: HuntState, elapsed: float | None = None) -> Table:
    """The numbers, with the charge for giving up by the work-around that is left; the same table while none was lost.

    Args:
        state: Where the hunt stands.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    return state.layout.table.at_fallback(giving_up(workaround_now(state, elapsed)))


def waits_for(state: HuntState, test: Test) -> str:
    """Id of a test of this hunt that comes before it and is still to be answered; empty when there is none."""
    done = {answered for answered, _ in state.answers} | state.dropped
    fit = {each.id for each in state.layout.tests}
    return next((each for each in test.after if each in fit and each not in done), "")


def power_locked(state: HuntState) -> bool:
    """Whether nothing may power the unit, because a short may be inside.

    A sign or an answer that may mean a short begins it; only the healthy outcome of every measurement that it asks for
    ends it. No repair does.
    """
    return bool(state.locks)


def unsafe(state: HuntState, move: Test | Repair) -> bool:
    """Whether a move would power a unit with a short inside."""
    return power_locked(state) and (move.power == "on" or move.plugs)


def wants_power(state: HuntState, move: Test | Repair) -> bool:
    """Whether a move wants power, and there is none where the unit is."""
    return state.no_power and (move.power == "on" or move.plugs)


def barred(state: HuntState, move: Test | Repair) -> bool:
    """Whether a move may not, or cannot, be made because it wants power."""
    return unsafe(state, move) or wants_power(state, move)


def rank(state: HuntState, elapsed: float | None = None) -> Ranking:
    """Moves that fit now, best first, looking one step ahead."""
    return Ranking(tuple(engine.options(table_now(state, elapsed), position_now(state, elapsed))), "one step")


def think(state: HuntState, elapsed: float | None = None) -> Iterator[Ranking]:
    """Ever better rankings for `propose`, in slices short enough to run between two keys; stop whenever time is up."""
    return deepen(table_now(state, elapsed), position_now(state, elapsed))


def kept_shut(state: HuntState, elapsed: float | None) -> set[str]:
    """Ids of what stays shut because curtain is too near. What is open already may be used."""
    if state.deadline is None:
        return set()
    left = state.deadline - (state.elapsed if elapsed is None else elapsed)
    return {
        access.id
        for index, access in enumerate(state.model.access)
        if left < access.not_within and not state.position.opened >> index & 1
    }


def safety_first(state: HuntState, elapsed: float | None = None) -> Option | None:
    """What safety puts before all other moves; None when it asks for nothing now.

    Args:
        state: Where the hunt stands.
        elapsed: Minutes since the start by the clock; the state's own when None.

    Returns:
        The measurement that is due; or giving up, with the unit unplugged, when there is no time for it.
    """
    if not state.due:
        return None
    option = due_option(state, state.due[0], elapsed)
    table = table_now(state, elapsed)
    return option or engine.Option("stop", -1, table.fallback, 0.0)


def due_option(state: HuntState, test: str, elapsed: float | None = None) -> Option | None:
    """A test as a move, whether or not it was answered before; None when safety or the time forbids it."""
    index = state.layout.test_index(test)
    position = position_now(state, elapsed)
    entry = state.layout.tests[index]
    option = engine.look_option(table_now(state, elapsed), position, index)
    if barred(state, entry) or entry.access in kept_shut(state, elapsed) or option.spends > position.left:
        return None
    return replace(option, minutes=option.minutes / sum(position.weights))
