"""Buses as connections: which banks are one circuit, and which lug of a bus lies furthest from its connector."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.design.wiring import lines_of, stops, wires

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.design.wiring import Stop


def joined(design: Design, *bank_ids: str) -> tuple[str, ...]:
    """Banks that some banks are one circuit with: they share a bus, a line of a matrix or a connector pin of a bus.

    Args:
        design: The design.
        bank_ids: Banks to start from; they are among the answer.

    Raises:
        DesignError: There is no such bank.
    """
    lines = {bank.id: _joints_of(design, bank.id) for bank in design.banks}
    found = dict.fromkeys(design.bank(id).id for id in bank_ids)
    reached = set[str]().union(*(lines[id] for id in found))
    grew = True
    while grew:
        grew = False
        for id, own in lines.items():
            if id not in found and own & reached:
                found[id], grew = None, True
                reached |= own
    return tuple(found)


def circuits(design: Design) -> tuple[tuple[str, ...], ...]:
    """The banks in groups that are one circuit each; banks without controls are left out."""
    found: list[tuple[str, ...]] = []
    for bank in design.banks:
        if design.members(bank.id) and not any(bank.id in group for group in found):
            found.append(joined(design, bank.id))
    return tuple(found)


def _joints_of(design: Design, bank_id: str) -> set[str]:
    """What a bank can share with another: its buses and lines, and the connector pins they are fed at."""
    lines = lines_of(design, bank_id)
    fed = {f"{bus.connector} pin {bus.pin}" for bus in design.buses if bus.id in lines}
    return {*lines, *fed}


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """One way from the connector along a bus.

    Attributes:
        stop: Lug it ends at.
        length: Of its wires, in m.
        back: It starts at the second connector pin of a ring.
    """

    stop: Stop
    length: float
    back: bool = False


def feeds(design: Design, bus: str) -> tuple[Feed, ...]:
    """Every way along a bus that is measured by itself, so that between them they take in each of its wires.

    A chain is followed to its last lug, a star to each of its lugs, and a ring from either of its two connector pins to
    the lug that lies furthest.

    Args:
        design: The design.
        bus: Id of a bus.

    Returns:
        None for a bus that no lug hangs on.

    Raises:
        DesignError: There is no such bus.
    """
    runs, calls, entry = wires(design, bus), stops(design, bus), design.bus(bus)
    if not calls:
        return ()
    branches = {(run.control, run.role): run.length for run in runs if run.control}
    rest = sum(run.length for run in runs if not run.control)
    if entry.topology == "star":
        return tuple(Feed(stop=stop, length=rest + branches[stop.control.id, stop.role]) for stop in calls)
    chain = sum(branches.values())
    forth = Feed(stop=calls[-1], length=chain)
    if entry.topology == "chain":
        return (forth,)
    first = branches[calls[0].control.id, calls[0].role]
    return (forth, Feed(stop=calls[0], length=rest + chain - first, back=True))


def reach(design: Design, bus: str) -> tuple[float, Stop | None]:
    """The lug of a bus that the most wire feeds, and that length in m; of a ring with the shorter of its feeds off.

    Args:
        design: The design.
        bus: Id of a bus.
    """
    longest = max(feeds(design, bus), key=lambda feed: feed.length, default=None)
    return (longest.length, longest.stop) if longest else (0.0, None)
