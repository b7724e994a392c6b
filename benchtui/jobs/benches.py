"""The sitting of each bench that worked on a job: put aside or not, which cautions were read, and by whom.

A job that was only looked at and put aside at one bench was at work at the other all the while. What the other wrote
then is checked against its own sitting, so that it does not count as refused for what it could not know.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.jobs import events as ev
from benchtui.jobs.serials import same_unit

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState


@dataclass(frozen=True, slots=True)
class _Sitting:
    suspended: ev.Suspended | None
    acknowledged: frozenset[tuple[str, str]]
    identify: bool


class Sittings:
    """The sitting of each bench, by the name its events go under."""

    def __init__(self) -> None:
        self._of: dict[str, _Sitting] = {}

    def seen_by(self, bench: str, state: JobState) -> JobState:
        """The job as that bench saw it: all that was done to it, in the bench's own sitting."""
        own = self._own(bench, state)
        return replace(state, suspended=own.suspended, acknowledged=own.acknowledged, identify=own.identify)

    def follow(self, bench: str, event: ev.JobEvent, state: JobState) -> None:
        """Move the sitting of a bench on by an event it wrote; `state` is the job before it."""
        own = self._own(bench, state)
        match event:
            case ev.Suspended():
                own = replace(own, suspended=event)
            case ev.Resumed():
                own = _Sitting(None, frozenset(), event.identify and bool(state.unit))
            case ev.UnitIdentified():
                own = replace(own, identify=own.identify and not same_unit(event.serial, state.unit))
            case ev.CautionAcknowledged() if state.plan.has(event.step):
                read = (event.digest, state.plan.step(event.step).step_id)
                own = replace(own, acknowledged=own.acknowledged | {read})
        self._of[bench] = own

    def _own(self, bench: str, state: JobState) -> _Sitting:
        # A bench that comes to the job, or goes on under a new name, begins from the job as it finds it.
        root = bench.partition("~")[0]
        begun = self._of.get(bench) or self._of.get(root)
        return begun or _Sitting(state.suspended, state.acknowledged, state.identify)


ABOUT_THE_SITTING: Final = (ev.Suspended, ev.Resumed, ev.BenchSaid)
"""Acts about a sitting and not about the unit: no ground for two benches to disagree."""
