"""Two units that two benches gave one serial number, parted by an event: which entries go with the new number.

The entries themselves stay as they were written, the old number among them. What unit each of them is about follows
from the events alone, in the order all records agree on, so that every bench comes to the same whichever took in
which first. It is worked out when the record is opened and kept in a table in memory.

With the unit that gets a new number go the jobs that its bench began, whoever went on with them, and what that bench
wrote about the unit outside a job. A bench that learns of the parting goes on under a new name, so that what it writes
from then on about the old number is about the unit that kept it.
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.event import UNIT_MADE, UNIT_PARTED, UNIT_RENUMBERED, root_of
from benchtui.record.rows import ORDER

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator

    from benchtui.record.event import Event

_ABOUT_ANOTHER: Final = frozenset({"conflict-decided", "decision-withdrawn"})
"""Entries about the entry they name in `data["conflict"]`, whichever bench wrote them."""

OF_UNIT: Final = """FROM event WHERE seq IN (
    SELECT seq FROM event WHERE unit = :unit AND unit <> '' EXCEPT SELECT seq FROM parted
    UNION SELECT seq FROM parted WHERE unit = :unit
)"""
"""The events about a unit, where one that was parted has to do with it."""


def look(db: sqlite3.Connection) -> dict[int, str]:
    """Work out anew which entries are about another unit than the one they name.

    Returns:
        Place of each such entry in this file (`seq`) to the serial number of its unit.
    """
    db.execute("CREATE TEMP TABLE IF NOT EXISTS parted (seq INTEGER PRIMARY KEY, unit TEXT NOT NULL)")
    db.execute("DELETE FROM parted")
    partings = db.execute(f"SELECT unit, data FROM event WHERE kind = ? ORDER BY {ORDER}", (UNIT_PARTED,)).fetchall()
    for old, data in partings:
        said = json.loads(data)
        _part(db, old, made=str(said.get("made", "")), new=str(said.get("serial", "")))
    return dict(db.execute("SELECT seq, unit FROM parted")) if partings else {}


def going(db: sqlite3.Connection, unit: str, made: str) -> tuple[int, ...]:
    """Places (`seq`) of the entries that would go with a unit that gets a new number.

    Args:
        db: The record.
        unit: The number it has.
        made: Digest of the entry that gave it that number.
    """
    found = _made(db, made)
    return tuple(_with(db, unit, found, made)) if found else ()


def placed(db: sqlite3.Connection, event: Event) -> Event:
    """An event just written, under the unit it is about: a job that was in hand meanwhile may be another's now."""
    row = db.execute("SELECT unit FROM job WHERE job = ?", (event.job,)).fetchone() if event.job else None
    if row is None or not event.unit or row[0] == event.unit:
        return event
    db.execute("INSERT OR REPLACE INTO parted VALUES (?, ?)", (event.seq, row[0]))
    return replace(event, unit=row[0])


def touched(db: sqlite3.Connection) -> tuple[set[str], set[str]]:
    """Jobs and units whose lines in the lists follow from a parting."""
    rows = db.execute("SELECT event.job, event.unit, parted.unit FROM parted JOIN event USING (seq)").fetchall()
    return {row[0] for row in rows} - {""}, {unit for row in rows for unit in row[1:]} - {""}


def names(db: sqlite3.Connection, origin: str) -> bool:
    """Whether entries under this name go with a new number, so that no more may be written under it."""
    root = root_of(origin)
    for (data,) in db.execute("SELECT data FROM event WHERE kind = ?", (UNIT_PARTED,)).fetchall():
        found = _made(db, str(json.loads(data).get("made", "")))
        if found and root_of(found[1]) == root:
            return True
    return False


def partings_of(db: sqlite3.Connection, unit: str) -> Iterator[int]:
    """Places (`seq`) of the events by which a unit came to its number, one after the other."""
    wanted, seen = {unit}, set[int]()
    rows = db.execute("SELECT seq, unit, data FROM event WHERE kind = ?", (UNIT_PARTED,)).fetchall()
    for _ in rows:
        for seq, old, data in rows:
            if seq not in seen and json.loads(data).get("serial") in wanted:
                seen.add(seq)
                wanted.add(old)
                yield seq


def _part(db: sqlite3.Connection, old: str, *, made: str, new: str) -> None:
    found = _made(db, made)
    if found is None or not new:  # only a part of the record is here
        return
    now = db.execute("SELECT unit FROM parted WHERE seq = ?", (found[0],)).fetchone()
    here = now[0] if now else found[2]
    if here == new:
        return
    if here == old:
        moved, to = list(_with(db, old, found, made)), new
    else:
        # Another bench gave it a new number as well: the first one counts, and what stands under the other is its own.
        rows = _of(db, new)
        moved, to = [] if any(row[3] == UNIT_MADE for row in rows) else [row[0] for row in rows], here
    db.executemany("INSERT OR REPLACE INTO parted VALUES (?, ?)", [(seq, to) for seq in moved])


def _made(db: sqlite3.Connection, digest: str) -> tuple[int, str, str] | None:
    """Place, origin and number of the entry that made a unit; None when it is not here."""
    row: tuple[int, str, str] | None = db.execute(
        "SELECT seq, origin, unit FROM event WHERE kind = ? AND digest = ?", (UNIT_MADE, digest)
    ).fetchone()
    return row


def _of(db: sqlite3.Connection, unit: str) -> list[tuple[Any, ...]]:
    """Place, origin, job, kind and data of the entries about a unit, in the record's order."""
    return db.execute(f"SELECT seq, origin, job, kind, data {OF_UNIT} ORDER BY {ORDER}", {"unit": unit}).fetchall()


def _with(db: sqlite3.Connection, unit: str, made: tuple[int, str, str], digest: str) -> Iterator[int]:
    """Places of the entries under a number that go with the unit which one of them made."""
    rows = _of(db, unit)
    label, root = made[1], root_of(made[1])
    # A copy of one record that went on elsewhere has the same root: then only the branch tells the benches apart.
    shared = any(row[3] == UNIT_MADE and row[0] != made[0] and root_of(row[1]) == root for row in rows)

    def theirs(origin: str) -> bool:
        return origin == label if shared else root_of(origin) == root

    began: dict[str, str] = {}
    for seq, origin, job, kind, data in rows:
        if kind == UNIT_PARTED:
            continue
        if kind == UNIT_RENUMBERED:
            # About the unit it names, whichever bench wrote it.
            if json.loads(data).get("made") == digest:
                yield seq
            continue
        by = began.setdefault(job, origin) if job else origin
        if not job and kind in _ABOUT_ANOTHER:
            by = str(json.loads(data).get("conflict", "")).rpartition(":")[0]
        if theirs(by):
            yield seq
