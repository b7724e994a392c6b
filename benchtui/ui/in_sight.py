"""The step in sight, which may be another than the one in work: going back and ahead in a job marks nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.steps import Status
from benchtui.ui.reply import Reply, answered
from benchtui.ui.step_search import step_of
from benchtui.ui.trail import Trail
from benchtui.ui.view.cautions import in_order

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Caution, PlanStep
    from benchtui.jobs.run import Run
    from benchtui.jobs.steps import StepState


class InSight:
    """A job, and which step of it is looked at; what is done there is in `work`."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.parts: Mapping[str, str] = {}
        """Control to the words for its part, for finding a step by a part; set by whoever knows the design."""
        self._sight = ""
        """Key of the step in sight; empty for the one in work."""
        self._trail = Trail()

    @property
    def state(self) -> JobState:
        """The job as the record has it."""
        return self.run.state

    @property
    def key(self) -> str:
        """Key of the step in sight; empty when every step was gone through and none is looked at."""
        return self._sight or self.state.current

    @property
    def looking(self) -> bool:
        """Another step is in sight than the one in work."""
        return bool(self._sight) and self._sight != self.state.current

    @property
    def step(self) -> PlanStep:
        """The step in sight."""
        return self.state.plan.step(self.key)

    @property
    def known(self) -> StepState:
        """What is known of the step in sight."""
        return self.state[self.key]

    @property
    def unread(self) -> Caution | None:
        """The caution to be acknowledged next; None when the step is open."""
        if self.looking or not self.key:
            return None
        unread = in_order(self.state.unread(self.key))
        return unread[0] if unread else None

    def look(self, key: str) -> None:
        """Bring a step into sight; nothing is marked."""
        self._sight = "" if key == self.state.current else key

    def back(self) -> Reply:
        """Bring the step before into sight."""
        place = self.state.plan.places[self.key] if self.key else len(self.state.plan)
        if place == 0:
            return Reply("this is the first step")
        self.look(self.state.plan.steps[place - 1].key)
        return Reply()

    def ahead(self) -> Reply:
        """Bring the step after into sight; nothing is marked."""
        place = self.state.plan.places[self.key] + 1 if self.key else len(self.state.plan)
        if place >= len(self.state.plan):
            return Reply("this is the last step")
        self.look(self.state.plan.steps[place].key)
        return Reply()

    @answered
    def jump(self, typed: str) -> Reply:
        """Bring a step into sight by number, or by what it is about: a control, a test point, a word of its text."""
        found = step_of(self.state, typed, after=self.key, parts=self.parts).key
        self.look_from_here(found)
        return Reply()

    def look_from_here(self, key: str) -> None:
        """Bring a step into sight from which one goes back to this one; nothing is marked."""
        if key != self.key:
            self._trail.left(self.key)
        self.look(key)

    def before(self) -> Reply:
        """Bring the step into sight that was looked at before the last jump; nothing is marked."""
        while place := self._trail.back(self.key):
            if self.state.plan.has(place):  # a newer text may have taken it out
                self.look(place)
                return Reply()
        return Reply("no step was looked at before this one", problem=True)

    def look_at_open(self) -> None:
        """Bring the first step into sight that is not done, once every step was gone through; or the last one."""
        if not self.state.current:
            steps = self.state.plan.steps
            proven = (Status.DONE, Status.NOT_APPLICABLE)
            self.look(next((step for step in steps if self.state[step.key].status not in proven), steps[-1]).key)
