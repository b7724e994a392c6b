"""The way to an open record: its true place, the right to write to it, its log, and what cannot be done there."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.errors import RecordError
from benchtui.record import logs, migrate
from benchtui.record.disk import is_shared
from benchtui.record.failures import in_words, is_full
from benchtui.record.heads import Stamp
from benchtui.record.lock import WriterLock

if TYPE_CHECKING:
    from pathlib import Path

_CANNOT_WRITE: Final = frozenset({sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM})
_CANNOT_GROW: Final = frozenset(
    {sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_SHMOPEN}
)

_APART: Final = "use it from one bench at a time, and between benches: benchtui record export, benchtui record import"


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A connection to a record, and what was found out on the way."""

    path: Path
    db: sqlite3.Connection
    lock: WriterLock | None
    notice: str
    told: str
    before: Stamp | None
    """The times of its file before it was opened."""

    def close(self) -> None:
        """Let go of all of it."""
        self.db.close()
        if self.lock:
            self.lock.release()


def true_place(path: Path) -> Path:
    """Where a record lies, by whatever name it was reached: one record has one lock.

    Raises:
        RecordError: It is a link, or lies behind one, and what that leads to is not there.
    """
    for each in (path, *path.absolute().parents):
        if each.is_symlink() and not each.exists():
            raise RecordError(
                f"{each} is a link to {each.readlink()}, which is not there",
                hint="put in the stick or disk it is on, then start again",
            )
    return path.resolve()


def opened(path: Path, *, read_only: bool, notice: str, busy_seconds: float) -> Opened:
    """Open a record at its true place, for writing where that may be.

    Raises:
        RecordError: As `Store.open`.
    """
    lock: WriterLock | None = None
    if not read_only:
        lock = WriterLock(path)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            if not lock.try_take():
                notice = f"{lock.holder()} is writing to this record; here it can only be read"
                lock = None
        except OSError as error:
            notice = f"the record cannot be written to ({error.strerror}): {path}; nothing done here is kept"
            lock = None
    told = ""
    try:
        with in_words(path):
            before = Stamp.of(path)
            shared = lock is not None and (lock.unsure or is_shared(path))
            if lock:
                told = "; ".join(filter(None, (_of_shared(path, lock) if shared else "", _settled(path))))
            db = migrate.connect(path, writing=lock is not None, shared=shared, busy_seconds=busy_seconds)
    except BaseException:
        if lock:
            lock.release()
        raise
    return Opened(path=path, db=db, lock=lock, notice=notice, told=told, before=before)


def reading_instead(error: RecordError, path: Path) -> str:
    """Why a record that could not be opened for writing can perhaps be read, as a notice; empty where it cannot.

    Args:
        error: What was said when it was opened for writing.
        path: Its file.
    """
    cause = error.__cause__
    if not isinstance(cause, sqlite3.Error):
        return ""
    if is_full(cause, path):
        return f"the disk that holds {path} is full: here it can only be read; free some space, then start again"
    code = getattr(cause, "sqlite_errorcode", 0)
    if code & 0xFF in _CANNOT_WRITE or code in _CANNOT_GROW:
        return f"the record cannot be written to ({cause}): {path}; nothing done here is kept"
    return ""


def _settled(path: Path) -> str:
    gone = not path.exists()
    aside = logs.settle(path)
    if aside and gone:
        log = logs.log_of(path).name
        return (
            f"the log of the record that is gone is kept as {aside.name}; beside that record it has to be called {log}"
        )
    return f"a log that does not belong to {path.name} lay beside it; it is kept as {aside.name}" if aside else ""


def _of_shared(path: Path, lock: WriterLock) -> str:
    if lock.unsure:
        return f"the folder of {path.name} cannot keep a second program out: {_APART}"
    return f"{path.name} is in a folder that other machines reach: {_APART}"
