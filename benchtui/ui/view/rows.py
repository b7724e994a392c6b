"""A list to choose from, as lines: headings, rows with a cursor beside the chosen one, only the part that fits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len

from benchtui.ui.view.text import BLANK, Span, cut, line, spread, width_of, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One entry; without an `id` it is a heading that cannot be chosen."""

    id: str = ""
    text: str
    right: str = ""
    """Shown at the right end."""
    under: str = ""
    """A second line."""
    mark: str = ""
    """A shape before the text."""
    words: str = ""
    """Further words it can be found by."""


def matching(rows: Sequence[Row], typed: str) -> list[Row]:
    """The rows that hold every word typed, in any order; headings stay while something under them does."""
    words = typed.lower().split()
    if not words:
        return list(rows)
    kept: list[Row] = []
    heading: Row | None = None
    for row in rows:
        if not row.id:
            heading = row
            continue
        text = f"{row.id} {row.text} {row.under} {row.right} {row.words}".lower()
        if all(word in text for word in words):
            if heading is not None:
                kept.append(heading)
                heading = None
            kept.append(row)
    return kept


def found(rows: Sequence[Row], typed: str, more: Sequence[Row]) -> list[Row]:
    """The rows that hold every word typed, with further ones found elsewhere by the same words.

    Those that show every word come first, then the further ones, and last those that hold a word only in their text:
    words of one's own note are in the text of many a procedure as well.
    """
    words = typed.lower().split()
    held = matching(rows, typed)
    if not more:
        return held
    shown = [row for row in held if all(word in f"{row.text} {row.under} {row.right}".lower() for word in words)]
    rest = [row for row in held if row not in shown]
    return [*shown, *more, *([Row(text="In the text of"), *rest] if rest else [])]


def best_match(rows: Sequence[Row], typed: str) -> str:
    """Id of the row that what was typed begins, else the first that shows every word of it; empty when there is none.

    A row that is found only by words it does not show comes after those that show them.
    """
    wanted = typed.strip().lower()
    if not wanted:
        return ""
    begins = (row.id for row in rows if row.id and row.text.lower().split(" ")[0] == wanted)
    near = (row.id for row in rows if row.id and row.text.lower().startswith(wanted))
    words = wanted.split()
    shows = (row.id for row in rows if row.id and all(word in f"{row.text} {row.right}".lower() for word in words))
    return next(begins, "") or next(near, "") or next(shows, "")


def step_cursor(rows: Sequence[Row], cursor: int, by: int) -> int:
    """The place of the next row that can be chosen, going `by` steps; stays where there is none."""
    at = cursor
    way = 1 if by > 0 else -1
    for _ in range(abs(by)):
        trial = at + way
        while 0 <= trial < len(rows) and not rows[trial].id:
            trial += way
        if not 0 <= trial < len(rows):
            break
        at = trial
    return at


def first_choice(rows: Sequence[Row], wanted: str = "") -> int:
    """The place of the row of that id, else of the first one that can be chosen; -1 when there is none."""
    for place, row in enumerate(rows):
        if row.id and row.id == wanted:
            return place
    return next((place for place, row in enumerate(rows) if row.id), -1)


def row_lines(
    rows: Sequence[Row], cursor: int, *, width: int, height: int, shapes: Shapes
) -> tuple[list[Line], list[int]]:
    """The lines of a list, and the place of the row each line belongs to; -1 where it belongs to none.

    Args:
        rows: The whole list.
        cursor: Place of the chosen row.
        width: Cells of a line.
        height: Lines there are; the chosen row is always among those shown.
        shapes: Characters of this terminal.
    """
    lines: list[Line] = []
    places: list[int] = []
    # A list that would be longer than the page shows more of itself instead of gaps.
    for gaps in (True, False) if len(rows) <= height else (False,):
        lines, places = _laid_out(rows, cursor, width=width, shapes=shapes, gaps=gaps)
        if len(lines) <= height:
            return lines, places
    at = places.index(cursor) if cursor in places else 0
    top = min(max(at - height // 2, 0), len(lines) - height)
    if at <= 3:
        top = 0  # keep the first heading in sight
    shown, where = lines[top : top + height], places[top : top + height]
    below = len({place for place in places[top + height - 1 :] if rows[place].id})
    if top + height < len(lines) and below and height > 4:
        shown[-1], where[-1] = line((f"  {below} more below", "title")), -1
    above = len({place for place in places[: top + 1] if rows[place].id})
    if top and above and height > 4:
        shown[0], where[0] = line((f"  {above} more above", "title")), -1
    return shown, where


def _laid_out(
    rows: Sequence[Row], cursor: int, *, width: int, shapes: Shapes, gaps: bool
) -> tuple[list[Line], list[int]]:
    """All the lines of a list, whatever fits, each with the place of its row; nothing of a row is cut."""
    lines: list[Line] = []
    places: list[int] = []
    for place, row in enumerate(rows):
        if not row.id:
            if lines and gaps and not row.text.startswith(" "):
                lines.append(BLANK)
                places.append(place)
            heading = _heading(row, width)
            lines += heading
            places += [place] * len(heading)
            continue
        chosen = place == cursor
        mark = f"{row.mark} " if row.mark else ""
        lead = f"{shapes.cursor} " if chosen else "  "
        right = line((row.right, "quiet"))
        room = width - width_of(right) - (1 if right else 0)
        # A text too long for its line goes on in the next: a row of a kit or a check is read to its end.
        for number, wrapped in enumerate(wrap(row.text, max(room - 2 - cell_len(mark), 20))):
            text = tuple(span._replace(role="strong" if chosen else "") for span in wrapped)
            if number == 0:
                lines.append(spread((Span(lead, "cursor"), *line((mark, "mark")), *text), right, width))
            else:
                lines.append(cut((Span(" " * (2 + cell_len(mark))), *text), width))
            places.append(place)
        if row.under:
            under = wrap(row.under, width, role="quiet", first=" " * (2 + cell_len(mark)))
            lines += under
            places += [place] * len(under)
    return lines, places


def _heading(row: Row, width: int) -> list[Line]:
    """A heading, or a line under one that cannot be chosen; a long one goes on in the next line."""
    right = line((row.right, "quiet"))
    room = max(width - width_of(right) - (1 if right else 0), 20)
    indent = " " * (len(row.text) - len(row.text.lstrip(" ")))
    first, *more = wrap(row.text.strip(), room, role="title", first=indent)
    return [spread(first, right, width), *more]
