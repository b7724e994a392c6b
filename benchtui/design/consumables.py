"""What the wiring of a unit uses up: sleeve, solder, crimp contacts, ties and labels, counted from the harness.

No design file lists these: they follow from its joints, contacts and wires. Each allowance is stated beside its line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.design.groups import spans
from benchtui.design.parts import Buying, Part
from benchtui.units import exact

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.bill import Unit
    from benchtui.design.model import Design
    from benchtui.design.wiring import WireRun

SLEEVES_MM: Final = (1.6, 2.4, 3.2, 4.8, 6.4, 9.5, 12.7)
"""Bores of 2:1 heat-shrink sleeve before shrinking, as sold (common series of 1/16 to 1/2 in, from memory)."""
SLIDES: Final = 1.1
"""A sleeve is wider than what it slides over by this share at least; an estimate."""
SLEEVE_M: Final = 0.015
"""m of sleeve for a joint: the lug, and 2 mm of insulation at least; the length is an estimate."""
SOLDER_MM: Final = 0.7
"""Diameter of the solder wire; common practice for lugs."""
SOLDER_EACH_MM: Final = 20.0
"""mm of solder wire for a joint; an estimate."""
DENSITY: Final = {"Sn63Pb37": 8.4, "Sn60Pb40": 8.5, "SAC305": 7.4, "Sn99.3Cu0.7": 7.3}
"""Of an alloy in g/cm³, from solder makers' tables, from memory."""
DENSEST: Final = 8.5
"""For an alloy that is not in the table."""
TIE_EVERY_M: Final = 0.1
"""m from tie to tie along a bundle, after one near each housing: every 75 to 100 mm (common practice)."""
SAMPLES: Final = 5
"""Crimps of each kind of wire that are pulled until they give, for each set-up (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """Something that one unit uses up.

    Attributes:
        part: What is bought; the design's own part where it names one.
        each: For one unit, in `unit`.
        unit: "m", "g", or empty for pieces.
        basis: What it is counted from, in a few words.
        note: The allowance, as a sentence with its source; empty for none.
    """

    part: Part
    each: float
    unit: Unit = ""
    basis: str
    note: str = ""


def joints(design: Design) -> tuple[int, int]:
    """Soldered joints of one unit: those at the lugs of the panel, and those of headers and small parts at the board.

    Two wires of a chain share the joint at their lug. A part that lies in a wire adds the joint at its free leg.
    """
    lugs: set[tuple[str, str]] = set()
    legs: set[tuple[str, str]] = set()
    stars: set[str] = set()
    for run in design.harness:
        if run.control:
            lugs.add((run.control, run.lug))
            if run.through:
                legs.add((run.control, run.role))
        if not run.connector and not run.neighbour and run.bus:
            stars.add(run.bus)  # a star's branches meet in one joint
    board = 0
    for connector in design.connectors:
        board += len(connector.pins)
        for pin in connector.pins.values():
            board += 2 * sum(bool(part) for part in (pin.through, pin.pull_up, pin.pull_down, pin.capacitor))
    board += 2 * sum(bool(each.capacitor) for each in design.multiplexers)
    return len(lugs) + len(legs) + len(stars), board


def consumables(design: Design) -> Iterator[Used]:
    """What one unit uses up, most used first thing first: sleeve, solder, contacts, ties, labels."""
    runs = design.harness
    if not runs:
        return
    lugs, board = joints(design)
    wire = max(c.outside.value for run in runs if (c := design.part(run.part).conductor) is not None) * 1000
    bore = next((size for size in SLEEVES_MM if size >= 2 * wire * SLIDES), SLEEVES_MM[-1])
    yield Used(
        part=_part(design, "sleeve", f"heat-shrink sleeve 2:1, {bore:g} mm before shrinking", 0.15, 1),
        each=lugs * SLEEVE_M,
        unit="m",
        basis=f"{lugs} joints",
        note=f"Sleeve: {SLEEVE_M * 1000:g} mm for each joint at a lug (estimate); its bore passes two wires.",
    )
    alloy = design.file.solder.alloy
    volume = math.pi / 4 * SOLDER_MM**2 * SOLDER_EACH_MM / 1000  # cm³
    yield Used(
        part=_part(design, "solder", f"solder wire {alloy}, {SOLDER_MM:g} mm", 0.5, 100),
        each=(lugs + board) * volume * DENSITY.get(alloy, DENSEST),
        unit="g",
        basis=f"{lugs + board} joints",
        note=f"Solder: {SOLDER_EACH_MM:g} mm of solder wire for each joint (estimate), {lugs} at lugs and {board} of "
        "headers and small parts; half as much again is lost on the tip (estimate).",
    )
    yield from _contacts(design)
    ends = 0
    for connector in design.connectors:
        here = [run.length for run in runs if run.connector == connector.id]
        if here:
            ends += 1 + math.ceil(round(max(here) / TIE_EVERY_M, 6))
    wired = len({run.control for run in runs if run.control})
    yield Used(
        part=_part(design, "tie", "cable tie, 2.5 mm wide", 0.1, 100),
        each=ends + wired,
        basis="the harness",
        note=f"Ties: one at each housing, one every {TIE_EVERY_M * 1000:g} mm, one where each control branches off "
        "(common practice).",
    )
    yield Used(
        part=_part(design, "wire-label", "wire label or marker sleeve", 0.1, 1),
        each=2 * len(runs),
        basis=f"{len(runs)} wires",
        note="Labels: both ends of each wire (common practice).",
    )


def _contacts(design: Design) -> Iterator[Used]:
    """Crimp contacts by the part that the connector names: one for each wire in a housing, and samples to pull."""
    found: dict[str, list[WireRun]] = {}
    for run in design.harness:
        if run.connector:
            ways = design.part(design.connector(run.connector).part).ways
            found.setdefault(ways.crimp if ways else "", []).append(run)
    for id, runs in found.items():
        housings = dict.fromkeys(run.connector for run in runs)
        wires = len({run.part for run in runs})
        part = design.part(id) if id else _part(design, "crimp-contact", "crimp contact for the housings", 0.15, 1)
        yield Used(
            part=part,
            each=len(runs) + SAMPLES * wires,
            basis=f"{spans(tuple(housings))}, {SAMPLES * wires} samples",
            note=f"Contacts: one for each wire in a housing, and {SAMPLES} samples of each kind of wire, which the "
            "pull test uses up (common practice).",
        )


def _part(design: Design, id: str, title: str, attrition: float, pack: int) -> Part:
    """Something the design does not list."""
    buying = Buying(attrition=exact(attrition, "ratio"), pack=pack, source="estimate")
    return Part(id=id, kind="hardware", title=title, buying=buying, place=design.file.place)
