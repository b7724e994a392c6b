"""Orders of looking that are known to be best: which joint, wire or part to inspect first.

One probability and one cost for each place. The published orders are checked here (`tests/reference/diagnosis.yaml`);
the hunt itself ranks its repairs by `repair_order`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Order:
    """Places in the order to be looked at, and the expected cost."""

    order: tuple[int, ...]
    cost: float


def inspection_order(chances: Sequence[float], costs: Sequence[float], *, last_is_sure: bool = False) -> Order:
    """Look in order of cost over probability (Kalagnanam and Henrion, UAI 4, 1990).

    Args:
        chances: Probability that the fault sits there; they add up to 1.
        costs: Cost of looking there.
        last_is_sure: Whether the fault is certain to be in one of them, so that the last need not be looked at. Then
            every place is tried as the one that is left, and the best kept.
    """

    def cost_of(order: Sequence[int]) -> float:
        """Looked at until found; the last of a sure set costs nothing."""
        total, remaining = 0.0, 1.0
        for place in order[: len(order) - 1] if last_is_sure else order:
            total += remaining * costs[place]
            remaining -= chances[place]
        return total

    by_ratio = sorted(range(len(chances)), key=lambda place: (_ratio(costs[place], chances[place]), place))
    if not last_is_sure:
        return Order(tuple(by_ratio), cost_of(by_ratio))
    candidates = [[*(place for place in by_ratio if place != last), last] for last in by_ratio]
    best = min(candidates, key=lambda order: (round(cost_of(order), 12), order))
    return Order(tuple(best), cost_of(best))


def series_order(chances: Sequence[float], costs: Sequence[float]) -> Order:
    """Places that are bad independently of each other; stop at the first bad one, or when all are good.

    Cost over probability again (Butterworth 1972; Unluyurt, Discrete Applied Mathematics 142, 2004).
    """
    order = sorted(range(len(chances)), key=lambda place: (_ratio(costs[place], chances[place]), place))
    total, all_good = 0.0, 1.0
    for place in order:
        total += all_good * costs[place]
        all_good *= 1.0 - chances[place]
    return Order(tuple(order), total)


def search_order(prior: Sequence[float], finds: Sequence[float], costs: Sequence[float], looks: int) -> tuple[int, ...]:
    """Looks that may overlook the fault: each time where chance of finding over cost is largest.

    Black, Information and Control 8, 1965; Ross, Introduction to Stochastic Dynamic Programming, 1983, ch. III.

    Args:
        prior: Probability that the fault sits there.
        finds: Probability that a look finds it when it is there.
        costs: Cost of a look.
        looks: How many looks to lay down.
    """
    belief = list(prior)
    order = []
    for _ in range(looks):
        best = max(range(len(belief)), key=lambda place: (belief[place] * finds[place] / costs[place], -place))
        order.append(best)
        belief[best] *= 1.0 - finds[best]
    return tuple(order)


def search_cost(prior: Sequence[float], finds: Sequence[float], costs: Sequence[float], *, looks: int = 400) -> float:
    """Expected cost of `search_order` until the fault is found."""
    belief = list(prior)
    total = 0.0
    for place in search_order(prior, finds, costs, looks):
        total += sum(belief) * costs[place]
        belief[place] *= 1.0 - finds[place]
    return total


def _ratio(cost: float, chance: float) -> float:
    return cost / chance if chance > 0.0 else inf
