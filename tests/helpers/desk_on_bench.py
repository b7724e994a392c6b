"""One built desk on the bench, with its own tolerances and perhaps a fault: what a meter and a monitor show on it.

Every reading solves the design's circuit anew with the fault put in and each part somewhere in its tolerance, where it
stays for this desk. The meter errs within its sheet. A loose joint is open or not, and may change when it is touched.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from benchtui.design.circuit.build import State, build, node_of_end, pin_node
from benchtui.design.circuit.elements import Diode, Injection, Sum
from benchtui.design.circuit.readings import Share, Volts, meter_volts, ohms
from benchtui.design.circuit.solve import solve
from benchtui.design.points.meter import TOP, error
from benchtui.design.testpoints import POINTS, code_of, reading_of
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.faults.broken import changed
from benchtui.faults.probing import ALONE, at_the_lug, with_fault
from benchtui.faults.spots import Channels, Deaf, Exchange

if TYPE_CHECKING:
    from random import Random

    from benchtui.design.circuit.elements import Circuit, Quantity
    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Control, Design
    from benchtui.faults.spots import Spot

FLOATS = 5e6
"""Ohm behind an input beyond which it picks up whatever is near."""

NUDGE = 1e-9
"""A that feels the resistance behind an input."""

_built: dict[tuple[str, str, object], Circuit] = {}


class Desk:
    """A desk with one fault of its circuit, or with none."""

    def __init__(self, design: Design, spot: Spot | None, rng: Random) -> None:
        self.design = design
        self.rng = rng
        self.loose = spot is not None and spot.loose
        self.lasting = spot is not None and spot.lasting
        self.share_open = rng.uniform(0.25, 0.75)  # of a loose joint: some hang on by a hair, some are all but off
        self.floats = rng.choices(["wanders", "copies", "sits"], [60, 25, 15])[0]
        self._all = spot
        self._values: dict[tuple[str, float, float], float] = {}
        self.open = not self.loose or rng.random() < self.share_open

    def touched(self) -> None:
        """Something moved the harness: a loose joint may be the other way now."""
        if self.loose:
            self.open = self.rng.random() < self.share_open

    @property
    def spot(self) -> Spot | None:
        """The fault as it is at this moment."""
        return self._all if self.open else None

    # -- the circuit -----------------------------------------------------------------------------------------------

    def values(self, quantities: dict[str, Quantity]) -> dict[str, float]:
        """Every part somewhere in its tolerance; the same part is always the same."""
        found = {}
        for name, each in quantities.items():
            key = (name, each.low, each.high)  # a contact has one value open and another closed
            if key not in self._values:
                self._values[key] = self.rng.uniform(each.low, each.high)
            found[name] = self._values[key]
        return found

    def circuit(self, subject: str, state: State) -> Circuit:
        """The circuit around a subject with the fault in it."""
        key = (self.design.digest, subject, repr(state))
        if key not in _built:
            _built[key] = build(self.design, subject, state=state)
        circuit = _built[key]
        for change in self.spot.changes if self.spot else ():
            circuit = changed(circuit, change, powered=state.powered)
        return circuit

    def at(self, reading: Reading) -> float:
        """A reading on this very desk."""
        return reading.at(self.values(dict(reading.quantities)))[0]

    # -- the meter -------------------------------------------------------------------------------------------------

    def metered(self, kind: str, value: float) -> float:
        """What the meter shows of a value; infinite for OL."""
        if (kind == "resistance" and value > TOP) or value == inf:
            return inf
        by = error(self.design.meter, kind, value)
        return (
            max(value + self.rng.uniform(-by, by), 0.0) if kind == "resistance" else value + self.rng.uniform(-by, by)
        )

    def point(self, name: str, subject: str | None) -> float | None:
        """The meter at a test point; None where the circuit has no such reading."""
        entry = POINTS[name]
        if name == "contact-open" and subject:
            shorted = any(getattr(each, "element", "") == f"{subject}.contact" for each in self._changes())
            return 0.2 if shorted and self._is_short() else inf
        if name == "diode-reverse" and subject:
            shorted = any(getattr(each, "element", "") == f"{subject}.diode" for each in self._changes())
            return 0.001 if shorted and self._is_short() else inf
        try:
            reading = reading_of(self.design, name, subject)
        except DesignError:
            return None
        if reading is None:
            return None
        spot = self.spot
        if spot is not None and subject is not None:
            reading = at_the_lug(reading, spot, subject, alone=name in ALONE)
            if name in ALONE and any(isinstance(each, Exchange) for each in spot.changes):
                spot = None
        try:
            value = self.at(with_fault(reading, spot, powered=entry.power == "on"))
        except (DesignError, ZeroDivisionError):
            return inf
        if name in ("diode-forward", "lamp-forward") and value >= self.design.meter.diode_top.value:
            return inf
        return self.metered(entry.kind, value)

    def lug_volts(self, control: Control, *, held: bool) -> float:
        """The meter at the signal lug of a switch, to ground."""
        state = State(pressed=frozenset({control.id} if held else ()), reading=control.id)
        circuit = self.circuit(control.bank, state)
        red, load = f"{control.id}.{control.signal_role}", self.design.meter.input.value
        return self.metered("voltage", self.at(meter_volts(circuit, red, "ground", meter_ohms=load)))

    def _changes(self) -> tuple[object, ...]:
        return self.spot.changes if self.spot else ()

    def _is_short(self) -> bool:
        return any(type(each).__name__ == "Short" for each in self._changes())

    def swept_ohms(self, bank: str, moved: str, place: float) -> float:
        """Supply to ground of a bank, its plug out, a control at a place."""
        entry = self.design.bank(bank)
        supply, ground = self.design.bus(entry.supply), self.design.bus(entry.ground)
        circuit = self.circuit(bank, State(powered=False, plugged=False, positions={moved: place}))
        try:
            value = self.at(ohms(circuit, f"{supply.connector}.{supply.pin}", f"{ground.connector}.{ground.pin}"))
        except DesignError:
            return inf
        return inf if value > TOP else value

    def wire_ohms(self, subject: str) -> float:
        """The worst wire of a control or bank, from lug to the far end of each."""
        worst = 0.0
        members = [subject] if any(each.id == subject for each in self.design.controls) else []
        bank = self.design.control(subject).bank if members else subject
        circuit = self.circuit(bank, State(powered=False, plugged=False))
        for run in wires(self.design, subject):
            if run.through:
                continue
            try:
                value = self.at(
                    ohms(circuit, node_of_end(self.design, run, start=True), node_of_end(self.design, run, start=False))
                )
            except DesignError:
                value = inf
            worst = max(worst, value)
        return worst

    # -- the monitor -----------------------------------------------------------------------------------------------

    def seen_instead(self, control: Control) -> Control | None:
        """Whose channel the board reads for this control's."""
        for change in self._changes():
            if isinstance(change, Channels) and control.multiplexer == change.multiplexer:
                place = (change.multiplexer, change.reads[control.channel])
                return next((each for each in self.design.controls if (each.multiplexer, each.channel) == place), None)
        return control

    def code(self, control: Control, places: dict[str, float | None], lamps: tuple[str, ...] = ()) -> float | None:
        """The value on the monitor, 0 to 127; None for an input that nothing defines."""
        seen = self.seen_instead(control)
        if seen is None:
            return 0.0
        if any(isinstance(each, Deaf) and each.channel == seen.channel for each in self._changes()):
            return None  # the converter sees nothing of this channel
        node = pin_node(seen)
        own = {id: place for id, place in places.items() if self.design.control(id).bank == seen.bank}
        circuit = self.circuit(seen.bank, State(positions=own, lamps=frozenset(lamps), reading=seen.id))
        share = self.at(Share(circuit, node, "rail"))
        nudged = self.at(Share(circuit.adding(Injection("nudge", node, "ground", Sum(NUDGE))), node, "rail"))
        if abs(nudged - share) * self.design.rail.value / NUDGE > FLOATS:
            return None
        steps = self.design.board.converter
        share += self.rng.uniform(-steps.error, steps.error) / 2**steps.bits
        value = code_of(self.design, control, share)
        fine = control.message is not None and (control.message.fine or control.message.pitch_bend)
        return value * 127.0 / 16383.0 if fine else float(value)

    def low(self, control: Control, role: str, *, held: str) -> bool:
        """Whether the board reads a switch input as low while a control is held, or none."""
        pin = control.pins["row" if control.row else role]
        state = State(pressed=frozenset({held} if held else ()), reading=control.id)
        share = self.at(Share(self.circuit(control.bank, state), f"{control.connector}.{pin}.board", "rail"))
        return share < self.design.board.logic.low.value

    def flickers(self, control: Control, role: str) -> bool:
        """Whether a released switch input reads at random: nothing holds it, so it picks up whatever is near.

        Its leakage alone, which `low` goes by, is a figure at most of a sheet: it decides only in an input that sits.
        """
        pin = control.pins["row" if control.row else role]
        node = f"{control.connector}.{pin}.board"
        circuit = self.circuit(control.bank, State(reading=control.id))
        share = self.at(Share(circuit, node, "rail"))
        nudged = self.at(Share(circuit.adding(Injection("nudge", node, "ground", Sum(NUDGE))), node, "rail"))
        return self.floats != "sits" and abs(nudged - share) * self.design.rail.value / NUDGE > FLOATS

    def lamp_share(self, lamp: Control, lit: Control) -> float:
        """Current that makes a lamp light while one is switched on, as a share of its healthy current."""
        currents = []
        for circuit in (
            self.circuit(lamp.bank, State(lamps=frozenset({lit.id}))),
            build(self.design, lamp.bank, state=State(lamps=frozenset({lamp.id}))),
        ):
            values = self.values(dict(circuit.quantities))
            own = [each for each in circuit.elements if each.id == f"{lamp.id}.junction" and isinstance(each, Diode)]
            solution = solve(circuit, values)
            currents.append(sum(each.amps(solution.between(each.a, each.b), values)[0] for each in own))
        return currents[0] / currents[1]


__all__ = ["Desk", "Volts"]
