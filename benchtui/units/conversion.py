"""One amount in another unit of the same kind."""

from __future__ import annotations

from dataclasses import dataclass

from benchtui.errors import UnitError
from benchtui.units.amount import Amount
from benchtui.units.conductor import area_diameter, awg_of_area
from benchtui.units.kinds import KINDS
from benchtui.units.parse import parse, tidy_unit
from benchtui.units.registry import from_kind
from benchtui.units.table import kinds_with, units_of


@dataclass(frozen=True, slots=True)
class Converted:
    """A value in a unit that was asked for."""

    amount: Amount
    """What was given, in the unit of its kind."""
    value: float
    """The same in `unit`."""
    unit: str
    """The unit as the person wrote it."""


def convert(text: str, to: str) -> Converted:
    """Turn a typed amount into another unit of the same kind; a wire size also into mm², mm or AWG.

    Args:
        text: The amount, such as "12 lbf in".
        to: The unit wanted, such as "N m".

    Raises:
        UnitError: Either is not understood, or the two measure different things.
    """
    wanted = tidy_unit(to)
    kinds = (*kinds_with(wanted), *(("conductor",) if _is_wire_unit(wanted) else ()))
    if not wanted or not kinds:
        raise UnitError(f"{to.strip()[:40]!r} is not a unit known here", hint="type a unit such as N m, mm or degF")
    first: UnitError | None = None
    for kind in kinds:
        try:
            amount = parse(text, kind)
        except UnitError as error:
            if kind == "temperature" and _is_temperature(text):
                raise  # its tolerance was refused; read as a difference the answer would be another
            first = first or error
            continue
        return Converted(amount, convert_value(amount.value, kind, to), to.strip())
    words = " or ".join(KINDS[kind].phrase for kind in kinds)
    raise UnitError(
        f"{text.strip()[:40]!r} cannot be given in {to.strip()}, which measures {words}",
        hint=first.hint if first else "",
    )


def _is_temperature(text: str) -> bool:
    """Whether a text is a temperature but for its tolerance."""
    try:
        parse(text.split("±")[0].split("+/-")[0].split("+-")[0], "temperature")
    except UnitError:
        return False
    return True


def convert_value(value: float, kind: str, to: str) -> float:
    """A value in the unit of its kind, as a number of another unit of that kind.

    Args:
        value: In the unit of `kind`.
        kind: A key of `KINDS`.
        to: A unit `convert` has accepted for that kind.
    """
    wanted = tidy_unit(to)
    if kind != "conductor":
        # Twelve figures: what the computer adds beyond them is no part of the answer.
        return float(f"{from_kind(value, units_of(kind)[wanted], kind):.12g}")
    if wanted.upper() == "AWG":
        return awg_of_area(value)
    if wanted in units_of("area"):
        return from_kind(value, units_of("area")[wanted], "area")
    return from_kind(area_diameter(value), units_of("length")[wanted], "length")


def _is_wire_unit(wanted: str) -> bool:
    return wanted.upper() == "AWG" or wanted in units_of("area") or wanted in units_of("length")
