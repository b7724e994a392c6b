"""The next move of a hunt, ranked by expected minutes to a working input.

The measure of a belief is its *repair cost*: the expected minutes if from now on repairs are simply tried in the best
order by probability over cost, with the work-around as the last resort (Heckerman, Breese, Rommelse, Comm. ACM 38(3)
1995; Kadane and Simon, Annals of Statistics 5(2) 1977). What must be opened first is handled bottom up (Ottosen and
Jensen, UAI 2010), and every point of giving up is tried, not only the first that looks good. A test is worth its own
minutes plus the repair cost that is to be expected after it (one-step look-ahead). `benchtui.faults.deepen` looks
further.

Weights inside this module are joint weights and add up to less than 1: expected minutes then need no division, since
every formula is linear in them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, log2
from operator import mul
from typing import TYPE_CHECKING, Literal

from benchtui.faults.table import Position, Table, bits, noise_of, normal

if TYPE_CHECKING:
    from collections.abc import Sequence

NEAR = 0.05
"""Moves within this share of the best count as nearly as good. Common practice: estimates are no better than that."""

SCAN_KEEP = 10
"""How many tests (and repairs) of a large table are looked at in full, after a scan of them all."""

Kind = Literal["look", "cure", "stop"]


@dataclass(frozen=True, slots=True)
class Option:
    """A move with the expected minutes to a working input when it comes first.

    Attributes:
        kind: A test, a repair, or stopping with the work-around.
        index: Of the test or repair; -1 for the work-around.
        minutes: Expected minutes to a working input. Always what some real plan would cost, never less.
        spends: Minutes of the move alone, opening included.
        upset: Rank among nearly equal moves, see `Look.upset`.
        opens: Whether it opens something.
        saves: Minutes that it saves, one step ahead, against trying repairs at once; below 0 for a test that tells
            too little for its time.
    """

    kind: Kind
    index: int
    minutes: float
    spends: float
    upset: int = 0
    opens: bool = False
    saves: float = 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """Repairs in the order to be tried, and the minutes to be expected from them."""

    minutes: float
    order: tuple[int, ...]


def answer(table: Table, position: Position, look: int, outcome: int | None) -> Position:
    """The position after a test has been answered.

    Args:
        table: The numbers.
        position: Where the hunt stands.
        look: Index of the test.
        outcome: Index of the outcome; None for "cannot tell", which costs the time and says nothing.

    Raises:
        BenchError: The outcome is impossible under every fault.
    """
    case = table.looks[look]
    minutes, opened = table.opening(case.place, position.opened)
    weights = position.weights
    if outcome is not None:
        weights = normal(tuple(map(mul, weights, case.rows[outcome])))
    return replace(
        position,
        weights=weights,
        opened=opened,
        looks=position.looks & ~(1 << look),
        left=position.left - minutes - case.minutes,
    )


def failed(table: Table, position: Position, cure: int) -> Position:
    """The position after a repair that did not help: what it would have cured is less likely now."""
    case = table.cures[cure]
    minutes, opened = table.opening(case.place, position.opened)
    return replace(
        position,
        weights=normal(_without(position.weights, case.fixes)),
        opened=opened,
        cures=position.cures & ~(1 << cure),
        left=position.left - minutes - case.minutes,
    )


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
    for cure in _by_ratio(table, weights, opened, cures):
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


def _by_ratio(table: Table, weights: Sequence[float], opened: int, cures: int) -> list[int]:
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
        outer = table.places[place].inside
        if outer >= 0 and not opened >> outer & 1:
            gained = sum(case[0] for case in cases[:cut])
            cost = table.places[place].minutes + sum(case[1] for case in cases[:cut])
            waiting.setdefault(outer, []).append((gained, cost, first))
        else:
            groups.append((-best, first[0], first))
        # The rest are never better than the prefix, so the common sort keeps them behind it.
        groups.extend((-case[0] / case[1] if case[1] else -inf, case[2][0], case[2]) for case in cases[cut:])
    groups.sort()
    return [index for _, _, indices in groups for index in indices]


def options(table: Table, position: Position) -> list[Option]:
    """Every move that still fits, best first: one-step look-ahead.

    Args:
        table: The numbers.
        position: Where the hunt stands.

    Returns:
        At least the work-around. Ties stand in the order of the model: tests, then repairs, then the work-around.
    """
    weights, total = position.weights, sum(position.weights)
    found = [
        look_option(table, position, index)
        for index in worth_looking(table, position)
        if _fits(table, position, table.looks[index].place, table.looks[index].minutes)
    ]
    candidates = bits(position.cures)
    if len(table.cures) > 4 * SCAN_KEEP:
        candidates = iter(_by_ratio(table, weights, position.opened, position.cures)[:SCAN_KEEP])
    found.extend(
        cure_option(table, position, index)
        for index in candidates
        if _fits(table, position, table.cures[index].place, table.cures[index].minutes)
    )
    repairs_only = repair_cost(table, weights, position.opened, position.cures, position.left) / total
    ranked = [
        replace(option, minutes=option.minutes / total, saves=repairs_only - option.minutes / total) for option in found
    ]
    ranked.append(Option("stop", -1, table.fallback, 0.0))
    return sorted(ranked, key=option_order)


def option_order(option: Option) -> tuple[float, int, int, int]:
    """Sort key: best first, ties always the same way (rounded, so that the last bit decides nothing)."""
    kinds = {"look": 0, "cure": 1, "stop": 2}
    return (round(option.minutes, 9), option.upset, kinds[option.kind], option.index)


def look_option(table: Table, position: Position, index: int) -> Option:
    """A test valued by what the repairs would cost after it; minutes are times the sum of the weights."""
    case = table.looks[index]
    weights = position.weights
    opening, opened = table.opening(case.place, position.opened)
    spends = opening + case.minutes
    value = spends * sum(weights)
    for row in case.rows:
        value += repair_cost(table, list(map(mul, weights, row)), opened, position.cures, position.left - spends)
    return Option("look", index, value, spends, case.upset, opening > 0)


def cure_option(table: Table, position: Position, index: int) -> Option:
    """A repair tried first, then the rest in the best order; minutes are times the sum of the weights."""
    case = table.cures[index]
    opening, opened = table.opening(case.place, position.opened)
    spends = opening + case.minutes
    rest = _without(position.weights, case.fixes)
    cures = position.cures & ~(1 << index)
    value = spends * sum(position.weights) + repair_cost(table, rest, opened, cures, position.left - spends)
    return Option("cure", index, value, spends, case.upset, opening > 0)


def choose(ranked: Sequence[Option], *, slack: float | None = None) -> Option:
    """The move to propose: the best, or one nearly as good that opens nothing or disturbs less.

    A test that merely puts the best move off costs little too, and would always be nearly as good. So the gentler
    move must also save at least half of what the best one saves.

    Args:
        ranked: Moves, best first.
        slack: How many minutes more the gentler move may take; the usual share of the best when None.
    """
    best = ranked[0]
    if best.kind == "stop":
        return best
    limit = best.minutes + (NEAR * best.minutes if slack is None else slack)
    rivals = [
        option
        for option in ranked
        if option is best
        or (option.minutes <= limit and option.kind != "stop" and option.saves >= max(best.saves / 2.0, 0.0))
    ]
    return min(rivals, key=lambda option: (option.opens, option.upset, option_order(option)))


def worth_looking(table: Table, position: Position) -> list[int]:
    """Indices of the tests worth a full look: all of a small table, the most telling per minute of a large one."""
    remaining = list(bits(position.looks))
    if not table.noise:
        return remaining
    scored = []
    for index in remaining:
        case = table.looks[index]
        opening, _ = table.opening(case.place, position.opened)
        gain = information(table, position, index) / max(case.minutes + opening, 1e-9)
        scored.append((-gain, index))
    scored.sort()
    return sorted(index for _, index in scored[:SCAN_KEEP])


def information(table: Table, position: Position, look: int) -> float:
    """Expected bits about the fault that a test brings. Shown to nobody: it only picks what is worth a closer look."""
    case = table.looks[look]
    weights = position.weights
    total = sum(weights)
    gained = 0.0
    for row in case.rows:
        joint = sum(map(mul, weights, row)) / total
        if joint > 0.0:
            gained -= joint * log2(joint)
    noise = table.noise[look] if table.noise else noise_of(case.rows)
    given: float = sum(map(mul, weights, noise))
    return max(gained - given / total, 0.0)


def chance_of_giving_up(table: Table, position: Position, option: Option) -> float:
    """Probability that the plan behind a move, seen one step ahead, ends with the work-around."""
    if option.kind == "stop":
        return 1.0
    left = position.left - option.spends
    if option.kind == "cure":
        case = table.cures[option.index]
        _, opened = table.opening(case.place, position.opened)
        cures = position.cures & ~(1 << option.index)
        return _left_over(table, _without(position.weights, case.fixes), opened, cures, left) / sum(position.weights)
    look = table.looks[option.index]
    _, opened = table.opening(look.place, position.opened)
    after = [tuple(map(mul, position.weights, row)) for row in look.rows]
    return sum(_left_over(table, each, opened, position.cures, left) for each in after) / sum(position.weights)


def _left_over(table: Table, weights: tuple[float, ...], opened: int, cures: int, left: float) -> float:
    """Joint weight that no repair of the best order cures."""
    order: list[int] = []
    repair_cost(table, weights, opened, cures, left, order)
    for cure in order:
        weights = _without(weights, table.cures[cure].fixes)
    return sum(weights)


def forecast(table: Table, position: Position, look: int) -> tuple[float, ...]:
    """Probability of each outcome of a test."""
    total = sum(position.weights)
    return tuple(sum(map(mul, position.weights, row)) / total for row in table.looks[look].rows)


def chance_of_cure(table: Table, position: Position, cure: int) -> float:
    """Probability that a repair makes the input work."""
    total = sum(position.weights)
    return sum(position.weights[fault] * chance for fault, chance in table.cures[cure].fixes) / total


def _without(weights: Sequence[float], fixes: Sequence[tuple[int, float]]) -> tuple[float, ...]:
    rest = list(weights)
    for fault, chance in fixes:
        rest[fault] *= 1.0 - chance
    return tuple(rest)


def _fits(table: Table, position: Position, place: int, minutes: float) -> bool:
    opening, _ = table.opening(place, position.opened)
    return opening + minutes <= position.left
