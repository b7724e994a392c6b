"""Sheets that follow from the design alone: pin map, test points, bill of materials, parts side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.content.cautions import derived
from benchtui.content.hazards import OHMS
from benchtui.design.bill import bill, bill_notes, quantity_text, spans
from benchtui.design.safety import OPEN_LID
from benchtui.design.views import compare, pin_map, point_table, sheets_of
from benchtui.errors import UsageError
from benchtui.jobs.expand import caution_of
from benchtui.paper.document import Document, GuardedTable, Heading, Lines, Paragraph, Table
from benchtui.paper.steps import NOTHING, warnings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.paper.document import Block
    from benchtui.paper.source import Source


def _sheet(source: Source, title: str, blocks: Iterator[Block]) -> Document:
    return Document(title, f"{source.design.title}, revision {source.design.revision}", tuple(blocks))


def pin_sheet(source: Source) -> Document:
    """The pin map on a sheet of its own."""
    return _sheet(source, "Pin map", pin_blocks(source))


def point_sheet(source: Source) -> Document:
    """The table of test points on sheets of its own."""
    return _sheet(source, "Test points", point_blocks(source))


def bill_sheet(source: Source, *, units: int, built: str) -> Document:
    """The bill of materials.

    Args:
        source: The design.
        units: Units still to build.
        built: Where that number is from, as a sentence.
    """
    return _sheet(source, "Bill of materials", bill_blocks(source, units=units, built=built))


def part_sheet(source: Source) -> Document:
    """Parts with alternatives, side by side."""
    return _sheet(source, "Parts side by side", part_blocks(source, level=2))


def pin_blocks(source: Source) -> Iterator[Block]:
    """Every pin of the board: what it can do, what uses it, which controls are behind it."""
    pins = tuple((row.pin, row.can, row.use, spans(row.controls) or NOTHING) for row in pin_map(source.design))
    yield Table(("Pin", "Can", "Used for", "Controls"), pins, (10, 22, 38, 30))


def point_blocks(source: Source) -> Iterator[Block]:
    """Every test point with what a healthy unit reads, its cautions first."""
    probing = derived((OPEN_LID, OHMS), (), source.library.cautions())
    points = tuple(
        (
            row.subject or NOTHING,
            f"{row.expected.title}: {row.expected.where}",
            row.expected.power or NOTHING,
            row.expected.text,
        )
        for row in point_table(source.design)
    )
    yield GuardedTable(
        warnings(map(caution_of, probing), set()),
        Table(("At", "Test point, and where the probes go", "Power", "Limits"), points, (7, 63, 8, 22), dense=True),
        "Limits hold for parts within their tolerances and the meter that the design names.",
    )


def bill_blocks(source: Source, *, units: int, built: str) -> Iterator[Block]:
    """The bill: what one unit takes, and what to buy for the units still to build."""
    yield Paragraph(built)
    lines = bill(source.design, units=units)
    rows = tuple(
        (
            "☐",
            line.title,
            quantity_text(line, line.each),
            quantity_text(line, line.build),
            quantity_text(line, line.attrition),
            quantity_text(line, line.spares),
            quantity_text(line, line.buy),
            line.goes_to,
        )
        for line in lines
    )
    head = ("", "Part", "One unit", f"For {units}", "Lost", "Spare", "Buy", "Goes to")
    yield Table(head, rows, (4, 32, 9, 9, 8, 8, 8, 22))
    yield Lines(
        (
            "Lost: more, for what is lost while building. Spare: more, kept for service.",
            "Buy: the sum, in whole packs (common practice; the shares and packs are the design's own).",
            "What is in stock already is not taken off.",
            *bill_notes(lines),
        )
    )


def part_blocks(source: Source, *, level: int) -> Iterator[Block]:
    """Each part that has alternatives beside them, with what a check of the design finds against each.

    Raises:
        UsageError: No part of the design has an alternative.
    """
    design = source.design
    compared = [part.id for part in design.parts.values() if part.alternatives]
    if not compared:
        raise UsageError(
            f"no part of {design.title} has an alternative", hint="name some in the design file: `alternatives:`"
        )
    for id in compared:
        candidates = compare(design, id)
        yield Heading(design.part(id).title, level)
        names = dict.fromkeys(name for each in candidates for name, _ in each.values)
        rows = [(name, *(dict(each.values).get(name, NOTHING) for each in candidates)) for name in names]
        rows.append(("in this design", *("in use" if each.chosen else "alternative" for each in candidates)))
        rows.append(("holes of the panel", *("other ones" if each.recut else "as drawn" for each in candidates)))
        rows.append(("against it", *("; ".join(each.against) or "nothing found" for each in candidates)))
        rows.append(("values from", *("; ".join(sheets_of(each.part)) for each in candidates)))
        share = 80 // len(candidates)
        yield Table(("", *(each.part.title for each in candidates)), tuple(rows), (20, *(share for _ in candidates)))
