"""What a record lacks since an older copy of it was put back: said at each start until it came in, or was decided.

It is noted in the file itself and in no event, for it is about this file alone; what another bench lacks is no matter
of this one. It is noted in a small file beside the record as well: a copy put back once more takes the notes of the
first time away with all the rest.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from benchtui.record import heads
from benchtui.record.event import minute
from benchtui.record.heads import Head
from benchtui.record.rows import newest_time

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

_LACKS: Final = "lacks:"

SETTLE: Final = "benchtui record decide copy NAME REASON"
"""Says that what is lacking comes from nowhere any more."""


def note(db: sqlite3.Connection, last: Head, told: str) -> None:
    """Note what is lacking beside what was lacking already, inside a transaction of the caller.

    Args:
        db: The record.
        last: The last event that was written here and is not in the file.
        told: The sentence about it.
    """
    value = json.dumps([last.number, last.digest, told])
    db.execute("INSERT OR REPLACE INTO meta VALUES (?, ?)", (f"{_LACKS}{last.origin}:{last.number}", value))


def standing(db: sqlite3.Connection, path: Path) -> tuple[str, ...]:
    """A sentence for each copy that was put back and still lacks what was written before."""
    return tuple(f"{told}. When that is settled, type: {SETTLE}" for _, told in _standing(db, path))


def settle(db: sqlite3.Connection) -> None:
    """Say no more of it, inside a transaction of the caller."""
    db.execute("DELETE FROM meta WHERE key >= 'lacks:' AND key < 'lacks;'")


def take_over(db: sqlite3.Connection, path: Path) -> None:
    """Note what the small file beside the record says and the record does not, inside a transaction of the caller."""
    known = {last for last, _ in _noted(db)}
    for last, told in _beside(path):
        if last not in known and not heads.holds(db, last):
            note(db, last, told)


def put_beside(db: sqlite3.Connection, path: Path) -> None:
    """Write the small file beside the record; where that cannot be done, the record itself still says it."""
    lines = [json.dumps([last.origin, last.number, last.digest, told]) for last, told in _standing(db, path, own=True)]
    file = _file(path)
    try:
        if lines:
            part = file.with_name(file.name + ".part")
            part.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
            part.replace(file)
        else:
            file.unlink(missing_ok=True)
    except OSError:
        return


def _standing(db: sqlite3.Connection, path: Path, *, own: bool = False) -> list[tuple[Head, str]]:
    """What is noted, in the record and (unless `own`) beside it, and has not come in since."""
    found = dict(_noted(db))
    for last, told in () if own else _beside(path):
        found.setdefault(last, told)
    return [(last, told) for last, told in found.items() if not heads.holds(db, last)]


def _noted(db: sqlite3.Connection) -> Iterator[tuple[Head, str]]:
    query = "SELECT key, value FROM meta WHERE key >= 'lacks:' AND key < 'lacks;' ORDER BY key"
    for key, value in db.execute(query).fetchall():
        number, digest, told = json.loads(value)
        # An earlier version of this program left the number out of the key.
        yield Head(str(key).removeprefix(_LACKS).partition(":")[0], number, digest), str(told)


def _file(path: Path) -> Path:
    return path.with_name(path.name + ".lacks")


def _beside(path: Path) -> list[tuple[Head, str]]:
    try:
        rows = [json.loads(line) for line in _file(path).read_text(encoding="utf-8").splitlines()]
        return [(Head(str(origin), int(number), str(digest)), str(told)) for origin, number, digest, told in rows]
    except (OSError, ValueError, TypeError):
        return []


def words(db: sqlite3.Connection, last: Head) -> tuple[str, dict[str, Any]]:
    """What a file lacks whose last event is not in it: as a sentence, and as the data of an event."""
    has = heads.kept(db).get(last.origin)
    number = min(has.number if has else 0, last.number - 1)
    newest = newest_minute(db)
    count = last.number - number
    until = f" after{newest}" if newest else ""
    lacks = f"the last {count} entries" if count > 1 else "the last entry"
    # An empty file in its place: nobody puts that back, the record was moved away or deleted.
    what = "an older copy of the record was put back" if newest else "the record that was here is gone: this one is new"
    told = (
        f"{what}: it lacks {lacks} made here{until}; import them from a bench that has them, or do that work again"
        if newest
        else f"{what}, and lacks {lacks} made here; put it back, or one of its copies, or import its entries"
    )
    return told, {"origin": last.origin, "has": number, "had": last.number, "digest": last.digest}


def newest_minute(db: sqlite3.Connection) -> str:
    """The minute of the last event, with a blank before it; empty where there is none."""
    time = newest_time(db)
    return f" {minute(time)}" if time else ""
