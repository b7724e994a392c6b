"""Pins of the board, channels and connector pins: used once, and for what they can do."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from benchtui.design.checks.finding import Finding
from benchtui.design.parts import DIVIDERS
from benchtui.design.wiring import stops

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design
    from benchtui.errors import Place

_LOGIC = "one job for each pin"
PINS = "analogue pins of the board"
CHANNELS = "analogue channels, those of multiplexers included,"
SPARE = 0.1
"""Share of the analogue channels that is left for one that dies, or a control that is thought of later; common
practice. Of digital pins one is enough."""


def uses(design: Design) -> dict[str, list[tuple[str, str, Place]]]:
    """Board pin to what uses it: (in words, ability it needs, place)."""
    found: dict[str, list[tuple[str, str, Place]]] = defaultdict(list)
    for chip in design.multiplexers:
        found[chip.common].append((f"the common of {chip.id}", "analogue", chip.place))
        for line_number, pin in enumerate(chip.selects):
            found[pin].append((f"select line {line_number} of {chip.id}", "digital", chip.place))
        if chip.enable != "ground":
            found[chip.enable].append((f"the enable of {chip.id}", "digital", chip.place))
    for matrix in design.matrices:
        for line, pin in (*matrix.rows.items(), *matrix.columns.items()):
            found[pin].append((f"line {line} of matrix {matrix.id}", "digital", matrix.place))
    dividers = {
        (control.connector, name)
        for control in design.controls
        if control.kind in DIVIDERS
        for name in control.pins.values()
    }  # fmt: skip
    for connector in design.connectors:
        for number, entry in connector.pins.items():
            if entry.to in design.board.pins:
                need = "analogue" if (connector.id, number) in dividers else "digital"
                found[entry.to].append((f"{connector.id} pin {number}", need, connector.place))
    return found


def analogue_pins(design: Design) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Board pins that read a voltage, and those that could: kept ones and those in digital use are left out."""
    used = uses(design)
    needs = {name: {need for _, need, _ in users} for name, users in used.items()}
    there = tuple(
        name
        for name, pin in design.board.pins.items()
        if not pin.keep and "analogue" in pin.can and "digital" not in needs.get(name, ())
    )
    return tuple(name for name in there if "analogue" in needs.get(name, ())), there


def analogue_channels(design: Design) -> tuple[int, int]:
    """Controls that are read as a voltage, and how many could be: each channel of a multiplexer is one, and each
    analogue pin of the board that no multiplexer takes."""
    commons = {chip.common for chip in design.multiplexers}
    _, pins = analogue_pins(design)
    there = sum(chip.channels for chip in design.multiplexers) + sum(1 for name in pins if name not in commons)
    return sum(1 for control in design.controls if control.kind in DIVIDERS and control.pins), there


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with the use of pins."""
    board = design.board
    for name, users in uses(design).items():
        pin = board.pins[name]
        first = users[0]
        if len(users) > 1:
            words = " and ".join(user[0] for user in users)
            yield Finding(
                check="pin-twice",
                place=users[1][2],
                message=f"board pin {name} is used twice: {words}",
                hint="move one of them to a free pin",
                source=_LOGIC,
            )
        if pin.keep:
            yield Finding(
                check="pin-kept",
                place=first[2],
                message=f"board pin {name} is kept ({pin.keep}), and {first[0]} uses it",
                hint="move it to a free pin",
                source=board.source,
            )
        for words, need, place in users:
            if need not in pin.can and not pin.keep:
                able = " or ".join(pin.can)
                yield Finding(
                    check="pin-ability",
                    place=place,
                    message=f"board pin {name} is {able} only, and {words} needs {need}",
                    hint=f"use a pin that is {need}",
                    source=board.source,
                )
    yield from _budget(design)
    yield from _channels(design)
    yield from _connectors(design)
    yield from _crossings(design)


def _budget(design: Design) -> Iterator[Finding]:
    """How many channels and pins there are, and how many are left."""
    board, used = design.board, uses(design)
    needs = {name: {need for _, need, _ in users} for name, users in used.items()}
    pins = {
        name
        for name, pin in board.pins.items()
        if not pin.keep and "digital" in pin.can and "analogue" not in needs.get(name, ())
    }
    for what, (taken, there), share in (
        (CHANNELS, analogue_channels(design), SPARE),
        ("digital pins", (sum(1 for name in pins if name in used), len(pins)), 0.0),
    ):
        if taken and (taken > (1 - share) * there or taken >= there):
            yield Finding(
                check="pin-budget",
                level="note",
                place=board.place,
                message=f"{taken} of {there} {what} are used, and {there - taken} left for a spare",
                hint="a multiplexer, a matrix or a larger board leaves one for the day that a pin dies",
                source="a tenth of the channels and one pin left free, common practice",
            )


def _channels(design: Design) -> Iterator[Finding]:
    for chip in design.multiplexers:
        open_channels = chip.channels - sum(control.multiplexer == chip.id for control in design.controls)
        if chip.spare == "open" and open_channels > 0:
            yield Finding(
                check="channels-open",
                level="warning",
                place=chip.place,
                message=f"multiplexer {chip.id} leaves {open_channels} of its {chip.channels} inputs open",
                hint="tie what is not used to ground: `spare: ground`",
                source="maker's data sheets of analogue multiplexers: no input is left floating",
            )
        lines = max(chip.channels - 1, 1).bit_length()
        if len(chip.selects) != lines:
            yield Finding(
                check="select-lines",
                place=chip.place,
                message=f"multiplexer {chip.id} has {len(chip.selects)} select lines, and {chip.channels} channels "
                f"need {lines}",
                hint="list them lowest first",
                source="2 to the power of lines",
            )
    seen: dict[str, str] = {}
    for connector in design.connectors:
        for number, entry in connector.pins.items():
            if " " in entry.to:
                here = f"{connector.id} pin {number}"
                if entry.to in seen:
                    yield Finding(
                        check="channel-twice",
                        place=connector.place,
                        message=f"channel {entry.to} is used twice: {seen[entry.to]} and {here}",
                        hint="give each a channel of its own",
                        source=_LOGIC,
                    )
                seen.setdefault(entry.to, here)


def _connectors(design: Design) -> Iterator[Finding]:
    for connector in design.connectors:
        ways = design.part(connector.part).ways
        assert ways is not None  # the reader lets no connector through without them
        if len(connector.pins) > ways.ways:
            yield Finding(
                check="ways",
                place=connector.place,
                message=f"connector {connector.id} lists {len(connector.pins)} pins, and its part has {ways.ways}",
                hint="choose a larger part",
                source=ways.source,
            )
    taken: dict[tuple[str, str], str] = {}
    for bus in design.buses:
        ends = [(bus.pin, f"bus {bus.id}"), (bus.back, f"the way back of bus {bus.id}")]
        for number, who in ends[: 2 if bus.topology == "ring" else 1] if stops(design, bus.id) else ():
            if (bus.connector, number) in taken:
                yield Finding(
                    check="connector-pin-twice",
                    place=bus.place,
                    message=f"{bus.connector} pin {number} has two wires: {taken[bus.connector, number]} and {who}",
                    hint="one wire for each crimp",
                    source="common practice",
                )
            taken.setdefault((bus.connector, number), who)
    for control in design.controls:
        for role, number in control.pins.items():
            if role in ("row", "column"):
                continue
            spot = (control.connector, number)
            who = f"{control.id} {role}"
            if spot in taken:
                yield Finding(
                    check="connector-pin-twice",
                    place=control.place,
                    message=f"{control.connector} pin {number} has two wires: {taken[spot]} and {who}",
                    hint="one wire for each crimp",
                    source="common practice",
                )
            taken.setdefault(spot, who)
            entry = design.connector_pin(control.connector, number)
            if entry is not None and entry.to in ("spare", "ground", "supply") and role not in ("ground", "supply"):
                yield Finding(
                    check="leads-nowhere",
                    place=control.place,
                    message=f"control {control.id}: its {role} goes to {control.connector} pin {number}, which is "
                    f"{entry.to}",
                    hint="send the connector pin to the board, or choose another",
                    source=_LOGIC,
                )


def _crossings(design: Design) -> Iterator[Finding]:
    seen: dict[tuple[str, str], str] = {}
    for control in design.controls:
        if control.row:
            spot = (control.row, control.column)
            if spot in seen:
                yield Finding(
                    check="crossing-twice",
                    place=control.place,
                    message=f"controls {seen[spot]} and {control.id} sit at the same crossing "
                    f"{control.row} {control.column}",
                    hint="the board could not tell them apart",
                    source=_LOGIC,
                )
            seen.setdefault(spot, control.id)
