"""Readings near a limit: the meter may as well have shown the other side, so they speak a little for both outcomes."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING, Final

from benchtui.errors import UnitError
from benchtui.faults import engine
from benchtui.faults.events import CANNOT_TELL, TestAnswered
from benchtui.faults.points import REFERENCE, held_against, judge, value_of
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.design.testpoints import Expected
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.model import Test
    from benchtui.faults.table import Position

NEAR: Final = 0.05
"""Share of the window between the limits, or of the limit where there is only one, within which a reading is near it.
Our own choice."""


def parts_of(test: Test, expected: Sequence[Expected], typed: Sequence[str], outcome: str) -> Mapping[str, float]:
    """How well each outcome fits readings of which one lies near a limit.

    Args:
        test: The test.
        expected: Its points, in order.
        typed: What was typed.
        outcome: What it was judged to be.

    Returns:
        Outcome to a share; they add up to 1. Half and half at the limit itself. Empty when no reading is near one, or
        when the other side of it is the same outcome.
    """
    try:
        if judge(test, expected, typed).outcome != outcome:
            return {}  # the person knows better than the reading
        expected = held_against(expected, typed)
        closest, other = inf, ""
        for number, (point, text) in enumerate(zip(expected, typed, strict=False)):
            if point.point == REFERENCE:  # the others are held against it
                continue
            distance, across = _across(point, value_of(point, text))
            if distance < min(closest, 1.0):
                texts = [*typed[:number], across, *typed[number + 1 :]]
                found = judge(test, expected, texts).outcome
                if found and found != outcome:
                    closest, other = distance, found
    except UnitError:
        return {}
    return {outcome: 0.5 + 0.5 * closest, other: 0.5 - 0.5 * closest} if other else {}


def _across(point: Expected, value: float) -> tuple[float, str]:
    """How far a reading is from its nearest limit, 1 at the edge of what counts as near, and a value across it."""
    limits = [limit for limit in (point.low, point.high) if limit]
    if value == inf or not limits or point.kind == "count":  # a count is read without an error
        return inf, ""
    nearest = min(limits, key=lambda limit: abs(value - limit))
    window = limits[1] - limits[0] if len(limits) == 2 else abs(nearest)
    if window <= 0.0:
        return inf, ""
    step = 0.01 * NEAR * window
    across = nearest - step if value >= nearest else nearest + step
    return abs(value - nearest) / (NEAR * window), format_value(across, point.kind, digits=6)


def looked(state: HuntState, event: TestAnswered, index: int, chosen: int | None) -> Position:
    """The position after an answer, or after a reading so near a limit that it speaks for two."""
    if chosen is None or not event.parts:
        return engine.answer(state.layout.table, state.position, index, chosen)
    outcomes = [outcome.id for outcome in state.layout.tests[index].outcomes]
    return engine.answer_unsure(state.layout.table, state.position, index, fits(outcomes, event.outcome, event.parts))


def fits(outcomes: Sequence[str], outcome: str, parts: Mapping[str, float]) -> tuple[float, ...]:
    """How well each outcome fits an answer; 1 for its own where nothing else is said."""
    return tuple((parts or {outcome: 1.0}).get(each, 0.0) for each in outcomes)


def parts_before(state: HuntState, event: TestAnswered) -> Mapping[str, float]:
    """What the answer to the same test before this one spoke for."""
    parts: Mapping[str, float] = {}
    for _, each in state.standing:
        if each is event:
            break
        if isinstance(each, TestAnswered) and each.test == event.test and each.outcome != CANNOT_TELL:
            parts = each.parts
    return parts
