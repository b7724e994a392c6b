"""Where the events of another record go among ours: known, new, or a second line of events under one name."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.record import heads
from benchtui.record.branches import Link, named
from benchtui.record.event import root_of

if TYPE_CHECKING:
    import sqlite3

    from benchtui.record.event import Event


class Incoming:
    """Events on their way into a record, inside one transaction.

    Args:
        db: The record.
        origin: The name that events written here go under.
    """

    def __init__(self, db: sqlite3.Connection, origin: str) -> None:
        self._db = db
        self._origin = origin
        self._new: dict[str, list[Event]] = {}
        self._taken: dict[tuple[str, int], set[str]] = {}
        self._labels: dict[str, tuple[str, ...]] = {}
        self.origins: set[str] = set()
        """Origins whose events changed."""
        self.jobs: set[str] = set()
        """Jobs with an event that is now kept under another name."""
        self.units: set[str] = set()
        """Units with one."""
        self.forks: tuple[str, ...] = ()
        """Each new branch, in words."""
        self.ours = False
        """The name that events written here go under was used by another file as well."""

    def take(self, event: Event) -> bool:
        """Take an event; False when it is here already."""
        root = root_of(event.origin)
        if event.digest in self._at(root, event.number):
            return False
        self._new.setdefault(root, []).append(replace(event, origin=root))
        self._taken.setdefault((root, event.number), set()).add(event.digest)
        return True

    def place(self) -> list[Event]:
        """The new events, each under the name it is kept by, in the order all records agree on."""
        placed: list[Event] = []
        forks: list[str] = []
        for root, new in self._new.items():
            # Events of our own name that are not here: the file is an older copy, and the name was used elsewhere.
            self.ours = self.ours or root == root_of(self._origin)
            if self._forked(root, new):
                events, words = self._branched(root, new)
                placed += events
                forks += words
            else:
                placed += new
                self.origins.add(root)
        self.forks = tuple(forks)
        return sorted(placed, key=lambda event: event.order)

    def _at(self, root: str, number: int) -> set[str]:
        """Digests of the events of a root with this number, here and among the new ones."""
        if root not in self._labels:
            self._labels[root] = (root, *(label for label in heads.labels(self._db, root) if label != root))
        found = set(self._taken.get((root, number), ()))
        for label in self._labels[root]:
            query = "SELECT digest FROM event WHERE origin = ? AND number = ?"
            found |= {row[0] for row in self._db.execute(query, (label, number))}
        return found

    def _forked(self, root: str, new: list[Event]) -> bool:
        """Whether two different events of this root want one place, or one does not follow from that before it."""
        if len(self._labels[root]) > 1:
            return True
        for event in new:
            before, after = self._at(root, event.number - 1), self._at(root, event.number + 1)
            if len(self._at(root, event.number)) > 1 or (before and event.previous not in before):
                return True
            if after and not self._follows(root, event, after):
                return True
        return False

    def _follows(self, root: str, event: Event, after: set[str]) -> bool:
        rows = self._db.execute(
            "SELECT previous FROM event WHERE origin = ? AND number = ?", (root, event.number + 1)
        ).fetchall()
        return not rows or all(row[0] == event.digest for row in rows)

    def _branched(self, root: str, new: list[Event]) -> tuple[list[Event], list[str]]:
        """The new events of a root that forked under their names; events that are here get new names as well."""
        held = [
            row
            for label in self._labels[root]
            for row in self._db.execute(
                "SELECT seq, origin, number, digest, previous, job, unit FROM event WHERE origin = ?", (label,)
            )
        ]
        links = [Link(row[2], row[3], row[4]) for row in held]
        links += [Link(event.number, event.digest, event.previous) for event in new]
        names = named(root, links)
        moved = [row for row in held if names[row[3]] != row[1]]
        # First out of the way, then to their places: two that change places would meet otherwise.
        for row in moved:
            self._db.execute("UPDATE event SET origin = ? WHERE seq = ?", (f"{root}~~{row[3]}", row[0]))
            self.jobs |= {row[5]} - {""}
            self.units |= {row[6]} - {""}
        for row in moved:
            self._db.execute("UPDATE event SET origin = ? WHERE seq = ?", (names[row[3]], row[0]))
        before = {row[1] for row in held}
        fresh = sorted(set(names.values()) - before - {root})
        self.origins |= before | set(names.values())
        words = []
        for name in fresh:
            first = min(link.number for link in links if names[link.digest] == name)
            words.append(
                f"{root}: from its event {first} on two benches went on under this name, since a copy was put back; "
                f"both are kept, one as {name}"
            )
        return [replace(event, origin=names[event.digest]) for event in new], words
