"""Repairs of a hunt that are gone through step by step, as jobs of their own: which are under way, and how they end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults.events import WalkOpened
from benchtui.jobs.events import Resumed
from benchtui.jobs.run_ending import end, with_called

if TYPE_CHECKING:
    from benchtui.faults.model import Repair, Test, Workaround
    from benchtui.faults.run import HuntRun
    from benchtui.jobs.run import Bench

    Move = Test | Repair | Workaround | None


def walks(bench: Bench, run: HuntRun) -> list[WalkOpened]:
    """Repairs of a hunt that were opened step by step and are not closed, the latest first."""
    still = {job.job for job in bench.open_jobs()}
    return [each for each in reversed(run.state.events) if isinstance(each, WalkOpened) and each.job in still]


def subject_of(run: HuntRun, move: Move) -> str:
    """Id of the control a repair is made on: its own where it names one, else the one that is hunted on."""
    return getattr(move, "at", "") or run.state.target.control


def begun(bench: Bench, run: HuntRun, procedure: str, subject: str) -> str:
    """Name of the job of a repair that was begun and put aside; empty for none.

    Args:
        bench: Jobs of the record.
        run: The hunt.
        procedure: Id of the rework procedure.
        subject: Id of the control it is made on.
    """
    same = (each.job for each in walks(bench, run) if each.procedure == procedure)
    return next((job for job in same if bench.resume(job).plan.subject == subject), "")


def end_walks(bench: Bench, run: HuntRun) -> int:
    """Close what was put aside of a hunt's repairs: nobody will come back to it once the hunt is closed.

    Returns:
        How many were closed.
    """
    left = walks(bench, run)
    for walk in left:
        job = bench.resume(walk.job)
        for each in with_called(bench, job):
            if each.state.suspended is not None:
                each.act(Resumed(answers=("not looked at",) * len(each.state.suspended.bench), identify=False))
        end(bench, job, decision=f"the hunt {run.job} is closed")
    return len(left)
