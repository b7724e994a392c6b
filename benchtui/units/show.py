"""Numbers as a bench reads them: engineering prefixes, and no more digits than the figure deserves."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import partial
from typing import Final

from benchtui.units.kinds import KINDS

_POWERS: Final = {"G": 9, "M": 6, "k": 3, ".": 0, "m": -3, "µ": -6, "n": -9, "p": -12}


def format_number(value: float, *, digits: int = 4, toward: int = 0) -> str:
    """A plain number with `digits` significant figures, trailing zeros cut, never in exponent form in daily range.

    Args:
        value: The number.
        digits: Significant figures.
        toward: Round to the nearest (0), never up (-1) or never down (1).
    """
    if toward and value and math.isfinite(value):
        value = _rounded_toward(value, digits, toward)
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    if not 1e-6 <= abs(value) < 1e9:
        mantissa, _, exponent = f"{value:.{digits - 1}e}".partition("e")
        return f"{mantissa.rstrip('0').rstrip('.') if '.' in mantissa else mantissa}e{int(exponent)}"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def format_value(value: float, kind: str, *, digits: int = 4) -> str:
    """A value in the unit of its kind as text: "4.7 kΩ", "0.5 N·m", "24.9 °C", "5 %".

    Args:
        value: In the unit of `kind`.
        kind: A key of `KINDS`.
        digits: Significant figures.
    """
    number, suffix = _scaled(value, kind, digits)
    return f"{number}{suffix}"


def format_band(low: float, high: float, kind: str, *, digits: int = 4) -> str:
    """Two ends of a band: "8 kΩ to 12 kΩ"."""
    return f"{format_value(low, kind, digits=digits)} to {format_value(high, kind, digits=digits)}"


def format_worst(low: float, high: float, kind: str, *, digits: int = 4) -> str:
    """Two ends of a worst case, rounded outwards, so that what is read holds all that can be.

    A narrow band gets as many figures as it takes to tell its ends apart: "9.999 kΩ to 10.001 kΩ".
    """
    widest = max(abs(low), abs(high))
    if low < high and math.isfinite(widest):
        digits = min(max(digits, 2 + math.ceil(math.log10(widest / (high - low)))), 9)
    below, low_unit = _scaled(low, kind, digits, -1)
    above, high_unit = _scaled(high, kind, digits, 1)
    return f"{below}{low_unit} to {above}{high_unit}"


def _rounded_toward(value: float, digits: int, toward: int) -> float:
    """The value with so many figures, on the asked side of it; what only the computer's last digit added is dropped."""
    step = Decimal(1).scaleb(math.floor(math.log10(abs(value))) - digits + 1)
    exact = Decimal(f"{value:.12e}")
    return float(exact.quantize(step, rounding=ROUND_FLOOR if toward < 0 else ROUND_CEILING))


def _scaled(value: float, kind: str, digits: int, toward: int = 0) -> tuple[str, str]:
    """The number and what follows it, space included."""
    show = partial(format_number, digits=digits, toward=toward)
    entry = KINDS[kind]
    if kind == "ratio":
        return show(value * 100), " %"
    if kind in ("area", "conductor"):
        return show(value * 1e6), " mm²"
    if kind == "time" and abs(value) >= 120:
        return (show(value / 3600), " h") if abs(value) >= 7200 else (show(value / 60), " min")
    if kind == "length" and 1e-5 <= abs(value) < 1:
        return show(value * 1e3), " mm"  # a bench thinks in mm, not in µm
    if kind == "rate" and abs(value) < 0.1:
        return show(value * 3600), "/h"
    if kind == "mass":
        value *= 1000  # the prefixes hang on the gram
    if not entry.prefixes:
        gap = "" if entry.symbol in ("", "°", "/s", "/K") else " "
        return show(value), gap + entry.symbol
    prefix = _prefix(value, entry.prefixes, digits)
    number = show(value / 10.0 ** _POWERS[prefix])
    return number, " " + prefix.replace(".", "") + entry.symbol


def _prefix(value: float, prefixes: str, digits: int) -> str:
    """The largest prefix that leaves at least 1 in front of the point, after rounding."""
    if value == 0 or not math.isfinite(value):
        return "."
    rounded = abs(float(f"{value:.{digits - 1}e}"))
    for prefix in prefixes:
        if rounded >= 0.999999999 * 10.0 ** _POWERS[prefix]:
            return prefix
    return prefixes[-1]
