"""Marks that leave a step other than done: left out, held, failed, opened again; and what is noted beside it."""

from __future__ import annotations

from typing import Final

from benchtui.jobs import events as ev
from benchtui.jobs.steps import TO_DO, Status
from benchtui.ui.in_sight import InSight
from benchtui.ui.reply import Reply, answered
from benchtui.ui.view.seen import not_seen
from benchtui.ui.view.stopped import stopped

UNREAD: Final = "read the caution first; a says that you have"
"""Said when a key would pass a caution."""


class OtherMarks(InSight):
    """A job in hand, and what is marked at its steps beside their being done; that is in `work`."""

    @answered
    def here(self) -> Reply:
        """The step in hand has come into sight; says what keeps it from being marked as begun."""
        self.take_up()
        return Reply()

    def take_up(self) -> None:
        """Mark the step in hand as begun, once nothing has to be read or answered before it."""
        if self.run.bench.store.read_only:
            return
        key = self.state.current
        fresh = key and self.state[key].status in (Status.OPEN, Status.REOPENED)
        waits = not key or self.state.plan.step(key).act in ("wait", "call")
        barred = not fresh or waits or self.state.blocked(key) or self.state.unread(key)
        if not barred and not self.run.bench.units.stopped(self.run.unit):
            self.run.act(ev.StepBegun(step=key))

    def _arrived(self) -> Reply:
        self._sight = ""
        self.take_up()
        return Reply(at_end=not self.state.current)

    @property
    def held_said(self) -> Reply:
        """What is said of a mark on a step that waits for something."""
        return Reply(stopped(self.state, self.key), problem=True)

    @property
    def _held(self) -> bool:
        return bool(self.key) and self.known.status is Status.HELD

    @property
    def no_leaving_out(self) -> str:
        """Why the step in hand cannot be skipped, to be said before a reason is asked for; empty when it can."""
        if unseen := self._unseen:
            return unseen
        if self.looking or not self.step.must:
            return ""
        return (
            stopped(self.state, self.key)
            or f"this is a {self.step.duty}: it cannot be skipped. Do it, or q puts it aside"
        )

    @property
    def _unseen(self) -> str:
        """Why the step in sight cannot be left yet, in hand or only looked at: a caution of it was not read."""
        if not self.key or not self.state.unread(self.key):
            return ""
        return "a caution of this step was not read: take the step in hand first" if self.looking else UNREAD

    @property
    def unwritten(self) -> bool:
        """The step in hand has failed, and nobody has written down what is wrong."""
        return not self.looking and self.known.status is Status.FAILED and not self.state.written(self.key)

    @answered
    def fail(self, seen: str) -> Reply:
        """It is not so: the step has failed, and what is wrong is written down as a defect before it is touched."""
        key = self.key
        if wrong := not_seen(seen):
            return Reply(wrong, problem=True)
        if self.known.status is not Status.FAILED:
            self.run.act(ev.StepFailed(step=key, reason=seen))
        subject = self.step.subject.id if self.step.subject else ""
        number = self.run.next_defect()
        self.run.act(ev.DefectFound(defect=number, text=seen, step=key, subject=subject))
        return Reply(f"defect {number} is written down")

    @answered
    def leave_out(self, reason: str, *, not_applicable: bool = False) -> Reply:
        """Go past the step in hand without doing it, once its cautions were read: they may be why one had better."""
        if unseen := self._unseen:
            return Reply(unseen, problem=True)
        event = ev.StepNotApplicable if not_applicable else ev.StepSkipped
        self.run.act(event(step=self.key, reason=reason.strip()))
        return self._arrived()

    @answered
    def hold(self, reason: str) -> Reply:
        """The step waits for something outside the job."""
        self.run.act(ev.StepHeld(step=self.key, reason=reason.strip()))
        return Reply("held; u opens it again")

    @answered
    def note(self, text: str) -> Reply:
        """Keep a note on the step in sight; one that begins with ! has to be read before the next run begins."""
        urgent = text.lstrip().startswith("!")
        self.run.act(ev.NoteAdded(step=self.key, text=text.strip().lstrip("! "), urgent=urgent))
        then = "; it is read before any later run begins" if urgent else ""
        return Reply(f"the note is kept with this step{then}")

    @answered
    def witness(self, name: str) -> Reply:
        """Somebody looks on at the step in sight, which is a witness point; the work waits for nobody."""
        self.run.act(ev.Witnessed(step=self.key, name=name))
        return Reply(f"{' '.join(name.split())} looks on")

    @answered
    def end_early(self, reason: str) -> Reply:
        """End a wait before its time."""
        if self._held:
            return self.held_said
        self.run.end_wait(reason=reason)
        self.run.act(ev.StepDone(step=self.key))
        return self._arrived()

    @answered
    def undo(self) -> Reply:
        """Open the step in sight again, or the one that was done last."""
        key = self.key
        if not key or self.state[key].status in TO_DO:
            done = (act.step for act in reversed(self.state.trail) if act.kind == ev.StepDone.KIND)
            key = next((step for step in done if self.state.plan.has(step)), "")
            if not key or self.state[key].status in TO_DO:
                return Reply("there is no mark to take back here", problem=True)
        self.run.act(ev.StepReopened(step=key, reason="taken back"))
        self._sight = ""
        return Reply(f"step {self.state.plan.step(key).number} is open again")
