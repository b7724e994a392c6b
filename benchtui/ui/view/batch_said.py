"""A batch as sentences to be read out: where each unit is, and which readings stand out from the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.steps import Status
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.jobs.batch import Cell, Spread


def matrix_said(matrix: Mapping[str, Mapping[str, Cell]]) -> list[str]:
    """Each unit with the stages that are done, those in work with how far, and those not begun."""
    return [f"{unit}: {_stages_said(cells)}." for unit, cells in matrix.items()] or [
        "No job of this batch was started yet."
    ]


def _stages_said(cells: Mapping[str, Cell]) -> str:
    named = {stage or "the steps": cell for stage, cell in cells.items()}
    done = [stage for stage, cell in named.items() if cell.status is Status.DONE]
    fresh = [stage for stage, cell in named.items() if cell.status is Status.OPEN]
    rest = [
        f"{stage}: {cell.status}, {cell.settled} of {cell.of} steps"
        for stage, cell in named.items()
        if cell.status not in (Status.DONE, Status.OPEN)
    ]
    said = [f"done: {', '.join(done)}"] if done else []
    said += rest
    said += [f"not begun: {', '.join(fresh)}"] if fresh else []
    return "; ".join(said)


def spread_said(spreads: Sequence[Spread], *, every: bool) -> list[str]:
    """What was measured over a batch: the readings that stand out, and with `every` all measurements before them.

    Args:
        spreads: The measurements, in the order of the plan.
        every: Say each of them; without it only those in which a unit stands out.
    """
    if not spreads:
        return ["Nothing was measured yet."]
    odd = [one for one in spreads if any(value.odd for value in one.values)]
    said = [line for one in (spreads if every else odd) for line in _one_said(one)]
    count = f"{len(spreads)} measurement{'s were' if len(spreads) != 1 else ' was'} taken"
    if not odd:
        said.append(f"{count}. No unit stands out.")
    else:
        said.append(f"{count}. In {len(odd)} of them a unit stands out from the others.")
    return said


def _one_said(one: Spread) -> list[str]:
    about = f"{one.subject}, " if one.subject else ""
    lowest, middle, highest = (format_value(value, one.kind) for value in (one.lowest, one.median, one.highest))
    lines = [f"Step {one.number}: {about}{one.what}. Limits: {one.limits.text}."]
    if len(one.values) == 1:
        return [*lines, f"  Only {one.values[0].unit}: {middle}."]
    lines.append(f"  {len(one.values)} units: lowest {lowest}, middle {middle}, highest {highest}.")
    for value in one.values:
        if value.odd:
            lines.append(f"  {value.unit} stands out with {format_value(value.value, one.kind)}: {value.verdict}.")
    return lines
