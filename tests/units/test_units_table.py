"""The unit table against pint's full registry, and how values are written."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import pint
import pytest

from benchtui.units import KINDS, format_band, format_number, format_value
from benchtui.units.conductor import awg_area, awg_number, awg_of_area, awg_text
from benchtui.units.registry import factor, from_kind, to_kind
from benchtui.units.table import units_of

NAMED = [(kind, name) for kind in KINDS if kind != "conductor" for name in units_of(kind)]


@pytest.fixture(scope="module")
def full() -> Any:
    """Pint's own registry with all its units, which knows nothing of our definition file."""
    registry: Any = pint.UnitRegistry()
    return registry


def _base(full: Any, kind: str) -> Any:
    words = {"degC": "degC", "ohm/m": "ohm/m", "dimensionless": "dimensionless"}
    unit = KINDS[kind].unit
    if kind == "temperature-difference":
        return full.parse_units("delta_degC")
    return full.parse_units(words.get(unit, unit))


@pytest.mark.parametrize(("kind", "name"), NAMED)
def test_each_unit_is_worth_what_pint_says(kind: str, name: str, full: Any) -> None:
    unit = units_of(kind)[name]
    if kind == "temperature":
        theirs = full.Quantity(100.0, unit.pint).to("degC").magnitude
        assert to_kind(100.0, unit, kind) == pytest.approx(theirs, rel=1e-12)
        assert from_kind(theirs, unit, kind) == pytest.approx(100.0, rel=1e-12)
        return
    expression = full.parse_expression(unit.pint)
    theirs = full.Quantity(expression).to(_base(full, kind)).magnitude
    assert to_kind(1.0, unit, kind) == pytest.approx(theirs, rel=1e-12), f"{name} of {kind}"
    assert from_kind(theirs, unit, kind) == pytest.approx(1.0, rel=1e-12)
    if unit.scale is not None:
        assert factor(unit.pint, kind) == pytest.approx(unit.scale, rel=1e-12)


def test_metric_text_is_read_without_pint() -> None:
    code = (
        "import sys\n"
        "from benchtui.units import parse\n"
        "for text, kind in [('10 kohm ±20 %', 'resistance'), ('7 mm', 'length'), ('0.5 N m', 'torque'),\n"
        "                   ('24 AWG', 'conductor'), ('70 degC', 'temperature'), ('5 %', 'ratio')]:\n"
        "    parse(text, kind)\n"
        "assert 'pint' not in sys.modules\n"
        "parse('1 in', 'length')\n"
        "assert 'pint' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


SHOWN = [
    (4700, "resistance", "4.7 kΩ"),
    (0.047, "resistance", "0.047 Ω"),
    (999.96, "resistance", "1 kΩ"),
    (1e-7, "capacitance", "100 nF"),
    (3.3, "voltage", "3.3 V"),
    (0.5, "torque", "0.5 N·m"),
    (24.9, "temperature", "24.9 °C"),
    (0.05, "ratio", "5 %"),
    (0.007, "length", "7 mm"),
    (0.000511, "length", "0.511 mm"),
    (3.0, "length", "3 m"),
    (0.5e-6, "area", "0.5 mm²"),
    (5400, "time", "90 min"),
    (28800, "time", "8 h"),
    (0.001 / 3600, "rate", "0.001/h"),
    (0.4, "mass", "400 g"),
    (8, "count", "8"),
    (0, "current", "0 A"),
    (-0.02, "current", "-20 mA"),
]


@pytest.mark.parametrize(("value", "kind", "text"), SHOWN)
def test_written_as_a_bench_reads_it(value: float, kind: str, text: str) -> None:
    assert format_value(value, kind) == text


def test_bands_and_numbers() -> None:
    assert format_band(8e3, 12e3, "resistance") == "8 kΩ to 12 kΩ"
    assert format_number(1234567.0) == "1234567"
    assert format_number(1 / 3, digits=3) == "0.333"
    assert format_number(1.5e-9) == "1.5e-9"


def test_awg_numbers() -> None:
    """ASTM B258: 36 AWG is 5 mil, 4/0 is 460 mil; 2/0 counts as -1."""
    assert [awg_number(text) for text in ("24 AWG", "AWG 2/0", "00 AWG", "4/0 AWG", "0.5 mm")] == [24, -1, -1, -3, None]
    assert awg_area(36) == pytest.approx(3.141592653589793 / 4 * (0.005 * 0.0254) ** 2)
    assert awg_area(-3) == pytest.approx(3.141592653589793 / 4 * (0.46 * 0.0254) ** 2, rel=1e-4)
    assert [awg_text(number) for number in (24, 0, -1, -3)] == ["24 AWG", "0 AWG", "2/0 AWG", "4/0 AWG"]
    assert awg_of_area(awg_area(24)) == pytest.approx(24)
