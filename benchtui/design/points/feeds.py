"""Test points of wires: a signal wire, and every feed of a bus by itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.design.buses import Feed, feeds
from benchtui.design.circuit.build import State, build, node_of_stop
from benchtui.design.circuit.elements import Circuit
from benchtui.design.circuit.readings import Highest, Volts, ohms
from benchtui.design.circuit.window import window
from benchtui.design.points.meter import error
from benchtui.design.points.places import Place, bus_pin, lug, pin, place
from benchtui.design.points.spec import Spec, wire_of
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.design.model import Design

WIRE: Final = 1.0
"""Ohm that no signal wire inside the unit reaches; common practice."""
WIRE_SOURCE: Final = "under 1 Ω for any run inside, common practice"
FEED: Final = 0.2
"""Ohm from the connector to any lug of a bus, at most; common practice."""
FEED_SOURCE: Final = (
    "0.2 Ω at most from the connector to any lug, common practice; what the meter may be off comes on top"
)
LONG_SOURCE: Final = "wires and joints of this design, at their worst; what the meter may be off comes on top"
PROVING: Final = 0.1
"""A, from a bench supply, that shows 0.2 Ω as 20 mV; estimate."""


def wire_loop(design: Design, id: str) -> Spec:
    """The signal wire of a control, lug to connector pin, along its chain if it hangs on one."""
    control = design.control(id)
    role = "row" if control.row else control.signal_role
    run = wire_of(design, control, role)
    members = wires(design, run.bus) if run.bus else (run,)
    here = [each.control for each in members].index(id) if run.bus else 0
    chain = members[: here + 1]
    circuit = build(design, id, state=State(powered=False))
    path = Circuit(quantities=circuit.quantities, elements=tuple(circuit.element(f"{each.id}.wire") for each in chain))
    start, end = lug(design, control, "contact" if role == "row" else role), pin(design, control, role)
    metres = sum(each.length for each in chain)
    return Spec(
        probes=((start, end),),
        reading=ohms(path, start.node, end.node),
        where=f"{start.words} to {end.words}, {control.connector} unplugged",
        formula=f"{format_value(metres, 'length')} of {run.gauge} with its joints",
        sides="most",
        most=WIRE,
        reason=WIRE_SOURCE,
    )


@dataclass(frozen=True, slots=True)
class _Way:
    """One feed with its two ends and its reading."""

    feed: Feed
    start: Place
    end: Place
    reading: Volts


def feed_loop(design: Design, id: str) -> Spec:
    """Every feed of a bus by itself, from its connector pin to a lug; of a bank those of both its buses.

    A chain has one feed, to its last lug. A star has one to each lug. A ring has two, each to the lug that lies
    furthest along it: with the plug in the board joins them, and a broken leg hides; with the plug out each stands
    alone.
    """
    banks = [bank for bank in design.banks if bank.id == id]
    ids = [bus for bank in banks for bus in (bank.ground, bank.supply) if bus] or [id]
    ways = [way for bus_id in ids for way in _ways(design, bus_id)]
    if not ways:
        raise DesignError(f"{id} has no feed")
    places = "; ".join(f"{way.start.words} to {way.end.words}" for way in ways)
    plugs = " and ".join(dict.fromkeys(design.bus(bus_id).connector for bus_id in ids))
    longest = max(ways, key=lambda way: way.feed.length)
    reading = ways[0].reading if len(ways) == 1 else Highest(tuple(way.reading for way in ways))
    within = window(reading).nominal <= FEED
    off = error(design.meter, "resistance", FEED)
    formula = f"{format_value(longest.feed.length, 'length')} of wire in a row, with its joints"
    if len(ways) > 1:
        formula += f", in the longest of {len(ways)} feeds"
    if not within:
        formula += f"; more than the {format_value(FEED, 'resistance')} of common practice, so thicker wire is better"
    elif off > FEED / 2:
        formula += (
            f"; to prove {format_value(FEED, 'resistance')} itself, send {format_value(PROVING, 'current')} through "
            f"the feed from a bench supply: {format_value(FEED * PROVING, 'voltage')} along it at most"
        )
    return Spec(
        probes=tuple((way.start, way.end) for way in ways),
        reading=reading,
        where=f"{places}; {plugs} unplugged" + (", each by itself, the highest counts" if len(ways) > 1 else ""),
        formula=formula,
        sides="most",
        cap=FEED if within else None,
        reason=FEED_SOURCE if within else LONG_SOURCE,
    )


def _ways(design: Design, bus: str) -> list[_Way]:
    """The feeds of a bus as they are measured."""
    ways = feeds(design, bus)
    if not ways:
        return []
    circuit = build(design, ways[0].stop.control.id, state=State(powered=False))
    own = tuple(circuit.element(f"{run.id}.wire") for run in wires(design, bus))
    path = Circuit(quantities=circuit.quantities, elements=own)
    found = []
    for feed in ways:
        start, end = bus_pin(design, bus, back=feed.back), place(design, node_of_stop(design, feed.stop))
        found.append(_Way(feed, start, end, ohms(path, start.node, end.node)))
    return found
