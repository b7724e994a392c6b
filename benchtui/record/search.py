"""Finding events by the words in them: notes, reasons, defects, symptoms, lots, answers.

An index of words is kept where this SQLite has full-text search (FTS5, nearly everywhere); elsewhere the texts are read
through, which is slower and finds the same.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.failures import in_words
from benchtui.record.rows import COLUMNS, event_of

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Iterator, Mapping

    from benchtui.record.event import Event
    from benchtui.record.store import Store

KEYS: Final = frozenset(
    {
        *(
            "accessories",
            "answer",
            "choice",
            "condition",
            "conditions",
            "damage",
            "decision",
            "done",
            "found",
            "hazard",
        ),
        *("lot", "meaning", "name", "next_act", "note", "part", "place", "reason", "serial", "state", "symptom"),
        *("text", "title", "typed", "version", "words"),
    }
)
"""Keys of an event's data whose texts can be searched."""


def words_of(unit: str, job: str, data: Mapping[str, Any]) -> str:
    """The searchable text of an event; empty where it has none beyond the names of its unit and job."""
    texts = [str(value) for key, value in sorted(data.items()) if key in KEYS and isinstance(value, str) and value]
    return " ".join((*texts, unit, job)) if texts else ""


def index(db: sqlite3.Connection, event: Event) -> None:
    """Add an event to the index of words of a record that has one."""
    words = words_of(event.unit, event.job, event.data)
    if words:
        db.execute("INSERT INTO words (rowid, body) VALUES (?, ?)", (event.seq, words))


def has_index(db: sqlite3.Connection) -> bool:
    """Whether this record has an index of words."""
    return db.execute("SELECT 1 FROM sqlite_master WHERE name = 'words'").fetchone() is not None


def find(store: Store, typed: str, *, limit: int = 50) -> tuple[Event, ...]:
    """The newest events that hold every word typed, the newest first; the last word may be only begun.

    Args:
        store: The record.
        typed: Words, in any order and case.
        limit: Most events to give.
    """
    words = re.findall(r"\w+", typed.lower())
    if not words:
        return ()
    with in_words(store.path):
        if has_index(store.connection):
            query = " ".join(f'"{word}"' for word in words[:-1]) + f' "{words[-1]}"*'
            rows = store.connection.execute(
                f"SELECT {COLUMNS} FROM event WHERE seq IN (SELECT rowid FROM words WHERE words MATCH ?) "
                "ORDER BY clock DESC, origin DESC, number DESC LIMIT ?",
                (query.strip(), limit),
            ).fetchall()
            return tuple(event_of(row) for row in rows)
        return tuple(_read_through(store.connection, words, limit))


def _read_through(db: sqlite3.Connection, words: Iterable[str], limit: int) -> Iterator[Event]:
    wanted = list(words)
    conditions = " AND ".join("lower(data || ' ' || unit || ' ' || job) LIKE ?" for _ in wanted)
    rows = db.execute(
        f"SELECT {COLUMNS} FROM event WHERE {conditions} ORDER BY clock DESC, origin DESC, number DESC",
        [f"%{word}%" for word in wanted],
    )
    found = 0
    for row in rows:
        event = event_of(row)
        begun = re.findall(r"\w+", words_of(event.unit, event.job, event.data).lower())
        if begun and all(word in begun for word in wanted[:-1]) and any(w.startswith(wanted[-1]) for w in begun):
            yield event
            found += 1
            if found == limit:
                return
