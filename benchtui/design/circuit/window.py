"""The window a reading falls into when every part may lie anywhere in its tolerance.

A node voltage of a resistive circuit moves one way only with each single resistance or source (it is a quotient of two
expressions that are linear in it), so the extremes lie at corners, where every quantity is at one end of its range. The
search walks from corner to corner by the sign of each slope, until no single change goes further.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.circuit.elements import Quantity, Values

_ROUNDS: Final = 12


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
    """The window of a reading."""
    quantities = reading.quantities
    ordinary = {name: each.nominal for name, each in quantities.items()}
    nominal, slopes = reading.at(ordinary)
    low, low_at = _corner(reading, slopes, -1)
    high, high_at = _corner(reading, slopes, +1)
    shares = sorted(
        ((name, abs(slope) * (quantities[name].high - quantities[name].low)) for name, slope in slopes.items()),
        key=lambda share: -share[1],
    )
    return Window(min(low, nominal), nominal, max(high, nominal), low_at, high_at, tuple(shares))


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
