"""What the meter adds: its error at a value, by range, as its sheet gives it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.design.layout import Meter

TOP = 20e6
"""Highest ohms range of a common hand-held meter; beyond it reads OL."""


def error(meter: Meter, kind: str, value: float) -> float:
    """Largest error of a reading, in the unit of its kind; 0 for what no meter reads."""
    value = abs(value)
    if kind == "resistance":
        return value * meter.ohms.value + meter.ohms_counts * resolution(meter, value) + meter.leads.value
    if kind == "voltage":
        return value * meter.volts.value + meter.volts_count.value
    if kind == "current":
        return value * meter.amps.value + meter.amps_count.value
    return 0.0


def near_band(meter: Meter, kind: str, limit: float) -> float:
    """Width inside a limit where a reading is near it, for the meter could be off by as much.

    Half the limit at most: a meter too coarse for it must not call every reading near.
    """
    return min(error(meter, kind, limit), abs(limit) / 2)


def resolution(meter: Meter, ohms: float) -> float:
    """One count of the ohms range in use."""
    top = 0.1 * meter.counts
    while top < ohms and top < TOP:
        top *= 10
    return top / meter.counts


def words(meter: Meter, kind: str, value: float) -> str:
    """The error in words; empty for what no meter reads."""
    by = error(meter, kind, value)
    return f"the meter may be off by {format_value(by, kind, digits=2)} here ({meter.source})" if by else ""


def outward(value: float, *, up: bool, digits: int = 3) -> float:
    """A limit rounded away from the window to so many figures, so that what is printed is what is judged."""
    if value == 0 or not math.isfinite(value):
        return value
    step = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)
    steps = value / step
    nearest = round(steps)
    if abs(steps - nearest) < 1e-6:
        return float(f"{nearest * step:.12g}")
    return float(f"{(math.ceil(steps) if up else math.floor(steps)) * step:.12g}")
