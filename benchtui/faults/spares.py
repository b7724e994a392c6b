"""What to carry: spares for a tour, chosen for a stated confidence within a limit of money or weight.

Failures are taken to come at a steady rate (Poisson; MIL-HDBK-338B section 5.3.8), which suits leads, joints and
boards. Pots and switches wear out instead: their expected failures follow from cycles over rated life. Which item to
add next follows the largest gain in confidence for its price (Barlow and Proschan, Mathematical Theory of Reliability,
1965).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import exp, inf, lgamma, log
from typing import TYPE_CHECKING, Final, Literal

from benchtui.errors import CalcError

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_SPARES = 99
"""Most spares of one item that are ever laid out."""


JEFFREYS: Final = 0.5
"""Jeffreys' prior of a rate: half a failure in no time, so that none seen does not mean none to come."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Something that may have to be replaced on tour.

    Attributes:
        id: Name.
        title: For reading.
        count: How many are in use on the unit (or units).
        rate: Failures of one, per hour.
        cycles: Cycles of one per hour, when it wears; 0 otherwise.
        life: Rated cycles; 0 when it does not wear.
        price: Price of one, in any money.
        mass: Mass of one in kg.
        known: Failures seen so far; with `seen_hours` it makes the rate uncertain instead of fixed.
        seen_hours: Hours over which they were seen, times how many were in use.
        least: Carried whatever the chances say, while the limit allows it.
        source: Where the rate is from.
    """

    id: str
    title: str
    count: int
    rate: float = 0.0
    cycles: float = 0.0
    life: float = 0.0
    price: float = 0.0
    mass: float = 0.0
    known: float | None = None
    seen_hours: float = 0.0
    least: int = 0
    source: str = ""

    def expected(self, hours: float) -> float:
        """Expected failures on tour, wear included."""
        return self.count * self.rate * hours + self.worn(hours)

    def worn(self, hours: float) -> float:
        """Expected to wear out on tour."""
        return self.count * self.cycles * hours / self.life if self.life > 0.0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a kit.

    Attributes:
        item: What to carry.
        spares: How many.
        expected: Expected failures on tour.
        enough: Chance that so many are enough.
    """

    item: Item
    spares: int
    expected: float
    enough: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """A whole kit.

    Attributes:
        lines: What to carry, also the items of which none is needed.
        enough: Chance that the whole kit is enough.
        price: Of all of it.
        mass: Of all of it, in kg.
        reached: Whether the wanted confidence was reached within the limit.
    """

    lines: tuple[Line, ...]
    enough: float
    price: float
    mass: float
    reached: bool


def chance_enough(mean: float, spares: int) -> float:
    """Chance that demand does not exceed the spares: sum over k of e^-m m^k / k! (MIL-HDBK-338B eq. 5.58)."""
    if mean <= 0.0:
        return 1.0
    return min(sum(exp(k * log(mean) - mean - lgamma(k + 1.0)) for k in range(spares + 1)), 1.0)


def expected_rate(known: float, seen_hours: float) -> float:
    """Failures of one in an hour, from those that were counted, with Jeffreys' half a failure (from memory).

    Args:
        known: Failures seen.
        seen_hours: Hours in which they were seen, times how many were in use; above 0.
    """
    return (known + JEFFREYS) / seen_hours


def chance_enough_unsure(known: float, seen_hours: float, hours: float, spares: int) -> float:
    """The same when the rate itself is only known from a few failures: gamma prior, negative binomial demand.

    Args:
        known: Failures seen.
        seen_hours: Hours in which they were seen, times how many were in use.
        hours: Hours on tour, times how many are in use.
        spares: Spares carried.
    """
    shape = known + JEFFREYS
    p = seen_hours / (seen_hours + hours)
    return min(
        sum(
            exp(lgamma(shape + k) - lgamma(shape) - lgamma(k + 1.0) + shape * log(p) + k * log(1.0 - p))
            for k in range(spares + 1)
        ),
        1.0,
    )


def kit(
    items: Sequence[Item],
    *,
    hours: float,
    confidence: float = 0.95,
    limit: float = inf,
    by: Literal["price", "mass"] = "mass",
) -> Kit:
    """The cheapest or lightest kit that is enough at a confidence, or the best one within a limit.

    Starting from what is carried anyway, the spare that raises the confidence most for its price or mass is added.

    Args:
        items: What may have to be replaced.
        hours: Length of the tour in hours of use.
        confidence: Chance that the whole kit is enough, to be reached.
        limit: Most money or mass to spend.
        by: What is limited, and what a spare is weighed against.

    Raises:
        CalcError: The confidence is not between 0 and 1.
    """
    if not 0.0 < confidence < 1.0:
        raise CalcError(f"the confidence must lie between 0 and 1, got {confidence:g}")
    lines = [Line(item=item, spares=0, expected=item.expected(hours), enough=_enough(item, hours, 0)) for item in items]
    spent = 0.0
    for index, line in enumerate(lines):
        cost = line.item.price if by == "price" else line.item.mass
        for _ in range(line.item.least):
            if spent + cost <= limit:
                spent += cost
                more = lines[index].spares + 1
                lines[index] = replace(lines[index], spares=more, enough=_enough(line.item, hours, more))
    while _product(lines) < confidence:
        best, ratio = -1, 0.0
        for index, line in enumerate(lines):
            cost = line.item.price if by == "price" else line.item.mass
            if line.spares >= MOST_SPARES or spent + cost > limit:
                continue
            gain = log(max(_enough(line.item, hours, line.spares + 1), 1e-300)) - log(max(line.enough, 1e-300))
            value = gain / cost if cost > 0.0 else (inf if gain > 1e-12 else 0.0)
            if value > ratio:
                best, ratio = index, value
        if best < 0:
            break
        line = lines[best]
        spent += line.item.price if by == "price" else line.item.mass
        lines[best] = replace(line, spares=line.spares + 1, enough=_enough(line.item, hours, line.spares + 1))
    enough = _product(lines)
    return Kit(
        lines=tuple(lines),
        enough=enough,
        price=sum(line.spares * line.item.price for line in lines),
        mass=sum(line.spares * line.item.mass for line in lines),
        reached=enough >= confidence,
    )


def _enough(item: Item, hours: float, spares: int) -> float:
    if item.known is not None and item.seen_hours > 0.0:
        worn, seen = item.worn(hours), item.count * hours
        # So many fail by chance and the rest is enough for what wears out.
        fail = [chance_enough_unsure(item.known, item.seen_hours, seen, number) for number in range(spares + 1)]
        each = [fail[0], *(more - less for less, more in pairwise(fail))]
        return sum(share * chance_enough(worn, spares - number) for number, share in enumerate(each))
    return chance_enough(item.expected(hours), spares)


def _product(lines: Sequence[Line]) -> float:
    result = 1.0
    for line in lines:
        result *= line.enough
    return result
