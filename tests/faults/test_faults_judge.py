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
        ("T14", ("3.3 V", "3.3 V", "0 V"), "right"),
        ("T14", ("3.3 V", "0 V", "3.3 V"), "exchanged"),
        ("T14", ("3.3 V", "0.4 V", "0 V"), "supply"),
        ("T14", ("3.3 V", "3.3 V", "3.3 V"), "ground"),
    ],
)
def test_readings_of_one_travel_are_judged_together(test: str, typed: tuple[str, ...], outcome: str) -> None:
    assert judged("F3", test, *typed) == (outcome, 0)
    assert judged("F3", test, *typed[:-1])[0] == ""  # never before all of them are there


def test_over_range_is_a_reading_and_the_first_one_outside_decides() -> None:
    assert judged("F3", "T15", "OL") == ("bad", 0)
    assert judged("F3", "T15", "0.2") == ("good", 0)
    assert judged("B6", "T20", "OL") == ("open", 1)


@pytest.mark.parametrize(
    ("typed", "outcome"),
    [
        (("0.65 V", "OL"), "good"),
        (("0 V", "0 V"), "short"),
        (("0.3 V", "0.3 V"), "short"),
        (("OL", "OL"), "open"),
        (("0.52 V", "OL"), ""),  # a meter with less test current; the builder knows a Schottky from a short
        (("0.3 V", "OL"), ""),
        (("0.65 V", "0.65 V"), ""),
    ],
)
def test_a_diode_is_short_only_when_it_reads_low_both_ways(typed: tuple[str, str], outcome: str) -> None:
    assert judged("B6", "T20", *typed) == (outcome, 0)
    if typed[0] != "OL":
        assert judged("B6", "T20", typed[0]) == ("", 1)  # the first reading alone is no short


def test_a_reading_of_the_wrong_sign_is_never_healthy_and_blames_no_lug() -> None:
    # A black probe on a ground that is open reads so: K2 at a low stop, 977 mV below its own connector's pin.
    assert judged("F3", "T14", "3.3 V", "3.3 V", "-0.98 V") == ("", 0)
    assert judged("F3", "T12", "-0.98", "1.65", "3.3") == ("wrong", 0)
    for test, typed in (("T15", ("-5",)), ("T11", ("-1.2k",)), ("T14", ("3.3", "3.3", "-3.3"))):
        with pytest.raises(UnitError, match="below 0"):
            judged("F3", test, *typed)


def test_a_meter_may_show_a_little_below_nought_where_nought_is_healthy() -> None:
    assert judged("F3", "T14", "3.3 V", "3.3 V", "-5 mV") == ("right", 0)


def test_a_travel_that_goes_beyond_its_ends_reaches_them() -> None:
    # The ribbon's own window ends at 125: one that sends 127 does not stop short of the top.
    assert judged("R1", "T32", "0", "127") == ("reaches", 0)
    assert judged("R1", "T32", "0", "100") == ("short-high", 0)
    assert judged("R1", "T32", "20", "127") == ("short-low", 0)
    assert judged("R1", "T32", "20", "100") == ("short-high", 0)


def test_the_lowest_reading_of_a_sweep_leaves_it_to_the_builder_what_kind_of_short_it_is() -> None:
    assert judged("F3", "T44", "600 ohm") == ("sound", 0)
    assert judged("F3", "T44", "4 ohm") == ("", 0)


@pytest.mark.parametrize("typed", ["128", "200", "-1", "63.5", "OL", "63 V", ""])
def test_a_value_that_no_control_sends_is_refused(typed: str) -> None:
    with pytest.raises(UnitError):
        judged("F3", "T32", typed)


def test_a_bare_number_is_in_volts_even_where_millivolts_are_healthy() -> None:
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    found = next(each for each in model_of("control", "F3").tests if each.id == "T13")
    assert {unit_of(point) for point in points_of(design, target, found)} == {"V"}


@pytest.mark.parametrize(("scope", "subject", "test"), [("bank", "A", "T15"), ("control", "E1", "T39")])
def test_no_answer_names_a_limit_that_the_design_does_not_have(scope: str, subject: str, test: str) -> None:
    # The common wires of bank A are judged at half an ohm, the contact of E1 at 3.3 ohm, whatever holds elsewhere.
    design, _ = demo()
    found = next(each for each in model_of(scope, subject).tests if each.id == test)
    point = points_of(design, target_of(design, scope=scope, subject=subject), found)[0]
    assert point.high != 1.0
    assert not any("ohm" in outcome.text for outcome in found.outcomes)
    assert any("limit" in outcome.text for outcome in found.outcomes)


@pytest.mark.parametrize(
    ("typed", "outcome"),
    [
        (("3.30", "3.24", "0.002"), "supply"),  # 60 mV are lost on the way: within the supply's own tolerance, and bad
        (("3.21", "3.20", "0.002"), "right"),
        (("3.40", "3.30", "0.002"), "supply"),
        (("3.40", "3.39", "0.002"), "right"),
        (("3.30", "0.001", "3.29"), "exchanged"),
        (("3.30", "3.30", "0.06"), "ground"),
        (("0.4", "0.4", "0"), "supply"),  # the supply itself is down, so its own limits hold
    ],
)
def test_a_lug_is_held_against_the_supply_just_read(typed: tuple[str, ...], outcome: str) -> None:
    assert judged("F3", "T14", *typed) == (outcome, 0)
    assert judged("F3", "T14", typed[0]) == ("", 2)


def test_the_page_says_what_a_lug_is_held_against() -> None:
    design, _ = demo()
    for control, said in (
        ("F3", "no more than 43 mV below the first reading"),
        ("R1", "no more than 116 mV below the first reading"),
    ):
        target = target_of(design, scope="control", subject=control)
        found = next(each for each in model_of("control", control).tests if each.id == "T14")
        assert points_of(design, target, found)[1].text == said
