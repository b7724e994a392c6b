"""A batch on the screen: units against stages, the spread of each reading, and the step in hand for all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.text import BLANK, cut, line, table, wrap
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.jobs.batch import Cell, Spread
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def matrix_lines(matrix: Mapping[str, Mapping[str, Cell]], width: int, shapes: Shapes) -> list[Line]:
    """Units against stages: a shape, and how many steps of the stage are settled."""
    stages = list(dict.fromkeys(stage for cells in matrix.values() for stage in cells))
    if not stages:
        return [line(("no job of this batch was started yet", "quiet"))]
    rows = []
    for unit, cells in matrix.items():
        row = [unit]
        for stage in stages:
            cell = cells.get(stage)
            row.append(f"{shapes.status(cell.status)} {cell.settled}/{cell.of}" if cell else "")
        rows.append(row)
    names = [str(number) for number in range(1, len(stages) + 1)]
    lines = table(rows, width, head=("unit", *names))
    legend = ", ".join(f"{number} {stage}" for number, stage in enumerate(stages, 1))
    return [*lines, BLANK, *wrap(legend, width, role="quiet")]


def sums_line(sums: Mapping[str, int], width: int) -> Line:
    """How many units stand in each state; the counts add up to the batch."""
    parts = [f"{count} {state}" for state, count in sums.items() if count]
    return cut(line((f"{sum(sums.values())} units: ", "strong"), ", ".join(parts)), width)


def spread_lines(spreads: Sequence[Spread], width: int, shapes: Shapes) -> list[Line]:
    """Each measurement over the batch: lowest, middle, highest, and the units that stand out."""
    lines: list[Line] = []
    for one in spreads:
        lines += wrap(f"{one.what}: {one.limits.text}", width, role="title")
        figures = [format_value(value, one.kind) for value in (one.lowest, one.median, one.highest)]
        lines.append(line(f"  lowest {figures[0]}, middle {figures[1]}, highest {figures[2]}"))
        odd = [f"{value.unit} {format_value(value.value, one.kind)}" for value in one.values if value.odd]
        if odd:
            lines += wrap(", ".join(odd), width, first=f"  {shapes.near} stands out: ", rest="    ")
    return lines or [line(("nothing was measured yet", "quiet"))]


def units_line(units: Sequence[str], left_out: Mapping[str, str], width: int) -> list[Line]:
    """For which units the step is done, and which are left out and why."""
    lines = wrap(", ".join(units) or "none", width, first=f"for {len(units)}: ", rest="  ", role="strong")
    if left_out:
        gone = ", ".join(f"{unit} ({state})" for unit, state in left_out.items())
        lines += wrap(gone, width, first="left out: ", rest="  ", role="quiet")
    return lines
