"""What earlier runs and the present sitting have to say to the step in hand: notes, changes, time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import BenchError
from benchtui.jobs.pace import minutes_left, minutes_to_stop, minutes_unbroken
from benchtui.jobs.past import deviation
from benchtui.jobs.run_sitting import Past, bench_words
from benchtui.jobs.standing import IRON_HOT, iron_word
from benchtui.jobs.timers import moment
from benchtui.record.event import root_of
from benchtui.ui.view.ages import clock_time, lasting
from benchtui.ui.view.head import stands_now

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.past import PastNote, PastRedline
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.run import Run


def called_from(run: Run) -> str:
    """Where a job was called from and goes back to, outermost first, in words; empty for one that was not called."""
    if not run.state.caller:
        return ""
    try:
        stack = run.bench.stack(run)
    except BenchError:
        return f"called from job {run.state.caller}"
    places = [f"{title}, step {number}" if number else title for _, number, title in stack]
    return f"Called from {', then '.join(places)}; back there when this is closed."


def around(run: Run) -> tuple[str, ...]:
    """What stands in the work a job was called from, in words: the lead is still in, whoever's heading one reads."""
    caller = run.state.caller
    states: list[JobState] = []
    try:
        while caller:
            states.append(run.bench.look(caller))
            caller = states[-1].caller
    except BenchError:  # it cannot be read, and the page that says where one comes from says so
        return ()
    # The work in hand may have switched off what the work it was called from had left hot.
    off = {IRON_HOT} if iron_word(run.state) == "off" else set()
    return (*(what for what in stands_now(states) if what not in off), *_out(run))


def _out(run: Run) -> tuple[str, ...]:
    """A unit that is in use with something open is not touched as if it lay here for good."""
    units = run.bench.store.units([run.unit]) if run.unit else ()
    return ("out as temporary",) if units and units[0].state == "temporary" else ()


def other_bench(run: Run) -> str:
    """The bench that wrote the last entry of a job before it was taken up here, by what it said of itself.

    Empty where that was this bench, or where that bench has not said who sits there, where, or with which meter.
    """
    store = run.bench.store
    left = run.state.suspended
    if left is None or not left.elsewhere:
        return ""
    here = root_of(store.origin)
    theirs = [event.origin for event in store.events(job=run.job) if root_of(event.origin) != here]
    if not theirs:
        return ""
    words = bench_words(store, theirs[-1])
    return words[:1].upper() + words[1:]


class Background:
    """Worked out once, when a job comes on the screen: earlier runs do not change meanwhile."""

    def __init__(self, run: Run) -> None:
        past = Past(run.bench.store, run.plan.id, now=run.job)
        self.run = run
        self._notes = past.notes()
        self._redlines = past.redlines()
        self._past = past
        self._minutes = past.minutes()
        self._changed = past.changed(run.plan) if past.starts else frozenset()

    @property
    def urgent(self) -> tuple[PastNote, ...]:
        """Urgent notices nobody has said to have read yet."""
        return self._past.urgent()

    def notes(self, step: PlanStep) -> tuple[str, ...]:
        """Notes of earlier runs on a step, with their date, and what was changed by hand there."""
        notes = [f"{note.text} ({clock_time(note.time)[:10]})" for note in self._notes.get(step.step_id, ())[-3:]]
        held = self.deviation(step)
        lines = [line for line in self._redlines.get(step.key, ())[-2:] if line is not held]
        notes += [f"changed by hand for {line.unit or 'one job'}: {line.text} ({line.reason})" for line in lines]
        if held is not None:
            notes.append(f"deviation until {held.until}: {held.text} ({held.reason}); r takes it over")
        return tuple(notes)

    def deviation(self, step: PlanStep) -> PastRedline | None:
        """A change of the text that still holds for this unit today; None when it has to be done as it is written."""
        today = self.run.bench.clock().date().isoformat()
        return deviation(self._redlines.get(step.key, ()), unit=self.run.unit, today=today)

    def changed(self, step: PlanStep) -> bool:
        """Whether a step reads differently from the last run."""
        return step.key in self._changed or step.step_id in self._changed

    def unbroken(self, key: str) -> str:
        """How long the stretch takes that begins with a step and must not be left in the midst; empty for none."""
        minutes = minutes_unbroken(self.run.state, key, self._minutes)
        return f"do not break off for about {lasting(max(minutes, 1))} from here" if minutes else ""

    def left(self) -> str:
        """How long the work is that is left to the end of the job; empty where no minutes are known."""
        minutes = minutes_left(self.run.state, self._minutes, moment(self.run.bench.clock))
        return f"about {lasting(minutes)} to the end" if minutes >= 1 else ""

    def stop(self) -> str:
        """How long it is to the next place where the work can be left, or may not be left at all."""
        if key := self.run.state.current:
            unbroken = self.unbroken(key)
            if unbroken or self.run.plan.step(key).no_break:
                return unbroken or "do not break off here"
        minutes = minutes_to_stop(self.run.state, self._minutes, moment(self.run.bench.clock))
        return f"about {lasting(minutes)} to the next safe stop" if minutes and minutes >= 1 else ""
