"""Hunts for a fault as the unit knows them: what of them stands, and which have not come to an end.

A hunt is read from its events alone, for what a unit still lacks has to be known without the fault model.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

    from benchtui.jobs.events import Recorded

T = TypeVar("T", bound="Recorded")

STARTED: Final = "hunt-started"
CLOSED: Final = "hunt-closed"
_WITHDRAWN: Final = "hunt-withdrawn"

_WITHOUT: Final = {"not reproduced": "could not be reproduced", "open": "left open"}
"""Results without a finding, as words."""

_STILL: Final = "still there"


def taken_back(events: Sequence[Recorded]) -> frozenset[int]:
    """Places of the events of hunts that were taken back, and of those that say so.

    Args:
        events: Every event of the unit in the record's order.
    """
    own: dict[str, list[int]] = {}
    gone: set[int] = set()
    for place, event in enumerate(events):
        if event.kind == STARTED or event.job in own:
            here = own.setdefault(event.job, [])
            here.append(place)
            if event.kind == _WITHDRAWN:
                number = event.data.get("event")
                # Without a number it is the last one that still stands; the start of a hunt stands for good.
                which = [each for each in here[1:-1] if each not in gone][-1:]
                if number is not None:
                    which = here[max(int(number), 1) :][:1]
                gone |= {place, *which}
    return frozenset(gone)


def open_hunts(events: Sequence[Recorded]) -> Iterator[str]:
    """Hunts that are under way, and those that ended without a finding until a later one of the same thing has one.

    The same thing is the same subject and the same trouble, and later is what ended later: a fader that sticks in the
    cold is not found by a hunt on its lamp, nor by one that had come to its end before.

    Args:
        events: Every event of the unit in the record's order.
    """
    gone = taken_back(events)
    begun: dict[str, Recorded] = {}
    under_way: dict[str, str] = {}
    left: dict[tuple[str, str], str] = {}
    for place, event in enumerate(events):
        if event.kind == STARTED and event.job not in begun:
            begun[event.job] = event
            under_way[event.job] = _title(event)
        elif event.kind == CLOSED and event.job in begun and place not in gone:
            title, symptom = _title(begun[event.job]), str(begun[event.job].data.get("symptom", ""))
            under_way.pop(event.job, None)
            if (words := _WITHOUT.get(str(event.data.get("result")))) is not None:
                shown = f", it showed: {event.data['conditions']}" if event.data.get("conditions") else ""
                left[title, symptom] = f"{title} ({words}{shown})"
            else:
                # Where nobody had said what the trouble was, a finding at the same place is the best there can be.
                for found in {(title, symptom), (title, "")} & set(left):
                    del left[found]
    yield from under_way.values()
    yield from left.values()


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntTold:
    """One hunt as its unit tells it: what it was about, what was found, and whether the trouble still stands."""

    job: str
    title: str
    begun: str
    stands: str
    """Whether the trouble stands, in words."""
    lines: tuple[str, ...]
    """What was measured, done and found, in the order it was."""

    @property
    def still_there(self) -> bool:
        """The trouble stands: nothing has mended it, or only a work-around stands in for it."""
        return self.stands.startswith(_STILL)


FOUND_IN: Final = frozenset(
    {"hunt-test", "hunt-reading", "hunt-repair", "hunt-workaround", "hunt-again", "hunt-neighbours", CLOSED}
)
"""Kinds of event that say what was found in a hunt, or done."""


def hunts_told(
    events: Sequence[T], tell: Callable[[T], Sequence[str]], *, standing: Collection[str] = ()
) -> tuple[HuntTold, ...]:
    """Every hunt of a unit, in the order they were begun; what was taken back is left out.

    Args:
        events: Every event of the unit in the record's order.
        tell: Gives the lines of an event of a hunt.
        standing: Ids of the events that set the work-arounds which still stand.
    """
    gone = taken_back(events)
    begun: dict[str, T] = {}
    lines: dict[str, list[str]] = {}
    ended: dict[str, T] = {}
    for place, event in enumerate(events):
        if event.kind == STARTED and event.job not in begun:
            begun[event.job] = event
            lines[event.job] = [*tell(event)][1:]  # the first line is its title
        elif event.job in begun and event.kind in FOUND_IN and place not in gone:
            lines[event.job] += tell(event)
            if event.kind == CLOSED:
                ended[event.job] = event
    left = frozenset(open_hunts(events))
    return tuple(
        HuntTold(
            job=job,
            title=_title(event),
            begun=event.time,
            stands=_stands(ended.get(job), standing, left, _title(event)),
            lines=tuple(lines[job]),
        )
        for job, event in begun.items()
    )


def _stands(end: Recorded | None, standing: Collection[str], left: Collection[str], title: str) -> str:
    """Whether the trouble of a hunt stands, by how it ended."""
    if end is None:
        return f"{_STILL}: the hunt has not come to an end"
    result = str(end.data.get("result"))
    if result == "work-around":
        if end.id in standing:
            return f"{_STILL}: a work-around stands in for it"
        return "the work-around was put right since"
    if result == "fixed":
        return "mended"
    words = _WITHOUT.get(result, result)
    later = not any(each.startswith(f"{title} ({words}") for each in left)
    return f"{words}; a later hunt has found it" if later else words


def titles(events: Iterable[Recorded]) -> Mapping[str, str]:
    """Name of the job of a hunt to what it is about."""
    return {event.job: _title(event) for event in events if event.kind == STARTED}


def _title(event: Recorded) -> str:
    return str(event.data.get("title") or "a hunt for a fault")
