"""What happened to a unit or in a job, line by line, newest last."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Any, Final

from benchtui.jobs.twice import covered
from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.text import line, wrap

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from benchtui.record.event import Event
    from benchtui.record.store import Store
    from benchtui.ui.view.text import Line

    Hunts = Callable[[Event], Sequence[str]]

QUIET = frozenset({"moved-to", "step-begun", "caution-acknowledged", "hunt-caution"})
"""Events that are kept but say nothing to a reader of the history."""

TOLD = (
    "step",
    "condition",
    "answer",
    "item",
    "missing",
    "part",
    "place",
    "lot",
    "serial",
    "name",
    "version",
    "joint",
    "defect",
    "disposition",
    "next_act",
    "bench",
    "typed",
    "verdict",
    "choice",
    "text",
    "reason",
    "result",
    "decision",
    "test",
    "outcome",
    "repair",
    "revision",
    "proven",
    "state",
)
"""Fields of an event that are worth a place in its line, in order."""


MOST_EVENTS: Final = 500
"""Entries about a unit that are shown at first; a desk just built has three times as many."""


def job_lines(events: Sequence[Event], width: int, *, hunts: Hunts | None = None) -> list[Line]:
    """The acts of a job.

    Args:
        events: Its events, in order.
        width: Cells.
        hunts: Tells an event of a hunt in words, see `benchtui.faults.told.teller`.
    """
    lines: list[Line] = []
    for run in _runs(covered(events)):
        lines += _kit(run, width) if len(run) > 1 else _told(run[0], width, hunts)
    return lines


def newest_events(store: Store, unit: str, most: int = MOST_EVENTS) -> tuple[tuple[Event, ...], bool]:
    """The newest entries about a unit, and whether there are older ones.

    Args:
        store: The record.
        unit: Its serial number.
        most: How many; 0 for all.
    """
    events = store.events(unit=unit, newest=most + 1 if most else 0)
    return (events[1:], True) if most and len(events) > most else (events, False)


def unit_lines(events: Sequence[Event], width: int, *, hunts: Hunts | None = None) -> list[Line]:
    """The history of a unit, a heading for each job; the arguments are those of `job_lines`."""
    lines: list[Line] = []
    job = ""
    for run in _runs(covered(events)):
        event = run[0]
        if event.job != job:
            job = event.job
            title = str(event.data.get("title", "")) or "goes on"
            lines.append(line((f"{job or 'no job'}: {title}", "title")))
        lines += _kit(run, width) if len(run) > 1 else _told(event, width, hunts)
    return lines or [line(("nothing is known of it yet", "quiet"))]


FOLDED: Final = 3
"""Lines of the kit in a row that are still told one by one; what is missing always is."""


def _runs(events: Sequence[Event]) -> Iterator[list[Event]]:
    """The events one by one, but the kit that was counted out or back in a row together, where it is long."""
    told = (event for event in events if event.kind not in QUIET)
    for (_, kind), group in groupby(told, key=lambda event: (event.job, _kind(event))):
        same = [*group]
        if kind in ("kit here", "kit counted back in") and len(same) > FOLDED:
            yield same
        else:
            yield from ([event] for event in same)


def _kit(events: Sequence[Event], width: int) -> list[Line]:
    """A long row of kit in one line: how much of it, and from what to what."""
    first, last = (str(event.data.get("item", "")) for event in (events[0], events[-1]))
    when = f"{clock_time(events[0].time)}  "
    what = f"{_kind(events[0])}: {len(events)} lines, from {first} to {last}"
    rows = wrap(what, width, first=when, rest=" " * min(len(when), width // 3), role="strong")
    return [line((when, "quiet"), *rows[0][1:]), *rows[1:]]


def _told(event: Event, width: int, hunts: Hunts | None) -> list[Line]:
    """An event with its time; a long one goes on under its own words, for this is where one reads what was written."""
    when = f"{clock_time(event.time)}  "
    said = told_of(event.data)
    whole = [*(hunts(event) if hunts else ())] or [_kind(event) + (f": {said}" if said else "")]
    rest = " " * min(len(when), width // 3)
    lines: list[Line] = []
    for what in whole:
        first, *more = wrap(what, width, first=when, rest=rest, role="strong")
        lines += [line((when, "quiet"), *first[1:]), *more]
    return lines


def _kind(event: Event) -> str:
    """What kind of event it is, in words."""
    if event.kind == "kit-ticked":
        return (
            "kit counted back in"
            if event.data.get("back")
            else "kit here"
            if event.data.get("found", True)
            else "kit missing"
        )
    return event.kind.replace("-", " ")


def told_of(data: Mapping[str, Any]) -> str:
    """What an event says, in a few words."""
    return ", ".join(
        f"{'revision ' if name == 'revision' else ''}{_said(data[name])}"
        for name in TOLD
        if data.get(name) not in (None, "", [], ())
    )


def _said(value: Any) -> str:
    return " and ".join(str(each) for each in value) if isinstance(value, list | tuple) else str(value)
