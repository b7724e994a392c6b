"""The first-unit record for paper: each characteristic of the design with its limits, reading, meter and verdict.

It has what the three forms of a first article inspection ask for (AS9102, from memory): the unit and what it was built
by, the lots and firmware in it, and each characteristic with its result.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.first_unit import characteristics, circumstances_of, materials, summed_up
from benchtui.jobs.passport import first_unit_lines, when
from benchtui.jobs.units import UnitView
from benchtui.paper.document import Blanks, Document, Heading, Lines, Paragraph, Table
from benchtui.paper.steps import NOTHING, VERDICTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchtui.jobs.first_unit import Characteristic
    from benchtui.jobs.plan import Plan
    from benchtui.paper.document import Block
    from benchtui.paper.source import Source


def first_unit_sheet(
    source: Source, *, view: UnitView | None = None, due: str = "", missing: Sequence[str] = ()
) -> Document:
    """The first-unit record of a unit, filled in as far as the record goes; all of it blank without a unit.

    Args:
        source: The design and its procedures.
        view: The unit.
        due: Why a record is due, in words; empty where none is.
        missing: What stands between the unit and its release by the record, a line each.
    """

    def plan_of(id: str) -> Plan | None:
        return source.procedure(id) if source.serves(id) else None

    unit = view or UnitView(unit="")
    begin = [source.procedure(id) for id in source.ids("procedure", "assembly")[:1]]
    lines = characteristics(unit, plan_of, begin)
    how = circumstances_of(unit, place="")
    signed = unit.first_unit[-1] if unit.first_unit else None
    design = source.design
    built = f"{how.design_revision or design.revision}"
    blocks: list[Block] = [
        Blanks(
            (
                ("Unit", unit.unit),
                ("Built to design revision", built),
                ("Hardware", unit.made.hardware if unit.made else ""),
                ("Bench", signed.place if signed else ""),
                ("Signed by", signed.by if signed else ""),
                ("Date", when(unit.first_signed)),
            )
        ),
        *_state(unit, due, missing),
        Heading("Built by", 2),
        Lines(tuple(f"{id}, revision {revision}" for id, revision in how.procedures.items()) or _planned(begin)),
        Heading("Parts with a lot or serial number, and firmware", 2),
        Lines(tuple(materials(unit)) or ("none written down",)),
        Heading("Characteristics", 2),
        Paragraph(f"{summed_up(lines)}.".capitalize(), with_next=True),
        Table(
            ("No.", "Of", "Characteristic", "Limits", "Reading", "Verdict", "Meter"),
            tuple(map(_row, lines)),
            (5, 7, 35, 16, 14, 14, 9),
            dense=True,
        ),
    ]
    return Document("First-unit record", f"{design.title}, revision {design.revision}", tuple(blocks))


def _planned(plans: Sequence[Plan]) -> tuple[str, ...]:
    return tuple(f"{plan.id}, revision {plan.revision}, not begun" for plan in plans) or ("nothing yet",)


def _state(unit: UnitView, due: str, missing: Sequence[str]) -> Iterator[Block]:
    """What is to be known of it before the figures: that it is due, signed, or not whole yet."""
    for text in first_unit_lines(unit):
        yield Paragraph(f"{text[:1].upper()}{text[1:]}.")
    if due:
        yield Paragraph(f"{due}.")
    if unit.state:
        yield Paragraph(f"By the record this unit is {unit.state}.", with_next=bool(missing))
    if missing:
        yield Heading("Open by the record", 2)
        yield Lines(tuple(missing))


def _row(line: Characteristic) -> tuple[str, ...]:
    verdict = line.verdict if line.result or line.verdict.partition(":")[2] else VERDICTS
    reading = f"{line.result} ({when(line.time)})" if line.result and line.time else line.result
    return (
        str(line.number),
        line.about or NOTHING,
        f"{line.what} ({line.at})",
        line.requirement,
        reading,
        verdict,
        line.meter or (NOTHING if line.result else ""),
    )
