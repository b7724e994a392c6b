"""Worst cases as text: what is read holds all that can be, and narrow bands can be told apart."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from benchtui.units import KINDS, format_number, format_worst, parse

PARSED = [kind for kind in KINDS if kind not in ("count", "conductor", "stored-energy")]


@pytest.mark.parametrize(
    ("low", "high", "kind", "text"),
    [
        (9999.0, 10001.0, "resistance", "9.999 kΩ to 10.001 kΩ"),
        (1.49834, 1.70111, "voltage", "1.498 V to 1.702 V"),
        (4653.0, 4747.0, "resistance", "4.653 kΩ to 4.747 kΩ"),
        (-0.00123456, 0.5, "current", "-1.235 mA to 500 mA"),
        (0.0, 0.05, "ratio", "0 % to 5 %"),
        (0.1 + 0.2, 0.4, "voltage", "300 mV to 400 mV"),
    ],
)
def test_a_worst_case_is_rounded_outwards(low: float, high: float, kind: str, text: str) -> None:
    assert format_worst(low, high, kind) == text


@pytest.mark.parametrize(
    ("value", "toward", "text"), [(1.00001, 1, "1.001"), (1.00999, -1, "1.009"), (-2.0001, -1, "-2.001")]
)
def test_a_number_can_be_rounded_to_one_side(value: float, toward: int, text: str) -> None:
    assert format_number(value, toward=toward) == text


@given(some.sampled_from(PARSED), some.floats(1e-9, 1e8), some.floats(1e-5, 3.0))
def test_what_is_read_holds_the_band(kind: str, low: float, width: float) -> None:
    high = low * (1 + width)
    below, _, above = format_worst(low, high, kind).partition(" to ")
    slack = 1e-9 * high
    assert parse(below, kind).value <= low + slack
    assert parse(above, kind).value >= high - slack
