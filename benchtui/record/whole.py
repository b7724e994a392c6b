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
from benchtui.record.rows import COLUMNS, event_of

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Collection, Iterable, Iterator, Mapping

    from benchtui.record.event import Event

GOING_BY_A_TEXT: Final = ("job-started", "revision-moved")
"""Kinds of the events that name a text by its digest, in `data["plan"]`."""

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


def lacking_texts(db: sqlite3.Connection, *, after: int = 0) -> Iterator[tuple[str, Event]]:
    """Each event above a `seq` that goes by a text which is not here, behind the digest of that text."""
    for row in db.execute(
        f"""
        SELECT {COLUMNS} FROM event
        WHERE seq > ? AND kind IN (?, ?) AND json_extract(data, '$.plan') IS NOT NULL
            AND json_extract(data, '$.plan') NOT IN (SELECT digest FROM text)
        """,
        (after, *GOING_BY_A_TEXT),
    ):
        event = event_of(row)
        yield str(event.data["plan"]), event


def lacking_beginnings(db: sqlite3.Connection, jobs: Collection[str]) -> Iterator[str]:
    """Those of some jobs whose beginning is not here."""
    for job in sorted(jobs):
        row = db.execute("SELECT first_kind FROM job WHERE job = ?", (job,)).fetchone()
        if row is not None and row[0] not in BEGINNINGS:
            yield job


def lacks(db: sqlite3.Connection, events: Collection[Event]) -> list[str]:
    """What a record itself lacks of what it hands on, so that nobody asks it for that in vain; for the first line."""
    named = {str(event.data.get("plan", "")) for event in events if event.kind in GOING_BY_A_TEXT}
    texts = {digest for digest, _ in lacking_texts(db)} & named
    return sorted({*texts, *lacking_beginnings(db, {event.job for event in events if event.job})})


def check_ends(db: sqlite3.Connection, *, jobs: Collection[str], after: int, known: Collection[str] = ()) -> None:
    """Refuse events that lead nowhere: to a text that is not here, or of a job without its beginning.

    Args:
        db: The record, with the new events in it, inside a transaction.
        jobs: Jobs that have new events.
        after: The new events have a `seq` above this.
        known: What the record that gave them says to lack itself: such a job is listed as one that cannot be read.

    Raises:
        RecordDamagedError: There is one.
    """
    for digest, event in lacking_texts(db, after=after):
        if digest not in known:
            raise RecordDamagedError(
                f"the text that event {event.id} goes by is not in the file: nothing was taken in", hint=AGAIN
            )
    for job in lacking_beginnings(db, jobs):
        if job not in known:
            raise RecordDamagedError(
                f"the beginning of job {job} is neither in the file nor here: nothing was taken in", hint=AGAIN
            )
