"""Plugs that may change places for a test: same connector, same pin-out."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchtui.design.board import ConnectorPin
    from benchtui.design.model import Design

PinOut = tuple[tuple[str, str, bool, bool, tuple[tuple[str, str], ...]], ...]
"""For each pin: its name, what it goes to, whether it is pulled up or down, and what hangs on it."""


def like_plugs(design: Design, connector: str) -> tuple[str, ...]:
    """Other connectors whose plug fits in place of one: the same part, and each pin for the same thing.

    With any other pin-out a swapped plug may put the supply on an input, or short the rail.

    Args:
        design: The design.
        connector: Id of the connector; none fits in place of one that the design has not.
    """
    own = next((each for each in design.connectors if each.id == connector), None)
    if own is None:
        return ()
    wanted = pin_out(design, own.id)
    return tuple(
        each.id
        for each in design.connectors
        if each.id != own.id and each.part == own.part and pin_out(design, each.id) == wanted
    )


def pin_out(design: Design, connector: str) -> PinOut:
    """What each pin of a connector is for, seen from both sides.

    Raises:
        DesignError: The design has no such connector.
    """
    held: dict[str, list[tuple[str, str]]] = {}
    for control in design.on_connector(connector):
        for role, pin in control.pins.items():
            held.setdefault(pin, []).append((control.kind, role))
    for bus in design.buses:
        if bus.connector == connector:
            for pin in filter(None, (bus.pin, bus.back)):
                held.setdefault(pin, []).append(("bus", bus.net))
    return tuple(
        (pin, _goes_to(design, entry), bool(entry.pull_up), bool(entry.pull_down), tuple(sorted(held.get(pin, ()))))
        for pin, entry in sorted(design.connector(connector).pins.items())
    )


def _goes_to(design: Design, pin: ConnectorPin) -> str:
    """ground, supply or spare; row or column of a matrix; else a line that is read or driven."""
    if pin.to in ("ground", "supply", "spare"):
        return pin.to
    matrix = design.matrix_of(pin.to)
    if matrix is not None:
        return "row" if pin.to in matrix.rows else "column"
    return "line"
