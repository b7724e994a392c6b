"""A checklist that was left in the midst: begun again from the top, or gone on with, as is said at the return.

What was confirmed before a break may hold no longer, and one remembers being further on than one was (Dismukes 2006,
CAP 676 on interrupted checklists). Row G6 of what the open standards ask.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from benchtui.jobs.moves import reopen
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState

LIST_KEEPS: Final = timedelta(minutes=10)
"""How long a list may be left before it is asked how it goes on; our own choice, for the sources name no time."""

FROM_TOP: Final = "from the top"
WENT_ON: Final = "where it was left"

_ANEW: Final = frozenset({Status.BEGUN, Status.DONE, Status.SKIPPED, Status.NOT_APPLICABLE})
"""Marks that are taken back; what failed or waits is there to be seen, and stays."""


def left_in_the_midst(state: JobState, gone: timedelta) -> bool:
    """Whether a list was left for so long, with some lines confirmed and some not, that it is asked how it goes on.

    Args:
        state: The job.
        gone: How long nothing was written.
    """
    midst = state.settled > 0 and bool(state.current)
    return state.plan.kind == "checklist" and gone >= LIST_KEEPS and midst


def from_the_top(state: JobState) -> JobState:
    """The state with every line of a list open again."""
    for key, known in state.steps.items():
        if known.status in _ANEW:
            state = reopen(state, key, "the list was begun again from the top", void=True, current=state.current)
    return state
