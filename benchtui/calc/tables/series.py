"""Preferred numbers, IEC 60063:2015 Tables 1 and 2, and picking from them."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache
from math import floor, log10
from typing import Final

SOURCE: Final = "IEC 60063:2015 Tables 1 and 2 (E192 from memory, by rule with the one exception 920)"

NAMES: Final = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")

E24: Final = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
"""Eight of these differ from the rounded geometric series, so they are written out; E12, E6 and E3 are every other."""

TOLERANCE: Final = {"E3": 0.4, "E6": 0.2, "E12": 0.1, "E24": 0.05, "E48": 0.02, "E96": 0.01, "E192": 0.005}
"""Tolerance a series was made for: its steps just meet at these (common practice)."""


@cache
def decade(series: str) -> tuple[int, ...]:
    """The numbers of one decade: two figures up to E24, three from E48 on.

    Args:
        series: One of `NAMES`.
    """
    count = int(series[1:])
    if count <= 24:
        return E24[:: 24 // count]
    # IEC 60063: 100 × 10^(i/N), rounded; 919 is printed as 920.
    rounded = tuple(round(100 * 10 ** (i / count)) for i in range(count))
    return tuple(920 if number == 919 else number for number in rounded)


def next_up(value: float, series: str) -> float:
    """The preferred value at or next above a positive value."""
    return _at(value, series, 0)


def next_down(value: float, series: str) -> float:
    """The preferred value at or next below a positive value."""
    up = _at(value, series, 0)
    return up if up <= value * (1 + 1e-9) else _at(value, series, -1)


def nearest(value: float, series: str) -> float:
    """The preferred value nearest by ratio, which is how parts are spaced."""
    up, down = next_up(value, series), next_down(value, series)
    return up if up * down <= value * value else down


def between(low: float, high: float, series: str) -> list[float]:
    """All preferred values from `low` to `high`."""
    found: list[float] = []
    value = next_up(low, series)
    while value <= high * (1 + 1e-9):
        found.append(value)
        value = next_up(value * (1 + 1e-6), series)
    return found


def _at(value: float, series: str, offset: int) -> float:
    """The number at or above the value (offset 0), or the one before that (offset -1)."""
    numbers = decade(series)
    first = numbers[0]
    exponent = floor(log10(value)) - len(str(first)) + 1
    scaled = value / 10.0**exponent
    # A hair of slack lets 4700.000000001 count as 4700.
    index = bisect_left(numbers, scaled * (1 - 1e-9)) + offset
    if index == len(numbers):
        index, exponent = 0, exponent + 1
    elif index < 0:
        index, exponent = len(numbers) - 1, exponent - 1
    return float(f"{numbers[index]}e{exponent}")
