"""From a design to circuits: the netlist of some banks with their share of the board, in a given state.

Nodes are named after what a probe touches:

    F3.ground F3.signal F3.supply   lugs, by role
    J1.5                            a pin of a connector on the harness side; J1.5.board on the board's
    M1.common                       the common of a multiplexer
    pin.D21                         a board pin that lies behind a resistor
    rail, ground                    the board's supply and ground

Elements are named after what can break: "F3.signal.wire", "J1.5.contact", "F3.below", "F3.above", "F3.wiper",
"B2.contact", "B2.diode", "L1.junction", "M1.on".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from benchtui.design.buses import joined
from benchtui.design.circuit.elements import (
    Circuit,
    Diode,
    Injection,
    Quantity,
    Resistor,
    Source,
    Sum,
    Track,
    just,
)
from benchtui.design.parts import DIVIDERS
from benchtui.design.wiring import Stop, inline_part, lug_role, wires

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.board import ConnectorPin
    from benchtui.design.circuit.elements import Element, Fault
    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Junction, Part
    from benchtui.design.wiring import WireRun
    from benchtui.units import Amount

MIDDLE: Final = 0.5
_STRAY: Final = 1e9
"""Resistance in ohm of a pin that leaks nothing worth naming."""


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What the unit is doing while it is read.

    Attributes:
        powered: The board is on; its connectors are plugged in.
        plugged: The connectors are on the board's headers. A board without power is left out of the circuit all the
            same: ohms are measured with it unplugged.
        positions: Control to its position, 0 at the lower stop to 1; mid-travel for those not named. None stands for
            a ribbon that nobody touches.
        pressed: Buttons held, and toggles with the lever up.
        lamps: Lamps that are on.
        reading: Control the firmware is reading: its channel is selected, its column driven.
    """

    powered: bool = True
    plugged: bool = True
    positions: Mapping[str, float | None] = field(default_factory=dict)
    pressed: frozenset[str] = frozenset()
    lamps: frozenset[str] = frozenset()
    reading: str = ""


def build(design: Design, subject: str, *, state: State | None = None, faults: Iterable[Fault] = ()) -> Circuit:
    """The circuit around a subject.

    Args:
        design: The design.
        subject: Id of a control or bank: the whole bank is built, with the banks that share a bus with it. Several,
            separated by blanks, are built together.
        state: What the unit is doing; powered, at mid-travel when left out.
        faults: What is broken.

    Raises:
        DesignError: Nothing has that id, or a fault names an element the circuit has not.
    """
    banks = joined(design, *(_bank_of(design, each) for each in subject.split()))
    builder = _Builder(design, state or State())
    for bank in banks:
        for control in design.members(bank):
            builder.control(control)
    runs = _runs(design, banks)
    for run in runs:
        builder.wire(run)
    if builder.state.powered:
        builder.board(run.connector for run in runs if run.connector)
    return Circuit(quantities=builder.quantities, elements=tuple(builder.elements)).with_faults(*faults)


def _runs(design: Design, banks: tuple[str, ...]) -> tuple[WireRun, ...]:
    """Wires of some banks, in building order."""
    ids = {run.id for bank in banks for run in wires(design, bank)}
    return tuple(run for run in wires(design) if run.id in ids)


def _bank_of(design: Design, subject: str) -> str:
    if any(bank.id == subject for bank in design.banks):
        return subject
    return design.control(subject).bank


class _Builder:
    """Collects the elements and quantities of one circuit."""

    def __init__(self, design: Design, state: State) -> None:
        self.design = design
        self.state = state
        self.quantities: dict[str, Quantity] = {}
        self.elements: list[Element] = []

    # -- quantities ------------------------------------------------------------------------------------------------

    def spread(self, name: str, amount: Amount, what: str, source: str) -> Sum:
        """A value with its tolerance."""
        return self._quantity(name, amount.low, amount.value, amount.high, amount.kind, what, source)

    def at_most(self, name: str, amount: Amount, what: str, source: str) -> Sum:
        """A value given as "at most": anything from nothing up; an ordinary part lies half-way."""
        return self._quantity(name, 0.0, amount.value / 2, amount.value, amount.kind, what, source)

    def either_way(self, name: str, amount: Amount, what: str, source: str) -> Sum:
        """A leakage or error given as "at most", of either sign."""
        return self._quantity(name, -amount.value, 0.0, amount.value, amount.kind, what, source)

    def _quantity(self, name: str, low: float, nominal: float, high: float, kind: str, what: str, source: str) -> Sum:
        self.quantities[name] = Quantity(
            name=name, low=low, nominal=nominal, high=high, kind=kind, what=what, source=source
        )
        return just(name)

    def resistor(self, id: str, a: str, b: str, part: Part) -> None:
        """A fixed resistor between two nodes."""
        fixed = part.fixed
        assert fixed is not None and fixed.ohms is not None
        self.elements.append(
            Resistor(id, a, b, self.spread(id, fixed.ohms, f"{part.title} at {_words(a)}", fixed.source))
        )

    # -- the panel's side ------------------------------------------------------------------------------------------

    def control(self, control: Control) -> None:
        """What a control is made of, between its lugs."""
        if control.kind in DIVIDERS:
            self._divider(control)
        elif control.part.contact is not None:
            self._switch(control)
        elif control.part.junction is not None:
            self._diode(f"{control.id}.junction", f"{control.id}.anode", f"{control.id}.cathode", control.part.junction)

    def _divider(self, control: Control) -> None:
        element, id = control.part.element, control.id
        assert element is not None  # the reader lets no divider through without one
        source = element.source
        self.spread(f"{id}.element", element.ohms, f"element of {id}", source)
        self.at_most(f"{id}.lower", element.residual, f"residual at the lower stop of {id}", source)
        self.at_most(f"{id}.upper", element.residual, f"residual at the upper stop of {id}", source)
        mid, spread = element.mid.value, element.mid_spread.value
        self._quantity(f"{id}.mid", mid - spread, mid, mid + spread, "ratio", f"share of {id} at mid-travel", source)
        for name in ("element", "lower", "upper", "mid"):
            self.quantities[f"{id}.{name}"] = replace(self.quantities[f"{id}.{name}"], twice=True)
        position = self.state.positions.get(id, MIDDLE)
        where = MIDDLE if position is None else position
        below = Track(control=id, position=where)
        above = Track(control=id, position=where, upper=True)
        self.elements.append(Resistor(f"{id}.below", f"{id}.ground", f"{id}.slider", below))
        self.elements.append(Resistor(f"{id}.above", f"{id}.slider", f"{id}.supply", above))
        if position is not None:
            contact = self.at_most(f"{id}.wiper", element.wiper, f"wiper contact of {id}", source)
            self.elements.append(Resistor(f"{id}.wiper", f"{id}.slider", f"{id}.signal", contact))

    def _switch(self, control: Control) -> None:
        contact, id = control.part.contact, control.id
        assert contact is not None
        closed = id in self.state.pressed
        ohms = (
            self.at_most(f"{id}.contact", contact.closed, f"closed contact of {id}", contact.source)
            if closed
            else self._quantity(
                f"{id}.contact",
                contact.open.value,
                10 * contact.open.value,
                100 * contact.open.value,
                "resistance",
                f"open contact of {id}",
                contact.source,
            )
        )
        common = f"{id}.common"
        for role in control.part.lugs:
            if role in ("contact", "a", "b"):
                self.elements.append(Resistor(f"{id}.{role}", f"{id}.{role}", common, ohms))
        if "push" in control.part.lugs:
            self.elements.append(Resistor(f"{id}.push", f"{id}.push", f"{id}.push-common", ohms))

    def _diode(self, id: str, anode: str, cathode: str, junction: Junction) -> None:
        """A diode with its series resistance."""
        middle = f"{id}.inside"
        forward = self.spread(id, junction.forward, f"forward voltage of {id.partition('.')[0]}", junction.source)
        self.elements.append(
            Diode(
                id=id,
                a=anode,
                b=middle,
                forward=forward,
                current=junction.current.value,
                slope=junction.slope,
                series=junction.series.value,
            )
        )
        self.elements.append(Resistor(f"{id}.series", middle, cathode, Sum(junction.series.value)))

    def wire(self, run: WireRun) -> None:
        """A wire with its two joints, and what lies in it at the lug."""
        design = self.design
        conductor = design.part(run.part).conductor
        assert conductor is not None
        start = node_of_end(design, run, start=True)
        if run.through:
            inner = f"{run.id}.inline"
            part = design.part(run.through)
            if part.junction is not None:
                self._diode(f"{run.control}.diode", start, inner, part.junction)
            else:
                self.resistor(f"{run.control}.limiter", start, inner, part)
            start = inner
        self.spread(f"{run.part}.ohms", conductor.ohms, f"resistance of {run.part}", conductor.source)
        self.at_most(f"{run.id}.joints", design.file.harness.joint, f"joints of {run.id}", "common practice")
        ohms = Sum(terms=((f"{run.part}.ohms", run.length), (f"{run.id}.joints", 2.0)))
        self.elements.append(Resistor(f"{run.id}.wire", start, node_of_end(design, run, start=False), ohms))

    # -- the board's side ------------------------------------------------------------------------------------------

    def board(self, connectors: Iterable[str]) -> None:
        """The board with what lies between it and some connectors."""
        board, design = self.design.board, self.design
        rail = self.spread("rail", board.rail, "the rail", board.source)
        self.elements.append(Source("rail", "rail", "ground", rail))
        for connector in dict.fromkeys(connectors):
            used = {run.pin for run in wires(design, connector)}
            for number, pin in design.connector(connector).pins.items():
                if number in used:
                    self._connector_pin(connector, number, pin)

    def _connector_pin(self, connector: str, number: str, pin: ConnectorPin) -> None:
        design, here = self.design, f"{connector}.{number}"
        ways = design.part(design.connector(connector).part).ways
        assert ways is not None
        board_side = {"ground": "ground", "supply": "rail"}.get(pin.to, f"{here}.board")
        contact = self.at_most(f"{here}.contact", ways.contact, f"contact of {connector} pin {number}", ways.source)
        self.elements.append(Resistor(f"{here}.contact", here, board_side, contact))
        for part, far in ((pin.pull_up, "rail"), (pin.pull_down, "ground")):
            if part:
                name = "pull-up" if far == "rail" else "pull-down"
                self.resistor(f"{here}.{name}", board_side, far, design.part(part))
        node = board_side
        if pin.through:
            node = f"pin.{pin.to}"
            self.resistor(f"{here}.through", board_side, node, design.part(pin.through))
        if pin.to not in ("ground", "supply", "spare"):
            self._board_pin(pin, node, here)

    def _board_pin(self, pin: ConnectorPin, node: str, here: str) -> None:
        """What the board does at a pin: reads it, drives it, or pulls it up."""
        design, state = self.design, self.state
        logic, converter = design.board.logic, design.board.converter
        chip, _, channel = pin.to.partition(" ")
        if channel:
            self._channel(chip, int(channel), node)
            return
        matrix = design.matrix_of(pin.to)
        lamp = self._lamp_on(here)
        if matrix is not None and pin.to in matrix.columns:
            driven = state.reading and design.control(state.reading).column == pin.to
            if driven:
                self._driven(pin.to, node, "ground")
            else:
                # A column that is not driven leaks at most so much to ground; as a resistance it cannot run away.
                stray = design.rail.value / logic.leak.value if logic.leak.value else _STRAY
                self.elements.append(Resistor(f"{pin.to}.stray", node, "ground", Sum(stray)))
        elif lamp is not None:
            self._driven(pin.to, node, "rail" if lamp.id in state.lamps else "ground")
        elif "analogue" in design.board.pins[pin.to].can if pin.to in design.board.pins else False:
            leak = self.either_way(f"{pin.to}.leak", converter.leak, f"leakage of {pin.to}", converter.source)
            self.elements.append(Injection(f"{pin.to}.leak", node, "ground", leak))
        else:
            leak = self.either_way(f"{pin.to}.leak", logic.leak, f"leakage of {pin.to}", logic.source)
            self.elements.append(Injection(f"{pin.to}.leak", node, "ground", leak))
            if not pin.pull_up and not pin.pull_down:
                ohms = self.spread(f"{pin.to}.pull-up", logic.pull_up, f"own pull-up of {pin.to}", logic.source)
                self.elements.append(Resistor(f"{pin.to}.pull-up", node, "rail", ohms))

    def _driven(self, name: str, node: str, to: str) -> None:
        logic = self.design.board.logic
        ohms = self.spread(f"{name}.output", logic.output, f"output of {name}", logic.source)
        # A driven pin's current counts as positive where it leaves the rail, or flows into ground.
        a, b = (to, node) if to == "rail" else (node, to)
        self.elements.append(Resistor(f"{name}.output", a, b, ohms))

    def _channel(self, chip: str, channel: int, node: str) -> None:
        """The channel of a multiplexer, when it is the one that is being read."""
        design, state = self.design, self.state
        reading = design.control(state.reading) if state.reading else None
        if reading is None or (reading.multiplexer, reading.channel) != (chip, channel):
            return
        entry = design.multiplexer(chip)
        switching, converter = design.part(entry.part).switching, design.board.converter
        assert switching is not None
        common = f"{chip}.common"
        on = self.spread(f"{chip}.on", switching.on, f"channel of {chip}", switching.source)
        self.elements.append(Resistor(f"{chip}.on", node, common, on))
        for name, amount, source in (
            (entry.common, converter.leak, converter.source),
            (chip, switching.leak, switching.source),
        ):
            leak = self.either_way(f"{name}.leak", amount, f"leakage of {name}", source)
            self.elements.append(Injection(f"{name}.leak", common, "ground", leak))

    def _lamp_on(self, here: str) -> Control | None:
        connector, _, number = here.partition(".")
        for control in self.design.on_connector(connector):
            if control.kind == "lamp" and number in control.pins.values():
                return control
        return None


def node_of_end(design: Design, run: WireRun, *, start: bool) -> str:
    """The node at an end of a wire; what lies in the wire at the lug comes after the start."""
    if start and run.control:
        return f"{run.control}.{lug_role(run.role)}"
    if run.connector and not start:
        return f"{run.connector}.{run.pin}"
    if not run.neighbour:
        return f"star point of {run.bus}"
    return node_of_stop(design, Stop(control=design.control(run.neighbour), role=run.neighbour_role))


def node_of_stop(design: Design, stop: Stop) -> str:
    """The node where a bus calls at a control: its lug, or the far leg of what lies in the wire there."""
    if inline_part(design, stop.control, stop.role):
        return f"{stop.control.id}.{stop.role}.inline"
    return f"{stop.control.id}.{lug_role(stop.role)}"


def _words(node: str) -> str:
    """A node as a person calls it: "J3 pin 2", "R1"."""
    first, _, rest = node.partition(".")
    pin = rest.partition(".")[0]
    return f"{first} pin {pin}" if pin.isdecimal() else first


def read_node(design: Design, control: Control) -> str:
    """The node that the board reads a control at: a multiplexer's common, or the board's side of its pin."""
    if control.multiplexer:
        return f"{control.multiplexer}.common"
    return pin_node(control)


def pin_node(control: Control) -> str:
    """The node of the board pin of a control, or of its channel's input on the multiplexer."""
    return f"{control.connector}.{control.pins[control.signal_role]}.board"
