"""One event of the record: what happened, when, to which unit, in which job, and the digest that fixes it.

An event is identified by where it was written (`origin`, a name each record file gives itself) and its gapless number
there. Each digest covers the event's own content and the digest of the event before it from the same origin, so that
a changed, missing or inserted event breaks the chain.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

CLOSING: Final = "-closed"
"""An event whose kind ends so closes its job."""

BEGINNINGS: Final = ("job-started", "hunt-started")
"""Kinds of the first event of a job."""

UNIT_STATE: Final = "unit-state"
"""Names the state of a unit in `data["state"]`."""

UNIT_MADE: Final = "unit-made"
"""Gives a unit its serial number."""

UNIT_PARTED: Final = "unit-parted"
"""Of two units with one number, gives the one that the event of digest `data["made"]` made that of `data["serial"]`."""

UNIT_RENUMBERED: Final = "unit-renumbered"
"""The same, written under the new number."""

PUT_BACK: Final = "copy-put-back"
"""Written by the record itself when it turns out to be an older copy of what was here; names what it lacks."""

PUT_BACK_DECIDED: Final = "copy-decided"
"""Says why what such a copy lacks is missed no more."""

CLOCK_SET: Final = "clock-set"
"""Written by the record itself when the clock was set back."""

KNOWS: Final = "knows"
"""Written by the record itself: how far each other origin had come here, in `data["heads"]` (see `record.known`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """An event as it stands in the record."""

    seq: int
    """Place in this file, gapless from 1; a file that took in another's events has its own."""
    origin: str
    number: int
    """Place among the events of its origin, gapless from 1."""
    clock: int
    """Greater than that of every event known when this one was written; gives the order all records agree on."""
    time: str
    """ISO 8601 with the offset from UTC in force where it was written."""
    kind: str
    unit: str = ""
    job: str = ""
    data: Mapping[str, Any]
    previous: str
    digest: str

    @property
    def id(self) -> str:
        """Identity of the event, the same in every record it was merged into."""
        return f"{self.origin}:{self.number}"

    @property
    def order(self) -> tuple[int, str, int]:
        """Sorting key of the order that all records agree on."""
        return (self.clock, self.origin, self.number)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """An event about to be appended."""

    kind: str
    unit: str = ""
    job: str = ""
    data: Mapping[str, Any]


def canonical(value: object) -> str:
    """JSON with one spelling: keys sorted, no blanks, no escapes but the needed ones.

    Raises:
        ValueError: A number is not finite.
        TypeError: A value is not JSON.
    """
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def digest_of(
    *, previous: str, origin: str, number: int, clock: int, time: str, kind: str, unit: str, job: str, data: str
) -> str:
    """SHA-256 over the digest before and the event's content; `data` is canonical JSON text.

    Of the origin its root counts: whether the event is kept on a branch is no part of what was written.
    """
    content = canonical([previous, root_of(origin), number, clock, time, kind, unit, job, data])
    return hashlib.sha256(content.encode()).hexdigest()


def digest_by(event: Event, data: str) -> str:
    """The digest that an event has by what it says; `data` is its data as canonical JSON text."""
    return digest_of(
        previous=event.previous,
        origin=event.origin,
        number=event.number,
        clock=event.clock,
        time=event.time,
        kind=event.kind,
        unit=event.unit,
        job=event.job,
        data=data,
    )


def root_of(origin: str) -> str:
    """The name a record gave itself, without that of a branch (see `record.branches`)."""
    return origin.partition("~")[0]


def minute(time: str) -> str:
    """The time of an event to the minute, as it is said."""
    return time[:16].replace("T", " ")


def text_digest(text: str) -> str:
    """SHA-256 of a text kept beside the events."""
    return hashlib.sha256(text.encode()).hexdigest()
