"""What a record lacks since an older copy of it was put back: said at each start until it came in, or was decided.

It is noted in the file itself and in no event, for it is about this file alone; what another bench lacks is no matter
of this one.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from benchtui.record import heads
from benchtui.record.heads import Head

if TYPE_CHECKING:
    import sqlite3

_LACKS: Final = "lacks:"

SETTLE: Final = "benchtui record decide copy NAME REASON"
"""Says that what is lacking comes from nowhere any more."""


def note(db: sqlite3.Connection, last: Head, told: str) -> None:
    """Note what is lacking, inside a transaction of the caller.

    Args:
        db: The record.
        last: The last event that was written here and is not in the file.
        told: The sentence about it.
    """
    value = json.dumps([last.number, last.digest, told])
    db.execute("INSERT OR REPLACE INTO meta VALUES (?, ?)", (_LACKS + last.origin, value))


def standing(db: sqlite3.Connection) -> tuple[str, ...]:
    """A sentence for each copy that was put back and still lacks what was written before."""
    rows = db.execute("SELECT key, value FROM meta WHERE key >= 'lacks:' AND key < 'lacks;' ORDER BY key").fetchall()
    found = []
    for key, value in rows:
        number, digest, told = json.loads(value)
        if not heads.holds(db, Head(str(key).removeprefix(_LACKS), number, digest)):
            found.append(f"{told}. When that is settled, type: {SETTLE}")
    return tuple(found)


def settle(db: sqlite3.Connection) -> None:
    """Say no more of it, inside a transaction of the caller."""
    db.execute("DELETE FROM meta WHERE key >= 'lacks:' AND key < 'lacks;'")


def words(db: sqlite3.Connection, last: Head) -> tuple[str, dict[str, Any]]:
    """What a file lacks whose last event is not in it: as a sentence, and as the data of an event."""
    has = heads.kept(db).get(last.origin)
    number = min(has.number if has else 0, last.number - 1)
    newest = newest_minute(db)
    count = last.number - number
    until = f" after{newest}" if newest else ""
    lacks = f"the last {count} entries" if count > 1 else "the last entry"
    told = (
        f"an older copy of the record was put back: it lacks {lacks} made here{until}; "
        "import them from a bench that has them, or do that work again"
    )
    return told, {"origin": last.origin, "has": number, "had": last.number, "digest": last.digest}


def newest_minute(db: sqlite3.Connection) -> str:
    """The minute of the last event, with a blank before it; empty where there is none."""
    row = db.execute("SELECT time FROM event ORDER BY clock DESC, origin DESC, number DESC LIMIT 1").fetchone()
    return f" {row[0][:16].replace('T', ' ')}" if row else ""
