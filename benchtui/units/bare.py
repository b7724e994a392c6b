"""A number with a bare prefix, as a meter's display shows it and people type it: "12m" of a voltage is 12 mV."""

from __future__ import annotations

from typing import Final

from benchtui.units.kinds import KINDS

PREFIXES: Final = "pnuµμmkKMG"
"""Letters typed behind a number for a multiple of the unit, which is left out."""

PREFIXED: Final = ("resistance", "voltage", "current", "capacitance", "frequency", "power")
"""Quantities where such a letter can be nothing else; "3m" of a length are metres."""


def is_bare(text: str) -> bool:
    """Whether a text is a number without any unit."""
    return bool(text) and all(character in "+-.,0123456789−" for character in text)


def with_symbol(text: str, kind: str) -> str:
    """The text with the symbol of its quantity, where it ends in a bare prefix; else unchanged.

    Args:
        text: What was typed, without blanks around it.
        kind: The quantity, of `KINDS`.
    """
    number, prefix = text[:-1].rstrip(), text[-1:]
    meant = kind in PREFIXED and prefix and prefix in PREFIXES and is_bare(number)
    return f"{number} {prefix}{KINDS[kind].symbol}" if meant else text
