"""What earlier runs of a procedure left for the next one: notes at its steps, urgent notices, changes of its text."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

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


def catches(events: Iterable[Recorded]) -> Mapping[str, int]:
    """How often each step or item was found not to be so: what it has caught. Items that never catch can be dropped."""
    counted: Counter[str] = Counter()
    for event in events:
        failed = event.kind == "step-failed" or (event.kind == "reading" and event.data.get("verdict") == "fail")
        if failed:
            counted[str(event.data.get("step", "")).partition("@")[0]] += 1
    return counted
