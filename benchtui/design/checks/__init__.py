"""Checks on a design before anything is bought or cut: each with its figure, its limit, the source and what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import Problem

if TYPE_CHECKING:
    from benchtui.design.checks.finding import Finding
    from benchtui.design.model import Design


def findings(design: Design) -> tuple[Finding, ...]:
    """Everything worth saying about a design, problems first, then warnings and notes, each in order of place."""
    from benchtui.design.checks import (
        current,
        lettering,
        messages,
        mounting,
        pins,
        routes,
        sheets,
        signals,
        soldering,
        space,
    )

    ranks = {"problem": 0, "warning": 1, "note": 2}
    every = (pins, signals, current, messages, mounting, soldering, space, routes, sheets, lettering)
    found = [finding for check in every for finding in check.findings(design)]
    return tuple(sorted(found, key=lambda each: (ranks[each.level], each.place, each.message)))


def problems(design: Design) -> list[Problem]:
    """Findings that stop a design from working or from going together, as problems of its file."""
    return [Problem(each.place, each.message, each.hint) for each in findings(design) if each.level == "problem"]
