"""A sitting at the bench: who works, where, with which meter, and when the wrist strap was last tested."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, ClassVar, Final

from benchtui.errors import UnitError
from benchtui.jobs.event_base import JobEvent
from benchtui.jobs.readings import Meter
from benchtui.units import parse

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

MOST_OFF: Final = 20.0
"""Percent; a share above it is a slip: no meter that is worth reading is off by a fifth. Our own choice."""

METER_HOURS: Final = STRAP_HOURS
"""Which meter is on the bench is asked again after as long: another day, another place, another meter; our choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingBegun(JobEvent):
    """Somebody sat down to work."""

    KIND: ClassVar[str] = "sitting"
    name: str = ""
    place: str = ""
    meter: str = ""
    unnamed: bool = False
    """It was said that readings are kept without the name of a meter."""


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
    said: str = ""
    """Time when it was last said which meter is on the bench; empty as for the strap."""

    def meter_due(self, now: datetime) -> bool:
        """Whether it has to be asked which meter is on the bench, before the first reading of a sitting."""
        return not _lately(self.said, now, METER_HOURS)

    def strap_due(self, step: PlanStep, now: datetime) -> bool:
        """Whether the strap has to be tested before a step, since it handles parts that static can kill."""
        return step.static and not _lately(self.strap, now, STRAP_HOURS)


def _lately(time: str, now: datetime, hours: float) -> bool:
    """Whether something was said so many hours ago or less; what lies ahead was said before the clock was set back."""
    return bool(time) and -CLOCK_SLIP <= now - datetime.fromisoformat(time) <= timedelta(hours=hours)


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
    name = place = chosen = strap = said = ""
    for event in elsewhere:
        if event.kind == MeterKnown.KIND:
            meters[str(event.data["id"])] = _meter(event.data)
    for event in events:
        data = event.data
        if event.kind == MeterKnown.KIND:
            meters[str(data["id"])] = _meter(data)
        elif event.kind == SittingBegun.KIND:
            name, place = str(data.get("name", "")), str(data.get("place", ""))
            if data.get("meter") or data.get("unnamed"):
                chosen, said = str(data.get("meter", "")), event.time
        elif event.kind == StrapTested.KIND:
            strap = event.time
        elif event.kind == CLOCK_SET:
            strap = said = ""
    known = tuple(meters.values())
    return Sitting(name=name, place=place, meter=meters.get(chosen), meters=known, strap=strap, said=said)


def accuracy(text: str, kind: str) -> tuple[float, float]:
    """What a meter may be off, as its sheet says it: "0.8 % + 3 mV", or "1 %" alone.

    Args:
        text: A share of the reading, and after a plus what it may be off besides.
        kind: The quantity, of `benchtui.units.KINDS`.

    Returns:
        The share in percent, and the fixed part in the unit of the kind.

    Raises:
        UnitError: It is not written so, or one of the two is below nought or out of all measure.
    """
    share, plus, fixed = text.replace("±", "").partition("+")
    hint = "type it as the sheet has it, digits as what they stand for: 0.8 % + 3 mV"
    number = share.strip().removesuffix("%").strip()
    try:
        percent = float(number.replace(",", "."))
    except ValueError:
        raise UnitError(f"{share.strip()!r} is no share of the reading", hint=hint) from None
    if not 0 <= percent <= MOST_OFF or not share.strip().endswith("%"):
        raise UnitError(f"{share.strip()!r} is no share of the reading that a meter may be off", hint=hint)
    floor = parse(fixed.strip(), kind).value if plus else 0.0
    if floor < 0:
        raise UnitError(f"{fixed.strip()!r} is below nought", hint=hint)
    return percent, floor


def _meter(data: Mapping[str, Any]) -> Meter:
    kinds = [str(kind) for kind in data.get("kinds", ())]
    return Meter(
        id=str(data["id"]),
        name=str(data.get("name", "")),
        due=str(data.get("due", "")),
        percent=tuple(zip(kinds, data.get("percent", ()), strict=False)),
        floor=tuple(zip(kinds, data.get("floor", ()), strict=False)),
    )
