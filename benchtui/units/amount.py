"""A number with a unit and the band its tolerance spans."""

from __future__ import annotations

from dataclasses import dataclass, field

from benchtui.units.kinds import KINDS
from benchtui.units.show import format_value


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity in the unit of its kind (see `KINDS`), with the lowest and highest value its tolerance allows."""

    value: float
    kind: str
    low: float
    high: float
    text: str = field(default="", compare=False)
    """What the person typed; empty when it was computed."""

    @property
    def unit(self) -> str:
        """Unit of `value`, as in machine-readable results: "ohm", "N*m"."""
        return KINDS[self.kind].unit

    @property
    def exact(self) -> bool:
        """Whether no tolerance was given."""
        return self.low == self.high

    def __str__(self) -> str:
        return format_value(self.value, self.kind)


def exact(value: float, kind: str) -> Amount:
    """An amount without tolerance, `value` in the unit of its kind."""
    return Amount(value, kind, value, value)
