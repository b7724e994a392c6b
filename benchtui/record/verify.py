"""Checking a record: every digest, number, end and text, and that the summaries say what the events say."""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.record import heads
from benchtui.record import origin as origin_of
from benchtui.record.branches import branch
from benchtui.record.event import CLOSING, UNIT_STATE, digest_by, minute, root_of, text_digest
from benchtui.record.rows import COLUMNS, ORDER, event_of
from benchtui.record.whole import lacking_texts
from benchtui.unit_states import following

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from benchtui.record.event import Event
    from benchtui.record.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something that does not add up."""

    where: str
    """The event, text, job or unit."""
    message: str


def verify(store: Store) -> tuple[Finding, ...]:
    """Check a whole record; nothing found means that it is what was written, nothing changed, lost or put in."""
    try:
        return tuple(_findings(store))
    except (sqlite3.Error, ValueError) as error:
        return (Finding(where=str(store.path), message=f"the file cannot be read through: {error}"),)


def _findings(store: Store) -> Iterator[Finding]:
    db = store.connection
    for (line,) in db.execute("PRAGMA integrity_check"):
        if line != "ok":
            yield Finding(where=str(store.path), message=str(line))
    count, last = db.execute("SELECT count(*), coalesce(max(seq), 0) FROM event").fetchone()
    if count != last:
        yield Finding(where="events", message=f"{count} events are there, and the last is number {last}")
    yield from _chain(db)
    yield from _ends(store)
    yield from _summaries(db)
    yield from _texts(db)
    for name, digest in _attached(db):
        yield from _file(store.path.parent, name, digest)


def _chain(db: sqlite3.Connection) -> Iterator[Finding]:
    gaps = heads.known_gaps(db)
    origin, number, digest = "", 0, ""
    for row in db.execute(f"SELECT {COLUMNS} FROM event ORDER BY origin, number"):
        event = event_of(row)
        new = event.origin != origin
        if new:
            # A branch begins where it left its root; how it hangs on is looked at below.
            branched = event.origin != root_of(event.origin)
            origin, number, digest = event.origin, event.number - 1 if branched else 0, ""
        again = digest_by(event, str(row[8]))
        where = _where(event)
        if again != event.digest:
            yield Finding(where=where, message="was changed after it was written")
        elif new and number:
            if event.origin != branch(root_of(origin), event.digest):
                yield Finding(where=where, message="is not the first of its branch: those before it are missing")
            elif not heads.follows(db, origin, event.number) and not _known(gaps, origin, 1, number):
                yield Finding(where=where, message="the event its branch hangs on is missing")
        elif event.number == number + 1 and event.previous != digest:
            yield Finding(where=where, message="does not follow from the event before it")
        if event.number != number + 1 and not _known(gaps, origin, number + 1, event.number - 1):
            yield Finding(where=where, message=f"events {number + 1} to {event.number - 1} of its record are missing")
        number, digest = event.number, event.digest


def _known(gaps: Mapping[str, list[tuple[int, int]] | None], origin: str, first: int, last: int) -> bool:
    """Whether these events of an origin never were here, since only a part of it was taken in."""
    known = gaps.get(origin, [])
    # An earlier version noted only that something is missing.
    return known is None or any(a <= first and last <= b for a, b in known)


def _ends(store: Store) -> Iterator[Finding]:
    """Compare the end of each origin with what was noted of it, in the record and beside it."""
    db = store.connection
    noted = heads.kept(db)
    noting = heads.are_noted(db)
    if noting:
        for origin, number in db.execute("SELECT origin, max(number) FROM event GROUP BY origin ORDER BY origin"):
            if origin not in noted:
                message = f"the note of how far it had come is gone; what came after its event {number} may be, too"
                yield Finding(where=f"end of {origin}", message=message)
    for origin, head in noted.items():
        if not heads.holds(db, head):
            row = db.execute("SELECT coalesce(max(number), 0) FROM event WHERE origin = ?", (origin,)).fetchone()
            ended = f"events {row[0] + 1} to {head.number}" if row[0] < head.number else f"event {head.number}"
            yield Finding(where=f"end of {origin}", message=f"{ended} of it are missing; its last was {head.digest}")
    beside = store.head_file.read()
    if noting and beside is None and origin_of.is_at_home(db, store.path):
        message = "is gone or cannot be read, so nothing shows whether an older copy was put back"
        yield Finding(where=str(store.head_file.path), message=message)
    if beside is not None and not heads.holds(db, beside):
        yield Finding(
            where=str(store.head_file.path),
            message=f"event {beside.number} of {beside.origin} was written here and is not in the record: "
            "an older copy was put back",
        )


def _texts(db: sqlite3.Connection) -> Iterator[Finding]:
    for digest, body in db.execute("SELECT digest, body FROM text"):
        if text_digest(body) != digest:
            yield Finding(where=f"text {digest[:12]}", message="was changed")
    for digest, event in lacking_texts(db):
        yield Finding(where=_where(event), message=f"the text it went by is missing (digest {digest[:12]})")


def _where(event: Event) -> str:
    return f"event {event.seq} ({event.id}, {event.kind})"


def changed_of(store: Store, unit: str) -> tuple[str, ...]:
    """What of one unit was changed after it was written, in a line each: its events, and the texts they go by.

    Cheap enough for each page about the unit. That nothing is missing only `verify` can tell.
    """
    db = store.connection
    found, plans = [], set()
    # `unit <> ''` lets SQLite use the index, which leaves out events without a unit.
    for row in db.execute(f"SELECT {COLUMNS} FROM event WHERE unit = ? AND unit <> '' ORDER BY {ORDER}", (unit,)):
        try:
            event = event_of(row)
        except ValueError:
            found.append(f"event {row[0]} ({row[5]}) cannot be read")
            continue
        if digest_by(event, str(row[8])) != event.digest:
            found.append(f"event {event.seq} ({event.kind}, {minute(event.time)}) was changed")
        plans.add(str(event.data.get("plan", "")))
    for digest in sorted(plans - {""}):
        body = db.execute("SELECT body FROM text WHERE digest = ?", (digest,)).fetchone()
        if body is not None and text_digest(body[0]) != digest:
            found.append(f"the text {digest[:12]} that a job went by was changed")
    return tuple(found)


def counted(store: Store) -> int:
    """How many events a record holds."""
    return int(store.connection.execute("SELECT count(*) FROM event").fetchone()[0])


def ends(store: Store) -> tuple[str, ...]:
    """The last event of each origin with its digest, to be kept elsewhere: it proves all before it."""
    return tuple(f"{head.origin}:{head.number} {head.digest}" for head in heads.kept(store.connection).values())


def _summaries(db: sqlite3.Connection) -> Iterator[Finding]:
    """Compare the lists of jobs and units with what the events give, worked out here and not by `views.rebuild`."""
    jobs: dict[str, dict[str, object]] = {}
    units: dict[str, dict[str, object]] = {}
    apart = dict(db.execute("SELECT seq, unit FROM parted"))
    for row in db.execute(f"SELECT {COLUMNS} FROM event ORDER BY {ORDER}"):
        event = event_of(row)
        moved = event.seq in apart
        event = replace(event, unit=apart.get(event.seq, event.unit))
        if event.job:
            _count_job(jobs, event, moved=moved)
        if event.unit:
            _count_unit(units, event)
    for table, key, columns, expected in (("job", "job", _JOB, jobs), ("unit", "unit", _UNIT, units)):
        kept = {
            row[0]: dict(zip(columns, row[1:], strict=True))
            for row in db.execute(f"SELECT {key}, {', '.join(columns)} FROM {table}")
        }
        for name in sorted(kept.keys() | expected.keys()):
            line = expected.get(name, {})
            if kept.get(name, {}) != {column: line[column] for column in columns if line}:
                yield Finding(where=f"{table} {name}", message="its line in the list differs from its events")


_JOB: Final = (
    *("unit", "title", "first_kind", "first_time"),
    *("last_kind", "last_time", "last_clock", "events", "closed"),
)
_UNIT: Final = ("state", "first_time", "last_time", "last_clock", "events")
"""Columns of the lists that follow from the events."""


def _count_job(jobs: dict[str, dict[str, object]], event: Event, *, moved: bool) -> None:
    title = str(event.data.get("title", ""))
    began = {"unit": "", "moved": False, "title": title, "first_kind": event.kind, "first_time": event.time}
    known = jobs.setdefault(event.job, {**began, "events": 0, "closed": 0})
    # A job of which anything went with a new number is one of the unit that has it.
    if not known["unit"] or (moved and not known["moved"]):
        known |= {"unit": event.unit, "moved": moved}
    _last(known, event)
    known["last_kind"] = event.kind
    if event.kind.endswith(CLOSING):
        known["closed"] = 1


def _count_unit(units: dict[str, dict[str, object]], event: Event) -> None:
    known = units.setdefault(event.unit, {"state": "", "first_time": event.time, "events": 0})
    _last(known, event)
    if event.kind == UNIT_STATE:
        wanted, decided = str(event.data.get("state", "")), bool(event.data.get("decided"))
        known["state"], _ = following(str(known["state"]), wanted, decided=decided)


def _last(known: dict[str, object], event: Event) -> None:
    known["events"] = int(str(known["events"])) + 1
    known |= {"last_time": event.time, "last_clock": event.clock}


def _attached(db: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    for row in db.execute(f"SELECT {COLUMNS} FROM event WHERE kind = 'file-attached'").fetchall():
        data = event_of(row).data
        yield str(data.get("name", "")), str(data.get("digest", ""))


def _file(folder: Path, name: str, digest: str) -> Iterator[Finding]:
    """A file that is not at hand proves nothing; one that is there has to be the one that was attached."""
    path = folder / name
    if path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() != digest:
        yield Finding(where=f"file {name}", message="is not the one that was attached")
