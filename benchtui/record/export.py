"""A record, or one unit of it, as lines of JSON: everything that is needed to have it again on another machine.

The first line says what it is and how much follows, then come the texts that events name, then the events in the order
all records agree on.
The same events always give the same bytes, whichever record they are exported from.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.event import KNOWS, canonical
from benchtui.record.parted import OF_UNIT, partings_of
from benchtui.record.rows import COLUMNS, ORDER, event_of
from benchtui.record.whole import lacks, totals

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from benchtui.record.event import Event
    from benchtui.record.store import Store

FORMAT: Final = 2
"""Version of the lines; a reader refuses a later one, and reads the earlier ones.

Raised when the texts of plans or the events hold what an older program cannot fold: it would take them in and then not
open the unit. 2: steps that ask for a text, places kept, second readings out of sight of the first.
"""

_DIGEST: Final = re.compile(r'"([0-9a-f]{64})"')


def lines(store: Store, *, unit: str = "") -> Iterator[str]:
    """The lines of an export.

    Args:
        store: The record.
        unit: Serial number of the one unit wanted; everything when empty.
    """
    events = _events(store, unit)
    body = list(_body(store, events))
    absent = lacks(store.connection, events)
    more = {"lacks": absent} if absent else {}
    yield canonical({"record": "benchtui", "format": FORMAT, "unit": unit, **totals(body), **more})
    yield from body


def _events(store: Store, unit: str) -> list[Event]:
    db = store.connection
    # With a unit goes what it was given its number by, where it was parted from another, and what its benches knew.
    also = ", ".join(str(seq) for seq in partings_of(db, unit)) if unit else ""
    known = f"SELECT seq FROM event WHERE kind = '{KNOWS}' AND origin IN (SELECT origin {OF_UNIT})"
    parts = (f"SELECT seq {OF_UNIT}", known, f"SELECT seq FROM event WHERE seq IN ({also})")
    where = f"FROM event WHERE seq IN ({' UNION '.join(parts)})" if unit else "FROM event"
    return [event_of(row) for row in db.execute(f"SELECT {COLUMNS} {where} ORDER BY {ORDER}", {"unit": unit})]


def _body(store: Store, events: Iterable[Event]) -> Iterator[str]:
    written = [canonical(as_json(event)) for event in events]
    named = {digest for line in written for digest in _DIGEST.findall(line)}
    for digest, body in store.connection.execute("SELECT digest, body FROM text ORDER BY digest"):
        if digest in named:
            yield canonical({"text": body, "digest": digest})
    yield from written


def as_json(event: Event) -> dict[str, Any]:
    """An event as it stands in an export; its place in one file is no part of it."""
    return {
        "origin": event.origin,
        "number": event.number,
        "clock": event.clock,
        "time": event.time,
        "kind": event.kind,
        "unit": event.unit,
        "job": event.job,
        "data": json.loads(canonical(event.data)),
        "previous": event.previous,
        "digest": event.digest,
    }
