"""The name that events written into this file go under, and how a file is known to be a copy of another.

Two copies that went on under one name would number different events alike. A file is taken for the same as long as
machine and file number are, and as long as it has come at least as far as the small file beside it says.
"""

from __future__ import annotations

import secrets
import socket
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from benchtui.record import heads, known, lacking, views
from benchtui.record.event import minute

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Mapping
    from pathlib import Path

    from benchtui.record.heads import Head, HeadFile, Stamp

BACKUP: Final = "backup"
"""Key of the line that a backup carries: the time of its last event."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The name, and what was found out on the way to it."""

    origin: str
    told: str = ""
    """A sentence for the builder; empty when all is as it was left, and where `lacking.standing` says it."""
    lacks: Mapping[str, Any] = field(default_factory=dict)
    """What was written here and is not in the file; empty when nothing is."""


def find(db: sqlite3.Connection, path: Path, beside: HeadFile, now: Stamp | None) -> Found:
    """The name for events of a file, inside a transaction of the caller.

    Args:
        db: The record.
        path: Its file.
        beside: The small file beside it.
        now: The times of its file before it was opened.
    """
    last = beside.read()
    lacking.take_over(db, path)
    known = dict(db.execute("SELECT key, value FROM meta WHERE key IN ('home', 'origin', 'heads', 'backup')"))
    if "heads" not in known:
        heads.first_time(db)
        views.states_anew(db)
        db.execute("INSERT INTO meta VALUES ('heads', '1')")
    home = _home(path)
    same = known.get("home") == home
    behind = last is not None and not heads.holds(db, last)
    gone = same and last is None and "heads" in known
    closed = beside.stamped()
    # A copy of both files put back over both: neither tells on the other, but the disk knows when they were written.
    # Whoever wrote more since, as an earlier version of this program does, put nothing back.
    apart = same and closed is not None and now is not None and closed != now and _at_its_end(db, last)
    # After a power cut its line may be older than the record, though its time is not: then nothing was put back.
    killed = same and closed is None and beside.rewritten() and _at_its_end(db, last)
    if same and not behind and not gone and not apart and not killed:
        return Found(origin=str(known["origin"]))
    db.execute("INSERT OR REPLACE INTO meta VALUES ('home', ?)", (home,))
    db.execute("DELETE FROM meta WHERE key = ?", (BACKUP,))
    origin = renew(db)
    if last is not None and behind:
        told, lacks = lacking.words(db, last)
        lacking.note(db, last, told)
        return Found(origin=origin, lacks=lacks)
    told = ""
    if gone:
        told = f"{path.name}.head was gone and is made anew; it shows when an older copy of the record is put back"
    elif killed:
        told = (
            f"something changed {beside.path.name} after the program was cut off; "
            f"if that put a copy back, it lacks what came after{lacking.newest_minute(db)}; "
            "if only the power failed, or a right to the file was changed, nothing is missing"
        )
    elif apart and closed and now and abs(closed.written - now.written) > heads.CLOCKS_DIFFER:
        told = (
            f"{path.name} was written by another program; "
            f"if that put a copy back, it lacks what came after{lacking.newest_minute(db)}"
        )
    elif known.get(BACKUP) and last is None:
        told = f"this is a backup, with all that was written until {minute(known[BACKUP])} and nothing after it"
    return Found(origin=origin, told=told)


def is_at_home(db: sqlite3.Connection, path: Path) -> bool:
    """Whether a file is the one that was written to here, and no copy of it."""
    row = db.execute("SELECT value FROM meta WHERE key = 'home'").fetchone()
    return row is not None and row[0] == _home(path)


def _home(path: Path) -> str:
    """Machine and number of a file."""
    status = path.stat()
    return f"{socket.gethostname()}:{status.st_dev}:{status.st_ino}"


def renew(db: sqlite3.Connection) -> str:
    """A new name, noted in the record inside a transaction of the caller."""
    origin = secrets.token_hex(6)
    db.execute("INSERT OR REPLACE INTO meta VALUES ('origin', ?)", (origin,))
    known.learn(db)
    return origin


def _at_its_end(db: sqlite3.Connection, last: Head | None) -> bool:
    row = db.execute("SELECT max(number) FROM event WHERE origin = ?", (last.origin if last else "",)).fetchone()
    return last is not None and (row[0] or 0) == last.number
