"""The complete builder's manual: what somebody else needs to build, test and keep one unit, in one document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.bill import bill, quantity_text
from benchtui.design.panel import panel_text
from benchtui.jobs.expand import caution_of
from benchtui.paper.design_sheets import pin_blocks, point_blocks
from benchtui.paper.document import Contents, Document, Drawing, Heading, Lines, Paragraph, Picture, Table
from benchtui.paper.panel_svg import svg_of
from benchtui.paper.sheets import LOCAL_CODE, wiring_blocks
from benchtui.paper.steps import plan_blocks, warnings
from benchtui.paper.tested import passage_blocks, passages

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.paper.document import Block
    from benchtui.paper.source import Source

SIGNAL_WORDS: Final = (
    ("⚠ DANGER", "will kill or maim if it is not avoided"),
    ("⚠ WARNING", "could kill or maim"),
    ("⚠ CAUTION", "could hurt"),
    ("NOTICE", "could damage things, and nobody"),
)
"""Words of ANSI Z535.6; the first three also of ISO 3864-2."""

_WIDTH: Final = 110
_HEIGHT: Final = 44


def manual(source: Source) -> Document:
    """The builder's manual of a design."""
    parts = [*_head(source), *_thing(source), *_work(source)]
    entries = tuple((block.text, block.anchor) for block in parts if isinstance(block, Heading) and block.level == 2)
    design = source.design
    return Document(
        f"{design.title}: builder's manual",
        f"design {design.id}, revision {design.revision}, mark {design.digest[:8]}",
        (Contents(entries), *parts),
    )


def _head(source: Source) -> Iterator[Block]:
    yield Heading("How to use this manual", 2, anchor="use")
    yield Paragraph(
        "Every step does one thing. Read it, do it, tick its box. A message in a frame stands before the step it "
        "belongs to, so read the frame first. A hold point is done before anything after it, and a required test is "
        "never skipped. Write down the first reading, also when it is out of its limits."
    )
    yield Paragraph(LOCAL_CODE)
    yield Table(("Word", "Meaning"), SIGNAL_WORDS, (20, 80))
    emergency = source.library.emergency()
    if emergency:
        yield Heading("If it smokes, smells or shocks", 2, anchor="emergency")
        yield Lines(emergency)
    yield Heading("Safety messages", 2, anchor="safety", new_page=True)
    yield Paragraph("All of them in one place, for a first reading. Each comes again before the steps it belongs to.")
    yield from warnings(map(caution_of, source.library.cautions().values()), set())


def _thing(source: Source) -> Iterator[Block]:
    design = source.design
    yield Heading("The panel", 2, anchor="panel", new_page=True)
    for rear, title in ((False, "From the front"), (True, "From the rear, as you see it while wiring")):
        yield Picture("\n".join(panel_text(design, width=_WIDTH, height=_HEIGHT, rear=rear)), title)
    yield Drawing(
        svg_of(design), "Holes and what fingers meet, made smaller. For 1:1: benchtui print panel, or print mock-up"
    )
    yield Heading("Controls", 2, anchor="controls")
    rows = []
    for control in design.controls:
        message = control.message.words(design.file.channel) if control.message else ""
        rows.append((control.id, control.legend, control.part.title, message or "none"))
    yield Table(("Id", "Legend", "Part", "Message"), tuple(rows), (8, 28, 38, 26))
    yield Heading("Board pins", 2, anchor="pins")
    yield from pin_blocks(source)
    yield Heading("Parts of one unit", 2, anchor="parts")
    lines_of_bill = []
    for line in bill(design):
        lines_of_bill.append((quantity_text(line, line.each), line.title, line.goes_to))
    yield Table(("Quantity", "Part", "For"), tuple(lines_of_bill), (12, 48, 40))
    yield Heading("Wiring", 2, anchor="wiring", new_page=True)
    yield from wiring_blocks(source, level=3)
    yield Heading("What each test point reads", 2, anchor="points", new_page=True)
    yield from point_blocks(source)


def _work(source: Source) -> Iterator[Block]:
    ids = source.ids("procedure", "assembly")
    gone = [passage for id in ids[:1] for passage in passages(source, id)]
    printed: set[str] = set()
    for plan in source.with_called(ids):
        printed.add(plan.id)
        called = [passage.called for passage in gone if passage.called and passage.plan.id == plan.id]
        yield from plan_blocks(plan, titles=source.titles, new_page=True, called=called)
    yield Heading("Test sheet", 2, anchor="test-sheet", new_page=True)
    yield from passage_blocks(gone, level=3)
    for id in source.ids("checklist"):
        yield from plan_blocks(source.checklist(id), titles=source.titles, new_page=True)
    for kind in ("service", "rework"):
        for plan in source.with_called(source.ids("procedure", kind)):
            if plan.id not in printed:
                printed.add(plan.id)
                yield from plan_blocks(plan, titles=source.titles, new_page=True)
