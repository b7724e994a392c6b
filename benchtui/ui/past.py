"""What earlier runs and the present sitting have to say to the step in hand: notes, changes, time, wrist strap."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.pace import minutes_to_stop
from benchtui.jobs.run_sitting import Past, present, strap_tested
from benchtui.ui.view.ages import clock_time, lasting
from benchtui.ui.work import Reply

if TYPE_CHECKING:
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.run import Run


class Background:
    """Worked out once, when a job comes on the screen: earlier runs do not change meanwhile."""

    def __init__(self, run: Run) -> None:
        past = Past(run.bench.store, run.plan.id, now=run.job)
        self.run = run
        self._notes = past.notes()
        self._minutes = past.minutes()
        self._changed = past.changed(run.plan) if past.starts else frozenset()
        self._sitting = present(run.bench.store)

    def notes(self, step: PlanStep) -> tuple[str, ...]:
        """Notes of earlier runs on a step, with their date."""
        return tuple(f"{note.text} ({clock_time(note.time)[:10]})" for note in self._notes.get(step.step_id, ())[-3:])

    def changed(self, step: PlanStep) -> bool:
        """Whether a step reads differently from the last run."""
        return step.key in self._changed or step.step_id in self._changed

    def stop(self) -> str:
        """How long it is to the next place where the work can be left."""
        minutes = minutes_to_stop(self.run.state, self._minutes)
        return f"about {lasting(minutes)} to the next safe stop" if minutes and minutes >= 1 else ""

    def strap_due(self, step: PlanStep) -> bool:
        """Whether the wrist strap has to be tested before a step with loose parts that static can kill."""
        return self._sitting.strap_due(step, self.run.bench.clock())

    def strap(self, typed: str) -> Reply:
        """Keep a test of the strap."""
        if not typed.strip():
            return Reply("type what the tester or the meter showed", problem=True)
        strap_tested(self.run.bench.store, typed.strip())
        self._sitting = present(self.run.bench.store)
        return Reply("the strap test is kept for this sitting")
