"""Where the next event goes: after the last one of a record and of those written under its name."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from benchtui.record.event import Event, canonical, digest_of

if TYPE_CHECKING:
    import sqlite3

    from benchtui.record.event import Draft


class End:
    """Where the next event goes: the last seq, number, clock and digest."""

    def __init__(self, *, origin: str, seq: int, number: int, clock: int, digest: str, time: str) -> None:
        self.origin, self.seq, self.number = origin, seq, number
        self.clock, self.digest, self.time = clock, digest, time

    @classmethod
    def of(cls, db: sqlite3.Connection, origin: str) -> End:
        """The end of a record, and of what was written there under a name."""
        # Each by itself: asked for in one query, SQLite would read the whole table instead of the ends of two indexes.
        seq, clock = db.execute(
            "SELECT coalesce((SELECT max(seq) FROM event), 0), coalesce((SELECT max(clock) FROM event), 0)"
        ).fetchone()
        own = db.execute(
            "SELECT number, digest, time FROM event WHERE origin = ? ORDER BY number DESC LIMIT 1", (origin,)
        ).fetchone()
        number, digest, time = own or (0, "", "")
        return cls(origin=origin, seq=seq, number=number, clock=clock, digest=digest, time=time)

    @classmethod
    def after(cls, event: Event) -> End:
        return cls(
            origin=event.origin,
            seq=event.seq,
            number=event.number,
            clock=event.clock,
            digest=event.digest,
            time=event.time,
        )

    def next(self, draft: Draft, *, time: str) -> Event:
        number, clock = self.number + 1, self.clock + 1
        data = canonical(draft.data)
        digest = digest_of(
            previous=self.digest,
            origin=self.origin,
            number=number,
            clock=clock,
            time=time,
            kind=draft.kind,
            unit=draft.unit,
            job=draft.job,
            data=data,
        )
        return Event(
            seq=self.seq + 1,
            origin=self.origin,
            number=number,
            clock=clock,
            time=time,
            kind=draft.kind,
            unit=draft.unit,
            job=draft.job,
            data=json.loads(data),
            previous=self.digest,
            digest=digest,
        )
