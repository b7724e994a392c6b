"""The text of a procedure as the files give it now, for a job under way: what differs, and if it may be gone by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.mistakes import refusal

if TYPE_CHECKING:
    from benchtui.errors import Problem
    from benchtui.jobs.plan import Plan
    from benchtui.jobs.revision import Changes
    from benchtui.jobs.run import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Newer:
    """Another text than the one a job goes by."""

    plan: Plan
    changes: Changes
    mistakes: tuple[Problem, ...] = ()
    """What `benchtui check` says is wrong with it. A text with a mistake is not moved to: a caution may be lacking."""


def newer_text(run: Run) -> Newer | None:
    """The text of a job as the files give it now; None when the job goes by it.

    Raises:
        ContentError: The files cannot be read.
        JobError: The procedure is no longer there.
    """
    run.bench.library.look_again()  # a file of one's own may have been put beside the shipped one meanwhile
    found = run.newer()
    if found is None:
        return None
    plan, changes = found
    return Newer(plan=plan, changes=changes, mistakes=run.bench.mistakes(plan))


def move(run: Run, newer: Newer, reason: str) -> None:
    """Go on by the newer text.

    Raises:
        JobError: It has mistakes, it has been edited again since it was shown, or no reason is given.
    """
    if newer.mistakes:
        raise JobError(refusal(newer.mistakes))
    seen = newer_text(run)
    if seen != newer:
        raise JobError("the files were edited again since this page was shown", hint="go back, and look again")
    run.move_to(newer.plan, reason=reason)
