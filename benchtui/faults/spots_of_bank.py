"""The spots of a bank: its common wires, its connector, its matrix lines and the multiplexer behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.circuit.elements import Bridge, Open, Worse
from benchtui.design.parts import DIVIDERS
from benchtui.design.wiring import wires
from benchtui.faults.select_lines import select_lines
from benchtui.faults.spots import (
    BAD_JOINT,
    BAD_LAMP_RETURN,
    BAD_RETURN,
    Channels,
    Deaf,
    Rates,
    Spot,
    feeds,
    neighbouring_pins,
    pulls,
)
from benchtui.faults.spots_of_control import shorted_diode

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.circuit.elements import Fault
    from benchtui.design.model import Design


def of_bank(design: Design, bank_id: str, rates: Rates) -> Iterator[Spot]:
    """Every spot that a bank shares."""
    bank = design.bank(bank_id)
    for class_id, bus, name in (("F12", bank.ground, "GND"), ("F11", bank.supply, "V+")):
        if bus:
            yield from _of_bus(design, class_id, bus, name, rates)
    yield from _of_connector(design, bank_id, rates)
    lines = {line for control in design.members(bank_id) for line in (control.row, control.column) if line}
    for line in sorted(lines):
        yield from _of_line(design, line, rates)
        yield from _pull_of_line(design, line, rates)
    yield from _line_pairs(design, bank_id, rates)
    yield from (shorted_diode(control, rates) for control in design.members(bank_id) if control.row)
    yield from _supply_bridges(design, bank_id, rates)
    chips = {control.multiplexer for control in design.members(bank_id) if control.multiplexer}
    for chip in sorted(chips):
        yield from _of_multiplexer(design, chip, bank_id, rates)


def _of_bus(design: Design, class_id: str, bus: str, name: str, rates: Rates) -> Iterator[Spot]:
    """Each wire of a common bus open, and its feed resistive."""
    runs = wires(design, bus)
    divides = any(design.control(run.control).kind in DIVIDERS for run in runs if run.control)
    for number, run in enumerate(runs):
        feed = bool(run.connector)
        if not run.control or len(feeds(design, run)) < 2:
            continue  # a link that feeds one control alone is a fault of that control
        place = f"the feed from {run.end} to {run.start}" if feed else f"from {run.end} to {run.start}"
        changes: tuple[Fault, ...] = (Open(f"{run.id}.wire"),)
        yield Spot(
            id=f"{class_id if divides else 'F51'}@{run.id}",
            title=f"Common {name} open: {place}",
            short=f"{name} open at {run.start}",
            where=f"{run.colour} {run.gauge}, {run.end} to {run.start}"
            + ("" if number == 0 else f", link {number + 1} of the chain"),
            changes=changes,
            rate=2.0 * rates.of("joint") + rates.of("wire") + (rates.of("crimp") if feed else 0.0),
            source=rates.source("joint"),
        )
        if feed and not divides:
            lamps = any(design.control(each.control).kind == "lamp" for each in runs if each.control)
            yield Spot(
                id=f"F51@{run.id}.resistive",
                title=f"Common {name} resistive: {place}",
                short=f"resistive {name} at {run.end}",
                where=f"{run.colour} {run.gauge}, {run.end} to {run.start}",
                changes=(Worse(f"{run.id}.wire", BAD_LAMP_RETURN if lamps else BAD_RETURN),),
                rate=rates.of("joint") + rates.of("crimp"),
                source=rates.source("joint"),
            )
        if feed and divides:
            yield Spot(
                id=f"F13@{run.id}",
                title=f"Common {name} resistive: {place}",
                short=f"resistive {name} at {run.end}",
                where=f"{run.colour} {run.gauge}, {run.end} to {run.start}",
                changes=(Worse(f"{run.id}.wire", BAD_JOINT),),
                rate=rates.of("joint") + rates.of("crimp"),
                source=rates.source("joint"),
            )


def _of_connector(design: Design, bank_id: str, rates: Rates) -> Iterator[Spot]:
    """The bank's connector off, or half of it."""
    connector = design.bank(bank_id).connector
    used = {run.pin for run in wires(design, connector)}
    pins = [pin for pin in design.connector(connector).pins if pin in used]
    half = (len(pins) + 1) // 2
    parts = (("", pins), (".first-half", pins[:half]), (".second-half", pins[half:]))
    for name, those in parts:
        words = "not home" if not name else f"half off, pins {those[0]} to {those[-1]} open" if those else ""
        if those:
            yield Spot(
                id=f"F14@{connector}{name}",
                title=f"Connector {connector} {words}",
                short=f"{connector} {'not home' if not name else 'half off'}",
                changes=tuple(Open(f"{connector}.{pin}.contact") for pin in those),
                rate=rates.of("connector") * (1.0 if not name else 0.5),
                source=rates.source("connector"),
            )


def _supply_bridges(design: Design, bank_id: str, rates: Rates) -> Iterator[Spot]:
    """V+ and GND bridged where their pins lie side by side on the connector."""
    connector = design.bank(bank_id).connector
    pins = design.connector(connector).pins
    for pin in [pin for pin, entry in pins.items() if entry.to == "supply"]:
        for beside in neighbouring_pins(design, connector, pin):
            if pins[beside].to == "ground":
                yield Spot(
                    id=f"F53@{connector}.{beside}-{pin}",
                    title=f"V+ and GND bridged at {connector} pins {beside} and {pin}",
                    short=f"V+ bridged to GND at {connector}",
                    where=f"{connector} pin {beside} (GND) and pin {pin} (V+)",
                    changes=(Bridge(f"{connector}.{beside}", f"{connector}.{pin}"),),
                    rate=rates.of("bridge"),
                    source=rates.source("bridge"),
                )


def _of_line(design: Design, line: str, rates: Rates) -> Iterator[Spot]:
    """Each wire of a matrix line open."""
    for run in wires(design, line):
        if len(feeds(design, run)) < 2:
            continue
        yield Spot(
            id=f"F17@{run.id}",
            title=f"Matrix line {line} open from {run.end} to {run.start}",
            short=f"{line} open at {run.start}",
            where=f"{run.colour} {run.gauge}, {run.end} to {run.start}",
            changes=(Open(f"{run.id}.wire"),),
            rate=2.0 * rates.of("joint") + rates.of("wire"),
            source=rates.source("joint"),
        )


def _pull_of_line(design: Design, line: str, rates: Rates) -> Iterator[Spot]:
    """The resistors at the connector that hold a matrix line, open or never fitted."""
    for run in wires(design, line):
        for name, part in pulls(design, run.connector, run.pin) if run.connector else ():
            yield Spot(
                id=f"F52@{run.connector}.{run.pin}",
                title=f"{name.capitalize()} of matrix line {line} open or missing",
                short=f"open {name} of {line}",
                where=f"{part} at {run.connector} pin {run.pin}, on the board's side",
                changes=(Open(f"{run.connector}.{run.pin}.{name}"),),
                rate=rates.of("resistor", "open") + 2.0 * rates.of("joint"),
                source=rates.source("joint"),
            )


def _line_pairs(design: Design, bank_id: str, rates: Rates) -> Iterator[Spot]:
    """Bridges between matrix lines that lie side by side on the connector."""
    connector = design.bank(bank_id).connector
    pins = design.connector(connector).pins
    lines = {pin: each.to for pin, each in pins.items() if design.matrix_of(each.to) is not None}
    for pin, line in lines.items():
        for beside in neighbouring_pins(design, connector, pin)[-1:]:
            if beside in lines and beside != pin and list(pins).index(beside) > list(pins).index(pin):
                yield Spot(
                    id=f"F18@{connector}.{pin}-{beside}",
                    title=f"Matrix lines {line} and {lines[beside]} bridged",
                    short=f"{line} and {lines[beside]} bridged",
                    changes=(Bridge(f"{connector}.{pin}", f"{connector}.{beside}"),),
                    rate=rates.of("bridge"),
                    source=rates.source("bridge"),
                )


def _of_multiplexer(design: Design, chip: str, bank_id: str, rates: Rates) -> Iterator[Spot]:
    """Each select line stuck or exchanged, where it shows in this bank."""
    entry = design.multiplexer(chip)
    channels = [control.channel for control in design.members(bank_id) if control.multiplexer == chip]
    yield Spot(
        id=f"F16@{chip}",
        title=f"Multiplexer {chip} dead or disabled: none of its channels is read",
        short=f"dead or disabled {chip}",
        where=f"{chip}, its supply, its common {entry.common} and its enable pin, which belongs to {entry.enable}",
        changes=tuple(Deaf(multiplexer=chip, channel=each) for each in range(entry.channels)),
        rate=rates.of("multiplexer", "dead") + 2.0 * rates.of("joint"),
        source=rates.source("multiplexer"),
    )
    for line in select_lines(entry.channels):
        if all(line.reads[channel] == channel for channel in channels):
            continue
        pins = ", ".join(f"S{n} {pin}" for n, pin in enumerate(entry.selects))
        yield Spot(
            id=f"F15@{line.name.replace(' ', '-')}",
            title=f"Multiplexer {chip}: {line.name}",
            short=line.name,
            where=f"select lines {pins}",
            changes=(Channels(multiplexer=chip, reads=line.reads),),
            rate=rates.of("bridge")
            if line.shorted
            else (rates.of("joint") + rates.of("multiplexer", "input")) / (4.0 if line.swapped else 1.0),
            source=rates.source("bridge" if line.shorted else "joint"),
        )
