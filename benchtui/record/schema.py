"""The tables of the record, as numbered migrations. A migration that has been released is never changed again."""

from __future__ import annotations

from typing import Final

APPLICATION: Final = 0x42544A52
"""Marks a file as a record of this program (PRAGMA application_id)."""

MIGRATIONS: Final[tuple[str, ...]] = (
    """
    CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
    CREATE TABLE event (
        seq INTEGER PRIMARY KEY,
        origin TEXT NOT NULL,
        number INTEGER NOT NULL,
        clock INTEGER NOT NULL,
        time TEXT NOT NULL,
        kind TEXT NOT NULL,
        unit TEXT NOT NULL,
        job TEXT NOT NULL,
        data TEXT NOT NULL,
        previous TEXT NOT NULL,
        digest TEXT NOT NULL
    ) STRICT;
    CREATE UNIQUE INDEX event_origin ON event (origin, number);
    CREATE INDEX event_order ON event (clock, origin, number);
    CREATE INDEX event_job ON event (job, clock, origin, number) WHERE job <> '';
    CREATE INDEX event_unit ON event (unit, clock, origin, number) WHERE unit <> '';
    CREATE INDEX event_kind ON event (kind, clock, origin, number);
    CREATE TABLE text (digest TEXT PRIMARY KEY, body TEXT NOT NULL) STRICT, WITHOUT ROWID;
    CREATE TABLE job (
        job TEXT PRIMARY KEY,
        unit TEXT NOT NULL,
        title TEXT NOT NULL,
        first_kind TEXT NOT NULL,
        first_time TEXT NOT NULL,
        last_time TEXT NOT NULL,
        last_kind TEXT NOT NULL,
        last_clock INTEGER NOT NULL,
        events INTEGER NOT NULL,
        closed INTEGER NOT NULL,
        glance TEXT NOT NULL,
        glance_clock INTEGER NOT NULL
    ) STRICT, WITHOUT ROWID;
    CREATE INDEX job_open ON job (last_clock) WHERE NOT closed;
    CREATE INDEX job_unit ON job (unit);
    CREATE TABLE unit (
        unit TEXT PRIMARY KEY,
        state TEXT NOT NULL,
        first_time TEXT NOT NULL,
        last_time TEXT NOT NULL,
        last_clock INTEGER NOT NULL,
        events INTEGER NOT NULL
    ) STRICT, WITHOUT ROWID;
    """,
    """
    CREATE VIRTUAL TABLE words USING fts5 (body, content = '', tokenize = "unicode61 remove_diacritics 2");
    """,
    """
    DROP TABLE IF EXISTS words;
    CREATE VIRTUAL TABLE words USING fts5 (body, content = '', tokenize = "unicode61 remove_diacritics 2");
    """,
)
"""Version n of the tables is what the first n scripts make."""

VERSION: Final = len(MIGRATIONS)
