"""What happened to a unit or in a job, line by line, newest last."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.text import line, wrap

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.record.event import Event
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
    "state",
)
"""Fields of an event that are worth a place in its line, in order."""


def job_lines(events: Sequence[Event], width: int, *, hunts: Hunts | None = None) -> list[Line]:
    """The acts of a job.

    Args:
        events: Its events, in order.
        width: Cells.
        hunts: Tells an event of a hunt in words, see `benchtui.faults.told.teller`.
    """
    return [row for event in events if event.kind not in QUIET for row in _told(event, width, hunts)]


def unit_lines(events: Sequence[Event], width: int, *, hunts: Hunts | None = None) -> list[Line]:
    """The history of a unit, a heading for each job; the arguments are those of `job_lines`."""
    lines: list[Line] = []
    job = ""
    for event in events:
        if event.kind in QUIET:
            continue
        if event.job != job:
            job = event.job
            title = str(event.data.get("title", "")) or "goes on"
            lines.append(line((f"{job or 'no job'}: {title}", "title")))
        lines += _told(event, width, hunts)
    return lines or [line(("nothing is known of it yet", "quiet"))]


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
