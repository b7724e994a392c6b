"""No job is begun by a text that the check finds a mistake in, and none is moved to it: a caution may be lacking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import JobError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.errors import Problem
    from benchtui.jobs.plan import Plan


def many(mistakes: Sequence[Problem]) -> str:
    """How many there are, in words."""
    return "a mistake" if len(mistakes) == 1 else f"{len(mistakes)} mistakes"


def refuse(plan: Plan, mistakes: Sequence[Problem]) -> None:
    """Refuse to begin a job by a text with a mistake: the first one is told with its place and what to do.

    Raises:
        JobError: There is one.
    """
    if not mistakes:
        return
    first = mistakes[0]
    more = "" if len(mistakes) == 1 else f" (`benchtui check {plan.id}` tells them all)"
    raise JobError(
        f"not begun: the text of {plan.title} has {many(mistakes)}{more}: {first.place}: {first.message}",
        hint=f"{first.hint or 'put the file right'}, then begin again",
    )


def refusal(mistakes: Sequence[Problem]) -> str:
    """Why a job is not moved to a text, as a sentence; empty when it may be."""
    if not mistakes:
        return ""
    return f"the newer text has {many(mistakes)}: put the file right first, then look again"


def refuse_other_design(unit: str, plan: Plan, known: Sequence[str]) -> None:
    """Refuse to begin a job on a unit that is of another design, by a slip or by way of a batch of another bench.

    Args:
        unit: Serial number of the unit.
        plan: What it would be worked on by.
        known: Ids of the designs that the unit and its jobs so far are of; none is known where it is empty.

    Raises:
        JobError: It is.
    """
    if known and plan.design_id and plan.design_id not in known:
        raise JobError(
            f"not begun: {unit} is of the design {known[0]}, and {plan.title} is for {plan.design_id}",
            hint="choose another unit, or what is for its own design",
        )
