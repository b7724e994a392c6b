"""The words of every test point against the nodes its circuit is read at, and every feed of every bus by itself.

Words are taken apart here by a reader of its own, from the design's lists of lugs, wires and pins, and not by the
program's `points.places`: what a builder would touch after reading them has to be the node that was solved.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from design.test_design_shared_buses import TEXT, VARIANTS, design_in, variant
from helpers.outside_solver import every_reading, every_spec

from benchtui.design import load_design
from benchtui.design.circuit.elements import Open
from benchtui.design.circuit.readings import Highest, Quotient, Through, Volts
from benchtui.design.points.meter import error
from benchtui.design.points.places import place
from benchtui.design.testpoints import POINTS, expected, reading_of, spec_of
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.paths import shipped

if TYPE_CHECKING:
    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Design

FOOT_SWITCH = load_design(shipped("procedures") / "foot-switch" / "design.yaml")
DESIGNS = ["foot-switch", *VARIANTS]

LUG = re.compile(r"(\w+) lug (\w+)")
LEG = re.compile(r"(\w+) (?:resistor|diode), free leg")
PIN = re.compile(r"(\w+) pin (\w+)( at the board)? \(([^)]*)\)")
PLACE = re.compile(f"{PIN.pattern}|{LUG.pattern}|{LEG.pattern}|ground at the board")


def design_of(name: str) -> Design:
    return FOOT_SWITCH if name == "foot-switch" else variant(name)


def nodes_of(reading: Reading | None) -> list[set[str]]:
    """Pairs of nodes that a meter lies between."""
    if isinstance(reading, Volts):
        return [{reading.a, reading.b}]
    if isinstance(reading, Highest):
        return [pair for each in reading.readings for pair in nodes_of(each)]
    if isinstance(reading, Quotient):
        return nodes_of(reading.part) + nodes_of(reading.whole)
    return []


def touched(design: Design, words: str) -> list[str]:
    """Nodes that a builder touches who reads these words, in the order of the words."""
    found = []
    for match in PLACE.finditer(words):
        text = match.group()
        if text == "ground at the board":
            found.append("ground")
        elif leg := LEG.fullmatch(text):
            control = design.control(leg[1])
            line = "column" if control.column else "supply"
            assert any(run.through and run.role == line for run in wires(design, control.id)), text
            found.append(f"{control.id}.{line}.inline")
        elif at := LUG.fullmatch(text):
            lugs = design.control(at[1]).part.lugs
            found.append(f"{at[1]}.{next(role for role, lug in lugs.items() if lug.lug == at[2])}")
        else:
            pin = PIN.fullmatch(text)
            assert pin is not None
            entry = design.connector_pin(pin[1], pin[2])
            assert entry is not None
            run = next(run for run in wires(design, pin[1]) if run.pin == pin[2])
            assert set(pin[4].split(", ")) == {f"{run.colour} wire", entry.to.replace(" ", " channel ")}, text
            board = {"ground": "ground", "supply": "rail"}.get(entry.to, f"{pin[1]}.{pin[2]}.board")
            found.append(board if pin[3] else f"{pin[1]}.{pin[2]}")
    return found


LONG = pytest.mark.long
SOME = ["foot-switch", "chain", "all on one ring"]


@pytest.mark.parametrize("name", SOME)
def test_the_words_of_every_test_point_name_the_nodes_its_circuit_is_read_at(name: str) -> None:
    words_name_the_nodes(design_of(name))


@pytest.mark.long
@pytest.mark.parametrize(
    "name", [name for name in VARIANTS if name not in ("chain", "all on one star", "all on one ring")]
)
def test_the_words_of_every_way_to_run_the_buses_name_the_nodes(name: str) -> None:
    words_name_the_nodes(variant(name))


def words_name_the_nodes(design: Design) -> None:
    seen = set()
    for name, spec in every_spec(design):
        point, _, id = name.partition(" ")
        pairs = nodes_of(spec.reading)
        at = touched(design, spec.where)
        about = (point, id, spec.where)
        if point == "lamp-resistor":  # "across the resistor behind J6 pin 1 at the board": both its ends
            (red, black), (pin,) = pairs[0], at
            assert pin in (red, black), about
        elif isinstance(spec.reading, Through) or not pairs:
            assert spec.reading is None or point.endswith(("current", "code")), about
        else:
            assert [{red.node, black.node} for red, black in spec.probes] == pairs, about
            probes = {node for pair in pairs for node in pair}
            # Besides its probes `vref` names the pin that its bank is fed at.
            assert set(at[: len(at) - (point == "vref")]) == probes, about
            if "red on" in spec.where:
                assert at[:2] == [place_.node for place_ in spec.probes[0]], about
                assert (spec.where.index("red on")) < spec.where.index("black on")
        seen.add(point)
    kinds = {each.kind for each in design.controls}
    wanted = {point for point, entry in POINTS.items() if kinds & set(entry.applies_to)}
    assert wanted - seen <= {"ribbon-pull-down", "diode-forward", "diode-reverse"} | {
        point for point in wanted if not design.divider_banks
    }


def test_a_ribbon_behind_a_resistor_is_fed_at_the_leg_of_the_resistor() -> None:
    """The far end of the feed is the leg that the wire is soldered to; from the lug its 220 Ω would be read as well."""
    found = spec_of(variant("chain"), "feed-loop", "VE")
    assert "R2 resistor, free leg" in found.where
    assert "R2.supply.inline" in {place.node for pair in found.probes for place in pair}
    assert expected(variant("chain"), "feed-loop", "VE").high == pytest.approx(0.362, abs=0.002)


def test_a_node_that_no_probe_reaches_has_no_words() -> None:
    for node in ("star point of GA", "nowhere", "F1.nonsense", "J1.99", "F1.supply.inline"):
        with pytest.raises(DesignError):
            place(variant("chain"), node)


# Feeds.


def bus_wires(design: Design) -> list[tuple[str, str]]:
    return [(bus.id, run.id) for bus in design.buses for run in wires(design, bus.id)]


@pytest.mark.parametrize("name", ["foot-switch", "chain", "star", "ring", pytest.param("all on one star", marks=LONG)])
def test_every_open_wire_of_a_bus_fails_the_reading_of_its_feeds(name: str) -> None:
    """The required reading of assembly; a ring's second feed, and each branch of a star, as well as a chain."""
    design = design_of(name)
    tried = set()
    for bus, run in bus_wires(design):
        reading = reading_of(design, "feed-loop", bus)
        assert isinstance(reading, Volts | Highest)
        each = reading.readings if isinstance(reading, Highest) else (reading,)
        broken = [Volts(one.circuit.with_faults(Open(f"{run}.wire")), one.a, one.b, one.scale) for one in each]
        values = {n: q.nominal for n, q in reading.quantities.items()}
        worst = 0.0
        for one in broken:
            known = one.circuit.nodes()
            worst = max(worst, one.at(values)[0] if {one.a, one.b} <= known else float("inf"))
        assert worst > 1e6, (bus, run)
        tried.add(run)
    assert ("GA.back" in tried) == ("ring" in name)


def test_each_feed_of_a_ring_is_read_by_itself() -> None:
    """By hand: forth along the chain to F8; back along the return and then the chain, less its first wire, to F1."""
    design = variant("ring")
    found = expected(design, "feed-loop", "GA")
    assert "J1 pin 1 (ground, black wire) to F8 lug 1" in found.where
    assert "J1 pin 12 (ground, black wire) to F1 lug 1" in found.where
    assert found.where.endswith("J1 unplugged, each by itself, the highest counts")
    runs = {run.id: run for run in wires(design, "GA")}
    chain = [run for id, run in runs.items() if id != "GA.back"]
    forth = sum(run.length for run in chain) * 0.0859 + len(chain) * 2 * 0.005
    back = (runs["GA.back"].length + sum(run.length for run in chain[1:])) * 0.0859 + len(chain) * 2 * 0.005
    reading = reading_of(design, "feed-loop", "GA")
    assert isinstance(reading, Highest)
    values = {n: q.nominal for n, q in reading.quantities.items()}
    assert [each.at(values)[0] for each in reading.readings] == pytest.approx([forth, back], rel=1e-3)


def test_a_feed_may_have_two_tenths_of_an_ohm_and_what_the_meter_may_be_off() -> None:
    """0.2 Ω, common practice; a meter of 2000 counts: 0.8 % and 2 counts of 0.1 Ω, and 0.1 Ω left of its leads."""
    design = variant("chain")
    wide, narrow = expected(design, "feed-loop", "GA"), expected(design, "feed-loop", "GE")
    assert wide.high == pytest.approx(0.2 + 0.0016 + 0.2 + 0.1, abs=0.001)
    assert narrow.high is not None and wide.high is not None and narrow.high < wide.high
    assert any("0.2 Ω" in line and "common practice" in line for line in wide.working)
    assert any("100 mA" in line and "20 mV" in line for line in wide.working)
    # Fifteen lugs and more in a row come to more than that with good wire: the design is told, its units do not fail.
    long = expected(variant("all on one ring"), "feed-loop", "GA")
    assert long.high is not None and long.high > 0.8
    assert "thicker wire is better" in long.working[0]


# What a good unit reads passes.


@pytest.mark.parametrize("name", ["foot-switch", "ring"])
def test_a_good_desk_passes_every_reading(name: str) -> None:
    """Ordinary parts, and the meter off either way; the short form: the last of each kind."""
    design = design_of(name)
    last = {design.subject(each.id).kind: each.id for each in (*design.controls, *design.banks)}
    everything_passes(design, {*last.values(), *(bus.id for bus in design.buses)})


@pytest.mark.long
@pytest.mark.parametrize("name", VARIANTS)
def test_a_good_desk_passes_every_reading_whatever_its_buses(name: str) -> None:
    everything_passes(variant(name), None)


def everything_passes(design: Design, ids: set[str] | None) -> None:
    for name, reading in every_reading(design):
        point, _, id = name.partition(" ")
        if (id and ids is not None and id not in ids) or POINTS[point].kind == "count":
            continue
        found = expected(design, point, id or None)
        value = reading.at({n: q.nominal for n, q in reading.quantities.items()})[0]
        # A limit of practice stands as it is: there the unit itself has to pass, and the meter's error makes it near.
        off = error(design.meter, found.kind, value) if found.near is None else 0.0
        assert found.low is None or found.low <= max(value - off, 0.0) + 1e-12, (point, id)
        assert found.high is None or value + off <= found.high + 1e-12, (point, id)


@pytest.mark.parametrize(("id", "new", "worn"), [("T1", 0.02, 0.1), ("B1", 0.1, 0.2), ("E1", 3.0, 3.0)])
def test_a_new_contact_is_judged_by_its_sheet_and_an_old_one_by_practice(id: str, new: float, worn: float) -> None:
    """Sheets of the shipped parts; 0.2 Ω when new and 1 Ω with probes and leads are common practice."""
    design = variant("chain")
    meter = design.meter
    fresh, used = expected(design, "contact-new", id), expected(design, "contact-closed", id)
    assert fresh.high == pytest.approx(max(0.2, new))
    assert used.high == pytest.approx(max(1.0, worn + error(meter, "resistance", worn)), rel=6e-3)
    assert "new" in fresh.where and any("zeroed" in line for line in fresh.working)


def test_signal_to_supply_mirrors_signal_to_ground() -> None:
    """All at the middle, the same on both sides but for the wires; a bank of one bus has no second side."""
    design = variant("chain")
    both = [reading_of(design, f"signal-to-{net}", "F3") for net in ("ground", "supply")]
    values = [each.at({n: q.nominal for n, q in each.quantities.items()})[0] for each in both if each is not None]
    assert values[0] == pytest.approx(values[1], rel=2e-3)
    # 5 kΩ beside 5 kΩ and the other seven: 5 kΩ ∥ (5 kΩ + 10 kΩ / 7) = 2813 Ω, and the wiper's contact.
    assert values[0] == pytest.approx(5e3 * (5e3 + 10e3 / 7) / (10e3 + 10e3 / 7), rel=0.02)


@pytest.mark.parametrize(("id", "low", "high"), [("F1", (0, 1), (126, 127)), ("R2", (0, 1), (126, 127))])
def test_values_sent_once_the_ends_are_taught(id: str, low: tuple[int, int], high: tuple[int, int]) -> None:
    """The ends of a value of 7 bits, 0 and 127 (MIDI 1.0), and a step inwards."""
    lowest, highest = (expected(variant("chain"), f"sent-{end}", id) for end in ("lowest", "highest"))
    assert (lowest.low, lowest.high) == low and (highest.low, highest.high) == high
    assert lowest.where.endswith("its ends taught")


def test_a_fine_value_is_sent_to_its_ends() -> None:
    """14 bits: 0 to 16383 (MIDI 1.0); a step of 127 is 129 of them."""
    design = design_in(TEXT.replace("message: {controller: 20}", "message: {controller: 20, fine: yes}"))
    found = expected(design, "sent-highest", "F1")
    assert (found.low, found.nominal, found.high) == (16383 - 129, 16383, 16383)


def test_the_whole_rail_reads_no_less_than_its_greatest_current_stands_for() -> None:
    """All on, the desk draws some 0.1 A at 3.3 V: Ohm's law. Its 16 elements of 10 kΩ side by side are 625 Ω."""
    design = variant("chain")
    found, drawn = expected(design, "rail-ohms", None), expected(design, "all-on-current", None)
    assert found.nominal == pytest.approx(10e3 / 16)
    assert found.high is None and found.low is not None and drawn.high is not None and drawn.low is not None
    assert 3.3 / drawn.high * 0.95 - 1 < found.low < 3.3 / drawn.low
    assert found.low < found.nominal / 4
    assert expected(FOOT_SWITCH, "rail-ohms", None).nominal is None


def test_raw_values_are_read_where_they_are_shown() -> None:
    found = expected(variant("chain"), "lowest-code", "F1")
    assert found.where == "raw value of F1 in the set-up program, F1 at the lower stop"
