"""Figures in the sentences of checks: three digits are enough to act on."""

from __future__ import annotations

from benchtui.units import format_number, format_value


def volts(value: float) -> str:
    """V as text."""
    return format_value(value, "voltage", digits=3)


def ohms(value: float) -> str:
    """Ω as text."""
    return format_value(value, "resistance", digits=3)


def amps(value: float) -> str:
    """A as text."""
    return format_value(value, "current", digits=3)


def mm(value: float) -> str:
    """mm as text, never in another unit: a panel is measured in mm."""
    return f"{format_number(value, digits=3)} mm"
