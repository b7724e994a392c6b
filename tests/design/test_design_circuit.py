"""The circuit of a design against closed forms, the bank tables of the trade notes, numpy, and brute force."""

from __future__ import annotations

import itertools
import math
from functools import cache
from typing import TYPE_CHECKING

import pytest
from helpers.outside_solver import every_reading, read_outside, solve_outside
from helpers.spice import SIMULATOR, simulate

from benchtui.design import load_design
from benchtui.design.circuit.build import State, build, read_node
from benchtui.design.circuit.elements import (
    LEAST_OHMS,
    Bridge,
    Circuit,
    Injection,
    Open,
    Quantity,
    Resistor,
    Short,
    Source,
    Sum,
    Worse,
    just,
)
from benchtui.design.circuit.readings import Highest, Share, Volts, ohms
from benchtui.design.circuit.solve import solve
from benchtui.design.circuit.window import window
from benchtui.design.points import dividers
from benchtui.design.testpoints import POINTS, code_of, points_of, spec_of
from benchtui.errors import DesignError
from benchtui.paths import shipped

if TYPE_CHECKING:
    from pathlib import Path

    from helpers.outside_solver import Solver

    from benchtui.design.circuit.elements import Values
    from benchtui.design.circuit.window import Reading

DESK = load_design(shipped("procedures") / "hollin-cue-desk" / "design.yaml")
FOOT_SWITCH = load_design(shipped("procedures") / "foot-switch" / "design.yaml")
SHIPPED = {design.id: design for design in (DESK, FOOT_SWITCH)}


def agree(name: str, reading: Reading, values: Values, solver: Solver = solve_outside, *, least: float = 1e-6) -> None:
    # What is nothing but leakage and rounding, under 1 µV or 1 µΩ, is not compared by ratio.
    assert reading.at(values)[0] == pytest.approx(read_outside(reading, values, solver), rel=1e-3, abs=least), name


@cache
def readings_of(id: str) -> tuple[tuple[str, Reading], ...]:
    """Every test point of a shipped design that is read off a circuit."""
    return tuple(every_reading(SHIPPED[id]))


@pytest.mark.parametrize("id", SHIPPED)
def test_every_test_point_agrees_with_numpy(id: str) -> None:
    """To 0.1 %, with ordinary parts."""
    for name, reading in readings_of(id):
        agree(name, reading, {n: q.nominal for n, q in reading.quantities.items()})
    assert len({name for name, _ in readings_of(id)}) > (400 if id == DESK.id else 20)


@pytest.mark.parametrize("id", SHIPPED)
def test_no_test_point_is_left_out(id: str) -> None:
    """What a person is shown as the test points of each subject is what the checks go through."""
    design = SHIPPED[id]
    subjects = [each.id for each in (*design.controls, *design.banks, *design.buses)]
    shown = {f"{point} {each}" for each in subjects for point in points_of(design, each)}
    assert {name for name, _ in readings_of(id) if " " in name} <= shown
    outright = ("contact-open", "diode-reverse", "sent-", "lamp-forward")
    assert all(name.startswith(outright) for name in shown - {name for name, _ in readings_of(id)})


@pytest.mark.long
@pytest.mark.skipif(SIMULATOR is None, reason="ngspice is not installed")
@pytest.mark.parametrize("id", SHIPPED)
def test_every_test_point_agrees_with_a_circuit_simulator(id: str, tmp_path: Path) -> None:
    """To 0.1 %, with ordinary parts; ngspice shares nothing with the program but the netlist."""
    for name, reading in readings_of(id):
        agree(
            name,
            reading,
            {n: q.nominal for n, q in reading.quantities.items()},
            lambda circuit, values: simulate(circuit, tmp_path, values),
        )


@pytest.mark.skipif(SIMULATOR is None, reason="ngspice is not installed")
def test_a_test_point_of_each_kind_agrees_with_a_circuit_simulator(tmp_path: Path) -> None:
    for name, reading in kinds_of_reading():
        values = {n: q.nominal for n, q in reading.quantities.items()}
        agree(name, reading, values, lambda circuit, values: simulate(circuit, tmp_path, values))


@cache
def kinds_of_reading() -> list[tuple[str, Reading]]:
    """One test point of each kind on each kind of control, of both shipped designs."""
    seen: dict[tuple[str, str, str], tuple[str, Reading]] = {}
    for design in SHIPPED.values():
        for name, reading in readings_of(design.id):
            point, _, id = name.partition(" ")
            seen.setdefault((design.id, point, design.subject(id).kind if id else ""), (name, reading))
    return list(seen.values())


def test_windows_are_the_true_extremes_of_all_corners() -> None:
    """Every one of the corners of a small circuit, tried in turn."""
    for position in (0.0, 0.3, 0.5, 1.0):
        reading = Share(
            build(DESK, "E", state=State(positions={"R1": position, "R2": None}, reading="R1")),
            read_node(DESK, DESK.control("R1")),
            "rail",
        )
        names = [name for name, width in window(reading).shares if width > 1e-9][:10]
        corners = []
        for ends in itertools.product((0, 1), repeat=len(names)):
            values = {name: each.nominal for name, each in reading.quantities.items()}
            for name, end in zip(names, ends, strict=True):
                values[name] = (reading.quantities[name].low, reading.quantities[name].high)[end]
            corners.append(reading.at(values)[0])
        found = window(reading)
        assert found.low <= min(corners) + 1e-9
        assert found.high >= max(corners) - 1e-9
        assert found.low == pytest.approx(min(corners), abs=1e-3)  # what else there is hardly matters
        assert found.high == pytest.approx(max(corners), abs=1e-3)


def test_slopes_are_those_of_small_steps() -> None:
    for name, whole in kinds_of_reading():
        # The highest of several has a kink where two are equal; each of them is smooth.
        reading = whole.readings[-1] if isinstance(whole, Highest) else whole
        ordinary = {n: q.nominal for n, q in reading.quantities.items()}
        value, slopes = reading.at(ordinary)
        for quantity in list(slopes)[:6]:
            each = reading.quantities[quantity]
            step = max((each.high - each.low) * 1e-3, 1e-12)
            up = reading.at({**ordinary, quantity: ordinary[quantity] + step})[0]
            down = reading.at({**ordinary, quantity: ordinary[quantity] - step})[0]
            if abs(up - down) > 1e-9 * max(abs(value), 1e-6):
                assert slopes[quantity] == pytest.approx((up - down) / (2 * step), rel=2e-2), (name, quantity)


# Closed forms and the trade notes. A plain bank: N elements of 10 kΩ between a supply and a ground with a joint.


def bank_of(count: int, joint: float = 0.0, *, moved: float = 0.0) -> Circuit:
    """N potentiometers, the first at `moved` of its travel, the others in the middle; 3.3 V, a joint in the ground."""
    elements: list[Resistor | Source] = [Source("rail", "rail", "ground", Sum(3.3))]
    elements.append(Resistor("joint", "common", "ground", Sum(max(joint, LEAST_OHMS))))
    for number in range(count):
        share = moved if number == 0 else 0.5
        elements.append(Resistor(f"{number}.below", "common", f"{number}.wiper", Sum(share * 10e3)))
        elements.append(Resistor(f"{number}.above", f"{number}.wiper", "rail", Sum((1 - share) * 10e3)))
    return Circuit(elements=tuple(elements))


def steps(circuit: Circuit, node: str) -> float:
    solution = solve(circuit)
    return 127 * solution.between(node, "ground") / solution.between("rail", "ground")


@pytest.mark.parametrize(("joint", "value"), [(10, 2), (50, 9), (100, 18), (500, 56)])
def test_ground_joint_lifts_the_lowest_value_of_a_bank(joint: float, value: int) -> None:
    """trade.md 2: lowest value of a bank of 16 with a shared-ground joint."""
    assert round(steps(bank_of(16, joint), "0.wiper")) == value
    assert steps(bank_of(16, joint), "0.wiper") == pytest.approx(127 * joint / (joint + 10e3 / 16), rel=1e-3)


@pytest.mark.parametrize(("count", "ohms_"), [(8, 1250.0), (16, 625.0), (32, 312.5)])
def test_ohms_of_a_bank(count: int, ohms_: float) -> None:
    """trade.md 2: R/N, unpowered; one missing of 8 gives 1429 Ω, +14 %."""
    quiet = Circuit(elements=tuple(each for each in bank_of(count).elements if each.id not in ("rail", "joint")))
    reading = ohms(quiet, "rail", "common")
    assert reading.at({})[0] == pytest.approx(ohms_, rel=1e-3)
    if count == 8:
        lost = ohms(quiet.with_faults(Open("3.below")), "rail", "common")
        assert lost.at({})[0] == pytest.approx(1429, rel=1e-3)


def test_open_legs() -> None:
    """trade.md 2: V+ leg open reads 0 everywhere, GND leg open 127; 500 Ω in the GND leg reads 6 at the bottom."""
    assert steps(bank_of(8, moved=0.7).with_faults(Open("0.above")), "0.wiper") == pytest.approx(0, abs=0.01)
    assert steps(bank_of(8, moved=0.3).with_faults(Open("0.below")), "0.wiper") == pytest.approx(127, abs=0.01)
    worse = bank_of(8).with_faults(Worse("0.below", 500))
    assert round(steps(worse, "0.wiper")) == 6
    assert steps(worse, "1.wiper") == pytest.approx(steps(bank_of(8), "1.wiper"), abs=0.01)


@pytest.mark.parametrize(("leds", "value"), [(0.1, 0.4), (0.5, 1.9), (1.0, 3.8)])
def test_lamps_on_a_shared_ground(leds: float, value: float) -> None:
    """trade.md 2: 100 mA of lamps through a shared ground wire at 3.3 V, in steps of 127."""
    lamps = bank_of(1, leds).adding(Injection("lamps", "rail", "common", Sum(0.1)))
    assert steps(lamps, "0.wiper") == pytest.approx(value, abs=0.07)  # 1 Ω carries the bank's own 0.33 mA as well


def test_bridged_wipers() -> None:
    """trade.md 2: A swept, B at mid: both read 10 to 117 with 300 Ω ends, 1 to 126 with 30 Ω ends."""
    for end, low, high in ((300.0, 10, 117), (30.0, 1, 126)):
        for share, value in ((end / 10e3, low), (1 - end / 10e3, high)):
            both = bank_of(2, moved=share).with_faults(Bridge("0.wiper", "1.wiper", 0.01))
            assert round(steps(both, "0.wiper")) == value
            assert steps(both, "1.wiper") == pytest.approx(steps(both, "0.wiper"), abs=0.01)


def test_a_short_across_the_bank() -> None:
    quiet = Circuit(elements=tuple(each for each in bank_of(8).elements if each.id not in ("rail", "joint")))
    assert ohms(quiet.with_faults(Short("0.below"), Short("0.above")), "rail", "common").at({})[0] < 0.01


@pytest.mark.parametrize(("pull_down", "error"), [(10e3, 0.20), (100e3, 0.024), (1e6, 0.002)])
def test_ribbon_pull_down_at_mid(pull_down: float, error: float) -> None:
    """trade.md 2: error at mid of reading, 10 kΩ part: 20 %, 2.4 %, 0.2 %."""
    loaded = bank_of(1, moved=0.5).adding(Resistor("down", "0.wiper", "ground", Sum(pull_down)))
    assert 1 - steps(loaded, "0.wiper") / 63.5 == pytest.approx(error, abs=0.0006)


def test_ribbon_limiter_costs_the_top_steps() -> None:
    """trade.md 2: a series resistor of 470 Ω leaves 121, one of 220 Ω leaves 124."""
    for limiter, value in ((470.0, 121), (220.0, 124)):
        elements = (
            Source("rail", "rail", "ground", Sum(3.3)),
            Resistor("limiter", "rail", "top", Sum(limiter)),
            Resistor("element", "top", "ground", Sum(10e3)),
        )
        assert round(steps(Circuit(elements=elements), "top")) == value


def test_lamp_by_the_diode_law() -> None:
    """By hand: rail 3.3 V, 270 Ω + 40 Ω + 10 Ω, 2.0 V at 10 mA, n 2. At 4.502 mA the junction has 2.0 - 0.1 +
    2·25.852 mV·ln(0.4502) = 1.8587 V, and (3.3 - 1.8587) / 320 = 4.504 mA."""
    found = spec_of(DESK, "lamp-current", "L1").reading
    assert found is not None
    amps = found.at({n: q.nominal for n, q in found.quantities.items()})[0]
    junction = 2.0 - 0.1 + 2 * 0.025852 * math.log(amps / 0.010)
    assert amps == pytest.approx((3.3 - junction) / 320, rel=1e-3)
    assert amps == pytest.approx(4.502e-3, rel=1e-3)


def test_matrix_diodes_keep_buttons_apart() -> None:
    """Three corners of a rectangle held, the fourth (B6) read.

    trade.md 2: a shorted diode opposite the phantom, at the shared corner B1, makes it; at the other two it does not.
    The path is then two diodes long, 1.2 V, which a board with thresholds at 0.99 and 2.31 V may read either way.
    """
    held = State(pressed=frozenset({"B1", "B2", "B5"}), reading="B6")

    def row(*shorted: str) -> float:
        faults = tuple(Short(f"{button}.diode") for button in shorted)
        return solve(build(DESK, "C", state=held, faults=faults)).between("J3.2.board", "ground")

    assert row() > 0.7 * 3.3
    assert row("B2") > 0.7 * 3.3
    assert row("B5") > 0.7 * 3.3
    assert row("B1") < 0.5 * 3.3
    assert row(*(f"B{n}" for n in range(1, 17))) < 0.3 * 3.3


def test_codes() -> None:
    """trade.md 6: 30 Ω of 10 kΩ is code 0, 300 Ω is 4; a pair of 14 bits: 10 Ω is 16, 30 Ω 49, 100 Ω 164, 300 Ω 491."""
    fader = DESK.control("F1")
    assert code_of(DESK, fader, 0.003) == 0
    assert code_of(DESK, fader, 0.03) == 4
    assert code_of(DESK, fader, 0.5) == 64
    assert [round(16383 * each / 10e3) for each in (10, 30, 100, 300)] == [16, 49, 164, 491]


def test_faults_need_an_element() -> None:
    with pytest.raises(DesignError, match="no element"):
        build(DESK, "F1", faults=(Open("F1.nonsense"),))


def test_a_broken_ground_feed_ties_the_bank_high() -> None:
    """trade.md 2: with the shared ground open all read a steady 127."""
    state = State(positions={"F3": 0.0}, reading="F3")
    reading = Share(build(DESK, "A", state=state, faults=(Open("F1.ground.wire"),)), "M1.common", "rail")
    assert reading.at({n: q.nominal for n, q in reading.quantities.items()})[0] > 0.99


def test_share_at_mid_by_hand() -> None:
    """The ribbon R1 at mid: 5 kΩ beside 100 kΩ is 4761.9 Ω; above it 5 kΩ + 220 Ω: 4761.9 / 9981.9 = 47.7 %."""
    reading = dividers.share_of_rail(DESK, DESK.control("R1"), "mid")
    assert reading.at({n: q.nominal for n, q in reading.quantities.items()})[0] == pytest.approx(0.4770, abs=0.002)


def test_a_divider_of_two() -> None:
    quantity = Quantity(name="x", low=900, nominal=1000, high=1100, kind="resistance", what="x", source="test")
    circuit = Circuit(
        quantities={"x": quantity},
        elements=(
            Source("s", "top", "ground", Sum(10.0)),
            Resistor("a", "top", "mid", just("x")),
            Resistor("b", "mid", "ground", Sum(1000.0)),
        ),
    )
    found = window(Volts(circuit, "mid", "ground"))
    assert found.nominal == pytest.approx(5.0, rel=1e-5)
    assert found.low == pytest.approx(10 * 1000 / 2100, rel=1e-5)
    assert found.high == pytest.approx(10 * 1000 / 1900, rel=1e-5)


def test_every_point_of_the_table_is_read_somewhere() -> None:
    used = {name.partition(" ")[0] for name, _ in readings_of(DESK.id)}
    outright = {"contact-open", "diode-reverse", "strap", "panel-thickness", "vbus", "crimp-pull", "soak-temperature"}
    outright |= {"sent-lowest", "sent-highest", "rail-ohms", "board-current"}
    assert used | outright == set(POINTS)
