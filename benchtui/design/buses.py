"""Buses as connections: which banks are one circuit, and which lug of a bus lies furthest from its connector."""

from __future__ import annotations

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


def reach(design: Design, bus: str) -> tuple[float, Stop | None]:
    """The lug of a bus that the most wire feeds, and that length in m; of a ring with one of its two feeds off.

    Args:
        design: The design.
        bus: Id of a bus.
    """
    runs, calls = wires(design, bus), stops(design, bus)
    if not calls:
        return 0.0, None
    if design.bus(bus).topology != "star":
        return sum(run.length for run in runs if run.control), calls[-1]
    branches = {(run.control, run.role): run.length for run in runs if run.control}
    feed = sum(run.length for run in runs if not run.control)
    furthest = max(calls, key=lambda stop: branches[stop.control.id, stop.role])
    return feed + branches[furthest.control.id, furthest.role], furthest
