"""Readings that are taken twice, the second time with the first out of sight: row E15 of what the open standards ask.

One who works alone has no second person to read the meter again. A second reading that is taken without knowing the
first comes nearest to one (DOE-STD-1036 asks it of a second person; that one may stand in for two is our inference).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.jobs.readings import decimal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.jobs.plan import PlanStep
    from benchtui.record.event import Event
    from benchtui.record.store import Store

WAITS: Final = "first of two, out of sight until the second is kept"
"""Stands for such a reading wherever readings are looked up."""

_VALUES: Final = ("typed", "value", "over", "verdict", "asked", "reason")
"""What would tell it."""

_ENDS: Final = frozenset({"step-failed", "step-skipped", "step-not-applicable", "step-reopened"})
"""Events after which no second reading follows."""


def too_far(step: PlanStep, first: float | None, second: float | None) -> bool:
    """Whether two readings differ by more than the step allows.

    Args:
        step: A step that is measured twice.
        first: In the SI unit of its limits; None for over-range.
        second: The same.
    """
    if first is None or second is None:
        return first is not second
    one, other = decimal(first), decimal(second)
    most = decimal(step.apart)
    if step.twice.endswith("%"):
        most *= max(abs(one), abs(other))
    return abs(one - other) > most


def apart_text(step: PlanStep) -> str:
    """What is wrong with two readings that are too far apart."""
    return f"the two readings are more than {step.twice} apart"


def covered_of(store: Store, events: Iterable[Event]) -> tuple[Event, ...]:
    """The same for events that were picked out of a record by something else: their second may not be among them."""
    return tuple(_covered_of(store, event) if event.data.get("twice") else event for event in events)


def _covered_of(store: Store, event: Event) -> Event:
    return next(each for each in covered(store.events(job=event.job)) if each.id == event.id)


def covered(events: Iterable[Event]) -> list[Event]:
    """The events, with no value of a first reading whose second is still to come.

    Args:
        events: In the record's order; of one unit, one job, or of many.
    """
    kept = [*events]
    waiting: dict[tuple[str, str], int] = {}
    for place, event in enumerate(kept):
        at = (event.job, str(event.data.get("step", "")))
        if event.kind == "reading" and event.data.get("twice") and not event.data.get("blind"):
            if event.data.get("verdict") != "fail":
                waiting[at] = place
        elif event.kind == "reading" or event.kind in _ENDS:
            waiting.pop(at, None)
        elif event.kind == "job-closed":
            waiting = {where: each for where, each in waiting.items() if where[0] != event.job}
    for place in waiting.values():
        data = {name: value for name, value in kept[place].data.items() if name not in _VALUES}
        kept[place] = replace(kept[place], data={**data, "text": WAITS})
    return kept
