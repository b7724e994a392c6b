"""Whether an export is whole: no line cut off, taken out or put in, and nothing in it that leads nowhere.

The digests of the events show what was changed. That a line is gone they show only where the next one is there, and the
last lines, a text or the beginning of a job have none. So the first line of an export says how many follow it, with one
digest over all of them.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any, Final

from benchtui.errors import RecordDamagedError
from benchtui.record.event import BEGINNINGS

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Collection, Iterable, Mapping

AGAIN: Final = "export it again there, and copy the whole file"


def totals(lines: Iterable[str]) -> dict[str, Any]:
    """What the first line of an export says of those that follow it: how many, and the digest over all of them."""
    count, digest = 0, hashlib.sha256()
    for line in lines:
        count += 1
        digest.update(line.encode())
        digest.update(b"\n")
    return {"lines": count, "digest": digest.hexdigest()}


def check_totals(head: Mapping[str, Any], lines: Iterable[str]) -> str:
    """Compare an export with what its first line says.

    Returns:
        A sentence where that cannot be told, as an earlier version of this program wrote it; else empty.

    Raises:
        RecordDamagedError: It is not whole.
    """
    if "lines" not in head:
        return "an earlier version of this program wrote the export: that no line of it is missing cannot be told"
    found = totals(lines)
    if found["lines"] != head["lines"]:
        raise RecordDamagedError(
            f"{found['lines']} lines follow the first one, and it says {head['lines']}: nothing was taken in",
            hint=AGAIN,
        )
    if found["digest"] != head["digest"]:
        raise RecordDamagedError("its lines are not those that were written: nothing was taken in", hint=AGAIN)
    return ""


def check_ends(db: sqlite3.Connection, *, jobs: Collection[str], after: int) -> None:
    """Refuse events that lead nowhere: to a text that is not here, or of a job without its beginning.

    Args:
        db: The record, with the new events in it, inside a transaction.
        jobs: Jobs that have new events.
        after: The new events have a `seq` above this.

    Raises:
        RecordDamagedError: There is one.
    """
    texts = "SELECT number, origin FROM event WHERE seq > ? AND json_extract(data, '$.plan') IS NOT NULL"
    lost = db.execute(
        f"{texts} AND kind IN ('job-started', 'revision-moved') "
        "AND json_extract(data, '$.plan') NOT IN (SELECT digest FROM text)",
        (after,),
    ).fetchone()
    if lost is not None:
        raise RecordDamagedError(
            f"the text that event {lost[1]}:{lost[0]} goes by is not in the file: nothing was taken in", hint=AGAIN
        )
    for job in sorted(jobs):
        row = db.execute("SELECT first_kind FROM job WHERE job = ?", (job,)).fetchone()
        if row is not None and row[0] not in BEGINNINGS:
            raise RecordDamagedError(
                f"the beginning of job {job} is neither in the file nor here: nothing was taken in", hint=AGAIN
            )
