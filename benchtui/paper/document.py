"""A document for paper as plain blocks, so that Markdown and HTML say the same in the same order.

A block knows what is on the page, never how it looks. Cautions are part of the block of the step they belong to, before
its text, so that no renderer can put them after it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; `anchor` lets the contents point at it."""

    text: str
    level: int = 2
    anchor: str = ""
    new_page: bool = False
    closing: bool = False
    """It closes what stands before it, and is not left alone on a page."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str
    with_next: bool = False
    """It leads to what follows, and is not left behind at the foot of a page."""


@dataclass(frozen=True, slots=True)
class Lines:
    """A list; with `ticks` each line has a box to tick."""

    lines: tuple[str, ...]
    ticks: bool = False


@dataclass(frozen=True, slots=True)
class Contents:
    """The contents: (text, anchor) of each part."""

    entries: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Blanks:
    """Fields to be filled by hand: (label, what is known already)."""

    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """Text whose columns matter, such as a panel drawn in characters."""

    text: str
    title: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG drawing, made as wide as the page; left out where only text can be shown."""

    svg: str
    title: str


@dataclass(frozen=True, slots=True)
class Table:
    """A table. An empty cell is a blank to write in; the cell `TICK` is a box to tick."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[int, ...] = ()
    """Share of each column; even when empty."""
    dense: bool = False
    """A table of many pages, set small."""


TICK = "\N{BALLOT BOX}"
"""A box to tick, as a cell of a table or within a text."""

DITTO = "″"
"""A cell that says the same as the one above."""


@dataclass(frozen=True, slots=True)
class Warn:
    """A safety message: in full, or one line where it stood in full shortly before."""

    id: str
    signal: str
    hazard: str
    avoid: str
    consequence: str = ""
    first_aid: str = ""
    again: bool = False

    @property
    def symbol(self) -> str:
        """The alert triangle goes with hazards to people only (ANSI Z535.6), never with NOTICE."""
        return "" if self.signal == "NOTICE" else "⚠"


@dataclass(frozen=True, slots=True)
class StepBlock:
    """One step: its cautions, then the act, then what is written down."""

    anchor: str
    number: int
    text: str
    cautions: tuple[Warn, ...] = ()
    marks: tuple[str, ...] = ()
    """Words such as "hold point"."""
    detail: tuple[str, ...] = ()
    accept: str = ""
    answers: tuple[str, ...] = ()
    """Choices, each with a box."""
    blanks: tuple[tuple[str, str], ...] = ()
    """Fields to fill: (label, limits or hint)."""
    wires: Table | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class RepeatBlock:
    """One step done on several controls: the cautions once, then a row for each."""

    anchor: str
    title: str
    cautions: tuple[Warn, ...]
    marks: tuple[str, ...]
    detail: tuple[str, ...]
    accept: str
    table: Table
    source: str = ""


@dataclass(frozen=True, slots=True)
class GuardedTable:
    """A table with the cautions that come before it, on the page where it begins."""

    cautions: tuple[Warn, ...]
    table: Table
    words: str = ""
    """Said between them; nothing when empty."""


Block = (
    Heading
    | Paragraph
    | Lines
    | Contents
    | Blanks
    | Picture
    | Drawing
    | Table
    | Warn
    | StepBlock
    | RepeatBlock
    | GuardedTable
)


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document."""

    title: str
    subtitle: str
    """Design, revision, kind: what tells this print from an older one."""
    blocks: tuple[Block, ...]
