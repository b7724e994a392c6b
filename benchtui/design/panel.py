"""The panel to scale in characters, from the front and, mirrored, from the rear as one sees it while wiring."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design

CELL: Final = 2.0
"""How many times taller than wide a character of a terminal is."""


def panel_text(design: Design, *, width: int, height: int, rear: bool = False, mark: str = "") -> list[str]:
    """The panel as lines of text.

    Args:
        design: The design.
        width: Columns to fill at most, at least 20.
        height: Lines to fill at most, at least 5.
        rear: Seen from behind: left and right are exchanged, as they are for whoever wires it.
        mark: Id of the control in hand, shown between angle brackets.

    Returns:
        A title line, then the outline with the id of each control at its place. Ids that would lie on each other are
        moved apart along their line, so that none is lost; where there is no room left they close up to a dot.
    """
    wide_mm, high_mm = design.panel.width.value * 1000, design.panel.height.value * 1000
    title = _title(design, rear=rear, mark=mark, width=width)
    columns, lines = max(width - 2, 18), max(height - 3, 2)
    scale = min(columns / wide_mm, lines * CELL / high_mm)
    columns, lines = max(round(wide_mm * scale), 18), max(round(high_mm * scale / CELL), 2)
    rows: dict[int, list[tuple[float, str]]] = {}
    for control in design.controls:
        x = wide_mm - control.x_mm if rear else control.x_mm
        row = min(int(control.y_mm / high_mm * lines), lines - 1)
        label = f"<{control.id}>" if control.id == mark else control.id
        rows.setdefault(row, []).append((x / wide_mm, label))
    # Where a low picture is narrow too, it is drawn wider than to scale: a name that is cut is another name.
    needed = max((sum(len(label) + 1 for _, label in row) for row in rows.values()), default=0)
    columns = max(columns, min(needed, max(width - 2, 18)))
    rows = {row: [(x * columns, label) for x, label in labels] for row, labels in rows.items()}
    body = [_row(rows.get(row, []), columns) for row in range(lines)]
    return [title, f"┌{'─' * columns}┐", *(f"│{line}│" for line in body), f"└{'─' * columns}┘"]


def _title(design: Design, *, rear: bool, mark: str, width: int) -> str:
    side = "REAR, left and right exchanged" if rear else "FRONT"
    text = f"{design.title}, {side}"
    if mark and any(control.id == mark for control in design.controls):
        text += f", <{mark}> {_corner(design, design.control(mark), rear=rear)}"
    return text if len(text) <= width else text[: width - 1] + "…"


def _corner(design: Design, control: Control, *, rear: bool) -> str:
    """Where a control lies, in words: "upper left"."""
    across = control.x_mm / (design.panel.width.value * 1000)
    across = 1 - across if rear else across
    down = control.y_mm / (design.panel.height.value * 1000)
    column = "left" if across < 1 / 3 else "right" if across > 2 / 3 else "middle"
    line = "upper" if down < 1 / 3 else "lower" if down > 2 / 3 else "centre"
    return f"{line} {column}"


def _row(labels: list[tuple[float, str]], columns: int) -> str:
    """One line with its labels centred where they belong, or as near as their neighbours let them."""
    cells = [" "] * columns
    end = -1  # last column in use
    ordered = sorted(labels)
    for number, (middle, label) in enumerate(ordered):
        room = columns - sum(len(text) + 1 for _, text in ordered[number + 1 :]) - len(label)
        start = max(min(round(middle - len(label) / 2), room), end + 2 if end >= 0 else 0)
        if start + len(label) > columns:
            label, start = "·", end + 2
            if start >= columns:  # a whole name gives way, never the end of one: "B13" must not read "B1"
                name = "".join(cells).rstrip().rpartition(" ")[2]
                start, label = end + 1 - len(name), "·" * len(name)
        cells[start : start + len(label)] = label
        end = start + len(label) - 1
    return "".join(cells[:columns])
