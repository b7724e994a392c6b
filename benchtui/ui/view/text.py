"""Lines of text with roles, and the arithmetic of fitting them into a width.

Widths are in terminal cells, since some characters take two. Text from files and from the keyboard is made harmless on
the way in: control and direction-changing characters become a visible mark, so that they cannot reach the terminal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rich.cells import cell_len, set_cell_size

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_HARMLESS: Final = {
    **dict.fromkeys(range(0x20), "\N{REPLACEMENT CHARACTER}"),
    **dict.fromkeys(range(0x7F, 0xA0), "\N{REPLACEMENT CHARACTER}"),
    **dict.fromkeys(range(0xD800, 0xE000), "\N{REPLACEMENT CHARACTER}"),
    **dict.fromkeys((*range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFEFF), ""),
    0x09: " ",
    0x0A: " ",
    0x0D: " ",
    0x2028: " ",
    0x2029: " ",
}


class Span(NamedTuple):
    """A piece of text with a role; `action` is what a click on it does."""

    text: str
    role: str = ""
    action: str = ""


Line = tuple[Span, ...]
Part = str | Span | tuple[str, str]


def clean(text: str) -> str:
    """The text on one line, without anything a terminal would obey."""
    return text.translate(_HARMLESS)


def line(*parts: Part) -> Line:
    """A line from texts, (text, role) pairs and spans."""
    spans = []
    for part in parts:
        span = Span(part) if isinstance(part, str) else Span(*part)
        if span.text:
            spans.append(span._replace(text=clean(span.text)))
    return tuple(spans)


BLANK: Final[Line] = ()


def width_of(row: Line) -> int:
    """Cells the line takes."""
    return sum(cell_len(span.text) for span in row)


def plain(lines: Iterable[Line]) -> str:
    """The text alone."""
    return "\n".join("".join(span.text for span in row).rstrip() for row in lines)


def cut(row: Line, width: int) -> Line:
    """The line, shortened to `width` cells with an ellipsis when it is longer."""
    if width_of(row) <= width:
        return row
    kept: list[Span] = []
    room = max(width - 1, 0)
    for span in row:
        size = cell_len(span.text)
        if size <= room:
            kept.append(span)
            room -= size
            continue
        kept.append(span._replace(text=set_cell_size(span.text, room).rstrip() + "…"))
        break
    return tuple(kept)


def pad(row: Line, width: int) -> Line:
    """The line at exactly `width` cells."""
    missing = width - width_of(row)
    return (*row, Span(" " * missing)) if missing > 0 else cut(row, width)


def spread(left: Line, right: Line, width: int) -> Line:
    """One line with a text at each end; the left one gives way."""
    room = width - width_of(right) - (1 if right else 0)
    if room < 8:
        return cut(left, width)
    return (*pad(left, room), Span(" " if right else ""), *right)


def wrap(text: str, width: int, *, role: str = "", first: str = "", rest: str | None = None) -> list[Line]:
    """The text broken between words into lines of at most `width` cells.

    Args:
        text: What to wrap.
        width: Cells in a line, indent included.
        role: Role of the text.
        first: Put before the first line.
        rest: Put before the following lines; blanks as wide as `first` when None.
    """
    rest = " " * cell_len(first) if rest is None else rest
    lines: list[Line] = []
    lead, words = first, clean(text).split(" ")
    here = ""
    for word in _break_long(words, max(width - cell_len(lead), 4)):
        trial = f"{here} {word}" if here else word
        if here and cell_len(lead) + cell_len(trial) > width:
            lines.append(line(lead, (here, role)))
            lead, here = rest, word
        else:
            here = trial
    lines.append(line(lead, (here, role)))
    return lines


def _break_long(words: Iterable[str], width: int) -> Iterable[str]:
    """Words, those wider than a line in pieces."""
    for word in words:
        while cell_len(word) > width:
            piece = set_cell_size(word, width).rstrip()
            yield piece
            word = word[len(piece) :] or ""
        if word:
            yield word


def table(rows: Sequence[Sequence[str]], width: int, *, head: Sequence[str] = (), role: str = "") -> list[Line]:
    """Columns as wide as their longest cell; when they do not fit, the widest column gives way.

    Args:
        rows: Cells by row; all rows have the same number.
        width: Cells of the whole table.
        head: Headings.
        role: Role of the body's text.
    """
    if not rows:
        return []
    every = [[clean(cell) for cell in row] for row in ([head, *rows] if head else rows)]
    sizes = [max(cell_len(row[column]) for row in every) for column in range(len(every[0]))]
    while sum(sizes) + 2 * (len(sizes) - 1) > width and max(sizes) > 4:
        sizes[sizes.index(max(sizes))] -= 1
    lines = []
    for number, row in enumerate(every):
        style = "quiet" if head and number == 0 else role
        cells: list[Span] = []
        for cell, size in zip(row, sizes, strict=True):
            cells += [*pad(line((cell, style)), size), Span("  ")]
        lines.append(tuple(cells[:-1]))
    return lines


def beside(left: Sequence[Line], right: Sequence[Line], *, width: int, gap: int = 2) -> list[Line]:
    """Two texts side by side, the left one `width` cells wide."""
    lines = []
    for number in range(max(len(left), len(right))):
        here = left[number] if number < len(left) else BLANK
        there = right[number] if number < len(right) else BLANK
        lines.append((*pad(here, width), Span(" " * gap), *there) if there else here)
    return lines


def rule(width: int, *, mark: str = "─", title: str = "") -> Line:
    """A line across, with a title in it."""
    if not title:
        return line((mark * width, "rule"))
    head = f"{mark * 2} "
    return line(
        (head, "rule"), (title, "title"), (" " + mark * max(width - len(head) - cell_len(title) - 1, 0), "rule")
    )


def window(lines: Sequence[Line], height: int, top: int) -> tuple[list[Line], int]:
    """The part of a long text that fits, and how far it can be moved at most."""
    most = max(len(lines) - height, 0)
    top = min(max(top, 0), most)
    return list(lines[top : top + height]), most


def bar(share: float, width: int, *, full: str = "█", half: str = "▌", empty: str = "·") -> str:
    """A bar for a share from 0 to 1. Any share above nothing shows at least half a cell."""
    halves = min(max(round(share * width * 2), 1 if share > 0 else 0), width * 2)
    return (full * (halves // 2) + (half if halves % 2 else "")).ljust(width, empty)
