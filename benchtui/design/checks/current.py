"""Currents: lamps, the chip, the regulator, USB, wires, contacts, and what the grounds drop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc.tables.copper import RESISTIVITY, STRANDED
from benchtui.calc.tables.usb import CABLE_SOURCE, PORTS
from benchtui.calc.tables.usb import SOURCE as USB_SOURCE
from benchtui.design.buses import reach
from benchtui.design.checks.figures import amps as amps_text
from benchtui.design.checks.figures import volts
from benchtui.design.checks.finding import Finding
from benchtui.design.circuit.window import window
from benchtui.design.parts import DIVIDERS
from benchtui.design.points.contacts import lamp_current
from benchtui.design.points.dividers import bank_ohms
from benchtui.design.points.unit import unit_current
from benchtui.design.wiring import stops, wires

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design

STEPS = 0.5
"""Steps of 127 that a bank's own ground may lift its lowest value; our own choice, half of what would show."""
HEADROOM = 0.3
"""V left for a lamp's resistor, below which brightness follows the spread of the lamp; common practice."""


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with currents."""
    yield from _lamps(design)
    yield from _supply(design)
    yield from _wires(design)
    yield from _grounds(design)


def _lamps(design: Design) -> Iterator[Finding]:
    logic, total = design.board.logic, 0.0
    tried: dict[tuple[str, str], float] = {}
    for control in design.controls:
        junction = control.part.junction
        entry = design.connector_pin(control.connector, control.pins.get("anode", ""))
        if control.kind != "lamp" or junction is None or entry is None or entry.to not in design.board.pins:
            continue
        if not entry.through:
            yield Finding(
                check="lamp-resistor",
                place=control.place,
                message=f"control {control.id}: nothing limits the current of this lamp",
                hint="give its connector pin a resistor: `through:`",
                source=junction.source,
            )
            continue
        left = design.rail.low - junction.forward.high
        if left < HEADROOM:
            yield Finding(
                check="lamp-headroom",
                place=control.place,
                message=f"control {control.id}: {volts(left)} of the rail is left for its resistor, too little to set "
                "the current",
                hint="feed blue and white lamps from 5 V through a driver",
                source="common practice",
            )
            continue
        shape = (control.part.id, entry.through)
        if shape not in tried:
            reading = lamp_current(design, control.id).reading
            assert reading is not None
            tried[shape] = window(reading).high
        most = tried[shape]
        total += most
        if most > logic.pin.value:
            yield Finding(
                check="lamp-pin",
                place=control.place,
                message=f"control {control.id}: its lamp draws up to {amps_text(most)}, and a pin gives {logic.pin}",
                hint="choose a larger resistor",
                source=logic.source,
            )
        if junction.most is not None and most > junction.most.value:
            yield Finding(
                check="lamp-most",
                place=control.place,
                message=f"control {control.id}: its lamp draws up to {amps_text(most)}, and stands {junction.most}",
                hint="choose a larger resistor",
                source=junction.source,
            )
    if total > logic.chip.value:
        yield Finding(
            check="lamps-chip",
            place=design.board.place,
            message=f"all lamps draw up to {amps_text(total)}, and the chip gives {logic.chip} in all",
            hint="choose larger resistors, or a driver",
            source=logic.source,
        )


def _supply(design: Design) -> Iterator[Finding]:
    power, board = design.file.power, design.board
    if any(_loose_lamp(design, control) for control in design.controls):
        return  # a lamp without a resistor has no sensible current; it is reported already
    on = frozenset(control.id for control in design.controls if control.kind == "lamp")
    most = window(unit_current(design, lamps=on)).high
    outside = most - board.current.high
    if outside > board.regulator.value:
        yield Finding(
            check="regulator",
            place=board.place,
            message=f"everything outside the board draws up to {amps_text(outside)}, and its rail gives "
            f"{board.regulator}",
            hint="choose higher resistances, or a supply of its own for the lamps",
            source=board.source,
        )
    port = PORTS[power.port]
    if most > port.current:
        yield Finding(
            check="usb-port",
            place=power.place,
            message=f"the unit draws up to {amps_text(most)}, and {port.words} gives {amps_text(port.current)}",
            hint="fewer lamps at once, or a better port",
            source=USB_SOURCE,
        )
    if most > power.declared.value:
        yield Finding(
            check="usb-declared",
            place=power.place,
            message=f"the unit draws up to {amps_text(most)}, and tells the computer {power.declared}",
            hint="declare more",
            source=USB_SOURCE,
        )
    if power.declared.value > port.current:
        yield Finding(
            check="usb-declared-port",
            place=power.place,
            message=f"the unit asks for {power.declared}, and {port.words} grants {amps_text(port.current)} at most",
            hint="declare less, or name a better port",
            source=USB_SOURCE,
        )
    drop = 2 * most * RESISTIVITY * STRANDED * power.lead_length.value / power.lead_gauge.value
    at_board = port.lowest - drop
    if at_board < power.least.value:
        yield Finding(
            check="usb-lead",
            place=power.place,
            message=f"the lead may leave {volts(at_board)} at the board, and it needs {power.least}",
            hint="a shorter lead, or one with thicker power wires",
            source=CABLE_SOURCE,
        )


def _loose_lamp(design: Design, control: Control) -> bool:
    entry = design.connector_pin(control.connector, control.pins.get("anode", "")) if control.kind == "lamp" else None
    return entry is not None and not entry.through


def _bus_current(design: Design, bus: str) -> float:
    """Most that flows through the feed of a bus in A."""
    total = 0.0
    for stop in stops(design, bus):
        part = stop.control.part
        if stop.control.kind in DIVIDERS and part.element is not None:
            total += design.rail.high / part.element.ohms.low
        elif stop.control.kind == "lamp" and not _loose_lamp(design, stop.control):
            total += design.board.logic.pin.value
        elif part.contact is not None and stop.role == "common":
            total += design.rail.high / design.board.logic.pull_up.low
    return total


def _wires(design: Design) -> Iterator[Finding]:
    for bus in design.buses:
        amps = _bus_current(design, bus.id)
        conductor = design.part(bus.wire).conductor
        ways = design.part(design.connector(bus.connector).part).ways
        assert conductor is not None and ways is not None
        if amps > conductor.current.value:
            yield Finding(
                check="wire-current",
                place=bus.place,
                message=f"bus {bus.id} carries up to {amps_text(amps)}, and its wire stands {conductor.current}",
                hint="choose a thicker wire",
                source=conductor.source,
            )
        if amps > ways.current.value:
            yield Finding(
                check="contact-rating",
                place=bus.place,
                message=f"bus {bus.id} carries up to {amps_text(amps)} through {bus.connector} pin {bus.pin}, and a "
                f"contact stands {ways.current}",
                hint="spread it over several pins",
                source=ways.source,
            )
    seen: set[tuple[str, str]] = set()
    for run in wires(design):
        if not run.connector or (run.connector, run.part) in seen:
            continue
        seen.add((run.connector, run.part))
        conductor, ways = design.part(run.part).conductor, design.part(design.connector(run.connector).part).ways
        assert conductor is not None and ways is not None
        if not ways.thinnest.value * 0.999 <= conductor.gauge.value <= ways.thickest.value * 1.001:
            yield Finding(
                check="crimp-range",
                place=design.connector(run.connector).place,
                message=f"connector {run.connector}: its crimp takes {ways.thinnest.text} to {ways.thickest.text}, and "
                f"wire of {run.gauge} goes in",
                hint="choose another wire or another crimp",
                source=ways.source,
            )


def _grounds(design: Design) -> Iterator[Finding]:
    seen: set[str] = set()
    for bank in design.divider_banks:
        ground = design.bus(bank.ground)
        if ground.id in seen:
            continue
        seen.add(ground.id)
        length, _ = reach(design, ground.id)
        conductor = design.part(ground.wire).conductor
        ways = design.part(design.connector(ground.connector).part).ways
        assert conductor is not None and ways is not None
        ohms = length * conductor.ohms.high + ways.contact.value
        lamps, amps = _lamps_on(design, ground.id), _returned(design, ground.id)
        steps = 127 * ohms * (amps + lamps) / design.rail.value
        if steps > STEPS:
            shared = ", which it shares with lamps," if lamps else ""
            yield Finding(
                check="ground-drop",
                place=bank.place,
                message=f"bank {bank.id}: its ground{shared} lifts the lowest value by up to {steps:.2g} steps of 127",
                hint="a ground of their own for the lamps; a thicker or shorter wire"
                if lamps
                else "a thicker or shorter wire, or fewer controls on it",
                source="half a step, our own choice",
            )


def _lamps_on(design: Design, ground: str) -> float:
    """Current of all lamps on a ground in A, each at what a pin gives."""
    return sum(design.board.logic.pin.value for stop in stops(design, ground) if stop.control.kind == "lamp")


def _returned(design: Design, ground: str) -> float:
    """Current that the elements of every bank on a ground, and its closed contacts, send back through it, in A."""
    logic, rail, total = design.board.logic, design.rail.value, 0.0
    for supply in dict.fromkeys(bank.supply for bank in design.divider_banks if bank.ground == ground):
        bank = next(each for each in design.divider_banks if (each.ground, each.supply) == (ground, supply))
        total += rail / _least_ohms(design, bank.id)
    for stop in stops(design, ground):
        if stop.control.part.contact is None:
            continue
        for role in ("contact", "a", "b") if stop.role == "common" else ("push",):
            entry = design.connector_pin(stop.control.connector, stop.control.pins.get(role, ""))
            if entry is not None:
                fixed = design.part(entry.pull_up).fixed if entry.pull_up else None
                total += rail / (fixed.ohms if fixed is not None and fixed.ohms is not None else logic.pull_up).low
    return total


def _least_ohms(design: Design, bank: str) -> float:
    """Least resistance of a bank between supply and ground in ohm."""
    reading = bank_ohms(design, bank).reading
    assert reading is not None
    return window(reading).low
