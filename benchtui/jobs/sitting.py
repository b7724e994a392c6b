"""A sitting at the bench: who works, where, with which meter, and when the wrist strap was last tested."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, ClassVar, Final

from benchtui.jobs.event_base import JobEvent
from benchtui.jobs.readings import Meter

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.plan import PlanStep

STRAP_TEST: Final = "strap-test"
"""Id of the procedure whose passed reading counts as a test of the strap."""

CLOCK_SET: Final = "clock-set"
"""Kind of the event that the record writes when its clock was set back."""

CLOCK_SLIP: Final = timedelta(minutes=2)
"""How far a clock that sets itself by the network may go back without anything being meant by it."""

STRAP_HOURS: Final = 8
"""A strap test older than this is asked for again; common practice is once a day, at the start of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingBegun(JobEvent):
    """Somebody sat down to work."""

    KIND: ClassVar[str] = "sitting"
    name: str = ""
    place: str = ""
    meter: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrapTested(JobEvent):
    """The wrist strap was tested; `typed` is what the tester or meter showed."""

    KIND: ClassVar[str] = "strap-tested"
    typed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterKnown(JobEvent):
    """A meter of the bench, with the end of its calibration and the uncertainty its sheet gives."""

    KIND: ClassVar[str] = "meter"
    id: str
    name: str = ""
    due: str = ""
    kinds: tuple[str, ...] = ()
    """Kinds of reading that the two lists below are about, in the same order."""
    percent: tuple[float, ...] = ()
    floor: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """What holds now."""

    name: str = ""
    place: str = ""
    meter: Meter | None = None
    meters: tuple[Meter, ...] = ()
    strap: str = ""
    """Time of the last strap test; empty when there was none, or the clock was set back after it."""

    def strap_due(self, step: PlanStep, now: datetime) -> bool:
        """Whether the strap has to be tested before a step, since it handles parts that static can kill."""
        if not step.static:
            return False
        if not self.strap:
            return True
        gone = now - datetime.fromisoformat(self.strap)
        # One that lies ahead was tested before the clock was set back, nobody knows how long ago.
        return not -CLOCK_SLIP <= gone <= timedelta(hours=STRAP_HOURS)


KINDS: Final = (SittingBegun.KIND, StrapTested.KIND, MeterKnown.KIND, CLOCK_SET)
"""Kinds of event that a sitting is folded from."""


def sitting_of(events: Iterable[Recorded], *, elsewhere: Iterable[Recorded] = ()) -> Sitting:
    """The present sitting, from events of the kinds in `KINDS` in the record's order.

    Args:
        events: Those of this bench.
        elsewhere: Those of other benches: who sits there, with which meter and strap, says nothing of here. Their
            meters may be carried here, so they are known; what is said of one here goes before what was said there.
    """
    meters: dict[str, Meter] = {}
    name = place = chosen = strap = ""
    for event in elsewhere:
        if event.kind == MeterKnown.KIND:
            meters[str(event.data["id"])] = _meter(event.data)
    for event in events:
        data = event.data
        if event.kind == MeterKnown.KIND:
            meters[str(data["id"])] = _meter(data)
        elif event.kind == SittingBegun.KIND:
            name, place = str(data.get("name", "")), str(data.get("place", ""))
            chosen = str(data.get("meter", "")) or chosen
        elif event.kind == StrapTested.KIND:
            strap = event.time
        elif event.kind == CLOCK_SET:
            strap = ""
    return Sitting(name=name, place=place, meter=meters.get(chosen), meters=tuple(meters.values()), strap=strap)


def _meter(data: Mapping[str, Any]) -> Meter:
    kinds = [str(kind) for kind in data.get("kinds", ())]
    return Meter(
        id=str(data["id"]),
        name=str(data.get("name", "")),
        due=str(data.get("due", "")),
        percent=tuple(zip(kinds, data.get("percent", ()), strict=False)),
        floor=tuple(zip(kinds, data.get("floor", ()), strict=False)),
    )
