"""A copy of the record in one act, whole even while it is being written to."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from itertools import count
from typing import TYPE_CHECKING

from benchtui.errors import RecordError
from benchtui.record.failures import in_words
from benchtui.record.origin import BACKUP
from benchtui.record.rows import newest_time

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.record.store import Store


def backup(store: Store, target: Path) -> Path:
    """Copy the record to `target`, or into it under the record's own name and the day where it is a folder.

    A second one of the day has -2 behind it.

    Raises:
        RecordError: There is such a file already, or it cannot be written.
    """
    if target.is_dir():
        newest = store.events(newest=1)
        day = newest[0].time[:10] if newest else "empty"
        stem = f"{store.path.stem}-{day}"
        # Twice on one day, as at a venue, is usual: the second copy lies beside the first.
        names = (f"{stem}{'' if number == 1 else f'-{number}'}{store.path.suffix}" for number in count(1))
        target = next(target / name for name in names if not (target / name).exists())
    if not target.parent.is_dir():
        raise RecordError(
            f"there is no folder {target.parent}", hint="look at its name; a stick has to be put in first"
        )
    if target.exists():
        raise RecordError(f"{target} is there already", hint="a backup never overwrites anything; choose another name")
    part = target.with_name(target.name + ".part")
    with in_words(target):
        # What an earlier attempt left half done, on a full disk or when it was killed.
        part.unlink(missing_ok=True)
        try:
            with closing(sqlite3.connect(part, isolation_level=None)) as copy:
                store.connection.backup(copy)
                _mark(copy)
            part.replace(target)
        finally:
            for rest in (part, part.with_name(f"{part.name}-journal")):
                rest.unlink(missing_ok=True)
    return target


def rescued(path: Path) -> Path:
    """A name that no file has yet, for a copy of a record that was moved away under the program."""
    names = (path.with_name(f"{path.stem}-rescued-{number}{path.suffix}") for number in count(1))
    return next(name for name in names if not name.exists())


def _mark(copy: sqlite3.Connection) -> None:
    """Make the copy say that it is one: whoever opens it as a record goes on under a name of its own.

    It is left without a log. A log that lies beside the place it is put back to then belongs to another file for sure.
    """
    copy.execute("PRAGMA journal_mode = DELETE").fetchone()
    last = newest_time(copy)
    copy.execute("BEGIN IMMEDIATE")
    copy.execute("DELETE FROM meta WHERE key IN ('home', 'origin')")
    if last:
        copy.execute("INSERT OR REPLACE INTO meta VALUES (?, ?)", (BACKUP, last))
    copy.execute("COMMIT")
