"""A copy of the record in one act, whole even while it is being written to."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

from benchtui.errors import RecordError
from benchtui.record.failures import in_words

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.record.store import Store


def backup(store: Store, target: Path) -> Path:
    """Copy the record to `target`, or into it under the record's own name and the day where it is a folder.

    Raises:
        RecordError: There is such a file already, or it cannot be written.
    """
    if target.is_dir():
        newest = store.events(newest=1)
        day = newest[0].time[:10] if newest else "empty"
        target = target / f"{store.path.stem}-{day}{store.path.suffix}"
    if target.exists():
        raise RecordError(f"{target} is there already", hint="a backup never overwrites anything; choose another name")
    part = target.with_name(target.name + ".part")
    with in_words(target):
        with closing(sqlite3.connect(part)) as copy:
            store.connection.backup(copy)
        part.replace(target)
    return target
