"""Two banks on one ground or one supply, lamps on the ground of faders, and each way to run a bus.

Each design is the shipped desk with its buses changed. Every test point is compared with numpy (see
`helpers/outside_solver.py`) and, where it is installed, with ngspice; the rest are closed forms.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from helpers.outside_solver import every_reading, read_outside, solve_outside
from helpers.spice import SIMULATOR, simulate

from benchtui.content.nodes import compose
from benchtui.design import read_design
from benchtui.design.buses import circuits, joined
from benchtui.design.checks import findings
from benchtui.design.circuit.build import State, build
from benchtui.design.circuit.elements import Open
from benchtui.design.circuit.readings import Share
from benchtui.design.circuit.solve import solve
from benchtui.design.testpoints import expected, reading_of
from benchtui.design.wiring import stops, wires, wires_at
from benchtui.paths import shipped

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Design

TEXT = (shipped("procedures") / "hollin-cue-desk" / "design.yaml").read_text(encoding="utf-8")

STAR = [("(GA: .*)topology: chain", r"\1topology: star"), ("(VA: .*)topology: chain", r"\1topology: star")]
RING = [
    ("(GA: .*)topology: chain", r'\1topology: ring, back: "12"'),
    (r'"12": spare', r'"12": ground'),
]
ONE_GROUND = [("(  B: .*)ground: GB", r"\1ground: GA")]
ONE_SUPPLY = [("(  B: .*)supply: VB", r"\1supply: VA")]
LAMPS = [("(  L: .*)ground: GL", r"\1ground: GA")]
SWITCHES = [("(  D: .*)ground: GD", r"\1ground: GA")]

VARIANTS = {
    "chain": [],
    "star": STAR,
    "ring": RING,
    "two banks on one ground": ONE_GROUND,
    "two banks on one supply": ONE_SUPPLY,
    "two banks on both": ONE_GROUND + ONE_SUPPLY,
    "lamps on the ground of the faders": LAMPS,
    "lamps on a star": STAR + LAMPS,
    "toggles and encoder on the ground of the faders": SWITCHES,
    "all on one star": STAR + ONE_GROUND + ONE_SUPPLY + LAMPS + SWITCHES,
    "all on one ring": RING + ONE_GROUND + ONE_SUPPLY + LAMPS + SWITCHES,
}


@cache
def variant(name: str) -> Design:
    """The desk with its buses changed."""
    text = TEXT
    for pattern, replacement in VARIANTS[name]:
        text, count = re.subn(pattern, replacement, text, count=1)
        assert count == 1, pattern
    return design_in(text)


def design_in(text: str) -> Design:
    """The design that a text describes."""
    node, syntax = compose(text, file="design.yaml")
    assert node is not None and not syntax
    design, problems = read_design(node, file="design.yaml")
    assert design is not None, problems
    return design


def feed_of(design: Design, bus: str) -> Reading:
    """The reading of the feeds of a bus."""
    reading = reading_of(design, "feed-loop", bus)
    assert reading is not None
    return reading


def nominal(design: Design, point: str, id: str) -> float:
    """A reading with ordinary parts, in the unit of the point."""
    reading = reading_of(design, point, id)
    assert reading is not None
    return reading.at({name: each.nominal for name, each in reading.quantities.items()})[0]


@pytest.mark.parametrize("name", ["lamps on a star", "two banks on both", "all on one ring"])
def test_test_points_agree_with_numpy(name: str) -> None:
    """To 0.1 %, with ordinary parts; the short form: one point in forty, and those of the unit and of the buses."""
    design = variant(name)
    feeds = [(f"feed-loop {bus.id}", feed_of(design, bus.id)) for bus in design.buses if stops(design, bus.id)]
    for point, reading in [*every_reading(design, only=40), *feeds]:
        values = {n: q.nominal for n, q in reading.quantities.items()}
        outside = read_outside(reading, values, solve_outside)
        assert reading.at(values)[0] == pytest.approx(outside, rel=1e-3, abs=1e-6), point


@pytest.mark.long
@pytest.mark.parametrize("name", VARIANTS)
def test_every_test_point_agrees_with_numpy(name: str) -> None:
    """To 0.1 %, with ordinary parts: every test point of every way to run the buses."""
    for point, reading in every_reading(variant(name)):
        values = {n: q.nominal for n, q in reading.quantities.items()}
        outside = read_outside(reading, values, solve_outside)
        assert reading.at(values)[0] == pytest.approx(outside, rel=1e-3, abs=1e-6), point


@pytest.mark.long
@pytest.mark.skipif(SIMULATOR is None, reason="ngspice is not installed")
@pytest.mark.parametrize("name", VARIANTS)
def test_every_test_point_agrees_with_a_circuit_simulator(name: str, tmp_path: Path) -> None:
    for point, reading in every_reading(variant(name)):
        values = {n: q.nominal for n, q in reading.quantities.items()}
        outside = read_outside(reading, values, lambda circuit, drawn: simulate(circuit, tmp_path, drawn))
        assert reading.at(values)[0] == pytest.approx(outside, rel=1e-3, abs=1e-6), point


# What is joined, and every wire once.


def test_banks_on_one_bus_are_one_circuit() -> None:
    assert circuits(variant("chain")) == (("A",), ("B",), ("C",), ("D",), ("E",), ("L",))
    assert joined(variant("lamps on the ground of the faders"), "L") == ("L", "A")
    assert circuits(variant("all on one star")) == (("A", "B", "D", "L"), ("C",), ("E",))


@pytest.mark.parametrize("name", VARIANTS)
def test_every_wire_is_listed_once_and_reaches_its_connector(name: str) -> None:
    design = variant(name)
    runs = wires(design)
    assert len({run.id for run in runs}) == len(runs)
    for bus in design.buses:
        fed = [run for run in wires(design, bus.id) if run.connector]
        assert [run.pin for run in fed] == ([bus.back, bus.pin] if bus.topology == "ring" else [bus.pin] * bool(fed))


# Closed forms.


def test_twice_the_controls_on_both_buses_halve_the_ohms() -> None:
    """8 faders and 6 rotary controls of 10 kΩ: 10 kΩ / 14, and a few tenths of an ohm of wire."""
    both = variant("two banks on both")
    assert nominal(both, "bank-ohms", "A") == pytest.approx(10e3 / 14, rel=2e-3)
    assert nominal(both, "bank-ohms", "B") == nominal(both, "bank-ohms", "A")
    assert "14 elements side by side" in expected(both, "bank-ohms", "B").working[0]
    assert "J1 and J2 unplugged" in expected(both, "bank-ohms", "A").where


def test_a_shared_ground_alone_leaves_the_ohms_of_each_bank() -> None:
    """What hangs on one bus only carries no current of the meter."""
    design = variant("two banks on one ground")
    assert nominal(design, "bank-ohms", "A") == pytest.approx(10e3 / 8, rel=2e-3)
    assert nominal(design, "bank-ohms", "B") == pytest.approx(10e3 / 6, rel=2e-3)


def test_lamps_lift_the_ground_of_a_chain_by_hand() -> None:
    """All lamps on, the chain L1 ... L8, F1 ... F8: each wire carries the current of all lugs beyond it."""
    design = variant("lamps on the ground of the faders")
    on = frozenset(f"L{n}" for n in range(1, 9))
    solution = solve(build(design, "A", state=State(lamps=on)))
    order = [f"L{n}" for n in range(1, 9)] + [f"F{n}" for n in range(1, 9)]
    lamp = 4.49e-3  # A: what the lamps of the shipped desk draw, trade form (rail - forward voltage) / resistances
    amps = {id: lamp if id[0] == "L" else 3.3 / 10e3 for id in order}
    runs = {run.control: run for run in wires(design, "GA")}
    height = 0.01 * sum(amps.values())  # half of the 20 mΩ that a contact of J1 may have
    for number, id in enumerate(order):
        role = "cathode" if id[0] == "L" else "ground"
        height += (runs[id].length * 0.0859 + 2 * 0.005) * sum(amps[each] for each in order[number:])
        assert solution.between(f"{id}.{role}", "ground") == pytest.approx(height, rel=0.01), id
    # 4.6 mV, a sixth of a step of 127; the reference between the far lugs of the faders is less by as much.
    assert height == pytest.approx(4.6e-3, abs=0.1e-3)
    less = nominal(variant("chain"), "vref", "A") - nominal(design, "vref", "A")
    assert less == pytest.approx(height, rel=0.1)


def test_a_branch_of_a_star_carries_its_own_current_only() -> None:
    """Feed and contact carry all of it, 8 x 0.33 mA; a branch a tenth of a millivolt at most."""
    design = variant("star")
    solution = solve(build(design, "A", state=State()))
    runs = {run.id: run for run in wires(design, "GA")}
    own = 3.3 / 10e3
    common = 8 * own * (runs["GA.feed"].length * 0.0859 + 2 * 0.005 + 0.01)
    for number in (1, 4, 8):
        branch = own * (runs[f"F{number}.ground"].length * 0.0859 + 2 * 0.005)
        lug = solution.between(f"F{number}.ground", "ground")
        assert lug == pytest.approx(common + branch, rel=0.01)
        assert runs[f"F{number}.ground"].end == "star point of GA"


def test_the_feed_of_a_star_is_its_longest_branch() -> None:
    design = variant("star")
    runs = {run.id: run for run in wires(design, "GA")}
    longest = max(run.length for id, run in runs.items() if id != "GA.feed")
    ohms = (runs["GA.feed"].length + longest) * 0.0859 + 4 * 0.005
    assert nominal(design, "feed-loop", "GA") == pytest.approx(ohms, rel=1e-3)


def test_a_ring_halves_the_drop_and_survives_a_broken_leg() -> None:
    chain, ring = (solve(build(variant(name), "A")) for name in ("chain", "ring"))
    heights = [ring.between(f"F{n}.ground", "ground") for n in range(1, 9)]
    assert max(heights) < 0.55 * chain.between("F8.ground", "ground")
    first_half = heights[: heights.index(max(heights)) + 1]
    assert all(low < high for low, high in pairwise(first_half))  # it rises to the middle and falls again
    broken = solve(build(variant("ring"), "A", faults=(Open("F1.ground.wire"),)))
    assert broken.between("F8.ground", "ground") < 0.02


def test_wires_that_no_control_owns_are_cut_and_soldered_too() -> None:
    """The feed of a star with its first branch, the way back of a ring with its last lug; each in one place only."""
    for name, id, control in (
        ("star", "GA.feed", "F1"),
        ("ring", "GA.back", "F8"),
        ("all on one ring", "GA.back", "E1"),
    ):
        design = variant(name)
        at = [each.id for each in design.controls if id in {run.id for run in wires_at(design, each.id)}]
        assert at == [control]
        assert [bank.id for bank in design.banks if id in {run.id for run in wires(design, bank.id)}] == ["A"]
        groups = design.subjects("each bank, 6 wires at a time")
        cut = [run.id for group in groups for run in wires(design, group.id)]
        assert sorted(cut) == sorted(run.id for run in wires(design))


def test_an_open_feed_of_a_star_lifts_the_whole_bank() -> None:
    state = State(positions={"F3": 0.0}, reading="F3")
    circuit = build(variant("star"), "A", state=state, faults=(Open("GA.feed.wire"),))
    assert Share(circuit, "M1.common", "rail").at(circuit.nominal())[0] > 0.99


def test_the_unit_counts_each_element_once() -> None:
    """Whatever the buses, the same elements lie across the rail."""
    wanted = nominal(variant("chain"), "idle-current", "")
    for name in ("two banks on both", "all on one star", "all on one ring"):
        assert nominal(variant(name), "idle-current", "") == pytest.approx(wanted, rel=1e-3)


def test_lamps_are_off_where_they_share_a_ground() -> None:
    assert expected(variant("lamps on the ground of the faders"), "pin-low", "F1").where.endswith("all lamps off")
    assert "lamps" not in expected(variant("chain"), "pin-low", "F1").where


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in VARIANTS if not {"lamps", "all"} & set(name.split())])
def test_sharing_a_bus_is_no_mistake(name: str) -> None:
    assert findings(variant(name)) == ()


@pytest.mark.parametrize(("name", "steps"), [("lamps on the ground of the faders", "0.52"), ("lamps on a star", "")])
def test_lamps_on_a_shared_ground_are_told_with_their_figure(name: str, steps: str) -> None:
    """Every lamp at the 8 mA a pin gives: through the whole chain too much, through the feed of a star not."""
    told = [each.message for each in findings(variant(name)) if each.check == "ground-drop"]
    words = "bank A: its ground, which it shares with lamps, lifts the lowest value by up to {} steps of 127"
    assert told == ([words.format(steps)] if steps else [])
