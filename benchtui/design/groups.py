"""Wires in groups small enough to stand beside a step: "each connector, 4 wires at a time".

A connector of twelve ways, or the wires of a whole bank, are longer than a screen of 24 lines has room for, and longer
than a tired person keeps in mind. A group has an id of its own, "J1.1-4", so that each is ticked off by itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.model import Subject
from benchtui.errors import DesignError

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.design.wiring import WireRun


def wire_groups(design: Design, kind: str, count: int) -> tuple[Subject, ...]:
    """Groups of so many wires, owner by owner.

    Args:
        design: The design.
        kind: Kind of the owner: "connector", "bank" (each that has wires) or "bus".
        count: Wires of a group; the last of an owner may have fewer.
    """
    found = []
    for id, title in _owners(design, kind):
        runs = runs_of_owner(design, id)
        for first in range(0, len(runs), count):
            members = runs[first : first + count]
            if any(each.id == id for each in design.connectors):
                names = [run.pin for run in members]
                found.append(_subject(f"{id}.{_span(names)}", f"connector {title}, {pin_list(names)}"))
            else:
                last = first + len(members)
                places = [str(first + 1)] if last == first + 1 else [str(first + 1), str(last)]
                words = f"wire{'s' * (len(places) - 1)} {' to '.join(places)} of {len(runs)}"
                found.append(_subject(f"{id}.{'-'.join(places)}", f"{kind} {title}, {words}"))
    return tuple(found)


def _owners(design: Design, kind: str) -> tuple[tuple[str, str], ...]:
    if kind == "connector":
        return tuple((each.id, each.id) for each in design.connectors)
    if kind == "bus":
        return tuple((bus.id, bus.id) for bus in design.buses)
    return tuple((bank.id, f"{bank.id}, {bank.title}") for bank in design.banks)


def runs_of_owner(design: Design, id: str) -> tuple[WireRun, ...]:
    """Wires of a connector in the order of its pins, of a bank or bus in building order."""
    from benchtui.design.wiring import wires

    runs = wires(design, id)
    if any(each.id == id for each in design.connectors):
        places = {pin: place for place, pin in enumerate(design.connector(id).pins)}
        return tuple(sorted(runs, key=lambda run: places[run.pin]))
    return runs


def owner_of(design: Design, id: str) -> str:
    """Connector, bank or bus of a group; empty when the id is no group's."""
    owner, dot, _ = id.partition(".")
    known = {*(each.id for each in design.connectors), *(each.id for each in design.banks)}
    known |= {each.id for each in design.buses}
    return owner if dot and owner in known else ""


def runs_of_group(design: Design, id: str) -> tuple[WireRun, ...]:
    """The wires of a group.

    Raises:
        DesignError: There is no such group.
    """
    owner = owner_of(design, id)
    runs = runs_of_owner(design, owner) if owner else ()
    pins = any(each.id == owner for each in design.connectors)
    names = [run.pin if pins else str(place) for place, run in enumerate(runs, start=1)]
    first, _, last = id.partition(".")[2].partition("-")
    if first not in names or (last or first) not in names:
        raise DesignError(f"{design.title} has no group of wires {id!r}")
    after = len(names) - names[::-1].index(last or first)
    return runs[names.index(first) : after]


def crimped_wires(design: Design) -> tuple[Subject, ...]:
    """Each kind of wire that is crimped into a connector, the thinnest first."""
    from benchtui.design.wiring import wires

    parts = [design.part(id) for id in dict.fromkeys(run.part for run in wires(design) if run.connector)]
    sized = sorted((part.conductor.gauge.value, part.id, part.title) for part in parts if part.conductor is not None)
    return tuple(Subject(id=id, kind="wire", title=title) for _, id, title in sized)


def _subject(id: str, title: str) -> Subject:
    return Subject(id=id, kind="wires", title=title)


def _span(names: list[str]) -> str:
    return names[0] if names[0] == names[-1] else f"{names[0]}-{names[-1]}"


def pin_list(names: list[str]) -> str:
    """Pins in words: "pins 1 to 4", or one by one where some between them are left out."""
    names = list(dict.fromkeys(names))
    if len(names) == 1:
        return f"pin {names[0]}"
    if len(names) > 2 and all(name.isdecimal() for name in names) and int(names[-1]) - int(names[0]) == len(names) - 1:
        return f"pins {names[0]} to {names[-1]}"
    return f"pins {', '.join(names[:-1])} and {names[-1]}"


def spans(ids: tuple[str, ...]) -> str:
    """Ids with runs drawn together: "F1 to F8, K1"."""
    found: list[list[str]] = []
    for id in ids:
        head = id.rstrip("0123456789")
        last = found[-1][-1] if found else ""
        follows = last.rstrip("0123456789") == head and last[len(head) :].isdecimal() and id[len(head) :].isdecimal()
        if follows and int(id[len(head) :]) == int(last[len(head) :]) + 1:
            found[-1].append(id)
        else:
            found.append([id])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in found)
