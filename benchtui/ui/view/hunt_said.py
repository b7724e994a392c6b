"""A move of a hunt as sentences to be read out, without frames, columns or anything drawn over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults.words import minutes_text, percent
from benchtui.ui.view.hunt import WORDS, can_wait, walk_words

if TYPE_CHECKING:
    from benchtui.faults.views import Proposal
    from benchtui.ui.view.hunt import HuntSight

MOST_SAID = 3
"""How many suspects are said with a move; "suspects" says all of them."""


def proposal_said(proposal: Proposal, sight: HuntSight, *, left: float | None = None) -> list[str]:
    """The move to make, what each answer would mean, the suspects and the ways out.

    Args:
        proposal: The move.
        sight: What is known beyond it, as for the screen.
        left: Minutes to curtain; None for no hurry.
    """
    lines = [_curtain(left)] if left is not None else []
    head = f"{WORDS.get(proposal.kind, 'Now')}: {proposal.title}"
    lines.append(" ".join((head if head.endswith("?") else f"{head}.", *_cost(proposal))))
    lines += [proposal.contradiction] if proposal.contradiction else []
    lines += [f"Time: {walk_words(proposal, sight.walk_minutes)}."] if sight.walk_minutes else []
    lines += [f"First: {proposal.opens.do}"] if proposal.opens else []
    lines.append(proposal.do)
    lines += [f"  {detail}" for detail in proposal.detail]
    lines += [f"say LINE tells what many of them show, such as: say {sight.line}"] if sight.line else []
    take = (*proposal.tools, *proposal.parts)
    lines += [f"Take: {', '.join(take)}."] if take else []
    lines += [f"First: {text}" for text in sight.beforehand] if not sight.typed else []
    lines += _points(proposal, sight)
    lines += [f"Why: {proposal.why}"] if proposal.why else []
    for number, each in enumerate(proposal.outcomes, 1):
        meaning = f", then {each.meaning}" if each.raises else f", {each.meaning}" if each.meaning else ""
        lines.append(f"  {number}  {each.text}{meaning}")
    leading = [f"{each.title} ({percent(each.share)})" for each in proposal.suspects[:MOST_SAID]]
    source = f", from {sight.sample}" if sight.sample else ""
    lines += [f"Suspects{source}: {'; '.join(leading)}."] if leading else []
    return [*lines, *_ways_out(proposal, sight)]


def _curtain(left: float) -> str:
    return f"Curtain in {minutes_text(left)}." if left > 0 else "Curtain is now."


def _cost(proposal: Proposal) -> list[str]:
    said = [f"{minutes_text(proposal.minutes)}."] if proposal.minutes else []
    return [*said, f"It opens {proposal.opens.title}."] if proposal.opens else said


def _points(proposal: Proposal, sight: HuntSight) -> list[str]:
    lines = []
    for number, point in enumerate(proposal.expected):
        if number < len(sight.typed):
            lines.append(f"  Read: {sight.typed[number]}, {point.where}.")
            continue
        power = f" The power is {point.power.upper()}." if point.power else ""
        lines.append(f"  {point.where}. A healthy unit reads {point.text}.{power}")
        if number < len(sight.foretold) and sight.foretold[number]:
            lines.append(f"  Else: {'; '.join(sight.foretold[number])}.")
    return lines


def working_of(proposal: Proposal) -> list[str]:
    """How the healthy readings of a move come about."""
    found = [text for point in proposal.expected for text in (f"{point.where}:", *point.working)]
    return found or ["There is nothing to measure at this move."]


def _ways_out(proposal: Proposal, sight: HuntSight) -> list[str]:
    lines = []
    other, way = proposal.runner_up, proposal.workaround
    if sight.picked:
        lines.append("Or: back to the move that was proposed.")
    elif other and other.kind != "work-around" and not sight.too_late:
        more = proposal.costs_more_minutes
        lines.append(f"Or: {other.title}, {minutes_text(more)} more." if more > 0.05 else f"Or: {other.title}.")
    if way and way == proposal.move:
        if proposal.reserve is not None:
            late = f"within {minutes_text(proposal.reserve)}" if proposal.reserve > 0 else "now"
            lines.append(f"This is the way out: begin it {late}.")
    elif way and proposal.kind == "try again":
        lines.append(f"If it is still there, the way out: {way.title}.")
    elif way:
        lines.append(f"Way out: {way.title}, {minutes_text(way.minutes)}{can_wait(proposal)}.")
    elif sight.too_late:
        lines.append("There is no time any more for a work-around before curtain.")
    return lines
