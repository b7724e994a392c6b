"""A circuit with a fault put in: something open, shorted, resistive, exchanged, off its lug or of another value."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.elements import Open
from benchtui.design.circuit.solve import solve
from benchtui.errors import DesignError
from benchtui.faults.spots import Channels, Deaf, Detached, Exchange, Value

if TYPE_CHECKING:
    from benchtui.design.circuit.elements import Circuit
    from benchtui.faults.spots import Change


PROBED: Final = ("meter", "touch")
"""What a meter or its load sends into the place that it is put on."""


def changed(circuit: Circuit, change: Change, *, powered: bool) -> Circuit:
    """A circuit after one change; a change of something that this circuit has not leaves it as it is.

    A contact of a connector that is out belongs to the wire in it: a bad crimp is found between lug and pin.
    """
    if isinstance(change, Channels | Deaf):
        return circuit
    if isinstance(change, Exchange):
        return ordered(_exchanged(circuit, change), circuit)
    if isinstance(change, Detached):
        return _detached(circuit, change)
    if isinstance(change, Value):
        return ordered(_of_value(circuit, change), circuit)
    if isinstance(change, Open) and not powered and change.element.endswith(".contact"):
        node = change.element.removesuffix(".contact")
        wire = next((each.id for each in circuit.elements if each.b == node and each.id.endswith(".wire")), "")
        change = Open(wire) if wire else change
    try:
        return ordered(circuit.with_faults(change), circuit)
    except DesignError:
        return circuit


def ordered(circuit: Circuit, like: Circuit) -> Circuit:
    """A circuit to be solved in the order that was found for one with the same nodes: finding it takes the time."""
    if not circuit.order:
        if not like.order:
            solve(like)
        if circuit.nodes() == like.nodes():
            circuit.order.extend(like.order)
    return circuit


def _of_value(circuit: Circuit, change: Value) -> Circuit:
    """Another value of the element, with what is left of it at its stops in proportion."""
    by = change.factor
    names = [f"{change.control}.{part}" for part in ("element", "lower", "upper")]
    quantities = {
        name: replace(each, low=each.low * by, nominal=each.nominal * by, high=each.high * by)
        if name in names
        else each
        for name, each in circuit.quantities.items()
    }
    return replace(circuit, quantities=quantities)


def _exchanged(circuit: Circuit, change: Exchange) -> Circuit:
    """Swap two roles of a control in the elements it is made of; its leads stay where they are."""
    one, other = f"{change.control}.{change.one}", f"{change.control}.{change.other}"
    swap = {one: other, other: one}
    body = _body(change.control)
    return replace(
        circuit,
        elements=tuple(
            replace(each, a=swap.get(each.a, each.a), b=swap.get(each.b, each.b)) if each.id in body else each
            for each in circuit.elements
        ),
    )


def _body(control: str) -> frozenset[str]:
    """The elements that a control is made of, between its lugs."""
    parts = ("below", "above", "wiper", "contact", "a", "b", "push", "junction", "junction.series")
    return frozenset(f"{control}.{part}" for part in parts)


def _detached(circuit: Circuit, change: Detached) -> Circuit:
    """Take the wires off a lug: they meet at a place of their own, and the lug stays with the part.

    What a meter sends into the lug goes into the part: its probe is on the lug, and not on the wires.
    """
    lug, blob = f"{change.control}.{change.role}", f"{change.control}.{change.role}.wires"
    return replace(
        circuit,
        elements=tuple(
            each
            if each.id in _body(change.control) or each.id in PROBED
            else replace(each, a=blob if each.a == lug else each.a, b=blob if each.b == lug else each.b)
            for each in circuit.elements
        ),
    )
