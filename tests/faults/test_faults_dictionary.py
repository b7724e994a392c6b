"""Faults from the design's circuit: solved the same outside, and saying what the trade notes' tables say."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import shipped_model
from helpers.outside_solver import defined_nodes, solve_outside
from helpers.spice import SIMULATOR, simulate

from benchtui.design import load_design
from benchtui.design.circuit.build import State, build
from benchtui.design.circuit.elements import Bridge, Worse
from benchtui.design.circuit.readings import ohms
from benchtui.design.circuit.solve import solve
from benchtui.design.parts import DIVIDERS
from benchtui.faults.broken import changed
from benchtui.faults.dictionary import MEASURES, answer
from benchtui.faults.from_design import model_for, spots
from benchtui.faults.probing import Bench
from benchtui.faults.reading import check_model
from benchtui.faults.spots import Channels, Spot
from benchtui.faults.target import Target, target_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.circuit.elements import Circuit
    from benchtui.design.model import Design

FOLDER = Path(__file__).resolve().parents[2] / "procedures"


@cache
def design() -> Design:
    return load_design(FOLDER / "hollin-cue-desk" / "design.yaml")


@cache
def bench() -> Bench:
    return Bench(design())


def target(scope: str, subject: str) -> Target:
    return target_of(design(), scope=scope, subject=subject)


def spot(scope: str, subject: str, id: str) -> Spot:
    return next(each for each in spots(design(), target(scope, subject), shipped_model()) if each.id == id)


def likeliest(scope: str, subject: str, id: str, measure: str) -> str:
    found = answer(bench(), target(scope, subject), spot(scope, subject, id), measure)
    assert found is not None
    return max(found, key=lambda outcome: found[outcome])


def meter_nodes(member: str) -> tuple[str, str]:
    """The first and the last lug of a control."""
    roles = list(design().control(member).part.lugs)
    return f"{member}.{roles[0]}", f"{member}.{roles[-1]}"


def every_spot() -> Iterator[Spot]:
    """Every fault of the desk's circuit."""
    for control in design().controls:
        yield from spots(design(), target("control", control.id), shipped_model())
    for bank in design().banks:
        yield from spots(design(), target("bank", bank.id), shipped_model())


def every_faulty_circuit(*, every_control: bool = False) -> Iterator[tuple[str, Circuit]]:
    """Each spot of one control of each kind and of each bank, at both stops and the middle, powered and not.

    Of the matrix, whose sixteen diodes take time, every fourth spot. With `every_control` each spot of the whole desk.
    """
    few = ("F3", "F8", "K1", "R1", "B6", "T1", "E1", "L2")
    subjects = [("control", each.id) for each in design().controls if every_control or each.id in few]
    subjects += [("bank", bank.id) for bank in design().banks]
    for scope, subject in subjects:
        bank = design().control(subject).bank if scope == "control" else subject
        member = subject if scope == "control" else design().members(bank)[0].id
        for state in (
            State(positions={member: 0.0}, reading=member),
            State(positions={member: 1.0}, pressed=frozenset({member}), lamps=frozenset({member}), reading=member),
            State(powered=False, plugged=False, positions={member: 0.25}),
        ):
            if not state.powered and design().control(member).kind not in DIVIDERS:
                continue  # ohms across an open contact are no reading
            healthy = build(design(), bank, state=state)
            step = 4 if subject == "C" and not every_control else 1
            for each in spots(design(), target(scope, subject), shipped_model())[::step]:
                circuit = healthy
                for change in each.changes:
                    circuit = changed(circuit, change, powered=state.powered)
                if not state.powered:  # a meter's current through the first control, or there is nothing to solve
                    circuit = ohms(circuit, *meter_nodes(member)).circuit
                if not any(isinstance(change, Channels) for change in each.changes):
                    yield f"{subject} {each.id} {'on' if state.powered else 'off'}", circuit


@pytest.mark.parametrize("lug", ["supply", "ground"])
def test_an_element_is_whole_behind_a_bad_joint_at_its_lug(lug: str) -> None:
    # Common practice: with the probes on the lugs and a lead off, the element alone is read, whatever its joints are.
    bad = spot("control", "F3", f"F25@F3.{lug}")
    read = bench().point(bad, "element", "F3")
    assert read is not None
    assert read.value == pytest.approx(10e3, rel=0.01)
    assert likeliest("control", "F3", f"F25@F3.{lug}", "element-ohms") == "good"


def test_every_faulty_circuit_agrees_with_an_outside_solver() -> None:
    # numpy's linear algebra on full modified nodal analysis, see helpers/outside_solver.py; 0.1 % asked for.
    checked = 0
    for name, circuit in every_faulty_circuit():
        inside, outside = solve(circuit).volts, solve_outside(circuit)
        for node in defined_nodes(circuit, outside):
            assert inside[node] == pytest.approx(outside[node], rel=1e-3, abs=1e-4), f"{name}: {node}"
        checked += 1
    assert checked > 250


@pytest.mark.long
@pytest.mark.skipif(SIMULATOR is None, reason="ngspice is not installed")
def test_every_faulty_circuit_agrees_with_a_circuit_simulator(tmp_path: Path) -> None:
    # 5 mV: its diodes also block with their saturation current, which ours leave out and no meter sees.
    checked = set()
    for name, circuit in every_faulty_circuit(every_control=True):
        checked.add(name.split()[1])
        inside, outside = solve(circuit).volts, simulate(circuit, tmp_path)
        for node in defined_nodes(circuit, outside, below=1e6):
            assert inside[node] == pytest.approx(outside[node], rel=1e-3, abs=5e-3), f"{name}: {node}"
    assert checked == {each.id for each in every_spot() if not isinstance(each.changes[0], Channels)}
    assert len(checked) > 500


@pytest.mark.parametrize(
    ("subject", "id", "measure", "outcome"),
    [
        # Trade notes section 2, rows of the powered pot: V+ leg open reads 0 everywhere, GND leg open 127.
        ("F3", "F25@F3.supply", "ends", "stays-low"),
        ("F3", "F25@F3.ground", "ends", "stays-high"),
        ("F3", "F25@F3.ground", "end-volts", "ground"),
        # The wiper open floats; the lead open leaves the lug right and the pin wrong.
        ("F3", "F24@F3.wiper", "ends", "odd"),
        ("F3", "F24@F3.wiper", "lug-volts", "stuck"),
        ("F3", "F21@F3.signal.open", "pin-volts", "stuck"),
        ("F3", "F21@F3.signal", "lug-volts", "right"),
        ("F3", "F21@F3.signal", "wire-ohms", "bad"),
        # Ends swapped: backwards, otherwise perfect.
        ("F3", "F26@F3", "direction", "reversed"),
        ("F3", "F26@F3", "ends", "reaches"),
        ("F3", "F26@F3", "end-volts", "exchanged"),
        # Wiper and end swapped, and a bridge from wiper to an end: found by sweeping V+ to GND without power.
        ("F3", "F27@F3.ground", "swept-ohms", "moves"),
        ("F3", "F27@F3.ground", "end-volts", "right"),
        ("F3", "F45@F3.ground", "swept-ohms", "moves"),
        ("F3", "F45@F3.supply", "ends", "stays-high"),
        # Two wipers bridged are twins; a wrong value shows in the ohms.
        ("F3", "F30@J1.5-6", "others", "twin"),
        ("F3", "F49@F3.low", "element-ohms", "low"),
        ("F3", "F49@F3.high", "element-ohms", "high"),
        ("F3", "F49@F3.low", "swept-ohms", "low"),
        # A channel cut off behind its pin: volts perfect, value at random (trade notes 3.2, F40).
        ("F3", "F40@M1.2", "ends", "odd"),
        ("F3", "F40@M1.2", "pin-volts", "right"),
        ("F3", "F40@M1.2", "lug-volts", "right"),
        ("F3", "F40@M1.2", "rest", "chatters"),
        # Matrix: an open diode kills its button, a short one reads nearly nothing.
        ("B6", "F33@B6.diode", "messages", "silent"),
        ("B6", "F33@B6.diode", "diode", "open"),
        ("B6", "F34@B6.diode", "diode", "short"),
        ("B6", "F34@B6.diode", "messages", "messages"),
        # Switches and lamps.
        ("T1", "F46@T1.stuck", "contact-ohms", "closed"),
        ("T1", "F45@T1.ground", "messages", "silent"),
        ("L2", "F39@L2.reversed", "lamp-lights", "dark"),
        ("L2", "F39@L2.reversed", "lamp-diode", "lights"),
        ("L2", "F39@L2.open", "lamp-diode", "dead"),
        ("L2", "F39@L2.short", "lamp-lights", "dark"),
    ],
)
def test_a_control_shows_what_the_trade_notes_say(subject: str, id: str, measure: str, outcome: str) -> None:
    assert likeliest("control", subject, id, measure) == outcome


@pytest.mark.parametrize(
    ("bank", "id", "measure", "outcome"),
    [
        ("A", "F11@F1.supply", "ends", "stays-low"),
        ("A", "F12@F1.ground", "ends", "stays-high"),
        ("A", "F13@F1.ground", "ends", "short-low"),
        ("A", "F13@F1.supply", "ends", "short-high"),
        ("A", "F14@J1", "swept-ohms", "high"),
        ("A", "F16@M1", "ends", "odd"),
        ("A", "F16@M1", "rest", "chatters"),
        ("A", "F16@M1", "pin-volts", "right"),
        ("A", "F15@S0-stuck-low", "repeats", "repeats"),
        ("A", "F15@S0-stuck-low", "others", "twin"),
        ("A", "F15@S0-and-S1-exchanged", "repeats", "own"),
        ("C", "F17@B5.row", "messages", "silent"),
        ("D", "F51@T1.common", "messages", "silent"),
        # A common return that is resistive: the switches are no longer pulled low, the lamps hardly light.
        ("D", "F51@T1.common.resistive", "messages", "silent"),
        ("D", "F51@T1.common.resistive", "wire-ohms", "bad"),
        ("L", "F51@L1.cathode.resistive", "lamp-lights", "dark"),
    ],
)
def test_a_bank_shows_what_the_trade_notes_say(bank: str, id: str, measure: str, outcome: str) -> None:
    assert likeliest("bank", bank, id, measure) == outcome


@pytest.mark.parametrize("joint", [10.0, 50.0, 100.0, 500.0])
def test_lowest_value_of_a_bank_with_a_resistive_ground(joint: float) -> None:
    # Trade notes section 2 (closed form): every value is lifted by Rg / (Rg + R/N) of full scale.
    control = design().control("F1")
    bad = Spot(id=f"F13@{joint:g}", title="", short="", changes=(Worse("F1.ground.wire", joint),), rate=1.0, source="")
    element = control.part.element
    assert element is not None
    bank_ohms = element.ohms.value / len(design().members("A"))
    trim = design().file.firmware.end_trim.value
    shown = bench().codes(bad, control, 0.0)["F1"]
    healthy = bench().codes(None, control, 0.0)["F1"]
    lifted = 127.0 * (joint / (joint + bank_ohms) - trim) / (1.0 - 2.0 * trim)
    assert shown - healthy == pytest.approx(max(lifted, 0.0), abs=1.0)


def test_a_resistor_that_holds_an_input_is_a_fault_of_its_own() -> None:
    # By hand: with the 100 kohm from a ribbon's collector to ground gone, nothing defines the input; common practice.
    ribbon = design().control("R1")
    id = f"F37@{ribbon.connector}.{ribbon.pins['signal']}"
    assert likeliest("control", "R1", id, "pull-down") == "bad"
    assert likeliest("control", "R1", id, "hands-off") == "wanders"
    held = [each.id for each in spots(design(), target("bank", "C"), shipped_model()) if each.class_id == "F52"]
    rows = {each.row for each in design().members("C")}
    assert len(held) == len(rows)


def test_a_bridge_between_two_pins_of_one_control_is_one_spot() -> None:
    for control in design().controls:
        found = spots(design(), target("control", control.id), shipped_model())
        bridges = [frozenset((each.a, each.b)) for spot in found for each in spot.changes if isinstance(each, Bridge)]
        assert len(set(bridges)) == len(bridges)


def test_a_broken_link_takes_all_controls_beyond_it() -> None:
    bad = spot("bank", "A", "F12@F5.ground")
    shown = bench().codes(bad, design().control("F1"), 0.5)
    assert all(55 < shown[f"F{number}"] < 72 for number in (1, 2, 3, 4))
    assert all(shown[f"F{number}"] > 124 for number in (5, 6, 7, 8))
    # The last link is a fault of the last control alone.
    assert spot("control", "F8", "F25@F8.ground.link").title.startswith("Open from F7 lug 1")


def test_answers_are_probabilities_and_never_certain() -> None:
    for measure, (_, outcomes, _) in MEASURES.items():
        found = answer(bench(), target("control", "F3"), spot("control", "F3", "F25@F3.ground"), measure)
        if found is not None:
            assert set(found) == set(outcomes)
            assert sum(found.values()) == pytest.approx(1.0)
            assert all(0.005 < share < 0.995 for share in found.values())


def test_spots_inherit_from_their_class_and_weigh_as_much() -> None:
    model, aim = shipped_model(), target("control", "F3")
    merged = model_for(model, design(), aim, bench=bench())
    assert check_model(merged) == []
    found = [fault for fault in merged.faults if "@" in fault.id]
    classes = {fault.id.partition("@")[0] for fault in found}
    assert not classes & {fault.id for fault in merged.faults}
    before = sum(fault.weight for fault in model.faults if fault.id in classes)
    assert sum(fault.weight for fault in found) == pytest.approx(before)
    tap = next(test for test in merged.tests if test.id == "T08")  # no circuit can tell how it behaves when tapped
    assert float(tap.finds["F20@F3.2"]) == pytest.approx(0.8)
    mend = next(repair for repair in merged.repairs if repair.id == "re-terminate")
    assert mend.cures["F20@F3.2"] == mend.cures["F22@J1.5"]


def test_workmanship_moves_the_weight_to_what_is_made_by_hand() -> None:
    from dataclasses import replace

    def share_of_joints(workmanship: float) -> float:
        model = replace(shipped_model(), workmanship=workmanship)
        merged = model_for(model, design(), target("control", "F3"), bench=bench())
        by_hand = sum(fault.weight for fault in merged.faults if fault.id.startswith(("F20@", "F21@", "F22@")))
        inside = sum(fault.weight for fault in merged.faults if fault.id.startswith("F24@"))
        return by_hand / inside

    assert share_of_joints(10) < share_of_joints(20) < share_of_joints(30)


@pytest.mark.parametrize(("id", "role"), [("T1", "contact"), ("E1", "a"), ("E1", "push")])
def test_a_switch_without_its_pull_up_floats(id: str, role: str) -> None:
    # Common practice: a released input that nothing holds reads at random, and more so with a hand near it.
    own = design().control(id)
    fault = f"F37@{own.connector}.{own.pins[role]}"
    assert likeliest("control", id, fault, "hands-off") == "wanders"
    assert likeliest("control", id, fault, "messages") == "messages"
    assert likeliest("control", id, fault, "presses") == ("ten" if role == "a" else "double")
    if id == "E1":
        assert likeliest("control", id, fault, "rest") == ("chatters" if role == "a" else "quiet")
        assert likeliest("control", id, fault, "turn") == ("back" if role == "a" else "right")
    # A press is what it was: the contact alone holds the input then.
    shown = [bench().input_share(spot("control", id, fault), own, held=held, role=role) for held in (False, True)]
    assert [each.floating for each in shown] == [True, False]
    # The meter's own 10 Mohm pulls such an input down, as far as its leakage lets it.
    found = answer(bench(), target("control", id), spot("control", id, fault), "pin-volts")
    if id == "T1":
        assert found is not None
        assert found["stuck"] > 0.1 < found["wrong"]


def test_hands_off_fits_every_kind_that_a_resistor_holds() -> None:
    test = next(each for each in shipped_model().tests if each.measures == "hands-off")
    held = {
        control.kind
        for control in design().controls
        for each in spots(design(), target("control", control.id), shipped_model())
        if each.class_id == "F37"
    }
    assert held == {"ribbon", "toggle", "encoder"}
    assert held <= set(test.kinds)
    symptom = next(each for each in shipped_model().symptoms if each.id == "phantom-presses")
    assert held <= set(symptom.kinds)


def test_a_pressed_row_of_the_matrix_holds_its_input_though_the_resistor_is_gone() -> None:
    own = design().control("B1")
    gone = spot("bank", "C", f"F52@{own.connector}.{own.pins['row']}")
    assert bench().input_share(gone, own, held=False).floating
    assert not bench().input_share(gone, own, held=True).floating


@pytest.mark.parametrize("id", ["T1", "E1"])
def test_the_lug_of_a_switch_is_wrong_when_its_lead_is_broken_and_right_when_only_its_joint_is(id: str) -> None:
    # Trade notes 3.1: the pull-up sits on the board, so a broken lead makes lug and pin wrong together. The pin is then
    # held up whatever the contact does, and the lug is not.
    own = design().control(id)
    role, pin = own.signal_role, own.pins[own.signal_role]
    broken = f"{'F35' if id == 'E1' else 'F22'}@{own.connector}.{pin}.open"
    assert likeliest("control", id, broken, "lug-volts") == "stuck"
    assert likeliest("control", id, broken, "pin-volts") == "stuck"
    assert bench().lug_volts(spot("control", id, broken), own, held=False).value < 0.1 < 3.0
    assert bench().lug_volts(None, own, held=False).value > 3.0
    short = next(each.id for each in spots(design(), target("control", id), shipped_model()) if each.class_id == "F45")
    assert likeliest("control", id, short, "lug-volts") == "stuck"
    assert role in ("contact", "a")
