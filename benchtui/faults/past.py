"""What the record says of earlier hunts: which stand, which causes were confirmed, and whether a short was left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults.events import KINDS
from benchtui.faults.learning import Confirmed

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from benchtui.record.event import Event

FORGOTTEN: Final = "weights-reset"
"""Kind of event from which on the weights are learnt anew."""

KEPT: Final = (*KINDS, FORGOTTEN)
"""Kinds of event that `standing` has to be given: an event is taken back by its number in its hunt, so none is left
out."""


ENDS: Final = frozenset({"hunt-started", "hunt-closed", FORGOTTEN})
"""Beginnings and ends of hunts, and resets."""

OF_SHORTS: Final = ENDS | {"hunt-test", "hunt-again"}
"""Those that `short_left` wants."""


def standing(events: Iterable[Event], kinds: Collection[str] = ENDS) -> Iterator[Event]:
    """Events of hunts that were not taken back, and resets, in order.

    Args:
        events: Every event of the kinds `KEPT`, in order; of one unit or of all.
        kinds: Those of them that are wanted.
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
        if event.kind in kinds and (event.job, number) not in gone:
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
    """Whether a hunt has found that a short may be inside, and nothing has measured it away since.

    The measurements decide, in the order in which they were made, and not which hunt was closed last: one that found
    the unit healthy may be closed after another one found a short in it.

    Args:
        events: Those of one unit that stand, of the kinds `OF_SHORTS`.
    """
    begun_locked: dict[str, bool] = {}
    measured: set[str] = set()
    unproved: set[str] = set()
    left = False
    for event in events:
        data = event.data
        if event.kind == "hunt-started":
            begun_locked[event.job] = bool(data.get("locked") or data.get("signs"))
            left = left or bool(data.get("signs"))
        elif event.kind == "hunt-test" and data.get("power") is not None:
            measured.add(event.job)
            left = {"forbids": True, "frees": False}.get(str(data["power"]), left)
            unproved = set() if data["power"] == "frees" else unproved
        elif event.kind == "hunt-again":
            # The proof of a repair, before any power; whether it was about a short, the end of the hunt says.
            unproved |= {event.job} if data.get("unhealthy") else set()
        elif event.kind == "hunt-closed" and event.job in unproved:
            left = left or bool(data.get("locked"))
        elif event.kind == "hunt-closed" and event.job not in measured:
            # A record of an older version does not say what a measurement meant, or nothing was measured at all.
            if data.get("locked"):
                left = True
            elif begun_locked.get(event.job):
                left = False  # it could only be ended so after the measurement
    return left
