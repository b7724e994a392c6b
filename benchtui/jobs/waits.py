"""The end of a wait: by itself when its time has passed, else with a reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.events import TimerEnded
from benchtui.jobs.timers import by_clock_alone, parted, remaining

if TYPE_CHECKING:
    from benchtui.jobs.steps import Timer
    from benchtui.jobs.timers import Moment


def ending(step: str, timer: Timer | None, now: Moment, reason: str = "") -> TimerEnded:
    """The event that ends the wait of a step.

    A computer that was started anew has lost its count of the seconds, and a clock may be wrong after a start. A cure
    must not end unnoticed by that: who stood beside it says how the time is known to have passed.

    Args:
        step: Key of the step.
        timer: Its wait; None when none has begun, which is told when the event is carried out.
        now: The moment it ends.
        reason: Why it is cut short, or how it is known that the time has passed.

    Raises:
        JobError: The computer was started anew meanwhile, or its clock and its count part, and no reason is given.
    """
    reason = reason.strip()
    known_by = ""
    if timer is not None and by_clock_alone(timer, now) and not remaining(timer, now):
        if not reason:
            why = "the clock was set, the computer slept or" if parted(timer, now) else "the computer"
            raise JobError(
                f"{why} was started anew during this wait, and only its clock says that it is over",
                hint="e ends it, with how you know that the time has passed",
            )
        known_by, reason = reason, ""
    return TimerEnded(step=step, reason=reason, known_by=known_by, boot=now.boot, boot_seconds=now.boot_seconds)
