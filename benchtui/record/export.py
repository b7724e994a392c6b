"""A record, or one unit of it, as lines of JSON: everything that is needed to have it again on another machine.

The first line says what it is, then come the texts that events name, then the events in the order all records agree on.
The same events always give the same bytes, whichever record they are exported from.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.event import canonical
from benchtui.record.rows import COLUMNS, ORDER, event_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.record.event import Event
    from benchtui.record.store import Store

FORMAT: Final = 1
"""Version of the lines; a reader refuses a later one."""

_DIGEST: Final = re.compile(r'"([0-9a-f]{64})"')


def lines(store: Store, *, unit: str = "") -> Iterator[str]:
    """The lines of an export.

    Args:
        store: The record.
        unit: Serial number of the one unit wanted; everything when empty.
    """
    yield canonical({"record": "benchtui", "format": FORMAT, "unit": unit})
    where, values = ("WHERE unit <> '' AND unit = ?", (unit,)) if unit else ("", ())
    rows = store.connection.execute(f"SELECT {COLUMNS} FROM event {where} ORDER BY {ORDER}", values).fetchall()
    named = {digest for row in rows for digest in _DIGEST.findall(str(row[8]))}
    for digest, body in store.connection.execute("SELECT digest, body FROM text ORDER BY digest"):
        if digest in named:
            yield canonical({"text": body, "digest": digest})
    for row in rows:
        yield canonical(as_json(event_of(row)))


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
