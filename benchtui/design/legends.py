"""Where the legend of each control stands on the front, and what it would lie across.

Nobody can read a legend that has a slot through it, so each is put where it covers nothing: under its control, else
above it or beside it, in as few lines as fit there. How wide letters are is an assumption, and the drawing states it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.design.checks.space import Box, front
from benchtui.design.cuts import cuts

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design

CAPITAL: Final = 0.72
"""Height of a capital in parts of the size of the letters; common sans-serif faces, from memory."""
WIDE: Final = 0.55
"""Width of a letter in parts of the size of the letters, on average; on the wide side of sans-serif (estimate)."""
LEADING: Final = 1.2
"""From line to line in parts of the size of the letters; common practice."""
AIR_MM: Final = 0.8
"""mm between a legend and whatever is next to it; an estimate."""
MOST_LINES: Final = 3

SOURCE: Final = f"letters {WIDE:g} of their size wide on average, an estimate"


@dataclass(frozen=True, slots=True)
class Legend:
    """The legend of a control on the front, in mm.

    Attributes:
        control: Id of its control.
        lines: Its text, line by line.
        box: The room it takes.
        size: Size of its letters.
        across: What it lies across in words, such as "the slot of F4"; empty where it covers nothing.
    """

    control: str
    lines: tuple[str, ...]
    box: Box
    size: float
    across: str


def legends(design: Design) -> tuple[Legend, ...]:
    """Every legend, in the order of the controls, each clear of those before it."""
    size = design.panel.legend_height.value * 1000 / CAPITAL
    taken = list(_obstacles(design))
    found: list[Legend] = []
    for control in design.controls:
        if not control.legend.strip():
            continue
        legend = _place(design, control, size, taken)
        found.append(legend)
        taken.append((control.id, f"the legend of {control.id}", legend.box))
    return tuple(found)


def _obstacles(design: Design) -> Iterator[tuple[str, str, Box]]:
    """What a legend must not lie across: its owner, its words, and its box in mm."""
    for cut in cuts(design):
        yield cut.owner, f"the {cut.what}", Box(cut.x, cut.y, cut.width, cut.height)
    for control in design.controls:
        box = front(design, control)
        if box is not None:
            yield control.id, f"{control.id} itself", box
        mount = control.part.mount
        if mount is not None and mount.nut_across is not None:
            nut = mount.nut_across.value * 1000
            yield control.id, f"the nut of {control.id}", Box(control.x_mm, control.y_mm, nut, nut)


def _place(design: Design, control: Control, size: float, taken: list[tuple[str, str, Box]]) -> Legend:
    own = [box for owner, _, box in taken if owner == control.id]
    first: Legend | None = None
    for side in ("under", "above", "right", "left"):
        for lines in _broken(control.legend):
            box = _box(control, own, lines, size, side)
            across = _across(design, box, taken)
            legend = Legend(control.id, lines, box, size, across)
            if not across:
                return legend
            first = first or legend
    assert first is not None  # there is at least one way to break a text
    return first


def _box(control: Control, own: list[Box], lines: tuple[str, ...], size: float, side: str) -> Box:
    """Room of a legend at one side of everything that belongs to its control."""
    # One letter more, for a short text may be all wide letters.
    width, height = (max(map(len, lines)) + 1) * size * WIDE, size * (LEADING * (len(lines) - 1) + 1)
    x, y = control.x_mm, control.y_mm
    if side == "under":
        y = max([box.y + box.height / 2 for box in own] or [y]) + AIR_MM + height / 2
    elif side == "above":
        y = min([box.y - box.height / 2 for box in own] or [y]) - AIR_MM - height / 2
    elif side == "right":
        x = max([box.x + box.width / 2 for box in own] or [x]) + AIR_MM + width / 2
    else:
        x = min([box.x - box.width / 2 for box in own] or [x]) - AIR_MM - width / 2
    return Box(x, y, width, height)


def _across(design: Design, box: Box, taken: list[tuple[str, str, Box]]) -> str:
    """What a box lies across; empty for nothing."""
    for _, what, other in taken:
        if box.gap(other) < AIR_MM / 2 - 1e-6:
            return what
    wide, high = design.panel.width.value * 1000, design.panel.height.value * 1000
    inside = box.x - box.width / 2 >= AIR_MM and box.x + box.width / 2 <= wide - AIR_MM
    inside = inside and box.y - box.height / 2 >= AIR_MM and box.y + box.height / 2 <= high - AIR_MM
    return "" if inside else "the edge of the panel"


def _broken(text: str) -> Iterator[tuple[str, ...]]:
    """A text in one line, then in more, each time as even as its words allow."""
    words = text.split()
    for count in range(1, min(len(words), MOST_LINES) + 1):
        yield min(_ways(words, count), key=lambda lines: max(map(len, lines)))


def _ways(words: list[str], count: int) -> Iterator[tuple[str, ...]]:
    """Every way to break words into so many lines."""
    if count == 1:
        yield (" ".join(words),)
        return
    for end in range(1, len(words) - count + 2):
        for rest in _ways(words[end:], count - 1):
            yield (" ".join(words[:end]), *rest)
