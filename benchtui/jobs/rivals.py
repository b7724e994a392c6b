"""What two benches wrote of one thing, unknowing of each other: two states or firmwares, or parts at one place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.conflicts import Conflict, bench_of
from benchtui.jobs.parts import parts_of
from benchtui.jobs.quality_events import PartFitted
from benchtui.jobs.unit_events import FirmwareLoaded, UnitStateSet

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.knowing import Knowing


def rivals(events: Sequence[Recorded], knowing: Knowing) -> Iterator[Conflict]:
    """Entries of which only one can be so, until one that knew of both says which, or somebody has decided.

    Args:
        events: Every event of the unit in the record's order.
        knowing: What benches knew of each other's entries.
    """
    yield from _states([event for event in events if event.kind == UnitStateSet.KIND], knowing)
    yield from _firmwares([event for event in events if event.kind == FirmwareLoaded.KIND], knowing)
    yield from _parts(events, knowing)


_BY_ITSELF: Final = ("planned", "in work")
"""States that a unit comes to as it is numbered or worked on: nobody need have looked at what the benches wrote."""


def _states(states: Sequence[Recorded], knowing: Knowing) -> Iterator[Conflict]:
    """Two states that two benches left a unit in; the clock does not tell which is so.

    What a bench wrote before its last word, without knowing of the other's, is over and disputed by nobody. A later
    state that knew of both says which is so, but not one that comes by itself.
    """
    for place, other in enumerate(states):
        for one in states[:place]:
            if _word(one) == _word(other) or "planned" in (_state(one), _state(other)):
                continue
            if knowing.knew(other, one) or knowing.knew(one, other):
                continue
            both = ((knowing.knew(each, one), knowing.knew(each, other), _state(each)) for each in states)
            if any(left != right or (left and state not in _BY_ITSELF) for left, right, state in both):
                continue
            look = "look at the unit, and say what is so"
            if "scrapped" in (_state(one), _state(other)):
                look = f"{look}; decided, it is held, and is scrapped or taken into work from there"
            told = f"{_told(one)}; another bench, not knowing of it, {_told(other)}"
            yield _conflict(other, f"one bench {told}: {look}")


def _state(event: Recorded) -> str:
    return str(event.data.get("state", ""))


def _word(event: Recorded) -> tuple[str, str]:
    """State and, where somebody gave one, the reason: two reasons to hold a unit are two things to put right."""
    state = _state(event)
    return state, "" if state in ("in work", "accepted") else str(event.data.get("reason", "")).strip()


def _told(event: Recorded) -> str:
    state, reason = _state(event), str(event.data.get("reason", "")).strip()
    because = f", because: {reason}" if reason else ""
    return f"wrote that it is {state} on {event.time[:16].replace('T', ' at ')}{because}"


def _firmwares(loaded: Sequence[Recorded], knowing: Knowing) -> Iterator[Conflict]:
    last = [each for each in loaded if not any(other is not each and knowing.knew(other, each) for other in loaded)]
    for event in last[1:]:
        one, other = _firmware(last[0]), _firmware(event)
        if one != other:
            look = "read off the unit which one it runs, and write it down again"
            yield _conflict(event, f"one bench wrote down firmware {one}, another firmware {other}: {look}")


def _firmware(event: Recorded) -> str:
    return f"{event.data.get('name', '')} {event.data.get('version', '')}".strip()


def _parts(events: Sequence[Recorded], knowing: Knowing) -> Iterator[Conflict]:
    parts = parts_of(events)
    by_order = {part.order: part for part in parts}
    for old in parts:
        new = by_order.get(old.out) if old.out is not None else None
        if new is None or (old.lot, old.serial) == (new.lot, new.serial):
            continue
        one, other = events[old.order], events[new.order]
        if bench_of(one) == bench_of(other) or knowing.knew(other, one) or knowing.knew(one, other):
            continue
        if not any(_settles(event, one, other, knowing) for event in events[new.order + 1 :]):
            look = "look which one is in it, and write that one down again"
            yield _conflict(other, f"at {new.place} one bench fitted {old.named}, another {new.named}: {look}")


def _settles(event: Recorded, one: Recorded, other: Recorded, knowing: Knowing) -> bool:
    """A later entry about the same place by a bench that knew of both."""
    if event.kind != PartFitted.KIND or event.data.get("place") not in (one.data.get("place"), other.data.get("place")):
        return False
    return knowing.knew(event, one) and knowing.knew(event, other)


def _conflict(event: Recorded, message: str) -> Conflict:
    return Conflict(id=event.id, kind=event.kind, time=event.time, job=event.job, message=message)
