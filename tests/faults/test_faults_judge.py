"""Typed readings turned into the outcome of a test: over-range, bare numbers, values that no control sends, travels."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.errors import UnitError
from benchtui.faults.points import judge, points_of, unit_of
from benchtui.faults.target import target_of


def judged(control: str, test: str, *typed: str, scope: str = "control") -> tuple[str, int]:
    design, _ = demo()
    target = target_of(design, scope=scope, subject=control)
    found = next(each for each in model_of(scope, control).tests if each.id == test)
    answer = judge(found, points_of(design, target, found), typed)
    return answer.outcome, answer.missing


@pytest.mark.parametrize(
    ("test", "typed", "outcome"),
    [
        ("T32", ("0", "127"), "reaches"),
        ("T32", ("0", "0"), "stays-low"),
        ("T32", ("127", "127"), "stays-high"),
        ("T32", ("63", "64"), "odd"),
        ("T32", ("9", "127"), "short-low"),
        ("T32", ("0", "110"), "short-high"),
        ("T13", ("0.005 V", "1.65 V", "3.295 V"), "right"),
        ("T13", ("3.295 V", "1.65 V", "0.005 V"), "reversed"),
        ("T13", ("3.3 V", "3.3 V", "3.3 V"), "stuck"),
        ("T13", ("0", "2.4", "3.295"), "wrong"),
        ("T14", ("3.3 V", "0 V"), "right"),
        ("T14", ("0 V", "3.3 V"), "exchanged"),
        ("T14", ("0.4 V", "0 V"), "supply"),
        ("T14", ("3.3 V", "3.3 V"), "ground"),
    ],
)
def test_readings_of_one_travel_are_judged_together(test: str, typed: tuple[str, ...], outcome: str) -> None:
    assert judged("F3", test, *typed) == (outcome, 0)
    assert judged("F3", test, *typed[:-1])[0] == ""  # never before all of them are there


def test_over_range_is_a_reading_and_the_first_one_outside_decides() -> None:
    assert judged("F3", "T15", "OL") == ("bad", 0)
    assert judged("F3", "T15", "0.2") == ("good", 0)
    assert judged("B6", "T20", "OL") == ("open", 1)


@pytest.mark.parametrize("typed", ["128", "200", "-1", "63.5", "OL", "63 V", ""])
def test_a_value_that_no_control_sends_is_refused(typed: str) -> None:
    with pytest.raises(UnitError):
        judged("F3", "T32", typed)


def test_a_bare_number_is_in_volts_even_where_millivolts_are_healthy() -> None:
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    found = next(each for each in model_of("control", "F3").tests if each.id == "T13")
    assert {unit_of(point) for point in points_of(design, target, found)} == {"V"}
