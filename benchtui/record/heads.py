"""How far each origin has come, kept twice: in the record, and in a small file beside it.

The digests alone cannot tell that the last events are gone. The line in the record tells when they were deleted, and
the file beside it tells when the whole record is an older copy that was put back.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from time import time_ns
from typing import TYPE_CHECKING, Final

from benchtui.record.event import root_of

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Iterator
    from pathlib import Path

_HEAD: Final = "head:"
_PARTIAL: Final = "partial:"
_FOREIGN: Final = "foreign:"
_AT: Final = "@"

CLOCKS_DIFFER: Final = 2_000_000_000
"""Nanoseconds by which the times of one file may differ on a shared disk; estimate, FAT keeps even seconds."""


@dataclass(frozen=True, slots=True)
class Head:
    """The last event of an origin; number 0 and no digest before its first."""

    origin: str
    number: int = 0
    digest: str = ""


def keep(db: sqlite3.Connection, head: Head) -> None:
    """Note in the record how far an origin has come."""
    db.execute("INSERT OR REPLACE INTO meta VALUES (?, ?)", (_HEAD + head.origin, f"{head.number} {head.digest}"))


def are_noted(db: sqlite3.Connection) -> bool:
    """Whether this version of the program has noted how far each origin has come; an earlier one did not."""
    return db.execute("SELECT 1 FROM meta WHERE key = 'heads'").fetchone() is not None


def kept(db: sqlite3.Connection) -> dict[str, Head]:
    """Origin to how far it has come, as noted in the record."""
    found = {}
    for key, value in db.execute("SELECT key, value FROM meta WHERE key >= 'head:' AND key < 'head;' ORDER BY key"):
        origin, (number, _, digest) = str(key).removeprefix(_HEAD), str(value).partition(" ")
        found[origin] = Head(origin, int(number), digest)
    return found


def labels(db: sqlite3.Connection, root: str) -> tuple[str, ...]:
    """The origins of a root that are here: itself, and those that branched off it."""
    return tuple(origin for origin in kept(db) if root_of(origin) == root)


def foreign(db: sqlite3.Connection) -> frozenset[str]:
    """Names of other benches: those whose entries first came in here by an import."""
    keys = db.execute("SELECT key FROM meta WHERE key >= 'foreign:' AND key < 'foreign;'")
    return frozenset(str(row[0]).removeprefix(_FOREIGN) for row in keys)


def note_foreign(db: sqlite3.Connection, roots: Iterable[str]) -> None:
    """Note as another bench's each of these names that nothing was written under here yet; before they are taken in."""
    for root in roots:
        if db.execute("SELECT 1 FROM event WHERE origin = ? LIMIT 1", (root,)).fetchone() is None:
            db.execute("INSERT OR IGNORE INTO meta VALUES (?, '')", (_FOREIGN + root,))


def holds(db: sqlite3.Connection, head: Head) -> bool:
    """Whether the record has that event."""
    if not head.number:
        return True
    return any(
        row[0] == head.digest
        for origin in {head.origin, *labels(db, root_of(head.origin))}
        for row in db.execute("SELECT digest FROM event WHERE origin = ? AND number = ?", (origin, head.number))
    )


def refresh(db: sqlite3.Connection, origins: Iterable[str]) -> None:
    """Note anew how far these origins have come, and which of their events are missing here."""
    for origin in origins:
        row = db.execute(
            "SELECT number, digest FROM event WHERE origin = ? ORDER BY number DESC LIMIT 1", (origin,)
        ).fetchone()
        if row is None:
            db.execute("DELETE FROM meta WHERE key IN (?, ?)", (_HEAD + origin, _PARTIAL + origin))
            continue
        keep(db, Head(origin, row[0], row[1]))
        gaps = [list(gap) for gap in gaps_of(db, origin)]
        if gaps:
            db.execute("INSERT OR REPLACE INTO meta VALUES (?, ?)", (_PARTIAL + origin, json.dumps(gaps)))
        else:
            db.execute("DELETE FROM meta WHERE key = ?", (_PARTIAL + origin,))


def first_time(db: sqlite3.Connection) -> None:
    """Note all of it in a record that an earlier version of this program wrote."""
    refresh(db, [row[0] for row in db.execute("SELECT DISTINCT origin FROM event").fetchall()])


def gaps_of(db: sqlite3.Connection, origin: str) -> Iterator[tuple[int, int]]:
    """First and last number of each run of events of an origin that is not here, as after the export of one unit."""
    count, first, last = db.execute(
        "SELECT count(*), min(number), max(number) FROM event WHERE origin = ?", (origin,)
    ).fetchone()
    if not count:
        return
    # A branch begins where it left its root; what is before it stands there.
    start = first if origin != root_of(origin) and follows(db, origin, first) else 1
    if count == last - start + 1:
        return
    expected = start
    for (number,) in db.execute("SELECT number FROM event WHERE origin = ? ORDER BY number", (origin,)):
        if number > expected:
            yield expected, number - 1
        expected = number + 1


def follows(db: sqlite3.Connection, origin: str, number: int) -> bool:
    """Whether the event before this one is here, under this origin or one it branched off."""
    row = db.execute("SELECT previous FROM event WHERE origin = ? AND number = ?", (origin, number)).fetchone()
    if number == 1:
        return row is not None and not row[0]
    return row is not None and holds(db, Head(origin, number - 1, row[0]))


def known_gaps(db: sqlite3.Connection) -> dict[str, list[tuple[int, int]] | None]:
    """Origin to the runs of its events that never were here; None where an earlier version did not say which."""
    found: dict[str, list[tuple[int, int]] | None] = {}
    for key, value in db.execute("SELECT key, value FROM meta WHERE key >= 'partial:' AND key < 'partial;'"):
        read = json.loads(value)
        found[str(key).removeprefix(_PARTIAL)] = [(a, b) for a, b in read] if isinstance(read, list) else None
    return found


@dataclass(frozen=True, slots=True)
class Stamp:
    """Times of a file in nanoseconds, by which it is seen that another program wrote it."""

    changed: int
    """When anything about it was changed, which no program that copies can set."""
    written: int
    """When its content was written, which a copy may have taken over."""

    @classmethod
    def of(cls, path: Path) -> Stamp | None:
        """Those of a file; None where it cannot be looked at."""
        try:
            status = path.stat()
        except OSError:
            return None
        return cls(status.st_ctime_ns, status.st_mtime_ns)


class HeadFile:
    """The small file beside the record: the last event that was written here.

    It is written after the record is on the disk, so it is never ahead of it, unless a copy of the record was put back.
    Its loss is no harm to the record; whoever opens it next says so and makes a new one.
    """

    def __init__(self, record: Path) -> None:
        self.path = record.with_name(record.name + ".head")
        self._record = record
        self._handle: int | None = None
        self._last: Head | None = None
        self._ahead = 0

    def read(self) -> Head | None:
        """What it says; None when there is none, or it cannot be understood."""
        try:
            origin, number, digest, *_ = self.path.read_text(encoding="utf-8").split()
            return Head(origin, int(number), "" if digest == "-" else digest)
        except (OSError, ValueError):
            return None

    def stamped(self) -> Stamp | None:
        """The times of the record's file when it was last closed; None after a kill, or where they are not known."""
        try:
            words = self.path.read_text(encoding="ascii").split()
            return Stamp(int(words[3]), int(words[4]))
        except (OSError, ValueError, IndexError):
            return None

    def rewritten(self) -> bool:
        """Whether it was put there by another program after a kill, as a copy put back is: the disk has a later time.

        False where it was closed, or written by an earlier version of this program.
        """
        try:
            word = self.path.read_text(encoding="ascii").split()[3]
            return word.startswith(_AT) and self.path.stat().st_ctime_ns - int(word.removeprefix(_AT)) > CLOCKS_DIFFER
        except (OSError, ValueError, IndexError):
            return False

    def write(self, head: Head, stamp: Stamp | None = None) -> bool:
        """Write it; False when that cannot be done, which is no reason to stop work."""
        # One line of fixed length over the old one: a kill in between leaves the one or the other.
        self._last = head
        at = f"{_AT}{time_ns() + self._ahead}"
        times = f"{stamp.changed:>20} {stamp.written:>20}" if stamp else f"{at:>41}"
        line = f"{head.origin:<16} {head.number:>12} {head.digest or '-':<64} {times}\n".encode("ascii")
        try:
            if self._handle is None:
                new = not self.path.exists()
                self._handle = os.open(self.path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
                os.write(self._handle, line)
                os.ftruncate(self._handle, len(line))
                if new:
                    os.fsync(self._handle)
                # A shared disk has a clock of its own, and what is compared later is its time.
                self._ahead = os.fstat(self._handle).st_ctime_ns - time_ns()
                return self.write(head, stamp)
            os.lseek(self._handle, 0, os.SEEK_SET)
            os.write(self._handle, line)
        except OSError:
            return False
        return True

    def close(self, *, as_left: bool = True) -> None:
        """Let go of the file; harmless when it is not open.

        Args:
            as_left: Write the times of the record's file into it: what lies there is what was written here.
        """
        if self._handle is not None:
            if self._last is not None and as_left:
                self.write(self._last, Stamp.of(self._record))
            os.close(self._handle)
            self._handle = None
