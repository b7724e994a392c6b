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
from math import log2
from operator import mul
from typing import TYPE_CHECKING, Literal

from benchtui.faults.repair_order import by_ratio, repair_cost, without
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
    rows = table.looks[look].rows
    weights = position.weights if outcome is None else normal(tuple(map(mul, position.weights, rows[outcome])))
    return _looked(table, position, look, weights)


def answer_unsure(table: Table, position: Position, look: int, parts: Sequence[float]) -> Position:
    """The position after a test whose answer is itself in doubt, such as a reading near its limit.

    Args:
        table: The numbers.
        position: Where the hunt stands.
        look: Index of the test.
        parts: For each outcome, how well what was seen fits it; only ratios count.

    Raises:
        BenchError: What was seen is impossible under every fault.
    """
    rows = table.looks[look].rows
    fits = [sum(map(mul, parts, column)) for column in zip(*rows, strict=True)]
    return _looked(table, position, look, normal(tuple(map(mul, position.weights, fits))))


def _looked(table: Table, position: Position, look: int, weights: tuple[float, ...]) -> Position:
    case = table.looks[look]
    minutes, opened = table.opening(case.place, position.opened)
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
        weights=normal(without(position.weights, case.fixes)),
        opened=opened,
        cures=position.cures & ~(1 << cure),
        left=position.left - minutes - case.minutes,
    )


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
        candidates = iter(by_ratio(table, weights, position.opened, position.cures)[:SCAN_KEEP])
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
    rest = without(position.weights, case.fixes)
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
        return _left_over(table, without(position.weights, case.fixes), opened, cures, left) / sum(position.weights)
    look = table.looks[option.index]
    _, opened = table.opening(look.place, position.opened)
    after = [tuple(map(mul, position.weights, row)) for row in look.rows]
    return sum(_left_over(table, each, opened, position.cures, left) for each in after) / sum(position.weights)


def _left_over(table: Table, weights: tuple[float, ...], opened: int, cures: int, left: float) -> float:
    """Joint weight that no repair of the best order cures."""
    order: list[int] = []
    repair_cost(table, weights, opened, cures, left, order)
    for cure in order:
        weights = without(weights, table.cures[cure].fixes)
    return sum(weights)


def forecast(table: Table, position: Position, look: int) -> tuple[float, ...]:
    """Probability of each outcome of a test."""
    total = sum(position.weights)
    return tuple(sum(map(mul, position.weights, row)) / total for row in table.looks[look].rows)


def chance_of_cure(table: Table, position: Position, cure: int) -> float:
    """Probability that a repair makes the input work."""
    total = sum(position.weights)
    return sum(position.weights[fault] * chance for fault, chance in table.cures[cure].fixes) / total


def _fits(table: Table, position: Position, place: int, minutes: float) -> bool:
    opening, _ = table.opening(place, position.opened)
    return opening + minutes <= position.left
