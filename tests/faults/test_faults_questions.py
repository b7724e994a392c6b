"""Questions put before a typed reading is judged: which unit, where the decimal point, and which bare numbers pass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import MODEL, demo, model_of

from benchtui.design import load_design
from benchtui.design.testpoints import POINTS, expected
from benchtui.errors import DesignError, UnitError
from benchtui.faults.points import points_of, side_of, unit_of, value_of
from benchtui.faults.questions import question
from benchtui.faults.target import target_of

if TYPE_CHECKING:
    from benchtui.design.testpoints import Expected


def point_of(control: str, test: str, name: str) -> Expected:
    design, _ = demo()
    found = next(each for each in model_of("control", control).tests if each.id == test)
    points = points_of(design, target_of(design, scope="control", subject=control), found)
    return next(point for point in points if point.point == name)


@pytest.mark.parametrize(
    ("control", "test", "name", "typed", "said"),
    [
        ("F1", "T11", "bank-ohms", "1200", "1.2 MΩ is about a thousand times more than the 989 Ω to 1.52 kΩ"),
        ("F1", "T12", "signal-mid", "1650", "1.65 kV is more than this unit can carry: 1.65 V or 1.65 kV?"),
        ("F1", "T12", "signal-mid", "165 V", "165 V is more than this unit can carry"),
        ("F1", "T12", "signal-mid", "16.5", "where is the decimal point?"),
        ("F1", "T14", "ground-lug", "3.3", "times the upper limit of 20.2 mV: 3.3 mV or 3.3 V?"),
        ("F1", "T14", "ground-lug", "-0.98 V", "-980 mV is below 0: are the probes exchanged"),
        ("F1", "T16", "element", "10000", "10 kΩ or 10 MΩ?"),
        ("F1", "T16", "element", "10 Mohm", "10 kΩ or 10 MΩ?"),
        ("F1", "T44", "rail-ohms", "0.6", "600 Ω or 0.6 Ω?"),
        ("B1", "T20", "diode-forward", "0.6", "600 mV or 600 µV?"),
        ("B1", "T20", "diode-forward", "600 V", "600 mV or 600 V?"),
        ("B1", "T20", "diode-reverse", "600", "600 mV or 600 V?"),
        ("E1", "T13", "pin-pressed", "3.3", "3.3 mV or 3.3 V?"),
    ],
)
def test_a_reading_that_may_be_a_slip_is_asked_about(control: str, test: str, name: str, typed: str, said: str) -> None:
    assert said in question(point_of(control, test, name), typed)


@pytest.mark.parametrize(
    ("control", "test", "name", "typed"),
    [
        ("F1", "T11", "bank-ohms", "1.2"),
        ("F1", "T11", "bank-ohms", "0.9k"),
        ("F1", "T11", "bank-ohms", "3 ohm"),
        ("F1", "T11", "bank-ohms", "OL"),
        ("F1", "T11", "bank-ohms", "0"),
        ("F1", "T12", "signal-mid", "3.3"),
        ("F1", "T14", "ground-lug", "3.3 V"),
        ("F1", "T14", "ground-lug", "3m"),
        ("F1", "T14", "supply-lug", "0.4"),
        ("F1", "T15", "wire-loop", "40"),
        ("F1", "T44", "rail-ohms", "0.6 ohm"),
        ("F1", "T32", "highest-code", "12"),
        ("B1", "T20", "diode-forward", "600"),
        ("B1", "T20", "diode-forward", "0.6V"),
        ("B1", "T20", "diode-reverse", "OL"),
        ("B1", "T20", "diode-forward", "300 mV"),
    ],
)
def test_what_a_fault_reads_is_not_asked_about(control: str, test: str, name: str, typed: str) -> None:
    assert not question(point_of(control, test, name), typed)


def test_nonsense_is_refused_before_any_question() -> None:
    with pytest.raises(UnitError):
        question(point_of("F1", "T11", "bank-ohms"), "x")


@pytest.mark.parametrize("id", ["hollin-cue-desk", "foot-switch"])
def test_a_bare_supply_voltage_is_never_healthy_where_millivolts_are(id: str) -> None:
    # An open ground reads 3.3 V: taken in microvolts or millivolts, it passed for a healthy one.
    design = load_design(MODEL.parents[1] / id / "design.yaml")
    seen = 0
    for control in design.controls:
        for name in POINTS:
            try:
                point = expected(design, name, control.id)
            except DesignError:
                continue
            if point.kind in ("voltage", "resistance"):
                assert not unit_of(point).startswith(("µ", "n")), (control.id, name)
            if point.kind == "voltage" and (point.high or 1.0) < 0.1:
                assert side_of(point, value_of(point, "3.3")) == "above", (control.id, name)
                seen += 1
    assert seen >= 2
