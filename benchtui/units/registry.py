"""The only place that knows pint: one registry with a small definition file, built at its first use.

The full registry takes eighteen times as long to build and knows names that are plausible and wrong on a bench ("Nm" as
a textile number, "k" as Boltzmann's constant). No text a person typed ever reaches pint: `table.py` names the
expressions, and pint multiplies.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchtui.units.kinds import KINDS

if TYPE_CHECKING:
    from benchtui.units.table import UnitName


@cache
def registry() -> Any:
    """The one pint registry of this process."""
    import pint

    return pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), cache_folder=None)


def to_kind(value: float, unit: UnitName, kind: str) -> float:
    """A number in a named unit, in the unit of its kind."""
    if unit.scale is not None:
        # Fifteen digits drop the noise of the multiplication: 100 nF is 1e-07, not 1.0000000000000001e-07.
        return float(f"{value * unit.scale:.15g}")
    return float(_quantity(value, unit.pint).to(_base(kind)).magnitude)


def from_kind(value: float, unit: UnitName, kind: str) -> float:
    """A value in the unit of its kind, as a number of another unit."""
    found = _parsed(unit.pint)
    return float(_quantity(value, _base(kind)).to(found.units).magnitude / found.magnitude)


@cache
def factor(pint_unit: str, kind: str) -> float:
    """Pint's own factor from an expression of the table to the unit of a kind (not for temperatures)."""
    return float(_quantity(1.0, pint_unit).to(_base(kind)).magnitude)


def _quantity(value: float, expression: str) -> Any:
    # Temperatures have an offset, so a product with a unit would be refused; a quantity of the unit is not.
    found = _parsed(expression)
    return registry().Quantity(value * found.magnitude, found.units)


@cache
def _parsed(expression: str) -> Any:
    reg = registry()
    if expression.startswith("degree_") or expression == "kelvin":
        return reg.Quantity(1.0, expression)
    found = reg.parse_expression(expression)
    return found if hasattr(found, "units") else reg.Quantity(float(found))


def _base(kind: str) -> str:
    """The unit of a kind in pint's words."""
    words = {"degC": "degree_Celsius", "K": "kelvin", "Hz": "1/second", "deg": "degree", "W*h": "watt*hour",
             "A*h": "ampere*hour", "N*m": "newton*meter", "m**2": "meter**2", "ohm*m": "ohm*meter",
             "ohm/m": "ohm/meter", "m": "meter", "V": "volt", "A": "ampere", "W": "watt", "F": "farad",
             "s": "second", "N": "newton", "Pa": "pascal", "kg": "kilogram", "1/K": "1/kelvin",
             "J": "joule", "C": "coulomb", "W/K": "watt/kelvin", "K/W": "kelvin/watt"}  # fmt: skip
    unit = KINDS[kind].unit
    if kind == "temperature-difference":
        return "delta_degree_Celsius"
    return words.get(unit, unit)
