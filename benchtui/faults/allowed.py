"""What may be done now: what fits before curtain, what stays shut, what safety forbids; and the ranking of the rest."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.deepen import Ranking, deepen
from benchtui.faults.hunt import HuntState, time_left

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.faults.engine import Option
    from benchtui.faults.model import Test
    from benchtui.faults.table import Position


def position_now(state: HuntState, elapsed: float | None = None) -> Position:
    """The position with everything masked out that may not be done now: too long, shut before curtain, unsafe."""
    position = replace(state.position, left=time_left(state, elapsed))
    looks, cures = position.looks, position.cures
    shut = kept_shut(state, elapsed)
    for index, test in enumerate(state.layout.tests):
        if test.access in shut or (test.power == "on" and power_locked(state)) or waits_for(state, test):
            looks &= ~(1 << index)
    for index, repair in enumerate(state.layout.repairs):
        if repair.access in shut:
            cures &= ~(1 << index)
    return replace(position, looks=looks, cures=cures)


def waits_for(state: HuntState, test: Test) -> str:
    """Id of a test of this hunt that comes before it and is still to be answered; empty when there is none."""
    done = {answered for answered, _ in state.answers} | state.dropped
    fit = {each.id for each in state.layout.tests}
    return next((each for each in test.after if each in fit and each not in done), "")


def power_locked(state: HuntState) -> bool:
    """Whether a sign forbids tests with the power on: until its own test came out healthy, or a repair was made."""
    healthy = set()
    for test in state.layout.tests:
        healthy |= {(test.id, outcome.id) for outcome in test.outcomes if not outcome.finding}
    signs = [sign for sign in state.model.signs if sign.id in state.started.signs]
    return any(
        not state.repaired and not any(answer in healthy for answer in state.answers if answer[0] == sign.first)
        for sign in signs
    )


def rank(state: HuntState, elapsed: float | None = None) -> Ranking:
    """Moves that fit now, best first, looking one step ahead."""
    return Ranking(tuple(engine.options(state.layout.table, position_now(state, elapsed))), "one step")


def think(state: HuntState, elapsed: float | None = None) -> Iterator[Ranking]:
    """Ever better rankings for `propose`, in slices short enough to run between two keys; stop whenever time is up."""
    return deepen(state.layout.table, position_now(state, elapsed))


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


def safety_first(state: HuntState) -> Option | None:
    """The test that a sign puts before all others, as a move; None when there is none or it was made."""
    answered = {test for test, _ in state.answers}
    for sign in state.model.signs:
        if sign.id in state.started.signs and sign.first not in answered | state.dropped and not state.repaired:
            index = state.layout.test_index(sign.first)
            option = engine.look_option(state.layout.table, state.position, index)
            return replace(option, minutes=option.minutes / sum(state.position.weights))
    return None
