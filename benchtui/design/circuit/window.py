"""The window a reading falls into when every part may lie anywhere in its tolerance.

A node voltage of a resistive circuit moves one way only with each single resistance or source (it is a quotient of two
expressions that are linear in it), so the extremes lie at corners, where every quantity is at one end of its range. The
search walks from corner to corner by the sign of each slope, until no single change goes further. A quantity that
stands in two resistances at once, such as the element on both sides of a wiper, can have its extreme in between: its
slope is looked at from both ends, and where it turns the turning point is found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Protocol

from benchtui.design.circuit.readings import Highest

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.circuit.elements import Quantity, Values

_ROUNDS: Final = 12
_HALVINGS: Final = 20
_TURNING: Final = 4
"""Quantities looked at twice at most, widest first: those of the control that is read."""
_SMALL: Final = 0.002
"""Share of the whole window below which a quantity is not looked at twice."""


class Reading(Protocol):
    """Something that can be read, at any values of its quantities."""

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """What it may depend on."""
        ...

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The reading, and its slope with each quantity."""
        ...


@dataclass(frozen=True, slots=True)
class Window:
    """Where a reading lies.

    Attributes:
        low: With every part at its worst.
        nominal: With ordinary parts.
        high: With every part at its worst the other way.
        low_at: Values at the low corner.
        high_at: Values at the high corner.
        shares: (name, width) of what widens it most, widest first: slope times range, in the unit of the reading.
    """

    low: float
    nominal: float
    high: float
    low_at: Values
    high_at: Values
    shares: tuple[tuple[str, float], ...]


def window(reading: Reading) -> Window:
    """The window of a reading.

    Of the highest of several each end is the highest of theirs: with every part at its worst none of them is above the
    one, and at no values are all of them below the other.
    """
    if isinstance(reading, Highest):
        each = [window(one) for one in reading.readings]
        top, bottom, middle = (max(each, key=lambda found: getattr(found, end)) for end in ("high", "low", "nominal"))
        return replace(middle, low=bottom.low, low_at=bottom.low_at, high=top.high, high_at=top.high_at)
    quantities = reading.quantities
    ordinary = {name: each.nominal for name, each in quantities.items()}
    nominal, slopes = reading.at(ordinary)
    shares = sorted(
        ((name, abs(slope) * (quantities[name].high - quantities[name].low)) for name, slope in slopes.items()),
        key=lambda share: -share[1],
    )
    whole = sum(width for _, width in shares)
    turning = [name for name, width in shares if quantities[name].twice and width > _SMALL * whole][:_TURNING]
    low, low_at = _extreme(reading, slopes, -1, turning)
    high, high_at = _extreme(reading, slopes, +1, turning)
    return Window(min(low, nominal), nominal, max(high, nominal), low_at, high_at, tuple(shares))


def _extreme(
    reading: Reading, slopes: Mapping[str, float], way: int, turning: list[str]
) -> tuple[float, dict[str, float]]:
    """The furthest reading in one direction: a corner, but for quantities that turn in between."""
    best, at = _corner(reading, slopes, way)
    _, here = reading.at(at)
    for name in turning:
        each = reading.quantities[name]
        ends = {end: {**at, name: end} for end in (each.low, each.high)}
        other = each.high if at[name] == each.low else each.low
        value, there = reading.at(ends[other])
        slope_low, slope_high = (there, here) if other == each.low else (here, there)
        inward = slope_low.get(name, 0.0) * way > 0 > slope_high.get(name, 0.0) * way
        if inward:
            at = _turn(reading, at, name, way)
            best, here = reading.at(at)
        elif (value - best) * way > 0:
            best, at, here = value, ends[other], there
    return best, at


def _turn(reading: Reading, at: dict[str, float], name: str, way: int) -> dict[str, float]:
    """Where the slope with a quantity changes sign, by halving."""
    low, high = reading.quantities[name].low, reading.quantities[name].high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        _, slopes = reading.at({**at, name: middle})
        if slopes.get(name, 0.0) * way > 0:
            low = middle
        else:
            high = middle
    return {**at, name: (low + high) / 2}


def _corner(reading: Reading, slopes: Mapping[str, float], way: int) -> tuple[float, dict[str, float]]:
    """The corner that lies furthest in one direction, and the reading there."""
    quantities = reading.quantities
    best: tuple[float, dict[str, float]] | None = None
    for _ in range(_ROUNDS):
        corner = {
            name: (each.high if slopes.get(name, 0.0) * way > 0 else each.low) if slopes.get(name) else each.nominal
            for name, each in quantities.items()
        }
        value, slopes = reading.at(corner)
        if best is not None and (value - best[0]) * way <= 0:
            return best
        best = (value, corner)
        if all(not slope or corner[name] == _end(quantities[name], slope * way) for name, slope in slopes.items()):
            break
    assert best is not None
    return best


def _end(quantity: Quantity, way: float) -> float:
    return quantity.high if way > 0 else quantity.low
