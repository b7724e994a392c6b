"""Taking in another bench's events: each by its identity, in one transaction, and nothing ever overwritten.

Both benches hold the same events afterwards and put them in the same order, so it does not matter which took in which
first. Two different events of one identity are named and both kept (see `record.branches`).
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final
from unicodedata import category

from benchtui.errors import JobError, NewerRecordError, RecordDamagedError, RecordError
from benchtui.record import heads, known, search, views
from benchtui.record.event import Event, canonical, digest_by, root_of, text_digest
from benchtui.record.export import FORMAT
from benchtui.record.incoming import Incoming
from benchtui.record.rows import insert
from benchtui.record.whole import AGAIN, check_ends, check_totals

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Iterable, Mapping

    from benchtui.record.store import Store

_MOST: Final = 10**15
"""No number or clock is higher: SQLite counts to some 9 × 10^18, and work has to go on after it."""

_LIKELY: Final = 10**12
"""Higher clocks are taken only as one more than one that is known, so that no entry uses up all that are left."""

_ORIGIN: Final = re.compile(r"[0-9a-z-]{1,32}(~[0-9a-f]{12})?")
_TIME: Final = re.compile(r"(19|2\d)\d\d-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?[+-]\d\d:\d\d")
"""RFC 3339 with the offset in numbers, as this program writes it."""

_KIND: Final = re.compile(r"[a-z][a-z0-9-]*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What became of the lines."""

    added: int
    known: int
    """Events that were here already."""
    conflicts: tuple[str, ...] = ()
    """Where two lines of events went on under one name, in words."""
    jobs: tuple[str, ...] = ()
    """Jobs that have new events."""
    units: tuple[str, ...] = ()
    """Units that have."""
    told: str = ""
    """What cannot be told of the export, as a sentence; empty most of the time."""


def merge(
    store: Store, lines: Iterable[str], *, check: Callable[[str, Mapping[str, Any]], None] | None = None
) -> Merged:
    """Take in the lines of an export.

    Args:
        store: The record.
        lines: As `record.export.lines` gives them.
        check: Refuses, by a `ValueError` or a `JobError`, the kind and data of an event that makes no sense.

    Raises:
        NewerRecordError: They were written by a newer version of this program.
        RecordDamagedError: A line was changed or is missing, is no line of an export, or does not follow from the one
            before it; nothing was taken in.
        RecordError: The record cannot be written to.
    """
    texts, events, head = _read(lines, check)
    with store.writing() as db:
        for body in texts:
            db.execute("INSERT OR IGNORE INTO text VALUES (?, ?)", (text_digest(body), body))
        heads.note_foreign(db, {root_of(event.origin) for event in events} - {root_of(store.origin)})
        incoming = Incoming(db, store.origin)
        had = sum(not incoming.take(event) for event in events)
        placed = incoming.place()
        before = last = db.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0]
        _check_clocks(db, placed)
        for event in placed:
            last += 1
            event = replace(event, seq=last)
            insert(db, event)
            if store.indexed:
                search.index(db, event)
        heads.refresh(db, incoming.origins)
        jobs = sorted({event.job for event in placed if event.job} | incoming.jobs)
        units = sorted({event.unit for event in placed if event.unit} | incoming.units)
        views.rebuild(db, jobs=jobs, units=units)
        if placed:
            known.learn(db)
        store.part_again()
        check_ends(db, jobs=jobs, after=before, known=head.lacks)
        if incoming.ours:
            store.renew_origin()
    return Merged(
        added=len(placed), known=had, conflicts=incoming.forks, jobs=tuple(jobs), units=tuple(units), told=head.told
    )


def _read(
    lines: Iterable[str], check: Callable[[str, Mapping[str, Any]], None] | None
) -> tuple[list[str], list[Event], _Head]:
    texts: list[str] = []
    events: list[Event] = []
    places: dict[str, int] = {}
    head: dict[str, Any] | None = None
    body: list[str] = []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        if head is not None:
            body.append(line.rstrip("\r\n"))
        try:
            value = _json(line)
            if head is None:
                _check_head(value)
                head = value
            elif "text" in value:
                texts.append(_checked_text(value))
            else:
                event = _checked_event(value)
                if check is not None:
                    check(event.kind, event.data)
                events.append(event)
                places[event.digest] = number
        except RecordError:
            raise
        except (ValueError, KeyError, TypeError, AttributeError, JobError) as error:
            raise RecordDamagedError(
                f"line {number} is no line of an export: {_words(error)}; nothing was taken in", hint=AGAIN
            ) from error
        except _ChangedError as error:
            raise RecordDamagedError(f"line {number} was changed; nothing was taken in") from error
    if head is None:
        raise RecordDamagedError("the file is empty; nothing was taken in")
    _check_links(events, places)
    lacks = tuple(str(each) for each in head.get("lacks", ()))
    return texts, events, _Head(told=check_totals(head, body), lacks=lacks)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Head:
    """What the first line of an export says of the rest."""

    told: str = ""
    lacks: tuple[str, ...] = ()
    """Digests of texts, and jobs without a beginning, that the record which gave it lacks itself."""


def _check_clocks(db: sqlite3.Connection, events: Iterable[Event]) -> None:
    """A clock is one more than the highest that was known where it was written; those of one bench may leave gaps."""
    highest = max(_LIKELY, db.execute("SELECT coalesce(max(clock), 0) FROM event").fetchone()[0])
    for event in sorted(events, key=lambda each: each.clock):
        if event.clock > highest + 1:
            raise RecordDamagedError(
                f"the clock of event {event.id} is {event.clock}; nothing was taken in", hint=AGAIN
            )
        highest = max(highest, event.clock)


def _check_links(events: list[Event], places: Mapping[str, int]) -> None:
    """Each event has to name the one before it where that is in the file as well."""
    there: dict[tuple[str, int], set[str]] = {}
    for event in events:
        there.setdefault((root_of(event.origin), event.number), set()).add(event.digest)
    for event in events:
        before = there.get((root_of(event.origin), event.number - 1))
        if before is not None and event.previous not in before:
            raise RecordDamagedError(
                f"line {places[event.digest]} does not follow from the event before it; nothing was taken in"
            )


def _json(line: str) -> dict[str, Any]:
    try:
        value = json.loads(line)
    except RecursionError:
        raise ValueError("it is nested too deep") from None
    except ValueError:
        raise ValueError("it is not whole, or is no JSON") from None
    if not isinstance(value, dict):
        raise ValueError("it has no fields")
    return value


def _words(error: Exception) -> str:
    """What is wrong with a line, in words of ours and none of Python's."""
    if isinstance(error, JobError):
        return error.message
    if isinstance(error, KeyError):
        return f"it has no field {error.args[0]!r}"
    return str(error) if type(error) is ValueError else "a field is not what it has to be"


class _ChangedError(Exception):
    """A digest does not fit."""


def _check_head(value: dict[str, Any]) -> None:
    if value.get("record") != "benchtui":
        raise ValueError("the first one says that it is an export")
    if type(value["format"]) is not int:
        raise ValueError(f"format is {value['format']!r}")
    if value["format"] > FORMAT:
        raise NewerRecordError("the export was written by a newer version of this program", hint="install it here too")


def _checked_text(value: dict[str, Any]) -> str:
    body = str(value["text"])
    if text_digest(body) != value["digest"]:
        raise _ChangedError
    return body


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def _checked_event(value: dict[str, Any]) -> Event:
    words = {name: value[name] for name in ("origin", "time", "kind", "unit", "job", "previous", "digest")}
    for name, word in words.items():
        # A mark that is not seen, such as a soft hyphen in a number that was pasted, is kept as it was written.
        if not isinstance(word, str) or not all(sign.isprintable() or category(sign) == "Cf" for sign in word):
            raise ValueError(f"{name} is {word!r}")
    counts = {name: value[name] for name in ("number", "clock")}
    for name, count in counts.items():
        if type(count) is not int or not 1 <= count <= _MOST:
            raise ValueError(f"{name} is {count!r}")
    if not _ORIGIN.fullmatch(words["origin"]):
        raise ValueError(f"origin is {words['origin']!r}")
    if not _KIND.fullmatch(words["kind"]):
        raise ValueError(f"kind is {words['kind']!r}")
    if not _TIME.fullmatch(words["time"]) or not _is_time(words["time"]):
        raise ValueError(f"time is {words['time']!r}")
    if (counts["number"] == 1) == bool(words["previous"]):
        raise ValueError("it does not name the event before it" if counts["number"] > 1 else "nothing is before it")
    event = Event(seq=0, **words, **counts, data=dict(value["data"]))
    again = digest_by(event, canonical(event.data))
    if again != event.digest:
        raise _ChangedError
    return event
