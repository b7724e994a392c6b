"""Questions put before a typed reading is judged: a hunt reads things that are broken, so far off alone is no slip."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Final

from benchtui.faults.points import shown_unit, side_of, unit_of, value_of
from benchtui.units import format_band, format_value
from benchtui.units.bare import is_bare
from benchtui.units.slips import by_thousands, how_far, point_misplaced

if TYPE_CHECKING:
    from benchtui.design.testpoints import Expected

MOST_VOLTS: Final = 60.0
"""No voltage that may be touched is higher (IEC 62368-1, class ES1, direct voltage; from memory)."""


def question(point: Expected, typed: str) -> str:
    """A question to put before the reading is judged; empty when it is plausible.

    A healthy reading is asked about only where no unit carries it. One outside its limits is, when another prefix or
    another place of the decimal point would make it a healthy one; a bare number also when that comes near.

    Args:
        point: The test point.
        typed: What was typed.

    Raises:
        UnitError: It cannot be understood.
    """
    value = value_of(point, typed)
    if not value or not isfinite(value) or point.kind == "count":
        return ""
    bare = is_bare(typed.strip())
    meant = format_value(value / 1000.0, point.kind)
    shown = format_value(value, point.kind)
    if point.kind == "voltage" and abs(value) > MOST_VOLTS:
        return f"{shown} is more than this unit can carry: {meant} or {shown}?"
    side = side_of(point, value)
    if side == "inside":
        return ""
    if side == "negative":
        return f"{shown} is below 0: are the probes exchanged, or is the black one not on its place?"
    if bare and shown_unit(point) != unit_of(point):
        return f"{shown} {how_far(value, point.low, point.high, point.kind, point.text)}: {meant} or {shown}?"
    limits = format_band(point.low, point.high, point.kind) if point.low and point.high else point.text
    wanted = f"the {limits} that is healthy"
    healthy = point.nominal or (point.low + point.high) / 2 if point.low and point.high else point.nominal
    slipped = bare or _healthy_at(point, value, 1e3, 1e-3, 1e6, 1e-6)
    if point.low and healthy and slipped and (asked := by_thousands(value, healthy, point.kind, wanted)):
        return asked
    if point.low and point.high and _healthy_at(point, value, 10.0, 0.1):
        return point_misplaced(value, point.kind, how_far(value, point.low, point.high, point.kind, wanted))
    return ""


def _healthy_at(point: Expected, value: float, *factors: float) -> bool:
    """Whether the reading times one of these would be healthy, at a point with limits on both sides."""
    return bool(point.low and point.high) and any(side_of(point, value * each) == "inside" for each in factors)
