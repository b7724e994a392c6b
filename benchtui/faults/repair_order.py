"""The best order of repairs without further tests, and what it is expected to cost.

Probability over cost (Kadane and Simon, Annals of Statistics 5(2) 1977), what must be opened first handled bottom up
(Ottosen and Jensen, UAI 2010), and the work-around as the last resort at whichever point it pays: every point is tried,
because the gain may turn twice.

Weights are joint weights and need not add up to 1: expected minutes then need no division, since every formula is
linear in them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from benchtui.faults.table import Position, Table

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Plan:
    """Repairs in the order to be tried, and the minutes to be expected from them."""

    minutes: float
    order: tuple[int, ...]


def repair_plan(table: Table, position: Position) -> Plan:
    """The best order of repairs without further tests, and its expected minutes."""
    order: list[int] = []
    minutes = repair_cost(table, position.weights, position.opened, position.cures, position.left, order)
    return Plan(minutes / sum(position.weights), tuple(order))


def repair_cost(
    table: Table,
    weights: Sequence[float],
    opened: int,
    cures: int,
    left: float = inf,
    order: list[int] | None = None,
) -> float:
    """Expected minutes of the best order of repairs, times the sum of the weights.

    Args:
        table: The numbers.
        weights: Joint weights of the faults.
        opened: Mask of what is open.
        cures: Mask of the repairs that remain.
        left: Minutes that may be spent before the work-around.
        order: When given, receives the order in which the repairs should be tried.
    """
    total = sum(weights)
    best = total * table.fallback
    if total <= 0.0:
        return 0.0
    spent = 0.0
    clock = 0.0
    remaining = total
    walked: list[int] = []
    keep = 0
    rest = list(weights) if table.shared else weights
    for cure in by_ratio(table, weights, opened, cures):
        case = table.cures[cure]
        minutes = case.minutes
        if case.place >= 0 and not opened >> case.place & 1:
            opening, then_open = table.opening(case.place, opened)
            minutes += opening
            if clock + minutes > left:
                continue
            opened = then_open
        elif clock + minutes > left:
            continue
        clock += minutes
        spent += remaining * minutes
        if table.shared:
            for fault, chance in case.fixes:
                cured = rest[fault] * chance
                rest[fault] -= cured  # type: ignore[index]  # a list whenever repairs are shared
                remaining -= cured
        else:
            for fault, chance in case.fixes:
                remaining -= weights[fault] * chance
        walked.append(cure)
        value = spent + remaining * table.fallback
        if value < best:
            best = value
            keep = len(walked)
        if spent >= best:  # whatever follows only adds to what is spent
            break
    if order is not None:
        order.extend(walked[:keep])
    return best


def by_ratio(table: Table, weights: Sequence[float], opened: int, cures: int) -> list[int]:
    """Repairs by probability over cost, those behind something closed as their best prefix first."""
    free: list[tuple[float, int, int]] = []
    closed: dict[int, list[tuple[float, float, int]]] = {}
    for index, case in enumerate(table.cures):
        if not cures >> index & 1:
            continue
        chance = 0.0
        for fault, sure in case.fixes:
            chance += weights[fault] * sure
        if chance <= 0.0:
            continue
        place = case.place
        if place < 0 or opened >> place & 1:
            free.append((-chance / case.minutes if case.minutes else -inf, index, index))
        else:
            closed.setdefault(place, []).append((chance, case.minutes, index))
    if not closed:
        free.sort()
        return [index for _, _, index in free]
    return _with_places(table, free, closed, opened)


def _with_places(
    table: Table,
    free: list[tuple[float, int, int]],
    closed: dict[int, list[tuple[float, float, int]]],
    opened: int,
) -> list[int]:
    """Merge closed places into the order, innermost first: the best prefix of each is one move of its outer place."""
    groups: list[tuple[float, int, list[int]]] = [(ratio, index, [index]) for ratio, index, _ in free]
    waiting: dict[int, list[tuple[float, float, list[int]]]] = {
        place: [(chance, minutes, [index]) for chance, minutes, index in cases] for place, cases in closed.items()
    }
    for place in range(len(table.places) - 1, -1, -1):
        cases = waiting.pop(place, None)
        if not cases:
            continue
        cases.sort(key=lambda case: (-case[0] / case[1] if case[1] else -inf, case[2][0]))
        chance, minutes = 0.0, table.places[place].minutes
        best, cut = -1.0, 0
        for count, case in enumerate(cases, 1):
            chance += case[0]
            minutes += case[1]
            ratio = chance / minutes if minutes else inf
            if ratio > best:
                best, cut = ratio, count
        first = [index for case in cases[:cut] for index in case[2]]
        gained = sum(case[0] for case in cases[:cut])
        cost = table.places[place].minutes + sum(case[1] for case in cases[:cut])
        # The rest are never better than the prefix, so a sort by ratio keeps them behind it.
        moves = [(gained, cost, first), *cases[cut:]]
        outer = table.places[place].inside
        if outer >= 0 and not opened >> outer & 1:
            waiting.setdefault(outer, []).extend(moves)
        else:
            groups.extend((-move[0] / move[1] if move[1] else -inf, move[2][0], move[2]) for move in moves)
    groups.sort()
    return [index for _, _, indices in groups for index in indices]


def without(weights: Sequence[float], fixes: Sequence[tuple[int, float]]) -> tuple[float, ...]:
    """Weights after a repair that did not help: what it would have cured is less likely."""
    rest = list(weights)
    for fault, chance in fixes:
        rest[fault] *= 1.0 - chance
    return tuple(rest)
