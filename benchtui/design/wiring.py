"""Every wire of the harness: both ends, colour, size and length, in the order it is built.

A wire belongs to the control at whose lug it is soldered last. A chain (the usual way to feed a bank) is a wire from
the connector to the first lug and one from each lug to the next, so each control owns the wire that feeds it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.design.groups import owner_of, runs_of_group
from benchtui.design.reading import GROUND_ROLES, SUPPLY_ROLES
from benchtui.errors import DesignError
from benchtui.units.conductor import awg_number

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from benchtui.design.layout import Bus
    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class WireRun:
    """One wire.

    Attributes:
        id: "F3.signal"; stable while the control keeps its id.
        control: Id of the control it belongs to; empty for a feed that no control owns.
        lug: Lug at the control's end.
        lug_name: What that lug is, in words.
        role: Role of the lug: ground, signal, supply, a, b, row, column, anode ...
        colour: Of its insulation.
        gauge: As the part's sheet writes it: "26 AWG".
        part: Id of the wire's part.
        start: The control's end in words: "F3 lug 2", or "B6 lug 2 via diode".
        end: The other end in words: "J1 pin 5"; along a chain "F2 lug 1", or "B2 diode, free leg".
        connector: Id of the connector at the other end; empty along a chain.
        pin: Pin of that connector; empty along a chain.
        neighbour: Along a chain, the control at the other end.
        neighbour_role: Role of its lug.
        bus: Id of its bus, or name of its line of a matrix; empty for a wire of its own.
        length: In m, cut length with slack.
        through: Part that lies in this wire at the lug: a diode, a resistor; empty for none.
    """

    id: str
    control: str
    lug: str
    lug_name: str
    role: str
    colour: str
    gauge: str
    part: str
    start: str
    end: str
    connector: str = ""
    pin: str = ""
    neighbour: str = ""
    neighbour_role: str = ""
    bus: str = ""
    length: float
    through: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A lug that a bus calls at."""

    control: Control
    role: str

    @property
    def lug(self) -> str:
        """The lug as its part names it; the diode of a matrix button hangs on its common lug."""
        return self.control.part.lugs[lug_role(self.role)].lug


def inline_part(design: Design, control: Control, role: str) -> str:
    """Part that lies in a control's wire at the lug, such as the diode of a matrix button; empty for none."""
    if role == "column":
        matrix = design.matrix_of(control.column)
        return matrix.diode if matrix else ""
    return control.limiter.id if role == "supply" and control.limiter else ""


def _joint(design: Design, stop: Stop) -> str:
    """Where the next wire of a chain joins: the lug, or the free end of what lies in the wire there."""
    if inline_part(design, stop.control, stop.role):
        return inline_joint(design, stop.control, stop.role)
    return f"{stop.control.id} lug {stop.lug}"


def inline_joint(design: Design, control: Control, role: str) -> str:
    """The leg, away from the lug, of the part in a control's wire: "R2 resistor, free leg".

    Raises:
        DesignError: No part lies in that wire.
    """
    part = inline_part(design, control, role)
    if not part:
        raise DesignError(f"nothing lies in the {role} wire of {control.id}")
    return f"{control.id} {design.part(part).kind}, free leg"


def lug_role(role: str) -> str:
    """The role of the lug that a wire's role is soldered to: a row to the contact, a column to the common."""
    return {"row": "contact", "column": "common"}.get(role, role)


def wires(design: Design, subject_id: str | None = None) -> tuple[WireRun, ...]:
    """Wires in building order: bank by bank, control by control, ground first.

    Args:
        design: The design.
        subject_id: Id of a control, bank, connector, bus, line of a matrix, or group of wires; None for all.

    Raises:
        DesignError: Nothing has that id.
    """
    found = design.harness
    if subject_id is None:
        return found
    if any(control.id == subject_id for control in design.controls):
        return tuple(run for run in found if run.control == subject_id)
    if any(bank.id == subject_id for bank in design.banks):
        ids = {control.id for control in design.members(subject_id)}
        buses = _brought_by(design, subject_id)
        return tuple(run for run in found if run.control in ids or (not run.control and run.bus in buses))
    if any(each.id == subject_id for each in design.connectors):
        return tuple(run for run in found if run.connector == subject_id)
    if any(bus.id == subject_id for bus in design.buses) or design.matrix_of(subject_id):
        return tuple(run for run in found if run.bus == subject_id)
    if owner_of(design, subject_id):
        return runs_of_group(design, subject_id)
    raise DesignError(f"{design.title} has no wires of {subject_id!r}", hint="name a control, bank, connector or bus")


def wires_at(design: Design, control_id: str) -> tuple[WireRun, ...]:
    """Wires that are soldered when a control is wired: its own, and with them those that no control owns.

    The feed of a star is joined with its first branch, and the way back of a ring at the last lug.
    """
    own = wires(design, control_id)
    ends = tuple(
        run
        for run in design.harness
        if not run.control and run.bus and control_id == (run.neighbour or stops(design, run.bus)[0].control.id)
    )
    return (*own, *ends)


def bond_wire(design: Design) -> WireRun | None:
    """The wire from the bonding screw of the panel to the ground point of the carrier; None where there is none.

    No control owns it and no plug takes it: both its ends are screwed down, and the step that bonds the panel cuts it.
    """
    panel = design.panel
    bond, hole = panel.bond_wire, next((hole for hole in panel.holes if hole.id == panel.bond), None)
    if bond is None or hole is None:
        return None
    span = (abs(hole.x.value - bond.x.value) + abs(hole.y.value - bond.y.value)) * 1000
    return WireRun(
        id="bond",
        control="",
        lug="",
        lug_name="",
        role="ground",
        colour=bond.colour,
        gauge=gauge_of(design, bond.part),
        part=bond.part,
        start=f"panel {panel.bond}, bonding screw",
        end="ground point of the carrier",
        length=_cut(design, span),
    )


def _brought_by(design: Design, bank_id: str) -> set[str]:
    """Buses that a bank is the first to use, so that their feeds are laid with it."""
    found: set[str] = set()
    for bank in design.banks:
        if bank.id == bank_id:
            return set(lines_of(design, bank_id)) - found
        found.update(lines_of(design, bank.id))
    return found


def lay_out(design: Design) -> tuple[WireRun, ...]:
    """The whole harness; `Design.harness` keeps it."""
    shared: set[str] = set()
    return tuple(run for bank in design.banks for run in _of_bank(design, bank.id, shared))


def stops(design: Design, bus: str) -> tuple[Stop, ...]:
    """Lugs that a bus, or a line of a matrix, calls at, in the order of the chain."""
    found = []
    for control in design.controls:
        if not control.bank:
            continue
        bank = design.bank(control.bank)
        if control.row or control.column:
            found += [Stop(control=control, role=role) for role in ("row", "column") if getattr(control, role) == bus]
            continue
        for role in control.part.lugs:
            own = bank.ground if role in GROUND_ROLES else bank.supply if role in SUPPLY_ROLES else ""
            if own == bus and role not in control.pins:
                found.append(Stop(control=control, role=role))
    return tuple(found)


def bus_of(design: Design, control: Control, role: str) -> str:
    """Bus or matrix line that the wire of this role belongs to; empty for a wire of the control's own."""
    if role in ("row", "column"):
        return str(getattr(control, role))
    if role in control.pins:
        return ""
    bank = design.bank(control.bank)
    return bank.ground if role in GROUND_ROLES else bank.supply if role in SUPPLY_ROLES else ""


def roles_of(control: Control) -> tuple[str, ...]:
    """Roles of a control's wires in the order they are soldered: grounds, supply, then signals."""
    if control.row or control.column:
        return ("row", "column")
    ranks = {role: 0 if role in GROUND_ROLES else 1 if role in SUPPLY_ROLES else 2 for role in control.part.lugs}
    return tuple(sorted(control.part.lugs, key=lambda role: ranks[role]))


def _of_bank(design: Design, bank_id: str, shared: set[str]) -> Iterator[WireRun]:
    """Wires of a bank. `shared` are buses whose feeds an earlier bank has brought, and takes those of this one."""
    members = design.members(bank_id)
    bank = design.bank(bank_id)
    chains = {bus: stops(design, bus) for bus in lines_of(design, bank_id)}
    signals = 0
    for control in members:
        for role in roles_of(control):
            bus = bus_of(design, control, role)
            if bus:
                if bus not in shared:
                    shared.add(bus)
                    yield from _shared_ends(design, bus, chains[bus])
                yield _of_bus(design, bus, chains[bus], control, role)
            elif role in control.pins:
                colour = bank.colours[signals % len(bank.colours)]
                signals += 1
                yield _own(design, control, role, bank.wire, colour)


def lines_of(design: Design, bank_id: str) -> tuple[str, ...]:
    """Buses and lines of a matrix that the controls of a bank use."""
    found = dict.fromkeys(
        bus
        for control in design.members(bank_id)
        for role in roles_of(control)
        if (bus := bus_of(design, control, role))
    )
    return tuple(found)


def _own(design: Design, control: Control, role: str, wire: str, colour: str) -> WireRun:
    pin = control.pins[role]
    there = _of_connector(design, control.connector)
    run = _run(design, control, role, wire=wire, colour=colour, end=f"{control.connector} pin {pin}", to=there)
    return replace(run, connector=control.connector, pin=pin)


def _of_bus(design: Design, bus: str, chain: tuple[Stop, ...], control: Control, role: str) -> WireRun:
    """The wire that brings a bus to this lug."""
    place = next(n for n, stop in enumerate(chain) if stop.control is control and stop.role == role)
    wire, colour, connector, pin, topology = _feed(design, bus, control)
    run = _run(
        design,
        control,
        role,
        wire=wire,
        colour=colour,
        end=f"star point of {bus}",
        to=_of_connector(design, connector),
    )
    if topology == "star":
        return replace(run, bus=bus)
    if place == 0:
        return replace(run, bus=bus, end=f"{connector} pin {pin}", connector=connector, pin=pin)
    before = chain[place - 1]
    there = (before.control.x_mm, before.control.y_mm)
    return replace(
        run,
        bus=bus,
        end=_joint(design, before),
        neighbour=before.control.id,
        neighbour_role=before.role,
        length=_cut(design, _span(control, there)),
    )


def _shared_ends(design: Design, bus: str, chain: tuple[Stop, ...]) -> Iterator[WireRun]:
    """Wires of a bus that no control owns: the feed of a star, the way back of a ring."""
    found: Bus | None = next((each for each in design.buses if each.id == bus), None)
    if found is None or found.topology == "chain":
        return
    pin = found.pin if found.topology == "star" else found.back
    last = chain[-1].control
    start = f"star point of {bus}" if found.topology == "star" else _joint(design, chain[-1])
    span = 0.0 if found.topology == "star" else _span(last, _of_connector(design, found.connector))
    yield WireRun(
        id=f"{bus}.{'feed' if found.topology == 'star' else 'back'}",
        control="",
        lug="" if found.topology == "star" else chain[-1].lug,
        lug_name="",
        role=found.net,
        colour=found.colour,
        gauge=gauge_of(design, found.wire),
        part=found.wire,
        start=start,
        end=f"{found.connector} pin {pin}",
        connector=found.connector,
        pin=pin,
        neighbour="" if found.topology == "star" else last.id,
        neighbour_role="" if found.topology == "star" else chain[-1].role,
        bus=bus,
        length=_cut(design, span),
    )


def _feed(design: Design, bus: str, control: Control) -> tuple[str, str, str, str, str]:
    """Wire part, colour, connector, pin and topology of a bus or a line of a matrix."""
    found = next((each for each in design.buses if each.id == bus), None)
    if found is not None:
        return found.wire, found.colour, found.connector, found.pin, found.topology
    matrix = design.matrix_of(bus)
    assert matrix is not None  # the reader lets no other name through
    lines, colours, wire = (
        (list(matrix.rows), matrix.row_colours, matrix.row_wire)
        if bus in matrix.rows
        else (list(matrix.columns), matrix.column_colours, matrix.column_wire)
    )
    pin = control.pins["row" if bus in matrix.rows else "column"]
    return wire, colours[lines.index(bus) % len(colours)], control.connector, pin, "chain"


def through_note(design: Design, runs: Iterable[WireRun]) -> str:
    """How a part that lies in a wire is turned; empty where it does not matter. The circuit takes it so too."""
    parts = {design.part(run.through).kind for run in runs if run.through}
    return "A diode's band points to the wire, away from the control." if "diode" in parts else ""


def _run(
    design: Design,
    control: Control,
    role: str,
    *,
    wire: str,
    colour: str,
    end: str,
    to: tuple[float, float],
) -> WireRun:
    lug = control.part.lugs[lug_role(role)]
    through = inline_part(design, control, role)
    return WireRun(
        id=f"{control.id}.{role}",
        control=control.id,
        lug=lug.lug,
        lug_name=lug.name,
        role=role,
        colour=colour,
        gauge=gauge_of(design, wire),
        part=wire,
        start=f"{control.id} lug {lug.lug}" + (f" via {design.part(through).kind}" if through else ""),
        end=end,
        length=_cut(design, _span(control, to)),
        through=through,
    )


def _span(control: Control, to: tuple[float, float]) -> float:
    """Way of a wire in mm, along the edges of the panel."""
    return abs(control.x_mm - to[0]) + abs(control.y_mm - to[1])


def _of_connector(design: Design, id: str) -> tuple[float, float]:
    connector = design.connector(id)
    return connector.x.value * 1000, connector.y.value * 1000


def _cut(design: Design, span_mm: float) -> float:
    """Length to cut in m: the way along the edges, plus slack, rounded up to the step."""
    harness = design.file.harness
    step = harness.step.value
    return math.ceil((span_mm / 1000 + harness.slack.value) / step - 1e-9) * step


def gauge_of(design: Design, wire: str) -> str:
    """Size of a wire as its sheet writes it."""
    return gauge_words(design.part(wire))


def gauge_words(part: Part) -> str:
    """Size of a part's conductor as its sheet writes it; empty when it has none."""
    if part.conductor is None:
        return ""
    text = part.conductor.gauge.text
    return text if awg_number(text) is not None else str(part.conductor.gauge)
