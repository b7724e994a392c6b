"""One amount in another unit of the same kind."""

from __future__ import annotations

from dataclasses import dataclass

from benchtui.errors import UnitError
from benchtui.units.amount import Amount
from benchtui.units.kinds import KINDS
from benchtui.units.parse import _squeeze, parse
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
    """Turn a typed amount into another unit of the same kind.

    Args:
        text: The amount, such as "12 lbf in".
        to: The unit wanted, such as "N m".

    Raises:
        UnitError: Either is not understood, or the two measure different things.
    """
    wanted = _squeeze(to.strip().replace("µ", "u").replace("μ", "u").replace("Ω", "ohm").replace("²", "2"))
    kinds = kinds_with(wanted)
    if not wanted or not kinds:
        raise UnitError(f"{to!r} is not a unit known here", hint="type a unit such as N m, mm or degF")
    first: UnitError | None = None
    for kind in kinds:
        try:
            amount = parse(text, kind)
        except UnitError as error:
            first = first or error
            continue
        return Converted(amount, from_kind(amount.value, units_of(kind)[wanted], kind), to.strip())
    words = " or ".join(KINDS[kind].phrase for kind in kinds)
    raise UnitError(
        f"{text.strip()!r} cannot be given in {to.strip()}, which measures {words}",
        hint=first.hint if first else "",
    )
