"""Opening the record's file and bringing its tables up to date, with a copy of the file made first."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING, Final

from benchtui.errors import NewerRecordError, RecordDamagedError
from benchtui.record import logs
from benchtui.record.rows import COLUMNS, event_of
from benchtui.record.schema import APPLICATION, MIGRATIONS, VERSION
from benchtui.record.search import has_index, index

if TYPE_CHECKING:
    from pathlib import Path


_MARKS: Final = (
    "PRAGMA application_id",
    "PRAGMA user_version",
    "SELECT count(*), max(seq) FROM event",
    "SELECT digest FROM event ORDER BY seq DESC LIMIT 1",
    "SELECT count(*) FROM text",
    "PRAGMA quick_check",
)
"""What is asked of a record and of its copy; the same answers come from the same events."""

_WORDS_SINCE: Final = 3
"""Version of the tables whose index of words holds what it holds now; an earlier one is made anew."""


def connect(path: Path, *, writing: bool, busy_seconds: float, shared: bool = False) -> sqlite3.Connection:
    """A connection to a record of the present version.

    For reading only, a record of an earlier version is brought up to date in memory, and one that does not exist is
    taken as empty: the disk is left alone. In a folder that other machines share, no log is used but SQLite's rollback
    journal.

    Raises:
        NewerRecordError: The record is of a later version.
        RecordDamagedError: The file is a database of something else.
        sqlite3.Error: It cannot be opened; the caller says so in words.
    """
    if writing:
        db = sqlite3.connect(path, isolation_level=None, timeout=busy_seconds)
        try:
            if _version(db, path) < VERSION:
                _upgrade(db, path)
            db.execute(f"PRAGMA journal_mode = {'DELETE' if shared else 'WAL'}").fetchone()
            db.execute("PRAGMA synchronous = FULL")
            # On macOS alone the disk is asked to empty its own cache as well; elsewhere this changes nothing.
            db.execute("PRAGMA fullfsync = ON")
        except BaseException:
            db.close()
            raise
        return db
    if not path.exists():
        db = sqlite3.connect(":memory:", isolation_level=None)
        _apply(db, 0)
        return db
    db = _open_reading(path, busy_seconds)
    try:
        version = _version(db, path)
        if version == VERSION:
            return db
        memory = sqlite3.connect(":memory:", isolation_level=None)
        db.backup(memory)
        _apply(memory, version)
    except BaseException:
        db.close()
        raise
    db.close()
    return memory


def copy_of(path: Path, version: int) -> Path:
    """Where the copy of a record goes before its tables are brought up from `version`."""
    return path.with_name(f"{path.stem}-before-version-{version + 1}{path.suffix}")


def _open_reading(path: Path, busy_seconds: float) -> sqlite3.Connection:
    if logs.is_foreign(path):
        return logs.reader(path, alone=True)
    db = logs.reader(path, busy_seconds=busy_seconds)
    try:
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as error:
        db.close()
        if error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise
        # In a folder that may not be written to, or on a full disk, the log's shared file cannot be made. What stands
        # in the log belongs to the record all the same.
        return logs.read_together(path) if logs.has_log(path) else logs.reader(path, alone=True)
    return db


def _version(db: sqlite3.Connection, path: Path) -> int:
    """The version of the record's tables; 0 for a new file."""
    version: int = db.execute("PRAGMA user_version").fetchone()[0]
    application: int = db.execute("PRAGMA application_id").fetchone()[0]
    tables: int = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if tables and application != APPLICATION:
        raise RecordDamagedError(f"{path} is a database of another program", hint="choose another file with --record")
    if version > VERSION:
        raise NewerRecordError(
            f"{path} was written by a newer version of this program (record {version}, this program knows {VERSION})",
            hint="install the newer version here as well; the file was left as it is",
        )
    return version


def _upgrade(db: sqlite3.Connection, path: Path) -> None:
    version = _version(db, path)
    if version:
        target = copy_of(path, version)
        number = 1
        # Another file of that name is left as it is, and is not trusted to be the copy of this record.
        while target.exists() and not _same(db, target):
            number += 1
            target = target.with_name(f"{copy_of(path, version).stem}-{number}{path.suffix}")
        if not target.exists():
            # Copied under another name first: a copy cut short by a full disk must not pass for a whole one.
            part = target.with_name(target.name + ".part")
            part.unlink(missing_ok=True)
            with closing(sqlite3.connect(part)) as copy:
                db.backup(copy)
            part.replace(target)
    _apply(db, version)


def _same(db: sqlite3.Connection, copy: Path) -> bool:
    """Whether a file is a whole copy of the record as it is."""
    try:
        with closing(_open_reading(copy, 0.0)) as other:
            return all(db.execute(line).fetchall() == other.execute(line).fetchall() for line in _MARKS)
    except sqlite3.Error:
        return False


def _apply(db: sqlite3.Connection, version: int) -> None:
    db.execute("BEGIN IMMEDIATE")
    try:
        for script in MIGRATIONS[version:]:
            for statement in script.split(";\n"):
                if statement.strip():
                    _execute(db, statement)
        if version < _WORDS_SINCE and has_index(db):
            _index_all(db)
        db.execute(f"PRAGMA application_id = {APPLICATION}")
        db.execute(f"PRAGMA user_version = {VERSION}")
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def _execute(db: sqlite3.Connection, statement: str) -> None:
    try:
        db.execute(statement)
    except sqlite3.OperationalError as error:
        # An SQLite built without full-text search keeps no index of words; searching reads the texts through instead.
        if "no such module" not in str(error):
            raise


def _index_all(db: sqlite3.Connection) -> None:
    for row in db.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq"):
        index(db, event_of(row))
