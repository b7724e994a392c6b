"""Summaries of jobs and units, kept beside the events so that the first screen need not read them all.

A summary holds nothing that cannot be worked out from the events: `rebuild` does so, and the two must agree.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.record.event import CLOSING, UNIT_STATE
from benchtui.record.parted import OF_UNIT
from benchtui.record.rows import NEWEST_FIRST, ORDER
from benchtui.unit_states import following

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Mapping, Sequence

    from benchtui.record.event import Event


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """A job at a glance."""

    job: str
    unit: str
    title: str
    first_kind: str
    first_time: str
    last_time: str
    last_kind: str
    last_clock: int
    events: int
    closed: bool
    glance: str = ""
    """What the writer of the last event said of the job's progress, as JSON; empty when that is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    """A unit at a glance."""

    unit: str
    state: str
    first_time: str
    last_time: str
    last_clock: int
    events: int


def add(db: sqlite3.Connection, event: Event, *, glance: str = "") -> None:
    """Bring the summaries up to date with an event that comes after all others in the record's order."""
    if event.job:
        db.execute(
            """
            INSERT INTO job VALUES (?, ?, ?, ?, ?, ?, ?, ?, 1, ?, ?, ?)
            ON CONFLICT (job) DO UPDATE SET
                unit = CASE WHEN unit = '' THEN excluded.unit ELSE unit END,
                last_time = excluded.last_time, last_kind = excluded.last_kind, last_clock = excluded.last_clock,
                events = events + 1, closed = max(closed, excluded.closed),
                glance = excluded.glance, glance_clock = excluded.glance_clock
            """,
            (
                event.job,
                event.unit,
                str(event.data.get("title", "")),
                event.kind,
                event.time,
                event.time,
                event.kind,
                event.clock,
                event.kind.endswith(CLOSING),
                glance,
                event.clock,
            ),
        )
    if event.unit:
        state = ""
        if event.kind == UNIT_STATE:
            before = db.execute("SELECT state FROM unit WHERE unit = ?", (event.unit,)).fetchone()
            wanted, decided = str(event.data.get("state", "")), bool(event.data.get("decided"))
            state, _ = following(before[0] if before else "", wanted, decided=decided)
        db.execute(
            """
            INSERT INTO unit VALUES (?, ?, ?, ?, ?, 1)
            ON CONFLICT (unit) DO UPDATE SET
                state = CASE WHEN excluded.state = '' THEN state ELSE excluded.state END,
                last_time = excluded.last_time, last_clock = excluded.last_clock, events = events + 1
            """,
            (event.unit, state, event.time, event.time, event.clock),
        )


# `job <> ''` and `unit <> ''` let SQLite use the indexes, which leave out events without a job or unit.
_OF_JOB: Final = "FROM event WHERE job = :job AND job <> ''"
_OF_UNIT: Final = "FROM event WHERE unit = :unit AND unit <> ''"
_FIRST: Final = f"ORDER BY {ORDER} LIMIT 1"
_LAST: Final = f"ORDER BY {NEWEST_FIRST} LIMIT 1"

_JOB: Final = f"""
    INSERT INTO job
    SELECT :job,
        coalesce((SELECT unit {_OF_JOB} AND unit <> '' {_FIRST}), ''),
        coalesce((SELECT json_extract(data, '$.title') {_OF_JOB} {_FIRST}), ''),
        (SELECT kind {_OF_JOB} {_FIRST}),
        (SELECT time {_OF_JOB} {_FIRST}),
        (SELECT time {_OF_JOB} {_LAST}),
        (SELECT kind {_OF_JOB} {_LAST}),
        max(clock), count(*), max(kind LIKE :closing), '', 0
    {_OF_JOB} HAVING count(*)
"""

_MOVED: Final = f"""
    SELECT parted.unit FROM event JOIN parted USING (seq) WHERE job = :job AND job <> '' {_FIRST}
"""
"""The unit of a job that went with a new number."""

_UNIT: Final = f"""
    INSERT INTO unit
    SELECT :unit, :state,
        (SELECT time {_OF_UNIT} {_FIRST}),
        (SELECT time {_OF_UNIT} {_LAST}),
        max(clock), count(*)
    {_OF_UNIT} HAVING count(*)
"""


def rebuild(db: sqlite3.Connection, *, jobs: Iterable[str] | None = None, units: Iterable[str] | None = None) -> None:
    """Work the summaries out anew from the events; of all jobs and units where none are named."""
    if jobs is None:
        jobs = [row[0] for row in db.execute("SELECT DISTINCT job FROM event WHERE job <> ''")]
        db.execute("DELETE FROM job")
    if units is None:
        units = [row[0] for row in db.execute("SELECT unit FROM event WHERE unit <> '' UNION SELECT unit FROM parted")]
        db.execute("DELETE FROM unit")
    apart = _parted(db)
    for job in jobs:
        db.execute("DELETE FROM job WHERE job = ?", (job,))
        db.execute(_JOB, {"job": job, "closing": f"%{CLOSING}"})
        if apart and (moved := db.execute(_MOVED, {"job": job}).fetchone()):
            db.execute("UPDATE job SET unit = ? WHERE job = ?", (moved[0], job))
    for unit in units:
        db.execute("DELETE FROM unit WHERE unit = ?", (unit,))
        query = _UNIT.replace(_OF_UNIT, OF_UNIT) if unit in apart else _UNIT
        db.execute(query, {"unit": unit, "state": _state(db, unit)})


def states_anew(db: sqlite3.Connection) -> None:
    """Work out the states of all units anew, where an earlier version kept the last one that any bench had set."""
    units = db.execute("SELECT DISTINCT unit FROM event WHERE kind = ? AND unit <> ''", (UNIT_STATE,)).fetchall()
    for (unit,) in units:
        state = _state(db, unit)
        db.execute("UPDATE unit SET state = ? WHERE unit = ? AND state <> ?", (state, unit, state))


def _parted(db: sqlite3.Connection) -> frozenset[str]:
    """Serial numbers of units that were parted, the old and the new one."""
    rows = db.execute("SELECT event.unit, parted.unit FROM parted JOIN event USING (seq)")
    return frozenset(unit for row in rows for unit in row)


def _state(db: sqlite3.Connection, unit: str) -> str:
    """The state that the events of a unit lead to."""
    state = ""
    of_unit = OF_UNIT if unit in _parted(db) else _OF_UNIT
    for wanted, decided in db.execute(
        f"""
        SELECT coalesce(json_extract(data, '$.state'), ''), coalesce(json_extract(data, '$.decided'), '')
        {of_unit} AND +kind = :kind ORDER BY {ORDER}
        """,
        {"unit": unit, "kind": UNIT_STATE},
    ):
        state, _ = following(state, str(wanted), decided=bool(decided))
    return state


def jobs(db: sqlite3.Connection, *, open_only: bool, unit: str | None) -> tuple[JobRow, ...]:
    """Summaries of jobs, the one touched last first."""
    wanted = [*(["NOT closed"] if open_only else []), *(["unit = ?"] if unit is not None else [])]
    where = f"WHERE {' AND '.join(wanted)}" if wanted else ""
    rows = db.execute(
        f"""
        SELECT job, unit, title, first_kind, first_time, last_time, last_kind, last_clock, events, closed,
            CASE WHEN glance_clock = last_clock THEN glance ELSE '' END
        FROM job {where} ORDER BY last_clock DESC, job
        """,
        () if unit is None else (unit,),
    )
    return tuple(
        JobRow(
            job=row[0],
            unit=row[1],
            title=row[2],
            first_kind=row[3],
            first_time=row[4],
            last_time=row[5],
            last_kind=row[6],
            last_clock=row[7],
            events=row[8],
            closed=bool(row[9]),
            glance=row[10],
        )
        for row in rows
    )


def keep(db: sqlite3.Connection, glances: Mapping[str, tuple[int, str]]) -> None:
    """Keep the progress of jobs at their last events, inside a transaction of the caller."""
    db.executemany(
        "UPDATE job SET glance = ?, glance_clock = last_clock WHERE job = ? AND last_clock = ?",
        [(glance, job, clock) for job, (clock, glance) in glances.items()],
    )


def units(db: sqlite3.Connection, named: Sequence[str] | None = None) -> tuple[UnitRow, ...]:
    """Summaries of units, the one touched last first; all of them, or those that are named."""
    where = "" if named is None else f"WHERE unit IN ({', '.join('?' * len(named))})"
    rows = db.execute(
        f"""
        SELECT unit, state, first_time, last_time, last_clock, events
        FROM unit {where} ORDER BY last_clock DESC, unit
        """,
        tuple(named or ()),
    )
    return tuple(
        UnitRow(unit=row[0], state=row[1], first_time=row[2], last_time=row[3], last_clock=row[4], events=row[5])
        for row in rows
    )
