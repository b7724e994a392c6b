"""The panel 1:1 on sheets of paper: pieces that overlap, with crosses to lay on each other, to try with the hands.

Each piece fits A4 and Letter, upright or across, whichever takes fewer sheets. The whole in one piece,
for the cutter, is the drawing of `panel_svg`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from html import escape
from string import ascii_lowercase
from typing import TYPE_CHECKING, Final

from benchtui.paper.panel_svg import RULER, drawing, ruler

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design

MARGIN: Final = 10.0
"""mm at the edge of a sheet that printers leave white; common practice."""
UPRIGHT: Final = (190.0, 259.0)
"""mm that A4 (210 × 297, ISO 216) and Letter (215.9 × 279.4, ANSI Y14.1) both have inside the margin."""
FOOT: Final = 24.0
"""mm of each sheet for the ruler and the words."""
OVERLAP: Final = 15.0
"""mm that two pieces have in common."""
ROUND: Final = 5.0
"""mm round the panel, so that its edge is seen."""
CROSS: Final = 4.0
"""mm from the middle of a cross to the end of its arms."""


@dataclass(frozen=True, slots=True)
class Cross:
    """A cross that two or more sheets show: its letter, and its place on the panel in mm."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of the panel that one sheet shows, in mm from the panel's upper left corner."""

    row: int
    column: int
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """How the panel is laid out on sheets.

    Attributes:
        sheet: Width and height of what is drawn on a sheet, in mm.
        window: Width and height of the piece of the panel on it, in mm.
        pieces: The pieces, row by row.
        crosses: Where neighbours are laid on each other.
    """

    sheet: tuple[float, float]
    window: tuple[float, float]
    pieces: tuple[Piece, ...]
    crosses: tuple[Cross, ...]

    def seen(self, piece: Piece) -> tuple[Cross, ...]:
        """Crosses that a piece shows whole."""
        wide, high = self.window
        return tuple(
            cross
            for cross in self.crosses
            if piece.x + CROSS <= cross.x <= piece.x + wide - CROSS
            and piece.y + CROSS <= cross.y <= piece.y + high - CROSS
        )


def tiling(design: Design) -> Tiling:
    """The layout that takes the fewest sheets; upright where both take as many."""
    width, height = design.panel.width.value * 1000, design.panel.height.value * 1000
    layouts = [_layout(width, height, sheet) for sheet in (UPRIGHT, UPRIGHT[::-1])]
    return min(layouts, key=lambda each: len(each.pieces))


def _layout(width: float, height: float, sheet: tuple[float, float]) -> Tiling:
    window = (sheet[0], sheet[1] - FOOT)
    across, down = _starts(width, window[0]), _starts(height, window[1])
    pieces = tuple(Piece(row, column, x, y) for row, y in enumerate(down) for column, x in enumerate(across))
    return Tiling(sheet=sheet, window=window, pieces=pieces, crosses=tuple(_crosses(across, down, window)))


def _starts(size: float, window: float) -> tuple[float, ...]:
    """Where the pieces begin along one side, the panel in the middle of them all."""
    whole = size + 2 * ROUND
    count = max(math.ceil(round((whole - OVERLAP) / (window - OVERLAP), 9)), 1)
    covered = count * window - (count - 1) * OVERLAP
    first = (size - covered) / 2
    return tuple(first + number * (window - OVERLAP) for number in range(count))


def _crosses(across: tuple[float, ...], down: tuple[float, ...], window: tuple[float, float]) -> Iterator[Cross]:
    """Two crosses in each strip that two neighbours have in common: one alone would let them turn."""
    places = [(x + OVERLAP / 2, y + window[1] * share) for x in across[1:] for y in down for share in (0.2, 0.8)]
    places += [(x + window[0] * share, y + OVERLAP / 2) for y in down[1:] for x in across for share in (0.2, 0.8)]
    for number, (x, y) in enumerate(sorted(places, key=lambda place: (round(place[1], 6), place[0]))):
        turn, letter = divmod(number, len(ascii_lowercase))
        yield Cross(ascii_lowercase[letter] + (str(turn) if turn else ""), x, y)


def sheets_of(design: Design) -> tuple[str, ...]:
    """Each sheet as a drawing of its own, 1:1 in mm."""
    found = tiling(design)
    # Ids stand once in a file, and here is a drawing for each sheet.
    lines = [re.sub(r' id="[^"]*"', "", line) for line in drawing(design)]
    return tuple(_sheet(design, found, number, lines) for number in range(len(found.pieces)))


def _sheet(design: Design, found: Tiling, number: int, lines: list[str]) -> str:
    piece, (wide, high), (width, height) = found.pieces[number], found.window, found.sheet
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">',
        f'<clipPath id="piece-{number + 1}"><rect width="{wide:g}" height="{high:g}"/></clipPath>',
        f'<g clip-path="url(#piece-{number + 1})"><g transform="translate({-piece.x:g} {-piece.y:g})">',
        *lines,
        "</g></g>",
        f'<rect class="edge" x="0.1" y="0.1" width="{wide - 0.2:g}" height="{high - 0.2:g}" fill="none" stroke="#999" '
        'stroke-width="0.15" stroke-dasharray="3 2"/>',
    ]
    for cross in found.seen(piece):
        x, y = cross.x - piece.x, cross.y - piece.y
        parts.append(
            f'<path class="cross" d="M{x - CROSS:g} {y:g}h{2 * CROSS:g}M{x:g} {y - CROSS:g}v{2 * CROSS:g}" '
            'fill="none" stroke="#000" stroke-width="0.2"/>'
            f'<circle cx="{x:g}" cy="{y:g}" r="{CROSS / 2:g}" fill="none" stroke="#000" stroke-width="0.2"/>'
            f'<text x="{x + 1:g}" y="{y - CROSS / 2 - 0.6:g}" font-family="sans-serif" font-size="3">{cross.letter}'
            "</text>"
        )
    parts += _foot(design, found, number)
    parts.append("</svg>")
    return "\n".join(parts)


def _foot(design: Design, found: Tiling, number: int) -> list[str]:
    piece, top = found.pieces[number], found.window[1] + 3
    many = len(found.pieces)
    place = f": row {piece.row + 1}, column {piece.column + 1}" if many > 1 else ""
    letters = ", ".join(cross.letter for cross in found.seen(piece))
    words = [f"Page {number + 1} of {many}{place}. {design.title}, revision {design.revision}, front, 1:1."]
    words.append("Print at 100 %, not fitted to the page. The ruler measures 100 mm within 0.3 mm, or print again.")
    if letters:
        words.append(f"Lay each cross on the cross of the same letter ({letters}), see that both agree, and tape.")
    return [
        f'<path class="ruler" d="{ruler(top)}" fill="none" stroke="#000" stroke-width="0.2"/>',
        '<g fill="#000" font-family="sans-serif" font-size="3.2">',
        f'<text x="{RULER + 3:g}" y="{top + 3:g}">100 mm</text>',
        *(f'<text x="0" y="{top + 9 + 4.6 * line:g}">{escape(text)}</text>' for line, text in enumerate(words)),
        "</g>",
    ]


def mock_up(design: Design) -> str:
    """All sheets as one page of HTML: a sheet of paper for each."""
    found = tiling(design)
    turn = "portrait" if found.sheet == UPRIGHT else "landscape"
    title = escape(f"{design.title}, revision {design.revision}: panel on paper, 1:1")
    body = "\n".join(sheets_of(design))
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>{title}</title>
<style>
@page {{ size: {turn}; margin: {MARGIN:g}mm; }}
body {{ margin: 0; }}
svg {{ display: block; break-inside: avoid; }}
svg + svg {{ break-before: page; }}
@media screen {{ svg {{ margin: {MARGIN:g}mm; }} }}
</style>
</head>
<body>
{body}
</body>
</html>
"""
