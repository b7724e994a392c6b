"""Readings that look like a slip of the prefix or of the decimal point, and the sentences that ask about it."""

from __future__ import annotations

from benchtui.units.show import format_value

_THOUSANDS = ((1e9, "a thousand million"), (1e6, "a million"), (1e3, "a thousand"))
_MILLI_OR_MEGA = 1e9
"""How far M, mega, is from m, milli: the one letter that is typed for the other."""


def by_thousands(value: float, expected: float, kind: str, wanted: str, *, named: str = "") -> str:
    """A question about a reading some thousand or million times off, such as "mV or V?"; empty for none.

    Args:
        value: The reading, in the SI unit of `kind`.
        expected: What a healthy one is, in the same unit; not 0.
        kind: The quantity, of `KINDS`.
        wanted: What it should be, in words.
        named: The reading in words; worked out when empty.
    """
    ratio = abs(value / expected)
    shown = named or format_value(value, kind)
    for power, words in _THOUSANDS:
        for factor in (power, 1 / power):
            if 0.2 <= ratio / factor <= 5:
                way = "times more than" if factor > 1 else "times less than"
                letters = " m is milli, M is mega." if power == _MILLI_OR_MEGA else ""
                meant = format_value(value / factor, kind)
                return f"{shown} is about {words} {way} {wanted}: {meant} or {shown}?{letters}"
    return ""


def point_misplaced(value: float, kind: str, far: str) -> str:
    """The question about a reading some ten times off.

    Args:
        value: The reading, in the SI unit of `kind`.
        kind: The quantity, of `KINDS`.
        far: How far off it is, such as "is about 10 times the upper limit of 2 kΩ".
    """
    return f"{format_value(value, kind)} {far}: where is the decimal point?"


def how_far(value: float, low: float | None, high: float | None, kind: str, wanted: str) -> str:
    """How far a reading lies beyond its limit, with that limit, which is the one that stands on the screen."""
    above = high is not None and value > high
    limit = high if above else low
    if not limit:
        return f"is far {'above' if above else 'below'} {wanted}"
    side, named = "upper" if above else "lower", format_value(limit, kind)
    times = abs(value / limit) if above else abs(limit / value)
    far = f"{times:.0f} times" if times >= 2 else f"{times:.1f} times"
    return f"is about {far}{'' if above else ' less than'} the {side} limit of {named}"
