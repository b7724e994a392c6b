"""Where a probe goes: a node of the circuit, and the words made from it, so that the two cannot differ."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.design.wiring import inline_joint
from benchtui.errors import DesignError

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design


@dataclass(frozen=True, slots=True)
class Place:
    """Where a probe goes.

    Attributes:
        node: Node of the circuit, as `circuit.build` names it.
        words: What a person finds there: "F3 lug 2 (wiper)", "R2 resistor, free leg", "J1 pin 5 at the board (...)".
    """

    node: str
    words: str


def place(design: Design, node: str) -> Place:
    """The place of a node.

    Args:
        design: The design.
        node: "F3.signal" is a lug, "R2.supply.inline" the far leg of what lies in a wire there, "J1.5" a pin on its
            wire's side, and "J1.5.board" the same pin on the board's side, where the board's own ground and rail are
            one node for all pins.

    Raises:
        DesignError: Nothing of the design has such a node.
    """
    first, _, rest = node.partition(".")
    role, _, side = rest.partition(".")
    for control in design.controls:
        if control.id == first:
            words = inline_joint(design, control, role) if side == "inline" else _lug(control, role)
            return Place(node, words)
    if any(connector.id == first for connector in design.connectors):
        return _pin(design, first, role, at_board=side == "board")
    raise DesignError(f"no probe reaches the node {node!r}")


def _lug(control: Control, role: str) -> str:
    found = control.part.lugs.get(role)
    if found is None:
        raise DesignError(f"{control.id} has no lug for {role}")
    return f"{control.id} lug {found.lug}" + (f" ({found.name})" if found.name else "")


def _pin(design: Design, connector: str, number: str, *, at_board: bool) -> Place:
    entry = design.connector_pin(connector, number)
    if entry is None:
        raise DesignError(f"{connector} has no pin {number}")
    run = next((each for each in design.harness if (each.connector, each.pin) == (connector, number)), None)
    colour = f"{run.colour} wire" if run else ""
    fed = entry.to in ("ground", "supply")
    to = entry.to.replace(" ", " channel ")
    node, said = f"{connector}.{number}", ""
    if at_board:
        node, said = {"ground": "ground", "supply": "rail"}.get(entry.to, f"{node}.board"), " at the board"
    about = ", ".join(each for each in ((to, colour) if fed else (colour, to)) if each)
    return Place(node, f"{connector} pin {number}{said} ({about})")


def lug(design: Design, control: Control, role: str) -> Place:
    """A lug of a control."""
    return place(design, f"{control.id}.{role}")


def pin(design: Design, control: Control, role: str, *, at_board: bool = False) -> Place:
    """The connector pin of a control's lug."""
    return place(design, f"{control.connector}.{control.pins[role]}" + (".board" if at_board else ""))


def bus_pin(design: Design, bus: str, *, back: bool = False) -> Place:
    """The connector pin a bus is fed at; that of the way back of a ring."""
    found = design.bus(bus)
    return place(design, f"{found.connector}.{found.back if back else found.pin}")


def ground(design: Design, control: Control) -> Place:
    """The board's ground, at the connector pin that is nearest to a control."""
    if control.bank and (bus := design.bank(control.bank).ground):
        return place(design, f"{design.bus(bus).connector}.{design.bus(bus).pin}.board")
    return Place("ground", "ground at the board")
