"""Taking up a job after a break: only once the unit on the bench was read off, where another one might lie there."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from benchtui.jobs import events as ev
from benchtui.ui.view.bench import where
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import timedelta

    from benchtui.jobs.run import Run
    from benchtui.ui.ways import Ways


async def open_already(ways: Ways, id: str, unit: str, subject: str = "") -> str | None:
    """Ask before the same work is begun a second time on a unit: both would have to be gone through, or ended.

    Args:
        ways: Who asks.
        id: Id of the procedure or checklist.
        unit: Serial number; nothing is asked where it is empty.
        subject: The control, bank or connector it is about.

    Returns:
        Name of the open job that is taken up; empty where another one is begun, and None where neither.
    """
    same = [job for job in ways.bench.open_jobs() if unit and (job.unit, job.procedure) == (unit, id)]
    same = [job for job in same if ways.bench.look(job.job).plan.subject == subject]
    if not same:
        return ""
    rows = [Row(id=job.job, text="Take it up", under=where(job)) for job in same]
    rows.append(Row(id="new", text="Begin another one", under="both stay open until each is gone through or ended"))
    picked = await ways.pick(f"{same[0].title}, unit {unit}", "It is open on this unit already.", rows)
    return "" if picked == "new" else picked


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
