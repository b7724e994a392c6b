"""A share of two readings, typed as "5.02k / 10.1k" and worked out by the program, so that nobody has to at the bench.

Both are kept as typed, and the share follows from them at any time (NUREG-0700 section 8: calculations are made by the
system, with their inputs shown).
"""

from __future__ import annotations

from benchtui.errors import UnitError
from benchtui.units import format_value, parse

KINDS = ("number", "resistance", "voltage")
"""Quantities one of which can be read over another of the same."""


def share(text: str) -> float:
    """The share of the first reading in the second.

    Raises:
        UnitError: One of the two cannot be understood, they are of different kinds, or the second is nought.
    """
    part, _, whole = (side.strip() for side in text.partition("/"))
    kind = next((kind for kind in KINDS if _is(part, kind) and _is(whole, kind)), "")
    if not kind:
        hint = "type both in the same unit, such as 5.02k / 10.1k"
        raise UnitError(f"{text.strip()!r} is not one reading over another", hint=hint)
    all_of_it = parse(whole, kind).value
    if not all_of_it:
        raise UnitError("nothing can be shared by nought", hint="type the part first, then the whole")
    return parse(part, kind).value / all_of_it


def share_text(text: str) -> str:
    """What was typed and what it comes to: "5.02k / 10.1k = 49.7 %"."""
    return f"{text} = {format_value(share(text), 'ratio', digits=3)}"


def _is(text: str, kind: str) -> bool:
    try:
        parse(text, kind)
    except UnitError:
        return False
    return True
