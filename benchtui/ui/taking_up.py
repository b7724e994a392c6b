"""Taking up a job after a break: only once the unit on the bench was read off, where another one might lie there."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from benchtui.jobs import events as ev

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import timedelta

    from benchtui.jobs.run import Run


def to_identify(run: Run) -> bool:
    """Whether the serial number has to be read off the unit: others are in work, or it was asked for and not given."""
    others = any(each.unit not in ("", run.unit) for each in run.bench.open_jobs())
    return bool(run.unit) and (others or run.state.identify)


def time_away(run: Run) -> timedelta:
    """How long nothing was written in a job that is put aside."""
    left = run.state.suspended
    # A job that was ended from outside is suspended only now, so its own count of the break holds.
    forced = left is None or left.forced
    return run.away if forced else run.bench.clock() - datetime.fromisoformat(run.state.last)


def take_up(run: Run, answers: Sequence[str], serials: Sequence[str] = (), *, checklist: str = "") -> None:
    """Write down that a job is taken up.

    Args:
        run: The job.
        answers: How each thing is now that was left on, hot or loose.
        serials: What was read off the unit, the right number last; none where it is not asked for. The wrong ones are
            kept too: hands were on another unit.
        checklist: How a list goes on that was left in the midst.

    Raises:
        BenchError: It cannot be written.
    """
    if run.state.suspended is not None:
        run.act(ev.Resumed(answers=tuple(answers), identify=bool(serials), checklist=checklist))
    for serial in serials:
        run.act(ev.UnitIdentified(serial=serial))
