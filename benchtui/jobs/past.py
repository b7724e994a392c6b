"""What earlier runs of a procedure left for the next one: notes at its steps, urgent notices, changes of its text."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from benchtui.jobs.serials import number_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PastNote:
    """A note of an earlier run."""

    id: str
    """Id of its event."""
    text: str
    time: str
    unit: str
    step: str
    urgent: bool


def notes_of(events: Iterable[Recorded]) -> Mapping[str, tuple[PastNote, ...]]:
    """Notes by the id of their step, oldest first; those about a whole job under the empty text.

    Args:
        events: Notes of jobs of one procedure.
    """
    found: dict[str, list[PastNote]] = {}
    for event in events:
        if event.kind != "note":
            continue
        step = str(event.data.get("step", ""))
        note = PastNote(
            id=event.id,
            text=str(event.data.get("text", "")),
            time=event.time,
            unit=event.unit,
            step=step,
            urgent=bool(event.data.get("urgent", False)),
        )
        found.setdefault(step.partition("@")[0], []).append(note)
    return {step: tuple(notes) for step, notes in found.items()}


def urgent_unread(notes: Mapping[str, Sequence[PastNote]], read: Iterable[str]) -> tuple[PastNote, ...]:
    """Urgent notes that have to be read before a run begins, those whose event id is among `read` left out."""
    known = set(read)
    return tuple(note for group in notes.values() for note in group if note.urgent and note.id not in known)


def changed_since(plan: Plan, last: Plan | None) -> frozenset[str]:
    """Keys of steps that read differently from the last time this person ran the procedure, or are new."""
    if last is None:
        return frozenset()
    from benchtui.jobs.revision import compare

    changes = compare(last, plan)
    return frozenset((*changes.added, *changes.changed))


@dataclass(frozen=True, slots=True, kw_only=True)
class PastRedline:
    """A text that was changed by hand in an earlier run: a proposal for the procedure, or a deviation with an end."""

    text: str
    reason: str
    until: str
    time: str
    unit: str


def redlines_of(events: Iterable[Recorded]) -> Mapping[str, tuple[PastRedline, ...]]:
    """Changes made by hand by the key of their step, oldest first.

    Args:
        events: Redlines of jobs of one procedure.
    """
    found: dict[str, list[PastRedline]] = {}
    for event in events:
        if event.kind == "redline":
            line = PastRedline(
                text=str(event.data.get("text", "")),
                reason=str(event.data.get("reason", "")),
                until=str(event.data.get("until", "")),
                time=event.time,
                unit=event.unit,
            )
            found.setdefault(str(event.data.get("step", "")), []).append(line)
    return {step: tuple(lines) for step, lines in found.items()}


def deviation(lines: Sequence[PastRedline], *, unit: str, today: str) -> PastRedline | None:
    """The newest change that still holds for a unit today; None when the step has to be done as it is written.

    AS9100D 8.7: a deviation has an end, a date or a serial number, and after it the original is asked for again.
    """
    return next((line for line in reversed(lines) if in_force(line.until, unit=unit, today=today)), None)


def is_limit(text: str) -> bool:
    """Whether a text can be the end of a deviation: a date as 2031-03-31, or one of our serial numbers."""
    return is_date(text) or number_of(text) is not None


def in_force(until: str, *, unit: str, today: str) -> bool:
    """Whether a change that holds until a date or a serial number holds for a unit today; both ends are inclusive."""
    if is_date(until):
        return today <= until
    last, mine = number_of(until), number_of(unit)
    return last is not None and mine is not None and _prefix(until) == _prefix(unit) and mine <= last


def is_over(until: str, *, unit: str, today: str) -> bool:
    """Whether a change has certainly come to its end for a unit: the day has gone by, or the number is a lower one.

    It is not the contrary of `in_force`: a change holds for the job it was made in also where nothing can be compared.
    """
    if is_date(until):
        return bool(today) and today > until
    last, mine = number_of(until), number_of(unit)
    return last is not None and mine is not None and _prefix(until) == _prefix(unit) and mine > last


def is_date(text: str) -> bool:
    """Whether a text is a date as 2031-03-31."""
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        return False
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _prefix(serial: str) -> str:
    return serial.rstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ").rstrip("-").rstrip("0123456789").rstrip("-")


def catches(events: Iterable[Recorded]) -> Mapping[str, int]:
    """How often each step or item was found not to be so: what it has caught. Items that never catch can be dropped."""
    counted: Counter[str] = Counter()
    for event in events:
        failed = event.kind == "step-failed" or (event.kind == "reading" and event.data.get("verdict") == "fail")
        if failed:
            counted[str(event.data.get("step", "")).partition("@")[0]] += 1
    return counted
