"""Where a hunt stands: its events, its belief, and what follows from them. `benchtui.faults.hunt` moves it on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from benchtui.faults.events import (
    CautionAcknowledged,
    HuntStarted,
    Noted,
    Opened,
    ReadingTyped,
    RepairDone,
    ShortBeside,
    TestAnswered,
    TriedAgain,
    WalkOpened,
    Withdrawn,
    WorkaroundDone,
)
from benchtui.faults.layout import cheapest_workaround

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.faults.events import HuntClosed, HuntEvent
    from benchtui.faults.layout import Layout
    from benchtui.faults.model import FaultModel, Repair, Symptom, Workaround
    from benchtui.faults.table import Position
    from benchtui.faults.target import Target

PASSED_OVER: Final = (HuntStarted, Noted, CautionAcknowledged, WalkOpened, ShortBeside)
"""Remarks, cautions that were read and what another hunt found: nobody means them by "undo"."""

Phase = Literal["look", "again", "neighbours", "beside", "close", "closed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntState:
    """Where a hunt stands.

    Attributes:
        model: The fault model.
        design: The design of the unit; None only where numbers alone matter.
        layout: What of the model bears on the target.
        events: Everything that happened, withdrawn or not; the first is `HuntStarted`.
        withdrawn: Numbers of the events that were taken back.
        position: Belief and what may still be done.
        phase: See the module.
        pending: Id of the repair or work-around whose effect is to be tried.
        elapsed: Minutes since the start.
        deadline: Minutes from the start to curtain; None when there is no hurry.
        answers: Outcome by test, of the answers that stand.
        repaired: Repairs done so far, in order.
        dropped: Moves that cannot be made here.
        locks: Ids of the tests that have to come out healthy before anything powers the unit again, in the order to be
            made; empty when the power is free.
        due: Those of them that are to be made now.
        lent: Names of other hunts on this unit whose finding is all that locks the power; empty where this hunt has a
            reason of its own.
        powered: Whether the unit is plugged in, as far as the moves made so far say.
        no_power: Whether there is no power where the unit is, as was said.
        untried: Repairs made without power whose trial waits for it, in order.
        overturned: Measurements that read healthy after a repair, with what they said before it.
        beside: The neighbour that does not work after a repair.
        result: How it ended.
    """

    model: FaultModel
    design: Design | None
    layout: Layout
    events: tuple[HuntEvent, ...]
    withdrawn: frozenset[int] = frozenset()
    position: Position
    phase: Phase = "look"
    pending: str = ""
    elapsed: float = 0.0
    deadline: float | None = None
    answers: tuple[tuple[str, str], ...] = ()
    repaired: tuple[str, ...] = ()
    dropped: frozenset[str] = frozenset()
    locks: tuple[str, ...] = ()
    due: tuple[str, ...] = ()
    lent: tuple[str, ...] = ()
    powered: bool = True
    no_power: bool = False
    untried: tuple[str, ...] = ()
    overturned: tuple[tuple[str, str], ...] = ()
    beside: str = ""
    result: HuntClosed | None = None

    @property
    def started(self) -> HuntStarted:
        """The event that opened the hunt."""
        event = self.events[0]
        assert isinstance(event, HuntStarted)
        return event

    @property
    def target(self) -> Target:
        """What the hunt is about."""
        return self.layout.target

    @property
    def repair(self) -> Repair | None:
        """The repair whose effect is to be tried; None before one, and after a work-around."""
        return self.layout.repair(self.pending)

    @property
    def stands_in(self) -> Workaround | None:
        """The work-around of the model that was put in place last and not taken back; None for none."""
        last = next((each for _, each in reversed(self.standing) if isinstance(each, WorkaroundDone)), None)
        return next((each for each in self.model.workarounds if last and each.id == last.workaround), None)

    @property
    def symptom(self) -> Symptom | None:
        """What was reported, when it is one of the model's symptoms."""
        return next((each for each in self.model.symptoms if each.id == self.started.symptom), None)

    @property
    def shows(self) -> float:
        """Share of tries in which the trouble shows: as the player says, else the model's estimate."""
        if self.started.shows is not None:
            return self.started.shows
        return self.symptom.shows if self.symptom else 1.0

    def readings(self, test: str) -> tuple[str, ...]:
        """Readings typed for a test and not answered with yet, as they were typed; those taken back do not count.

        Nor do those made before something was repaired, opened or tried: half of one state and half of another say
        nothing of either.
        """
        found: list[str] = []
        for _, event in self.standing:
            if isinstance(event, ReadingTyped) and event.test == test:
                found.append(event.typed)
            elif isinstance(event, TestAnswered):
                found = [] if event.test == test else found
            elif isinstance(event, RepairDone | WorkaroundDone | Opened | TriedAgain) and not _made_before(event):
                found = []
        return tuple(found)

    @property
    def workaround(self) -> Workaround | None:
        """The cheapest work-around that still fits before curtain, by the hunt's own time; see `workaround_now`."""
        return workaround_now(self)

    @property
    def standing(self) -> tuple[tuple[int, HuntEvent], ...]:
        """Events that were not taken back, with their numbers."""
        return tuple(
            (number, event)
            for number, event in enumerate(self.events)
            if number not in self.withdrawn and not isinstance(event, Withdrawn)
        )


def _made_before(event: HuntEvent) -> bool:
    """Whether an event only tells of what was made before the hunt began."""
    return isinstance(event, RepairDone) and event.before


def last_standing(state: HuntState) -> int | None:
    """Number of the event that "undo" would take back; None when only the start is left."""
    for number, event in reversed(state.standing):
        if not isinstance(event, PASSED_OVER):
            return number
    return None


def workaround_now(state: HuntState, elapsed: float | None = None) -> Workaround | None:
    """The cheapest work-around that can still be put in place before curtain; None when there is none.

    Args:
        state: Where the hunt stands.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    left = _to_curtain(state, elapsed)
    # When there is no time any more to fasten a lid before it, it is at least put back.
    choices = (
        cheapest_workaround(state.model, state.target, left=time, without=state.dropped, locked=bool(state.locks))
        for time in (left - shutting(state), left)
    )
    return next((each for each in choices if each is not None), None)


def too_late(state: HuntState, elapsed: float | None = None) -> bool:
    """Whether there is a work-around, but no time for it before curtain."""
    return workaround_now(state, elapsed) is None and workaround_now(state, float("-inf")) is not None


def in_haste(state: HuntState, workaround: Workaround, elapsed: float | None = None) -> bool:
    """Whether a work-around fits before curtain only if what is open is not fastened first."""
    return workaround.minutes + shutting(state) > _to_curtain(state, elapsed)


def no_time_to_shut(state: HuntState, elapsed: float | None = None) -> bool:
    """Whether what is open cannot be fastened before curtain, only put back."""
    return shutting(state) > _to_curtain(state, elapsed)


def shutting(state: HuntState) -> float:
    """Minutes to shut what is open before curtain; none for a unit that stays out, because a short may be inside."""
    return 0.0 if state.locks else state.layout.table.shutting(state.position.opened)


def _to_curtain(state: HuntState, elapsed: float | None) -> float:
    if state.deadline is None:
        return float("inf")
    return state.deadline - (state.elapsed if elapsed is None else elapsed)


def time_left(state: HuntState, elapsed: float | None = None) -> float:
    """Minutes that may be spent on looking and repairing before shutting what is open and the work-around must begin.

    Args:
        state: Where the hunt stands.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    workaround = workaround_now(state, elapsed)
    reserve = workaround.minutes if workaround else 0.0
    return _to_curtain(state, elapsed) - reserve - shutting(state)
