"""What the record says of earlier hunts: which stand, which causes were confirmed, and whether a short was left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults.events import KINDS
from benchtui.faults.learning import Confirmed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from benchtui.record.event import Event

FORGOTTEN: Final = "weights-reset"
"""Kind of event from which on the weights are learnt anew."""

KEPT: Final = (*KINDS, FORGOTTEN)
"""Kinds of event that `standing` has to be given: an event is taken back by its number in its hunt, so none is left
out."""


def standing(events: Iterable[Event]) -> Iterator[Event]:
    """Beginnings and ends of hunts that were not taken back, and resets, in order.

    Args:
        events: Every event of the kinds `KEPT`, in order; of one unit or of all.
    """
    numbers: dict[str, int] = {}
    numbered = []
    gone = set()
    for event in events:
        number = -1
        if event.kind != FORGOTTEN:
            number = numbers[event.job] = numbers.get(event.job, -1) + 1
        if event.kind == "hunt-withdrawn":
            gone.add((event.job, event.data.get("event")))
        numbered.append((number, event))
    for number, event in numbered:
        if event.kind in ("hunt-started", "hunt-closed", FORGOTTEN) and (event.job, number) not in gone:
            yield event


def confirmed(events: Iterable[Event]) -> list[Confirmed]:
    """The causes that were confirmed and not forgotten since, in order.

    Args:
        events: Those of all units that stand; see `standing`.
    """
    found: list[Confirmed] = []
    designs: dict[str, str] = {}
    for event in events:
        if event.kind == "hunt-started":
            designs[event.job] = str(event.data.get("design", ""))
        elif event.kind == FORGOTTEN:
            reset = str(event.data.get("design", ""))
            found = [each for each in found if reset and each.design != reset]
        elif event.data.get("result") == "fixed" and event.data.get("fault"):
            found.append(Confirmed(fault=str(event.data["fault"]), design=designs.get(event.job, "")))
    return found


def short_left(events: Iterable[Event]) -> bool:
    """Whether a closed hunt has left a short inside, and no later one was closed after measuring it away.

    Args:
        events: Those of one unit that stand; see `standing`.
    """
    begun_locked: dict[str, bool] = {}
    left = False
    for event in events:
        if event.kind == "hunt-started":
            begun_locked[event.job] = bool(event.data.get("locked"))
        elif event.kind == "hunt-closed" and event.data.get("locked"):
            left = True
        elif event.kind == "hunt-closed" and begun_locked.get(event.job):
            left = False  # it could only be ended so after the measurement
    return left
