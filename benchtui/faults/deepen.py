"""Looking further than one step, in slices, while the person reads or works.

Every value in here is the expected minutes of a plan that could really be carried out: the one-step value (this move,
then only repairs), two steps on the best few moves, the one-step rule played to its end after each of the best few
(a rollout: Tu and Pattipati, IEEE Trans. SMC-A 33(1) 2003), the same after each leading second move, and for small
tables the exact optimum over every history of outcomes. A plan can only be improved on, so the least value found for a
move stands, and a search that is cut short is never worse than the one-step ranking it began with.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from operator import mul
from typing import TYPE_CHECKING, Final, Literal

from benchtui.faults.engine import Option, look_option, option_order, options, worth_looking
from benchtui.faults.repair_order import repair_cost
from benchtui.faults.table import Position, Table, bits

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator, Sequence

BEAM = 6
"""How many of the best moves are looked into further."""

CUTOFF = 1e-4
"""A history less likely than this is valued by its repair cost instead of being played to the end."""

EXACT_STATES = 20_000
"""Histories of a table small enough to be solved exactly (less than half a second of work, in slices)."""

SECOND_BEAM = 4
"""How many second moves are played out."""

Depth = Literal["one step", "two steps", "played out", "second move played out", "exact"]
DEPTHS: Final[tuple[Depth, ...]] = ("two steps", "played out", "second move played out")
"""What follows the one-step ranking, shallow first."""


@dataclass(frozen=True, slots=True)
class Ranking:
    """Moves best first, and how far ahead was looked to rank them."""

    options: tuple[Option, ...]
    depth: Depth
    done: bool = False


def deepen(table: Table, position: Position, *, exact: bool = True, beam: int = BEAM) -> Iterator[Ranking]:
    """Yield ever better rankings; stop asking whenever time is up.

    Args:
        table: The numbers.
        position: Where the hunt stands.
        exact: Whether a small table may be solved exactly.
        beam: How many of the best moves are looked into.

    Yields:
        The one-step ranking first; then one after each small piece of work (about a frame on a table of 30 × 30),
        the last with `done` set.
    """
    ranked = options(table, position)
    yield Ranking(tuple(ranked), "one step")
    if len(ranked) > 1:
        if exact and exact_states(table, position) <= EXACT_STATES:
            yield from _exactly(table, position, ranked)
            return
        total = sum(position.weights)
        for depth in DEPTHS:
            for option in [option for option in ranked if option.kind != "stop"][:beam]:
                for value in _look_further(table, position, option, depth):
                    if value is None:
                        yield Ranking(tuple(ranked), depth)
                    else:
                        ranked = _improved(ranked, option, value / total)
                yield Ranking(tuple(ranked), depth)
    yield Ranking(tuple(ranked), DEPTHS[-1], done=True)


def best_ranking(table: Table, position: Position, *, exact: bool = True, beam: int = BEAM) -> Ranking:
    """The last word of `deepen`, however long it takes."""
    *_, last = deepen(table, position, exact=exact, beam=beam)
    return last


def _improved(ranked: list[Option], option: Option, minutes: float) -> list[Option]:
    changed = [
        replace(old, minutes=min(old.minutes, minutes)) if (old.kind, old.index) == (option.kind, option.index) else old
        for old in ranked
    ]
    return sorted(changed, key=option_order)


def _after(table: Table, position: Position, option: Option) -> list[Position]:
    """Positions a move can lead to, with joint weights."""
    spent = position.left - option.spends
    if option.kind == "look":
        look = table.looks[option.index]
        _, opened = table.opening(look.place, position.opened)
        looks = position.looks & ~(1 << option.index)
        return [
            Position(tuple(map(mul, position.weights, row)), opened, looks, position.cures, spent) for row in look.rows
        ]
    cure = table.cures[option.index]
    _, opened = table.opening(cure.place, position.opened)
    weights = list(position.weights)
    for fault, chance in cure.fixes:
        weights[fault] *= 1.0 - chance
    return [Position(tuple(weights), opened, position.looks, position.cures & ~(1 << option.index), spent)]


def _look_further(table: Table, position: Position, option: Option, depth: Depth) -> Iterator[float | None]:
    """Value of a move, times the sum of the weights, yielded last; None between pieces of work."""
    total = sum(position.weights)
    value = option.spends * total
    for after in _after(table, position, option):
        if depth == "two steps":
            value += best_step(table, after)[1]
        elif depth == "played out":
            value += yield from _last(_play_out(table, after, total * CUTOFF))
        else:
            value += yield from _last(_second_move(table, after, total * CUTOFF))
        yield None
    yield value


def _second_move(table: Table, position: Position, cutoff: float) -> Iterator[float | None]:
    """The best of the leading second moves, each played out."""
    best = yield from _last(_play_out(table, position, cutoff))
    if sum(position.weights) > cutoff:
        for option in [option for option in options(table, position) if option.kind != "stop"][:SECOND_BEAM]:
            best = min(best, (yield from _last(_look_further(table, position, option, "played out"))))
    yield best


def _last(values: Iterator[float | None]) -> Generator[float | None, None, float]:
    """Pass the pauses of a piece of work on, and return the value it ends with."""
    found: float | None = None
    for found in values:
        if found is None:
            yield None
    assert found is not None
    return found


def best_step(table: Table, position: Position) -> tuple[Option, float]:
    """The best move by one-step look-ahead, and its minutes times the sum of the weights.

    The leading repair stands for all repairs: tried first, it costs what the whole order costs.
    """
    order: list[int] = []
    weights = position.weights
    value = repair_cost(table, weights, position.opened, position.cures, position.left, order)
    if order:
        cure = table.cures[order[0]]
        spends = table.opening(cure.place, position.opened)[0] + cure.minutes
        best = Option("cure", order[0], value, spends)
    else:
        best = Option("stop", -1, value, 0.0)
    total = sum(weights)
    for index in worth_looking(table, position):
        look = table.looks[index]
        spends = table.opening(look.place, position.opened)[0] + look.minutes
        if spends > position.left or spends * total >= value:
            continue
        option = look_option(table, position, index)
        if option.minutes < value - 1e-12:
            value, best = option.minutes, option
    return best, value


def _play_out(table: Table, position: Position, cutoff: float) -> Iterator[float | None]:
    """Value of following the one-step rule to the end, times the sum of the weights; None between pieces of work."""
    total = sum(position.weights)
    option, value = best_step(table, position)
    if option.kind == "stop" or total < cutoff:
        yield value
        return
    played = option.spends * total
    yield None
    for after in _after(table, position, option):
        played += yield from _last(_play_out(table, after, cutoff))
    # The rule may mislead further down; the plan it saw from here is still open.
    yield min(played, value)


def exact_states(table: Table, position: Position) -> int:
    """How many histories an exact solution would have to visit, at most."""
    states = 1
    for index in bits(position.looks):
        states *= 1 + len(table.looks[index].rows)
        if states > EXACT_STATES:
            return states
    return states << position.cures.bit_count()


def _exactly(table: Table, position: Position, ranked: list[Option]) -> Iterator[Ranking]:
    solver = Exact(table)
    total = sum(position.weights)
    for option in [option for option in ranked if option.kind != "stop"]:
        value = option.spends * total
        for after in _after(table, position, option):
            # Solving what lies two moves ahead first fills the solver's memory in small pieces of work.
            for further in options(table, after) if sum(after.weights) > 0.0 else ():
                if further.kind != "stop":
                    for later in _after(table, after, further):
                        solver.value(later)
                    yield Ranking(tuple(ranked), "exact")
            value += solver.value(after)
        ranked = _improved(ranked, option, value / total)
        yield Ranking(tuple(ranked), "exact")
    yield Ranking(tuple(ranked), "exact", done=True)


class Exact:
    """Exact least expected minutes over every history, each test and each repair used at most once.

    A history is told apart by what has been answered and what has been tried, in any order, because belief, what is
    open and the time spent depend on nothing else.
    """

    def __init__(self, table: Table) -> None:
        self.table = table
        self._known: dict[tuple[int, int, tuple[float, ...]], float] = {}

    def value(self, position: Position) -> float:
        """Expected minutes, times the sum of the weights."""
        table = self.table
        total = sum(position.weights)
        if total <= 0.0:
            return 0.0
        key = (position.looks, position.cures, tuple(round(weight, 14) for weight in position.weights))
        known = self._known.get(key)
        if known is not None:
            return known
        best = total * table.fallback
        for index in bits(position.cures):
            cure = table.cures[index]
            opening, opened = table.opening(cure.place, position.opened)
            spends = opening + cure.minutes
            if spends > position.left or spends * total >= best:
                continue
            weights = list(position.weights)
            cured = 0.0
            for fault, chance in cure.fixes:
                cured += weights[fault] * chance
                weights[fault] *= 1.0 - chance
            if cured <= 0.0:
                continue
            after = Position(
                tuple(weights), opened, position.looks, position.cures & ~(1 << index), position.left - spends
            )
            best = min(best, spends * total + self.value(after))
        for index in bits(position.looks):
            look = table.looks[index]
            opening, opened = table.opening(look.place, position.opened)
            spends = opening + look.minutes
            if spends > position.left or spends * total >= best:
                continue
            looks = position.looks & ~(1 << index)
            value = spends * total
            for row in look.rows:
                weights_after = tuple(map(mul, position.weights, row))
                value += self.value(Position(weights_after, opened, looks, position.cures, position.left - spends))
                if value >= best:
                    break
            best = min(best, value)
        self._known[key] = best
        return best


def policy_minutes(
    table: Table,
    position: Position,
    *,
    depth: Depth,
    cutoff: float = 0.0,
    visit: Callable[[Option], None] | None = None,
    choose: Callable[[Table, Position, Sequence[Option]], Option] | None = None,
) -> float:
    """Expected minutes when the best move of a ranking is always followed, over every history of outcomes.

    Args:
        table: The numbers.
        position: Where the hunt starts.
        depth: "one step" for the one-step ranking; "exact" for the full deepening, exact where the table is small;
            any other for the full deepening without the exact solution.
        cutoff: Histories less likely than this are valued by their repair cost.
        visit: Called with every move that is made in some history.
        choose: Which of the ranked moves is made; the first when None.
    """
    memo: dict[tuple[int, int, tuple[float, ...]], float] = {}

    def walk(here: Position) -> float:
        total = sum(here.weights)
        if total <= cutoff:
            return repair_cost(table, here.weights, here.opened, here.cures, here.left)
        key = (here.looks, here.cures, tuple(round(weight, 14) for weight in here.weights))
        if key not in memo:
            if depth == "one step" and choose is None:
                option = best_step(table, here)[0]
            else:
                one = depth == "one step"
                ranked = options(table, here) if one else best_ranking(table, here, exact=depth == "exact").options
                option = choose(table, here, ranked) if choose else ranked[0]
            if visit:
                visit(option)
            if option.kind == "stop":
                memo[key] = total * table.fallback
            else:
                memo[key] = option.spends * total + sum(walk(after) for after in _after(table, here, option))
        return memo[key]

    return walk(position) / sum(position.weights)
