"""Finding events by the words in them: notes, reasons, defects, symptoms, lots, answers.

An index of words is kept where this SQLite has full-text search (FTS5, nearly everywhere); elsewhere the texts are read
through, which is slower and finds the same.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Any, Final

from benchtui.record.failures import in_words
from benchtui.record.rows import COLUMNS, NEWEST_FIRST, event_of

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator, Mapping, Sequence

    from benchtui.record.event import Event
    from benchtui.record.store import Store

KEYS: Final = frozenset(
    {
        *("accessories", "answer", "choice", "condition", "conditions", "damage", "decision", "done"),
        *("fault", "found", "hazard", "lot", "meaning", "name", "next_act", "note"),
        *("outcome", "part", "parts", "place", "reason", "repair", "serial", "state"),
        *("symptom", "test", "text", "title", "typed", "version", "what", "why"),
        *("words", "workaround"),
    }
)
"""Keys of an event's data whose texts can be searched."""

ABOUT: Final = ("step", "subject", "defect", "meter", "by", "verdict")
"""Keys that say what such a text is about; an event that has these alone, as a mark of a step, is not searched for."""

TAKEN: Final = 5000
"""Most events that are put in the record's order; those that came in last."""

LOOKED_AT: Final = 1000
"""Most events that are looked at for words which stand beside them; the newest ones. It takes some 25 ms."""


def words_of(unit: str, job: str, data: Mapping[str, Any]) -> str:
    """The searchable text of an event; empty where it has none beyond the names of its unit and job."""
    texts = [text for key, value in sorted(data.items()) if key in KEYS for text in _texts(value)]
    about = [text for key in ABOUT for text in _texts(data.get(key))]
    return " ".join((*texts, *about, unit, job)) if texts else ""


def _texts(value: object) -> list[str]:
    """A text, or those of a list."""
    return [each for each in (value if isinstance(value, list) else [value]) if isinstance(each, str) and each]


def index(db: sqlite3.Connection, event: Event) -> None:
    """Add an event to the index of words of a record that has one."""
    words = words_of(event.unit, event.job, event.data)
    if words:
        db.execute("INSERT INTO words (rowid, body) VALUES (?, ?)", (event.seq, words))


def has_index(db: sqlite3.Connection) -> bool:
    """Whether this record has an index of words."""
    return db.execute("SELECT 1 FROM sqlite_master WHERE name = 'words'").fetchone() is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found, and whether that is all."""

    events: tuple[Event, ...]
    more: str = ""
    """That there can be more, as a sentence without its full stop; empty where this is all."""


def look(store: Store, typed: str, *, limit: int = 50) -> Found:
    """The newest events that hold every word typed, the newest first; each word may be only begun.

    An event has to hold one of the words itself. The others may stand in the title of its job: "fader bank crackles"
    finds a note that says only that it crackles.

    Args:
        store: The record.
        typed: Words, in any order and case.
        limit: Most events to give.
    """
    words = list(dict.fromkeys(re.findall(r"[^\W_]+", typed.lower())))
    if not words:
        return Found(events=())
    looked = 0
    with in_words(store.path):
        found = list(_in_themselves(store.connection, words, limit + 1))
        if len(words) > 1 and len(found) <= limit:
            known = {event.seq for event in found}
            titles = {row[0]: row[1] for row in store.connection.execute("SELECT job, title FROM job")}
            for event in map(store.about, _with_any(store.connection, words)):
                looked += 1
                if event.seq not in known and _holds(_about(event, titles), words):
                    found.append(event)
                    if len(found) > limit:
                        break
    more = f"only the newest {LOOKED_AT} entries with one of these words were looked at" if looked >= LOOKED_AT else ""
    if len(found) > limit:
        more = f"these are the newest {limit}: more words find fewer"
    return Found(events=tuple(map(store.about, found[:limit])), more=more)


def _in_themselves(db: sqlite3.Connection, words: Sequence[str], limit: int) -> Iterator[Event]:
    """The newest events that hold all the words in their own texts."""
    if has_index(db):
        yield from map(event_of, _matching(db, " ".join(f'"{word}"*' for word in words), limit))
        return
    found = 0
    for event in _read_through(db, words, "AND"):
        if _holds(words_of(event.unit, event.job, event.data), words):
            yield event
            found += 1
            if found == limit:
                return


def _with_any(db: sqlite3.Connection, words: Sequence[str]) -> Iterator[Event]:
    """The newest events that hold one of the words in their own texts."""
    if has_index(db):
        yield from map(event_of, _matching(db, " OR ".join(f'"{word}"*' for word in words), LOOKED_AT))
    else:
        for event in islice(_read_through(db, words, "OR"), LOOKED_AT):
            if any(_holds(words_of(event.unit, event.job, event.data), [word]) for word in words):
                yield event


def _matching(db: sqlite3.Connection, query: str, limit: int) -> list[Any]:
    # The index gives the last that came in without reading all the others; only those are put in the record's order.
    return db.execute(
        f"SELECT {COLUMNS} FROM event WHERE seq IN "
        "(SELECT rowid FROM words WHERE words MATCH ? ORDER BY rowid DESC LIMIT ?) "
        f"ORDER BY {NEWEST_FIRST} LIMIT ?",
        (query, max(TAKEN, limit), limit),
    ).fetchall()


def _read_through(db: sqlite3.Connection, words: Sequence[str], join: str) -> Iterator[Event]:
    conditions = f" {join} ".join("lower(data || ' ' || unit || ' ' || job) LIKE ?" for _ in words)
    rows = db.execute(
        f"SELECT {COLUMNS} FROM event WHERE {conditions} ORDER BY {NEWEST_FIRST}",
        [f"%{word}%" for word in words],
    )
    yield from map(event_of, rows)


def _about(event: Event, titles: Mapping[str, str]) -> str:
    """The texts of an event, and the title of its job."""
    own = words_of(event.unit, event.job, event.data)
    return f"{own} {titles.get(event.job, '')}"


def _holds(text: str, words: Sequence[str]) -> bool:
    begun = re.findall(r"[^\W_]+", text.lower())
    return all(any(one.startswith(word) for one in begun) for word in words)
