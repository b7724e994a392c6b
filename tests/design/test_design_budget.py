"""What a design spends of its pins, inputs and currents, against the same figures worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from math import log

import pytest
from design.test_design_checks import MISTAKES, sown

from benchtui.design import load_design
from benchtui.design.budget import Spent, budget
from benchtui.design.checks import findings
from benchtui.design.model import Design
from benchtui.paths import shipped

FOLDER = shipped("procedures")


@pytest.fixture(scope="module")
def desk() -> Design:
    return load_design(FOLDER / "hollin-cue-desk" / "design.yaml")


def by_name(design: Design) -> dict[str, Spent]:
    return {each.what: each for each in budget(design)}


def test_pins_and_channels_are_counted(desk: Design) -> None:
    spent = by_name(desk)
    # By hand from the file: 36 pins, 4 kept (boot, lamp, two for USB); A3 and D29 are free.
    assert (spent["pins of the board"].figure, spent["pins of the board"].limit) == ("30", "32")
    # The common of the multiplexer and the two ribbons read a voltage.
    pins, channels = spent["analogue pins of the board"], spent["analogue channels, those of multiplexers included"]
    assert (pins.figure, pins.limit) == ("3", "4")
    # 8 faders, 6 rotary controls and 2 ribbons; 16 channels of M1, and the three pins that it does not take.
    assert (channels.figure, channels.limit) == ("16", "19")
    assert (spent["channels of M1"].figure, spent["channels of M1"].limit) == ("14", "16")


def test_lamps_draw_what_the_closed_form_says(desk: Design) -> None:
    """The diode equation, solved by going round: I = (rail - V(I)) / R, all at the end that draws the most.

    V(I) is the forward voltage of the sheet, less its share of the leads, plus n kT/q ln(I / I of the sheet); kT/q is
    25.85 mV at 300 K (CODATA 2018).
    """
    lamp = desk.control("L1")
    assert lamp.part.junction is not None
    entry = desk.connector_pin(lamp.connector, lamp.pins["anode"])
    assert entry is not None
    fixed = desk.part(entry.through).fixed
    assert fixed is not None and fixed.ohms is not None
    logic = desk.board.logic
    junction = lamp.part.junction
    given, series = junction.current.value, junction.series.value
    ohms = fixed.ohms.low + logic.output.low + series
    most = given
    for _ in range(50):
        forward = junction.forward.low - given * series + junction.slope * 0.02585 * log(most / given)
        most = (desk.rail.high - forward) / ohms
    one, all_on = by_name(desk)["one lamp, from its pin"], by_name(desk)["all lamps, from the chip"]
    assert one.share * logic.pin.value == pytest.approx(most, rel=0.001)
    assert all_on.share * logic.chip.value == pytest.approx(8 * one.share * logic.pin.value)


def test_all_on_draws_more_than_idle_and_each_line_has_its_source(desk: Design) -> None:
    spent = by_name(desk)
    port = "from a USB 2.0 port that has granted it"
    assert spent[f"the unit with all on, {port}"].share > spent[f"the unit idle, {port}"].share
    assert all(each.source and each.figure and each.limit for each in spent.values())
    assert all(0 < each.share <= 1 for each in spent.values())


def test_what_does_not_fit_has_a_share_above_one(desk: Design) -> None:
    power = replace(desk.file.power, declared=replace(desk.file.power.declared, value=0.05))
    greedy = replace(desk, file=replace(desk.file, power=power))
    assert by_name(greedy)["the unit with all on, of what it tells the computer"].share > 1


def test_the_check_and_the_budget_count_alike() -> None:
    """With one channel left the check's sentence has the two numbers of the budget's line, and its words."""
    full = sown(*next(row[1:3] for row in MISTAKES if row[0] == "no input left"))
    line = by_name(full)["analogue channels, those of multiplexers included"]
    told = [each.message for each in findings(full) if each.check == "pin-budget"]
    assert told == [f"{line.figure} of {line.limit} {line.what}, are used, and 1 left for a spare"]
    assert by_name(full)["analogue pins of the board"].limit == "3"


def test_a_small_box_without_analogue_inputs_has_no_line_for_them() -> None:
    spent = by_name(load_design(FOLDER / "foot-switch" / "design.yaml"))
    assert not any("analogue" in each for each in spent) and "pins of the board" in spent
