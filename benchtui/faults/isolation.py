"""Telling faults apart with tests that never err: exact least cost, lower bounds, and chains.

A model's real tests do err; here they are taken at their word. That gives the yardstick for the scores of a model: how
long the best possible order of its tests needs until one fault (or one remedy) is left. Sets of faults are bit masks.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from functools import cache
from math import inf
from typing import TYPE_CHECKING

from benchtui.errors import BenchError

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_STATES = 25
"""Most faults that are solved exactly; beyond it time and memory grow without measure."""


@dataclass(frozen=True, slots=True)
class Isolation:
    """The best order of tests.

    Attributes:
        cost: Expected cost until the faults are told apart as far as the tests can.
        first: Index of the test to begin with; None when there is nothing to tell apart.
    """

    cost: float
    first: int | None


def exact_isolation(
    prior: Sequence[float], costs: Sequence[float], matrix: Sequence[Sequence[int]], *, groups: Sequence[int] = ()
) -> Isolation:
    """Least expected cost of telling faults apart (Pattipati and Alexandridis, IEEE Trans. SMC 20(4) 1990).

    Args:
        prior: Probability of each fault.
        costs: Cost of each test.
        matrix: matrix[fault][test] is the outcome of the test under the fault, counted from 0.
        groups: Faults of equal number need not be told apart, such as those with one remedy; all differ when empty.

    Raises:
        BenchError: There are more faults than can be solved exactly.
    """
    count = len(prior)
    if count > MOST_STATES:
        raise BenchError(f"{count} faults are too many for an exact order of tests", hint=f"up to {MOST_STATES} are")
    labels = list(groups) or list(range(count))
    outcomes: list[list[int]] = []
    for test in range(len(costs)):
        masks: dict[int, int] = {}
        for fault in range(count):
            masks[matrix[fault][test]] = masks.get(matrix[fault][test], 0) | 1 << fault
        outcomes.append(list(masks.values()))
    weight = [0.0] * (1 << count) if count <= 16 else None

    def mass(faults: int) -> float:
        if weight is not None and weight[faults]:
            return weight[faults]
        total = sum(prior[fault] for fault in range(count) if faults >> fault & 1)
        if weight is not None:
            weight[faults] = total
        return total

    @cache
    def solve(faults: int) -> tuple[float, int | None]:
        """Cost times the mass of the set, and the first test."""
        if len({labels[fault] for fault in range(count) if faults >> fault & 1}) < 2:
            return 0.0, None
        best, first = inf, None
        total = mass(faults)
        for test, cost in enumerate(costs):
            parts = [part for outcome in outcomes[test] if (part := outcome & faults)]
            if len(parts) < 2:
                continue
            value = cost * total
            for part in parts:
                value += solve(part)[0]
                if value >= best:
                    break
            if value < best:
                best, first = value, test
        return (0.0, None) if first is None else (best, first)

    cost, first = solve((1 << count) - 1)
    return Isolation(cost / sum(prior), first)


def huffman_length(weights: Sequence[float]) -> float:
    """Mean length of the best binary code: no yes-or-no tests can isolate in fewer, on average.

    Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms, 3rd ed., section 16.3.
    """
    heap = [weight for weight in weights if weight > 0.0]
    total = sum(heap)
    heapq.heapify(heap)
    length = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        length += joined
        heapq.heappush(heap, joined)
    return length / total if total else 0.0


def isolation_bound(weights: Sequence[float], costs: Sequence[float]) -> float:
    """A cost that no order of yes-or-no tests can beat: the Huffman length paid with the cheapest tests.

    Pattipati and Alexandridis, IEEE Trans. SMC 20(4) 1990.
    """
    length = huffman_length(weights)
    cheapest = sorted(costs)
    whole = int(length)
    bound = sum(cheapest[:whole])
    return bound + (length - whole) * cheapest[whole] if whole < len(cheapest) else bound


def half_split_probes(stages: int) -> float:
    """Mean probes to find one fault among equally likely stages of a chain, halving each time.

    Goldbeck, Bernstein, Hillix, Marx, J. Exp. Psychology 53(5) 1957: floor(log2 n) + 2 (n - 2^floor) / n.
    """
    whole = stages.bit_length() - 1
    return whole + 2.0 * (stages - (1 << whole)) / stages


def chain_order(prior: Sequence[float], costs: Sequence[float]) -> Isolation:
    """Best probing of a chain of stages with one fault; a probe after a stage tells on which side of it the fault lies.

    Exact interval programme; the problem is that of the best alphabetic tree (Gilbert and Moore 1959, Hu and Tucker,
    SIAM J. Appl. Math. 21(4) 1971).

    Args:
        prior: Probability that the fault sits in each stage.
        costs: Cost of the probe after each stage but the last.
    """
    count = len(prior)
    sums = [0.0]
    for value in prior:
        sums.append(sums[-1] + value)
    cost = [[0.0] * (count + 1) for _ in range(count + 1)]
    first: int | None = None
    for length in range(2, count + 1):
        for low in range(count - length + 1):
            high = low + length
            best, at = inf, low
            for cut in range(low + 1, high):
                value = costs[cut - 1] * (sums[high] - sums[low]) + cost[low][cut] + cost[cut][high]
                if value < best - 1e-15:
                    best, at = value, cut
            cost[low][high] = best
            if length == count:
                first = at
    return Isolation(cost[0][count] / sums[-1], first)
