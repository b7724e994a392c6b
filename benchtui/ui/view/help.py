"""The help of a screen: what it is for, and every key it answers to, made from the keys themselves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.ui.view.text import Line


@dataclass(frozen=True, slots=True)
class Known:
    """A key and what it does."""

    keys: str
    does: str


def help_lines(purpose: str, known: Sequence[Known], width: int) -> list[Line]:
    """The page."""
    lines = [*wrap(purpose, width), BLANK] if purpose else []
    column = min(max((len(entry.keys) for entry in known), default=0), 24)
    columns = 2 if width >= 100 and len(known) > 8 else 1
    cell = width // columns - 2
    rows = []
    for entry in known:
        label = f" {entry.keys} "
        rest = " " * (column + 4)
        wrapped = wrap(entry.does, cell, first=" " * (column + 4), rest=rest)
        rows.append([line((label, "key"), " " * (column + 4 - len(label)), *wrapped[0][1:]), *wrapped[1:]])
    if columns == 1:
        return [*lines, *(row for entry in rows for row in entry)]
    from benchtui.ui.view.text import beside

    half = (len(rows) + 1) // 2
    left = [row for entry in rows[:half] for row in entry]
    right = [row for entry in rows[half:] for row in entry]
    return [*lines, *beside(left, right, width=cell)]
