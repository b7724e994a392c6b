"""One test point on one subject: the reading, where the probes go, and what limits are made of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from benchtui.errors import DesignError

if TYPE_CHECKING:
    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Control, Design
    from benchtui.design.wiring import WireRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Spec:
    """How a test point is worked out.

    Attributes:
        where: Where both probes go.
        formula: What the reading is made of, in words.
        reading: What the circuit gives; None where limits are given outright.
        sides: Which sides of the window are limits.
        metered: Whether a meter's error is added.
        least: Low limit given outright, or widened to.
        most: High limit given outright, or widened to.
        nominal: Given outright, where there is no reading.
        reason: Where `least` and `most` are from.
        sources: Where the figures are from, beyond those of the quantities.
    """

    where: str
    formula: str
    reading: Reading | None = None
    sides: Literal["both", "most", "least"] = "both"
    metered: bool = True
    least: float | None = None
    most: float | None = None
    nominal: float | None = None
    reason: str = ""
    sources: tuple[str, ...] = ()


def lug(control: Control, role: str) -> str:
    """A lug in words: "F3 lug 2 (wiper)"."""
    found = control.part.lugs.get(role)
    if found is None:
        raise DesignError(f"{control.id} has no lug for {role}")
    return f"{control.id} lug {found.lug}" + (f" ({found.name})" if found.name else "")


def wire_of(design: Design, control: Control, role: str) -> WireRun:
    """The wire at a lug.

    Raises:
        DesignError: There is none.
    """
    from benchtui.design.wiring import wires

    for run in wires(design, control.id):
        if run.role == role:
            return run
    raise DesignError(f"{control.id} has no wire at its lug for {role}")


def ground_words(design: Design, control: Control) -> str:
    """A place near a control where the black probe finds ground."""
    if control.bank and (bus := design.bank(control.bank).ground):
        return f"{design.bus(bus).connector} pin {design.bus(bus).pin} (ground, {design.bus(bus).colour} wire)"
    return "ground at the board"


def pin_words(design: Design, control: Control, role: str) -> str:
    """The connector pin and what it goes to: "J1 pin 5 (yellow wire, M1 channel 2)"."""
    pin = control.pins.get(role, "")
    if not pin:
        return control.board_pins.get(role, "the board pin")
    entry = design.connector_pin(control.connector, pin)
    to = entry.to.replace(" ", " channel ") if entry else ""
    colour = wire_of(design, control, role).colour
    return f"{control.connector} pin {pin} ({colour} wire, {to})"


def unplugged(design: Design, bank: str) -> str:
    """The connectors to unplug before ohms of a bank: its own, and those of the banks it shares a bus with."""
    from benchtui.design.buses import joined

    ids = {design.bank(id).connector for id in joined(design, bank)}
    return f"{' and '.join(each.id for each in design.connectors if each.id in ids)} unplugged"


def bus_pin(design: Design, bus: str, net: str) -> str:
    """The connector pin of a bus in words: "J1 pin 2 (supply, red wire)"."""
    found = design.bus(bus)
    return f"{found.connector} pin {found.pin} ({net}, {found.colour} wire)"
