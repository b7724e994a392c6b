"""Cures, soaks and other waits ring when they are over, wherever the builder is: at the bench, in a job, in a sum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import BenchError
from benchtui.jobs.timers import moment

if TYPE_CHECKING:
    from collections.abc import Collection

    from benchtui.jobs.glance import JobSummary, Waiting
    from benchtui.jobs.run import Bench


class Waits:
    """The waits of all open jobs, and which of them were rung already.

    Args:
        bench: The bench whose jobs are watched.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._seen: tuple[int, int] | None = None
        self._known: list[tuple[JobSummary, Waiting]] = []
        self._rung: set[tuple[str, str, str]] = set()

    def over(self, *, watched: Collection[str] = ()) -> tuple[tuple[JobSummary, Waiting], ...]:
        """Waits that have come to their end since this was asked last, each told once.

        Args:
            watched: Jobs that are on the screen and ring by themselves.
        """
        self._look()
        now = moment(self.bench.clock)
        found = []
        for job, wait in self._known:
            name = (job.job, wait.step, wait.timer.started)
            if name not in self._rung and not wait.left(now):
                self._rung.add(name)
                if job.job not in watched:
                    found.append((job, wait))
        return tuple(found)

    def _look(self) -> None:
        """Read the open jobs again, but only when something was written: this is asked every second."""
        try:
            version = self.bench.store.version
            if version != self._seen:
                self._known = [(job, wait) for job in self.bench.open_jobs() for wait in job.waits]
                self._seen = version
        except BenchError:
            self._known = []  # a record that cannot be read now says so where something is asked of it


def over_text(over: Collection[tuple[JobSummary, Waiting]], *, job: str = "", step: str = "") -> str:
    """What to say of waits that are over; empty for none.

    Args:
        over: Job and wait of each.
        job: Job on the screen.
        step: Key of its step in sight.
    """
    texts = []
    for summary, wait in over:
        if (summary.job, wait.step) == (job, step):
            texts.append("the wait is over: Space goes on")
        else:
            unit = f", unit {summary.unit}" if summary.unit else ""
            place = f"step {wait.number}" if summary.job == job else f"{summary.title}{unit}, step {wait.number}"
            texts.append(f"a wait is over: {place}, {wait.text}")
    return ". ".join(texts)
