"""Repairs of a hunt that are gone through step by step, as jobs of their own: which are under way, and how they end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults.events import WalkOpened
from benchtui.jobs.events import Resumed

if TYPE_CHECKING:
    from benchtui.faults.run import HuntRun
    from benchtui.jobs.run import Bench


def walks(bench: Bench, run: HuntRun) -> list[WalkOpened]:
    """Repairs of a hunt that were opened step by step and are not closed, the latest first."""
    still = {job.job for job in bench.open_jobs()}
    return [each for each in reversed(run.state.events) if isinstance(each, WalkOpened) and each.job in still]


def end_walks(bench: Bench, run: HuntRun) -> int:
    """Close what was put aside of a hunt's repairs: nobody will come back to it once the hunt is closed.

    Returns:
        How many were closed.
    """
    left = walks(bench, run)
    for walk in left:
        job = bench.resume(walk.job)
        if job.state.suspended is not None:
            job.act(Resumed(answers=("not looked at",) * len(job.state.suspended.bench), identify=False))
        job.close(decision=f"the hunt {run.job} is closed")
    return len(left)
