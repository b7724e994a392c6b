"""What the wiring uses up, counted by hand for the small box: eight wires, four controls, one housing of six ways."""

from __future__ import annotations

import re

import pytest

from benchtui.content.nodes import compose
from benchtui.design import load_design, read_design
from benchtui.design.bill import bill, bill_lines, bill_notes, length_text
from benchtui.design.consumables import joints
from benchtui.design.facts import facts
from benchtui.design.model import Design
from benchtui.design.reels import reels
from benchtui.design.wiring import bond_wire
from benchtui.paths import shipped

FOLDER = shipped("procedures")
BOX = load_design(FOLDER / "foot-switch" / "design.yaml")
DESK = load_design(FOLDER / "hollin-cue-desk" / "design.yaml")


def test_joints_are_lugs_pins_and_small_parts() -> None:
    """Four controls of two lugs each; a header of 6 pins and 4 resistors of two legs at the board."""
    assert joints(BOX) == (8, 6 + 4 * 2)
    # The desk: 8 + 6 + 2 dividers of 3 lugs, 16 buttons and 8 lamps of 2, toggles and encoder, and the free legs of
    # 16 diodes and 2 series resistors.
    toggles = len({(run.control, run.lug) for run in DESK.harness if run.control[0] in "TE"})
    assert joints(DESK)[0] == 16 * 3 + 24 * 2 + toggles + 16 + 2


def test_the_small_box_by_hand() -> None:
    """Three units: 3 × 8 joints of 15 mm; 3 × (6 contacts + 5 samples of each of 2 kinds of wire), and 15 % more,
    in packs of 50; 1 + 2 + 4 ties; both ends of 8 wires."""
    lines = {line.part.id: line for line in bill(BOX, units=3)}
    sleeve, contacts = lines["sleeve"], lines["crimp"]
    assert (sleeve.each, sleeve.unit, sleeve.buy) == (0.2, "m", 1)  # 120 mm, to the next tenth of a metre
    assert (contacts.each, contacts.build, contacts.buy) == (6 + 5 * 2, 48, 100)
    assert lines["tie"].each == 1 + 2 + 4  # its longest wire is 130 mm
    assert lines["wire-label"].each == 16
    # 22 joints × 20 mm of 0.7 mm wire = 169 mm³, at 8.4 mg/mm³ 1.4 g (to the next tenth, and a reel is 100 g)
    assert lines["solder"].each == pytest.approx(1.4, abs=0.11)
    assert lines["solder"].buy == 100


def test_wire_is_ordered_by_colour_and_gauge() -> None:
    lines = [line for line in bill(DESK, units=5) if line.colour]
    assert {(line.part.id, line.colour) for line in lines} == {(run.part, run.colour) for run in DESK.harness}
    for line, reel in zip(lines, reels(DESK), strict=True):
        assert reel.length <= line.each < reel.length + 0.1 + 1e-9
        assert line.buy >= 5 * reel.length * 1.15 and line.buy % 10 == 0  # 15 % lost, reels of 10 m
    bond = bond_wire(DESK)
    assert bond is not None
    assert sum(reel.length for reel in reels(DESK)) == pytest.approx(sum(run.length for run in (*DESK.harness, bond)))
    assert sum(len(reel.runs) for reel in reels(DESK)) == len(DESK.harness) + 1


def test_each_allowance_is_said_once_with_where_it_is_from() -> None:
    notes = bill_notes(bill(DESK))
    assert len(notes) == len(set(notes)) == 6
    assert all("estimate" in note or "common practice" in note for note in notes if re.search(r"\d+ mm", note))
    assert any(line.startswith("57 × crimp contact") for line in bill_lines(DESK))


def test_lengths_below_a_metre_are_in_mm() -> None:
    assert [length_text(value) for value in (0.06, 0.6, 1.0, 2.4)] == ["60 mm", "600 mm", "1 m", "2.4 m"]


def test_a_crimp_contact_that_is_no_part_is_refused() -> None:
    text = (
        (FOLDER / "hollin-cue-desk" / "design.yaml").read_text(encoding="utf-8").replace("crimp: crimp", "crimp: krimp")
    )
    node, _ = compose(text, file="design.yaml")
    assert node is not None
    _, problems = read_design(node, file="design.yaml")
    assert "part plug-10: crimp: there is no part 'krimp'" in [problem.message for problem in problems]


def test_the_pull_test_is_bought_for() -> None:
    """Five crimps of each kind of wire are pulled until they give, for each set-up (common practice)."""
    for design in (BOX, DESK):
        wires = {run.part for run in design.harness if run.connector}
        ends = sum(1 for run in design.harness if run.connector)
        assert {line.part.id: line.each for line in bill(design)}["crimp"] == ends + 5 * len(wires)


@pytest.mark.parametrize(("design", "length"), [(BOX, 130), (DESK, 210)])
def test_the_bonding_wire_is_cut_and_its_screw_has_a_nut(design: Design, length: int) -> None:
    """From the bonding hole along the edges to the ground point, with the slack of every wire: box (90, 90) to
    (60, 50), desk (220, 280) to (120, 230), 60 mm more, up to the next 10 mm."""
    run = bond_wire(design)
    assert run is not None and round(run.length * 1000) == length
    assert facts(design, None)["bond"] == f"{length} mm of black wire, 24 AWG"
    lines = {line.part.id: line for line in bill(design)}
    assert [lines[part].each for part in ("bond-screw", "star-washer", "nut-m3")] == [1, 1, 1]
    assert lines["nut-m3"].fitted == ("P5",)
    black = next(reel for reel in reels(design) if reel.colour == "black")
    assert "bond" in [each.id for each in black.runs]


def test_a_bonding_wire_of_a_part_that_is_no_wire_is_refused() -> None:
    text = (FOLDER / "foot-switch" / "design.yaml").read_text(encoding="utf-8")
    node, _ = compose(text.replace("bond-wire: {part: wire-24", "bond-wire: {part: foot"), file="design.yaml")
    assert node is not None
    _, problems = read_design(node, file="design.yaml")
    assert "panel: bond-wire: 'foot' is a hardware, and a wire belongs here" in [each.message for each in problems]
