"""The bill of materials: what one unit takes, and what to buy for the units still to build."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.model import Design
    from benchtui.design.parts import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """One line of the bill."""

    part: Part
    each: float
    """Pieces for one unit; metres for wire."""
    fitted: tuple[str, ...]
    """Ids of the controls, connectors and chips that take it, in the order of the design."""
    build: float
    """For the units still to build."""
    attrition: float
    """More, for what is lost while building."""
    spares: float
    """More, kept for service."""
    buy: float
    """The sum, rounded up to whole packs."""

    @property
    def is_wire(self) -> bool:
        """Whether quantities are metres."""
        return self.part.kind == "wire"


def bill(design: Design, *, units: int = 1) -> tuple[BillLine, ...]:
    """The bill of materials.

    Args:
        design: The design.
        units: Units still to build.

    Returns:
        A line for each part, in the order the design lists its parts. Quantity to buy =
        ceil(units × each × (1 + attrition)) + spares, rounded up to whole packs (common practice).
    """
    quantity: Counter[str] = Counter()
    users: dict[str, list[str]] = {}

    def take(part: str, number: float, user: str) -> None:
        quantity[part] += number  # type: ignore[assignment]  # metres of wire are not whole
        users.setdefault(part, [])
        if user and user not in users[part]:
            users[part].append(user)

    for part, number, user in _taken(design):
        take(part, number, user)
    return tuple(_line(design.part(id), quantity[id], users[id], units) for id in design.parts if quantity[id])


def bill_lines(design: Design, *, units: int = 1) -> tuple[str, ...]:
    """The bill of one unit as lines of text for the page before a job: "8 × slide potentiometer ... (F1 to F8)"."""
    lines = []
    for line in bill(design, units=units):
        number = f"{line.build:g} m" if line.is_wire else f"{line.build:g} ×"
        where = f" ({spans(line.fitted)})" if line.fitted else ""
        lines.append(f"{number} {line.part.title}{where}")
    return tuple(lines)


def _taken(design: Design) -> Iterable[tuple[str, float, str]]:
    """Everything one unit takes, as (part, pieces or metres, who takes it)."""
    from benchtui.design.wiring import wires

    for control in design.controls:
        yield control.part.id, 1, control.id
        for part, number in control.fitted.items():
            yield part, number, control.id
        if control.limiter is not None:
            yield control.limiter.id, 1, control.id
        if control.row and (matrix := design.matrix_of(control.row)) and matrix.diode:
            yield matrix.diode, 1, control.id
    for connector in design.connectors:
        yield connector.part, 1, connector.id
        for pin in connector.pins.values():
            for part in (pin.through, pin.pull_up, pin.pull_down, pin.capacitor):
                if part:
                    yield part, 1, connector.id
    for multiplexer in design.multiplexers:
        yield multiplexer.part, 1, multiplexer.id
        if multiplexer.capacitor:
            yield multiplexer.capacitor, 1, multiplexer.id
    for part in (design.board.part, design.panel.part, design.file.power.lead):
        yield part, 1, ""
    for extra in design.file.extras:
        yield extra.part, extra.quantity, ""
    for wire in wires(design):
        yield wire.part, wire.length, ""


def _line(part: Part, each: float, users: list[str], units: int) -> BillLine:
    buying = part.buying
    if part.kind == "wire":
        each = math.ceil(each * 10) / 10  # metres to the next tenth: nobody measures finer off a reel
    build = round(each * units, 1)
    with_loss = math.ceil(round(build * (1 + buying.attrition.value), 9))
    spares = max(buying.least, math.ceil(buying.spare_per_five * units / 5))
    buy = math.ceil((with_loss + spares) / buying.pack) * buying.pack
    return BillLine(
        part=part,
        each=each,
        fitted=tuple(users),
        build=build,
        attrition=round(with_loss - build, 1),
        spares=spares,
        buy=buy,
    )


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


def quantity_text(line: BillLine, number: float) -> str:
    """A quantity of a line in words: "8" or "2.4 m"."""
    return f"{number:g} m" if line.is_wire else f"{number:g}"
