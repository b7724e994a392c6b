"""The answers to a move of a hunt, each with what it would mean."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from benchtui.faults.words import percent
from benchtui.ui.view.text import cut, line, width_of, wrap

if TYPE_CHECKING:
    from benchtui.faults.views import OutcomeView, Proposal
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

LEAST_MEANING = 12
"""Cells of a suspect that still tell which one is meant."""

_JOINT = "\ue000"
"""Stands for a blank that no line ends at; from the private area, so that no text has it."""

_UNIT = re.compile(r"(?<=\d) (?=(?:%|s|min|h|mV|V|mA|A|Ω|kΩ|MΩ|ohm|kohm|mm|N)(?!\w))")
"""The blank between a figure and its unit."""


def answers(proposal: Proposal, width: int, shapes: Shapes, *, most: int) -> list[Line]:
    """Each answer whole, with what it would mean; all of them stay in sight.

    Where that takes more than `most` lines, a meaning has what room its answer leaves in a line: the suspect is
    shortened, its share never.
    """
    full = [
        row for number, each in enumerate(proposal.outcomes, 1) for row in _outcome(number, each, width, shapes, True)
    ]
    if len(full) <= most:
        return full
    return [
        row for number, each in enumerate(proposal.outcomes, 1) for row in _outcome(number, each, width, shapes, False)
    ]


def _outcome(number: int, outcome: OutcomeView, width: int, shapes: Shapes, whole: bool) -> list[Line]:
    """One answer; with `whole` its meaning goes on in the lines below, else it is shortened to what room there is."""
    meaning = f"  {shapes.arrow} {outcome.meaning}" if outcome.meaning else ""
    one = line((f" {number} ", "key"), " ", (outcome.text, "strong"), (meaning, "quiet"))
    if width_of(one) <= width:
        return [one]
    head, *more = wrap(outcome.text, width, role="strong", first="    ")
    lines = [line((f" {number} ", "key"), " ", *head[1:]), *more]
    if whole and meaning:
        lines += together(outcome.meaning, width, role="quiet", first=f"      {shapes.arrow} ")
    elif meaning:
        lines = _beside(lines, outcome, width, f"  {shapes.arrow} ")
    return lines


def _beside(lines: list[Line], outcome: OutcomeView, width: int, arrow: str) -> list[Line]:
    """The answer with its meaning cut to what its last line leaves, or in a line of its own."""
    share = f" ({percent(outcome.belief)})" if outcome.raises else ""
    raised = outcome.raises or outcome.meaning
    room = width - width_of(lines[-1]) - width_of(line(arrow, share))
    if room < min(LEAST_MEANING, len(raised)):
        lines, room = [*lines, line("    ")], width - 4 - width_of(line(arrow, share))
    said = cut(line((raised, "quiet")), room)
    return [*lines[:-1], (*lines[-1], *line((arrow, "quiet")), *said, *line((share, "quiet")))]


def together(text: str, width: int, *, role: str = "", first: str = "", rest: str | None = None) -> list[Line]:
    """The text wrapped, a figure never parted from its unit: "(37" at the end of a line is no share."""
    lines = wrap(_UNIT.sub(_JOINT, text), width, role=role, first=first, rest=rest)
    return [tuple(span._replace(text=span.text.replace(_JOINT, " ")) for span in row) for row in lines]
