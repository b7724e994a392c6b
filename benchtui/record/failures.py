"""What goes wrong between this program and the disk, said in words that tell what to do."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

from benchtui.errors import RecordBusyError, RecordDamagedError, RecordError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_LITTLE: Final = 1 << 16
"""Bytes; with less room than this the log's shared file (32 KiB, SQLite's WAL-index format) may not fit; estimate."""


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn SQLite's and the system's errors inside the block into errors of the record.

    Raises:
        RecordBusyError: Another program is writing.
        RecordDamagedError: The file is not, or no longer, a database.
        RecordError: The disk is full, the folder may not be written to, or the disk fails.
    """
    try:
        yield
    except sqlite3.Error as error:
        raise _explain(error, path) from error
    except OSError as error:
        raise RecordError(
            f"{path}: {error.strerror or error}", hint="choose another place with --record FILE"
        ) from error


def is_full(error: sqlite3.Error, path: Path) -> bool:
    """Whether it was for want of room on the disk that holds a file."""
    code = getattr(error, "sqlite_errorcode", 0)
    if code & 0xFF == sqlite3.SQLITE_FULL:
        return True
    # The file that the log's readers share cannot grow, which SQLite does not tell from a failing disk.
    return code in (sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_WRITE) and _room(path) < _LITTLE


def _room(path: Path) -> int:
    """Bytes that are free where a file lies."""
    try:
        return shutil.disk_usage(path.parent).free
    except OSError:
        return _LITTLE


def _names(path: Path) -> int:
    """How many names a file has; 0 when it cannot be asked."""
    try:
        return path.stat().st_nlink
    except OSError:
        return 0


def _explain(error: sqlite3.Error, path: Path) -> RecordError:
    # Extended codes carry the cause in the upper bytes; the lowest byte is the plain code.
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return RecordBusyError(
            f"another program is writing to {path}; nothing was saved", hint="close it there, then do this again"
        )
    if is_full(error, path):
        return RecordError(
            f"the disk that holds {path} is full; the last act was not saved",
            hint="free some space and do it again; everything before it is safe",
        )
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN):
        return RecordError(
            f"{path} cannot be written to; nothing was saved",
            hint="make its folder writable, or choose another place with --record FILE",
        )
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return RecordDamagedError(
            f"{path} is damaged ({error})", hint="see what can be read with: benchtui record verify"
        )
    if code == sqlite3.SQLITE_IOERR and _names(path) > 1:
        # The log of a database goes by the name it was opened by, so that two names of one file cannot share it.
        return RecordError(
            f"{path} has another name too (a hard link), and a program has it open by that name; nothing was saved",
            hint="close it there, and give each record one name only: copy it with: benchtui record backup FILE",
        )
    if code == sqlite3.SQLITE_IOERR:
        return RecordError(
            f"the disk that holds {path} failed ({error}); the last act was not saved",
            hint="check the disk; everything before it is safe",
        )
    return RecordError(f"{path}: {error}")
