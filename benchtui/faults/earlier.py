"""What the record holds of earlier hunts on the same thing, so that a new one does not begin as if there were none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.faults import past
from benchtui.faults.told import teller

if TYPE_CHECKING:
    from benchtui.faults.target import Target
    from benchtui.record.event import Event
    from benchtui.record.store import Store

TOLD: Final = frozenset(
    {"hunt-started", "hunt-test", "hunt-reading", "hunt-repair", "hunt-workaround", "hunt-again", "hunt-closed"}
)
"""Kinds of event that say what was seen, done or found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """The last hunt on a thing.

    Attributes:
        job: Its name.
        begun: When it was begun, as the record has it.
        last: When something was last written in it.
        closed: Whether it has come to an end.
        lines: What was seen, done and found in it, in order.
        others: How many hunts on the same thing there were before it.
    """

    job: str
    begun: str
    last: str
    closed: bool
    lines: tuple[str, ...]
    others: int = 0


def earlier(store: Store, unit: str, target: Target) -> Earlier | None:
    """The last hunt on the same control, bank, kind or whole unit of a unit; None for none, and where no unit is named.

    What was taken back in it is left out. It says what was known then: it counts in no weight, for nobody knows what
    was changed since.

    Args:
        store: The record.
        unit: Serial number.
        target: What the new hunt is about.
    """
    if not unit:
        return None
    events = tuple(past.standing(store.events(unit=unit, kinds=past.KEPT), TOLD))
    own = [event for event in events if event.kind == "hunt-started" and _names(event) & _wanted(target)]
    if not own:
        return None
    job = own[-1].job
    its = [event for event in events if event.job == job]
    tell = teller(its, store.text)
    return Earlier(
        job=job,
        begun=its[0].time,
        last=its[-1].time,
        closed=its[-1].kind == "hunt-closed",
        lines=tuple(line for event in its for line in tell(event)),
        others=len(own) - 1,
    )


def _wanted(target: Target) -> set[str]:
    return {f"{target.scope}:{target.subject}", *([f"control:{target.control}"] if target.control else [])}


def _names(begun: Event) -> set[str]:
    """What a hunt was about: its subject, and the control that was worst of it."""
    data = begun.data
    control = str((data.get("target") or {}).get("control", ""))
    return {f"{data.get('scope', '')}:{data.get('subject', '')}", *([f"control:{control}"] if control else [])}
