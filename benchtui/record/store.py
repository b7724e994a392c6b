"""The record's file: events are appended and read, never changed.

SQLite with a write-ahead log and full synchronisation, so that an event is on the disk when `append` returns; where the
folder allows no such log (some network shares), the rollback journal, which is as safe and a little slower.
"""

from __future__ import annotations

import sqlite3
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, Final, Self

from benchtui.errors import RecordBusyError, RecordError
from benchtui.record import heads, known, lacking, origin, parted, search, views
from benchtui.record.backup import backup, rescued
from benchtui.record.end import End
from benchtui.record.event import (
    CLOCK_SET,
    KNOWS,
    PUT_BACK,
    PUT_BACK_DECIDED,
    UNIT_PARTED,
    Draft,
    Event,
    text_digest,
)
from benchtui.record.failures import in_words
from benchtui.record.heads import Head, HeadFile, Stamp
from benchtui.record.opening import opened, reading_instead, true_place
from benchtui.record.place import Place
from benchtui.record.rows import event_of, insert, select

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from benchtui.record.opening import Opened
    from benchtui.record.views import JobRow, UnitRow

BUSY_SECONDS: Final = 2.0
"""How long to wait for another program to finish writing before saying so."""

SET_BACK: Final = timedelta(minutes=2)
"""A clock this far behind the last event was set back, and the record says so."""


def local_now() -> datetime:
    """The time of day with its offset from UTC."""
    return datetime.now().astimezone()


class Store:
    """An open record. Make one with `Store.open`; close it, or use it in a `with` block."""

    def __init__(self, way: Opened, *, clock: Callable[[], datetime]) -> None:
        self.path = path = way.path
        self.notice = way.notice
        """Why the record can only be read, as a sentence for the screen; empty when it can be written."""
        self._db = db = way.db
        self._now = clock
        self._lock = way.lock
        self.told = ""
        """What was found out on opening it and the builder should know, as a sentence; empty most of the time."""
        self.indexed = search.has_index(db)
        """There is an index of words to keep up to date."""
        self.head_file = HeadFile(path)
        self._parted = parted.look(db)
        self._seen_at = self._data_version()
        self._origin = ""
        self.refused = False
        """Something could not be written since it was opened."""
        self._rescued = ""
        self._place = Place(path)
        if self._lock:
            self._settle_origin(way.before)
            # Once more: the log may have been made meanwhile.
            self._place = Place(path)
        elif (last := self.head_file.read()) is not None and not heads.holds(db, last):
            self.told = lacking.words(db, last)[0]
        self.told = "; ".join(filter(None, (*lacking.standing(db, path), self.told, way.told)))

    @classmethod
    def open(cls, path: Path, *, clock: Callable[[], datetime] = local_now, read_only: bool = False) -> Store:
        """Open a record, making it if there is none.

        When another program writes to it, its folder may not be written to or the disk is full, the record is opened
        for reading and `notice` says why.

        Args:
            path: The record's file.
            clock: Gives the time of day with its offset.
            read_only: Write nothing, not even a new file.

        Raises:
            NewerRecordError: A newer version of this program wrote it.
            RecordDamagedError: It is no record.
            RecordError: It cannot be read at all.
        """
        path = true_place(path)
        if read_only:
            return cls._opened(path, clock, read_only=True, notice="opened for reading only")
        try:
            return cls._opened(path, clock, read_only=False)
        except RecordError as error:
            notice = reading_instead(error, path)
            if not notice:
                raise
        return cls._opened(path, clock, read_only=True, notice=notice)

    @classmethod
    def _opened(cls, path: Path, clock: Callable[[], datetime], *, read_only: bool, notice: str = "") -> Store:
        way = opened(path, read_only=read_only, notice=notice, busy_seconds=BUSY_SECONDS)
        try:
            with in_words(path):
                return cls(way, clock=clock)
        except BaseException:
            way.close()
            raise

    @property
    def read_only(self) -> bool:
        """Nothing can be appended here and now."""
        return self._lock is None

    @property
    def origin(self) -> str:
        """The name this file gives to events written here; empty when it is open for reading only."""
        return self._origin

    @property
    def version(self) -> tuple[int, int]:
        """Another value after anything was written, by this program or by another one."""
        with in_words(self.path):
            return self._db.total_changes, self._data_version()

    @property
    def foreign(self) -> frozenset[str]:
        """Names of other benches, whose entries came in by an import."""
        with in_words(self.path):
            return heads.foreign(self._db)

    @property
    def connection(self) -> sqlite3.Connection:
        """For the other modules of this folder alone: SQL stays inside `record`."""
        return self._db

    def close(self) -> None:
        """Let go of the file and of the right to write; harmless when closed already."""
        lost = self._lock is not None and self._place.lost()
        if lost:
            self._rescue()
        self._db.close()
        self.head_file.close(as_left=not lost)
        if self._lock:
            self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # -- writing ---------------------------------------------------------------------------------------------------

    def append(
        self,
        kind: str,
        *,
        unit: str = "",
        job: str = "",
        data: Mapping[str, Any],
        texts: Iterable[str] = (),
        glance: str = "",
    ) -> Event:
        """Append one event; it is on the disk when this returns.

        Args:
            kind: What happened, in one hyphenated word.
            unit: Serial number of the unit it happened to.
            job: The job it belongs to.
            data: What there is to know of it, as JSON values.
            texts: Long texts the event names by digest, kept once each.
            glance: The job's progress after this event, as JSON, for lists of jobs.

        Raises:
            RecordBusyError: Another program is writing.
            RecordError: The disk is full or fails; nothing was appended.
        """
        draft = Draft(kind=kind, unit=unit, job=job, data=data)
        return self.append_all([draft], texts=texts, glances={job: glance})[-1]

    def append_all(
        self, drafts: Sequence[Draft], *, texts: Iterable[str] = (), glances: Mapping[str, str] | None = None
    ) -> tuple[Event, ...]:
        """Append several events, all or none; raises as `append` does."""
        written: list[Event] = []
        with self.writing() as db:
            for body in texts:
                db.execute("INSERT OR IGNORE INTO text VALUES (?, ?)", (text_digest(body), body))
            head = End.of(db, self._origin)
            now = self._now()
            if head.time and now < datetime.fromisoformat(head.time) - SET_BACK:
                note = Draft(kind=CLOCK_SET, data={"from": head.time, "to": now.isoformat(timespec="seconds")})
                drafts = [note, *drafts]
            if known.is_untold(db) and (others := known.tell(db, self._origin)):
                drafts = [Draft(kind=KNOWS, data={"heads": others}), *drafts]
            for draft in drafts:
                try:
                    event = head.next(draft, time=now.isoformat(timespec="milliseconds"))
                except (ValueError, TypeError) as error:
                    raise RecordError(f"the entry {draft.kind!r} holds what no file can keep: {error}") from error
                insert(db, event)
                if self._parted and (about := parted.placed(db, event)) is not event:
                    self._parted[event.seq] = about.unit
                    event = about
                views.add(db, event, glance=(glances or {}).get(draft.job, ""))
                if self.indexed:
                    search.index(db, event)
                head = End.after(event)
                written.append(event)
            last = Head(head.origin, head.number, head.digest)
            heads.keep(db, last)
            if any(draft.kind == UNIT_PARTED for draft in drafts):
                self.part_again()
        self.head_file.write(last)
        return tuple(written)

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction; on any error everything in it is taken back."""
        try:
            if self._lock is None:
                raise RecordBusyError(self.notice or "this record can only be read", hint="nothing was saved")
            with in_words(self.path):
                self._hold()
                with self._transaction():
                    yield self._db
        except RecordError:
            self.refused = True
            raise

    def _hold(self) -> None:
        """Refuse to write where the record, or the right to write to it, is no longer ours."""
        if lost := self._place.lost():
            raise RecordError(f"{lost}; nothing was saved", hint=self._rescue())
        self._rescued = ""
        if self._lock and not self._lock.held():
            # Its file was deleted while it was held, and another program has taken a new one since.
            self.notice = f"{self._lock.holder()} is writing to this record; here it can only be read"
            self._lock = None
            raise RecordBusyError(self.notice, hint="nothing was saved")

    def _rescue(self) -> str:
        """Copy all that was saved into a file beside the place that was lost, once, and say what to do."""
        if not self._rescued:
            try:
                # SQLite itself leaves the log of a file that was moved as it is, and then the file lacks what is in it.
                self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
                copy = backup(self, rescued(self.path))
            except sqlite3.Error as error:
                return f"put it back in its place, then do this again ({error})"
            except RecordError as error:
                return f"put it back in its place, then do this again ({error.message})"
            self._rescued = (
                f"all that was saved before is in {copy.name} beside it: put that in its place, and start again"
            )
        return self._rescued

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        before = dict(self._parted), self._origin
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            self._parted, self._origin = before
            # A full disk can end the transaction by itself; rolling back twice would hide the cause.
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise

    def _settle_origin(self, before: Stamp | None) -> None:
        """Find the name for events written here, and write down what an older copy that was put back lacks."""
        with self._transaction():
            found = origin.find(self._db, self.path, self.head_file, before)
        self._origin, self.told = found.origin, found.told
        if self._parted and parted.names(self._db, self._origin):
            with self.writing():
                self.renew_origin()
        lacking.put_beside(self._db, self.path)
        if found.lacks:
            self.append(PUT_BACK, data=found.lacks)
        elif not self.head_file.write(heads.kept(self._db).get(found.origin, Head(found.origin))):
            self.told = self.told or f"{self.head_file.path} cannot be written; a copy put back will not be noticed"

    def keep_glances(self, glances: Mapping[str, tuple[int, str]]) -> None:
        """Keep lines of jobs that had to be worked out anew, where they can be written: they are told by the events.

        Args:
            glances: Job to the clock of its last event, and its progress as JSON.
        """
        if self._lock is None or not glances:
            return
        with suppress(RecordError), in_words(self.path):
            self._hold()
            with self._transaction():
                views.keep(self._db, glances)

    def settle_lacks(self, *, reason: str, by: str) -> Event:
        """Write down why what a copy that was put back lacks is missed no more; it is not said again.

        Raises:
            RecordError: Nothing is lacking, or it cannot be written.
        """
        told = lacking.standing(self._db, self.path)
        if not told:
            raise RecordError("no copy was put back that lacks anything", hint="there is nothing to decide")
        about = "; ".join(sentence.partition(";")[0] for sentence in told)
        settled = self.append(PUT_BACK_DECIDED, data={"reason": reason, "by": by, "about": about})
        with self.writing() as db:
            lacking.settle(db)
        lacking.put_beside(self._db, self.path)
        self.told = ""
        return settled

    def renew_origin(self) -> None:
        """Go on under a new name, inside a transaction of the caller, since others have used the old one."""
        self._origin = origin.renew(self._db)

    def part_again(self) -> None:
        """Work out anew which entries are about a unit that was parted, inside a transaction of the caller.

        From now on nothing is written under a name whose entries went with a new number.
        """
        before = parted.touched(self._db)
        self._parted = parted.look(self._db)
        after = parted.touched(self._db)
        views.rebuild(self._db, jobs=before[0] | after[0], units=before[1] | after[1])
        if self._origin and parted.names(self._db, self._origin):
            self.renew_origin()

    def going(self, unit: str, made: str) -> tuple[Event, ...]:
        """The entries that would go with a unit that gets a new number, in the record's order.

        Args:
            unit: The number it has.
            made: Digest of the entry that gave it that number.
        """
        with in_words(self.path):
            wanted = set(parted.going(self._db, unit, made))
        return tuple(event for event in self.events(unit=unit) if event.seq in wanted)

    # -- reading ---------------------------------------------------------------------------------------------------

    def events(
        self,
        *,
        unit: str | None = None,
        job: str | None = None,
        kinds: Iterable[str] | None = None,
        where: tuple[str, str] | None = None,
        after: int = 0,
        newest: int = 0,
    ) -> tuple[Event, ...]:
        """Events in the record's order.

        Args:
            unit: Only those of this unit.
            job: Only those of this job.
            kinds: Only these kinds.
            where: Only those whose data has this text under this key.
            after: Only those that came into this file after `seq` of that number.
            newest: Only so many of the last; 0 for all.
        """
        self._follow()
        of_unit = parted.OF_UNIT if self._parted else ""
        query, parameters = select(
            unit=unit, job=job, kinds=kinds, where=where, after=after, newest=newest, of_unit=of_unit
        )
        with in_words(self.path):
            rows = self._db.execute(query, parameters).fetchall()
        found = tuple(map(self.about, map(event_of, rows)))
        return found[::-1] if newest else found

    def about(self, event: Event) -> Event:
        """The event under the unit it is about, for the other modules of this folder."""
        unit = self._parted.get(event.seq)
        return event if unit is None else replace(event, unit=unit)

    def _data_version(self) -> int:
        return int(self._db.execute("PRAGMA data_version").fetchone()[0])

    def _follow(self) -> None:
        """Take note of a unit that the program which writes to this record has parted meanwhile."""
        if self._lock is None:
            with in_words(self.path):
                now = self._data_version()
                if now != self._seen_at:
                    self._seen_at, self._parted = now, parted.look(self._db)

    def jobs(self, *, open_only: bool = False, unit: str | None = None) -> tuple[JobRow, ...]:
        """Jobs at a glance, the one touched last first."""
        with in_words(self.path):
            return views.jobs(self._db, open_only=open_only, unit=unit)

    def units(self, named: Sequence[str] | None = None) -> tuple[UnitRow, ...]:
        """Units at a glance, the one touched last first; all of them, or those that are named."""
        with in_words(self.path):
            return views.units(self._db, named)

    def text(self, digest: str) -> str:
        """A text kept beside the events.

        Raises:
            RecordError: There is none of that digest.
        """
        with in_words(self.path):
            row = self._db.execute("SELECT body FROM text WHERE digest = ?", (digest,)).fetchone()
        if row is None:
            raise RecordError(f"the record has no text of digest {digest[:12]}")
        return str(row[0])
