"""The log that lies beside a record: what is not yet written into it, or what belongs to another file.

A program that was killed leaves its log, and the next one to open the record takes up what stands in it. SQLite does
not ask whether the record is still the same file. Where a copy was put in its place meanwhile, the pages of the one
would be mixed with those of the other, and nothing would say so; it is found out here before anything is written.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final
from urllib.parse import quote

from benchtui.errors import RecordBusyError, RecordDamagedError
from benchtui.record.heads import CLOCKS_DIFFER, Head, HeadFile, Stamp, holds

_NO_LOG: Final = b"\x01\x01"
"""Bytes 18 and 19 of a database that has none (SQLite file format, 1.3), as a backup is left."""

_TRIES: Final = 3
"""How often a record that another program is writing to is copied before that is given up; estimate."""

_BROKEN_LINKS: Final = """
    SELECT count(*) FROM event JOIN event AS before
    ON before.origin = event.origin AND before.number = event.number - 1 AND before.digest <> event.previous
"""


def log_of(path: Path) -> Path:
    """Where the log of a record lies."""
    return path.with_name(path.name + "-wal")


def has_log(path: Path) -> bool:
    """Whether something stands in it."""
    try:
        return log_of(path).stat().st_size > 0
    except OSError:
        return False


def reader(path: Path, *, alone: bool = False, busy_seconds: float = 5.0) -> sqlite3.Connection:
    """A connection that only reads.

    Args:
        path: The record's file.
        alone: Without what stands in its log, and as if nobody wrote to it.
        busy_seconds: How long to wait for another program; SQLite's own five when left out.
    """
    address = f"file:{quote(str(path.resolve()))}?{'immutable=1' if alone else 'mode=ro'}"
    return sqlite3.connect(address, uri=True, isolation_level=None, timeout=busy_seconds)


def settle(path: Path) -> Path | None:
    """Put the log beside a record aside when it belongs to another file; by the one program that may write to it.

    Returns:
        Where that log is kept now; None when there was none.

    Raises:
        RecordDamagedError: Neither with its log nor without it can the record be read.
        OSError: It cannot be put aside.
    """
    if not has_log(path):
        return None
    if path.exists():
        # Closed as it should be, while another program was still reading: then its log stays, and is its own.
        closed = HeadFile(path).stamped()
        if not _is_of_another(path) and ((closed is not None and closed == Stamp.of(path)) or belongs(path)):
            return None
    number = 1
    while (aside := path.with_name(f"{path.name}-log-of-another-file-{number}")).exists():
        number += 1
    log_of(path).replace(aside)
    path.with_name(path.name + "-shm").unlink(missing_ok=True)
    return aside


def is_foreign(path: Path) -> bool:
    """Whether the log beside a record that is only read belongs to another file.

    It is looked into only where the record was changed later than its log was: another program may be writing to both.

    Raises:
        RecordDamagedError: As for `settle`.
    """
    if not has_log(path):
        return False
    record, log = Stamp.of(path), Stamp.of(log_of(path))
    later = record is not None and log is not None and record.changed - log.changed > CLOCKS_DIFFER
    return _is_of_another(path) or (later and not belongs(path))


def belongs(path: Path) -> bool:
    """Whether record and log make one whole: a log only adds to what is in the record.

    Raises:
        RecordDamagedError: As for `settle`.
    """
    with closing(reader(path)) as both:
        try:
            both.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError:
            # Nothing is known of it here, as in a folder that may not be written to.
            return True
        readable, whole = _sound(both)
        with closing(reader(path, alone=True)) as alone:
            if whole and _holds_all(both, alone):
                return True
            if all(_sound(alone)):
                return False
    if not readable:
        raise RecordDamagedError(
            f"{path} and the log beside it, {log_of(path).name}, do not fit together, and it cannot be read alone",
            hint="put both aside in one folder, then put a backup in their place",
        )
    return True


def read_together(path: Path) -> sqlite3.Connection:
    """A record with what stands in its log, in memory: where no log can be opened, as on a write-protected stick.

    Raises:
        RecordBusyError: Another program kept writing while it was copied.
        OSError: There is no room for the copy.
    """
    for _ in range(_TRIES):
        with TemporaryDirectory(prefix="benchtui-") as folder:
            copy = Path(folder) / path.name
            shutil.copyfile(path, copy)
            if has_log(path):
                shutil.copyfile(log_of(path), log_of(copy))
            with closing(sqlite3.connect(copy, isolation_level=None)) as db:
                if _sound(db)[0]:
                    memory = sqlite3.connect(":memory:", isolation_level=None)
                    db.backup(memory)
                    return memory
    raise RecordBusyError(
        f"{path} changes while it is read", hint="close the program that writes to it, then try again"
    )


def _is_of_another(path: Path) -> bool:
    """Whether the record says in its head that it has no log, as one does that was put back from a backup."""
    try:
        with path.open("rb") as file:
            return file.read(20)[18:] == _NO_LOG
    except OSError:
        return False


def _sound(db: sqlite3.Connection) -> tuple[bool, bool]:
    """Whether a file can be read through, and whether its events are complete and follow from each other."""
    try:
        if db.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            return False, False
        if not db.execute("SELECT 1 FROM sqlite_master WHERE name = 'event'").fetchone():
            return True, True
        count, last = db.execute("SELECT count(*), coalesce(max(seq), 0) FROM event").fetchone()
        return True, count == last and not db.execute(_BROKEN_LINKS).fetchone()[0]
    except sqlite3.DatabaseError:
        return False, False


def _holds_all(db: sqlite3.Connection, other: sqlite3.Connection) -> bool:
    """Whether a record has the last event of each origin of another; True where that one cannot be read."""
    try:
        ends = other.execute(
            "SELECT origin, number, digest FROM event JOIN (SELECT origin, max(number) AS number FROM event "
            "GROUP BY origin) USING (origin, number)"
        ).fetchall()
    except sqlite3.DatabaseError:
        return True
    return all(holds(db, Head(*end)) for end in ends)
