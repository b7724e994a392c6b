"""What of other records was here when an entry was written: told by an entry of its own before the next one.

The order of a merged record follows how much each bench had written; it does not say who knew of what. So after
entries of others came in, or a copy of a record goes on under a new name, the first entry written next is preceded by
one that names how far each other origin had come here. What a bench knew then, it knew at all its later entries.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.record import heads

if TYPE_CHECKING:
    import sqlite3

_KEY: Final = "learnt"


def learn(db: sqlite3.Connection) -> None:
    """Entries of others are here that were not when the last one was written, inside a transaction of the caller."""
    db.execute("INSERT OR REPLACE INTO meta VALUES (?, '1')", (_KEY,))


def is_untold(db: sqlite3.Connection) -> bool:
    """Whether that is still to be told."""
    return db.execute("SELECT 1 FROM meta WHERE key = ?", (_KEY,)).fetchone() is not None


def tell(db: sqlite3.Connection, origin: str) -> dict[str, int]:
    """How far each origin but this one has come here; it counts as told, inside a transaction of the caller."""
    db.execute("DELETE FROM meta WHERE key = ?", (_KEY,))
    return {head.origin: head.number for head in heads.kept(db).values() if head.origin != origin and head.number}
