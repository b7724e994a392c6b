"""The bill of materials: what one unit takes, and what to buy for the units still to build."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from benchtui.design.groups import spans as spans

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.model import Design
    from benchtui.design.parts import Part
    from benchtui.design.reels import Reel

Unit = Literal["", "m", "g"]
"""What a line counts in: pieces, metres or grams."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """One line of the bill."""

    part: Part
    each: float
    """For one unit: pieces, or metres or grams as `unit` says."""
    unit: Unit = ""
    colour: str = ""
    """Of a wire."""
    fitted: tuple[str, ...] = ()
    """Ids of the controls, connectors, chips and panel holes that take it, in the order of the design."""
    basis: str = ""
    """What it is counted from, where no control takes it."""
    note: str = ""
    """The allowance it is counted with, as a sentence; empty for none."""
    build: float
    """For the units still to build."""
    attrition: float
    """More, for what is lost while building."""
    spares: float
    """More, kept for service."""
    buy: float
    """The sum, rounded up to whole packs."""

    @property
    def title(self) -> str:
        """The part, and for a wire its colour."""
        return f"{self.part.title}, {self.colour}" if self.colour else self.part.title

    @property
    def goes_to(self) -> str:
        """Where it goes, in words."""
        return self.basis or spans(self.fitted) or "the unit"


def bill(design: Design, *, units: int = 1) -> tuple[BillLine, ...]:
    """The bill of materials.

    Args:
        design: The design.
        units: Units still to build.

    Returns:
        A line for each part, in the order the design lists its parts, and for each colour of a wire; then what the
        wiring uses up, as `consumables` counts it. Quantity to buy = ceil(units × each × (1 + attrition)) + spares,
        rounded up to whole packs (common practice).
    """
    from benchtui.design.consumables import consumables
    from benchtui.design.reels import reels

    quantity: Counter[str] = Counter()
    users: dict[str, list[str]] = {}
    shared: set[str] = set()  # parts that the unit takes as a whole, beside those its controls take

    def take(part: str, number: int, user: str) -> None:
        quantity[part] += number
        users.setdefault(part, [])
        if not user:
            shared.add(part)
        elif user not in users[part]:
            users[part].append(user)

    for name, number, user in _taken(design):
        take(name, number, user)
    lines = []
    cut: dict[str, list[Reel]] = {}
    for reel in reels(design):
        cut.setdefault(reel.part, []).append(reel)
    for id, part in design.parts.items():
        for reel in cut.get(id, ()):
            count = f"{len(reel.runs)} wire{'s' if len(reel.runs) > 1 else ''}"
            note = "Wire: the lengths to cut, slack included."
            lines.append(_line(part, reel.length, units, unit="m", colour=reel.colour, basis=count, note=note))
        if quantity[id] and id not in cut:
            basis = f"{spans(tuple(users[id]))}, the unit" if users[id] and id in shared else ""
            lines.append(_line(part, quantity[id], units, fitted=tuple(users[id]), basis=basis))
    for used in consumables(design):
        lines.append(_line(used.part, used.each, units, unit=used.unit, basis=used.basis, note=used.note))
    return tuple(lines)


def bill_lines(design: Design, *, units: int = 1) -> tuple[str, ...]:
    """The bill of one unit as lines of text for the page before a job: "8 × slide potentiometer ... (F1 to F8)"."""
    lines = []
    for line in bill(design, units=units):
        number = quantity_text(line, line.build) + ("" if line.unit else " ×")
        where = f" ({spans(line.fitted)})" if line.fitted else ""
        lines.append(f"{number} {line.title}{where}")
    return tuple(lines)


def bill_notes(lines: Iterable[BillLine]) -> tuple[str, ...]:
    """What the quantities of a bill were counted with, each said once."""
    return tuple(dict.fromkeys(line.note for line in lines if line.note))


def _taken(design: Design) -> Iterable[tuple[str, int, str]]:
    """Every piece that one unit takes, as (part, how many, who takes it)."""
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
    if design.panel.bond_wire is not None:
        for part, number in design.panel.bond_wire.fitted.items():
            yield part, number, design.panel.bond
    for part in (design.board.part, design.panel.part, design.file.power.lead):
        yield part, 1, ""
    for extra in design.file.extras:
        yield extra.part, extra.quantity, ""


def _line(
    part: Part,
    each: float,
    units: int,
    *,
    unit: Unit = "",
    colour: str = "",
    fitted: tuple[str, ...] = (),
    basis: str = "",
    note: str = "",
) -> BillLine:
    buying = part.buying
    if unit:
        each = math.ceil(round(each * 10, 6)) / 10  # to the next tenth: nobody measures finer off a reel
    build = round(each * units, 1)
    with_loss = math.ceil(round(build * (1 + buying.attrition.value), 9))
    spares = max(buying.least, math.ceil(buying.spare_per_five * units / 5))
    buy = math.ceil((with_loss + spares) / buying.pack) * buying.pack
    return BillLine(
        part=part,
        each=each,
        unit=unit,
        colour=colour,
        fitted=fitted,
        basis=basis,
        note=note,
        build=build,
        attrition=round(with_loss - build, 1),
        spares=spares,
        buy=buy,
    )


def quantity_text(line: BillLine, number: float) -> str:
    """A quantity of a line in words: "8", "2.4 m", "600 mm" or "12 g"."""
    if not number:
        return "0"
    return length_text(number) if line.unit == "m" else f"{number:g} {line.unit}".rstrip()


def length_text(metres: float) -> str:
    """A length of wire or sleeve: in mm below a metre, in m from there."""
    return f"{metres:g} m" if metres >= 1 else f"{metres * 1000:g} mm"
