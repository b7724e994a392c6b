"""The record keeps what it is given, in order, and lets one program write."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta, timezone
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from benchtui.errors import NewerRecordError, RecordBusyError, RecordDamagedError, RecordError
from benchtui.record import views
from benchtui.record.event import Draft, digest_of
from benchtui.record.schema import VERSION
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path


class Clock:
    """A clock that moves only when it is told to."""

    def __init__(self) -> None:
        self.now = datetime(2031, 3, 1, 9, 0, tzinfo=timezone(timedelta(hours=1)))

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "home" / "record.sqlite"


def test_events_come_back_as_they_were_given(file: Path) -> None:
    with Store.open(file) as store:
        first = store.append("note", unit="HCD-001-A", data={"text": "µ and Ω and [brackets]"})
        second = store.append("note", unit="HCD-002-C", job="j1", data={"text": "two"})
    with Store.open(file) as store:
        assert store.events() == (first, second)
        assert store.events(unit="HCD-002-C") == (second,)
        assert store.events(job="j1", kinds=["note"]) == (second,)
        assert store.events(job="j1", kinds=["reading"]) == ()
        assert store.events(after=first.seq) == (second,)
        assert store.events(newest=1) == (second,)


def test_sequence_is_gapless_and_the_digests_are_a_chain(file: Path) -> None:
    with Store.open(file) as store:
        events = [store.append("note", data={"n": n}) for n in range(5)]
    assert [event.seq for event in events] == [1, 2, 3, 4, 5]
    assert [event.number for event in events] == [1, 2, 3, 4, 5]
    assert events[0].previous == ""
    for before, after in pairwise(events):
        assert after.previous == before.digest
    last = events[-1]
    assert last.digest == digest_of(
        previous=last.previous,
        origin=last.origin,
        number=5,
        clock=5,
        time=last.time,
        kind="note",
        unit="",
        job="",
        data='{"n":4}',
    )


def test_several_events_are_appended_all_or_none(file: Path) -> None:
    with Store.open(file) as store:
        with pytest.raises(RecordError, match="not JSON compliant"):
            store.append_all([Draft(kind="note", data={}), Draft(kind="note", data={"bad": float("nan")})])
        assert store.events() == ()
        assert len(store.append_all([Draft(kind="note", data={}), Draft(kind="note", data={})])) == 2


def test_time_carries_its_offset_and_a_clock_set_back_is_noted(file: Path) -> None:
    # Row H6 (RFC 3339; ALCOA "consistent"): order by sequence, the jump is an event.
    clock = Clock()
    with Store.open(file, clock=clock) as store:
        store.append("note", data={"text": "before"})
        clock.now -= timedelta(hours=3)
        store.append("note", data={"text": "after"})
        kinds = [event.kind for event in store.events()]
        assert kinds == ["note", "clock-set", "note"]
        assert store.events()[0].time == "2031-03-01T09:00:00.000+01:00"
        assert store.events()[1].data == {"from": "2031-03-01T09:00:00.000+01:00", "to": "2031-03-01T06:00:00+01:00"}
        assert [event.data.get("text") for event in store.events(kinds=["note"])] == ["before", "after"]


def test_a_second_program_reads_and_is_told_why(file: Path) -> None:
    # Row H5 (21 CFR 11.10(h)): a second process cannot append.
    with Store.open(file) as first, Store.open(file) as second:
        assert not first.read_only
        assert second.read_only
        assert "is writing to this record" in second.notice
        first.append("note", data={})
        assert len(second.events()) == 1
        with pytest.raises(RecordBusyError, match="is writing to this record"):
            second.append("note", data={})
    with Store.open(file) as store:
        assert not store.read_only


def test_reading_only_makes_no_file(file: Path) -> None:
    with Store.open(file, read_only=True) as store:
        assert store.events() == ()
        assert store.jobs() == ()
    assert not file.parent.exists()


def test_a_writer_locked_inside_sqlite_is_said_in_words(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchtui.record.store.BUSY_SECONDS", 0.05)
    with Store.open(file) as store:
        other = sqlite3.connect(file, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(RecordBusyError, match="nothing was saved"):
            store.append("note", data={})
        other.execute("ROLLBACK")
        other.close()
        store.append("note", data={})


def test_a_full_disk_is_said_in_words_and_loses_nothing(file: Path) -> None:
    with Store.open(file) as store:
        store.append("note", data={"text": "kept"})
        pages = store.connection.execute("PRAGMA page_count").fetchone()[0]
        store.connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(RecordError, match="full; the last act was not saved"):
            for _ in range(200):
                store.append("note", data={"text": "x" * 2000})
        kept = store.events()
        assert kept[0].data == {"text": "kept"}
        store.connection.execute("PRAGMA max_page_count = 100000")
        after = store.append("note", data={"text": "space again"})
        assert after.seq == kept[-1].seq + 1


def test_a_newer_record_is_refused_politely_and_left_alone(file: Path) -> None:
    Store.open(file).close()
    db = sqlite3.connect(file)
    db.execute(f"PRAGMA user_version = {VERSION + 1}")
    db.close()
    before = file.read_bytes()
    for read_only in (True, False):
        with pytest.raises(NewerRecordError, match="newer version of this program"):
            Store.open(file, read_only=read_only)
    assert file.read_bytes() == before


def test_a_file_of_something_else_is_refused(file: Path) -> None:
    file.parent.mkdir()
    file.write_text("this is no database, though it is long enough to be taken for one" * 10)
    with pytest.raises(RecordDamagedError, match="damaged"):
        Store.open(file)
    file.unlink()
    db = sqlite3.connect(file)
    db.execute("CREATE TABLE recipes (name TEXT)")
    db.commit()
    db.close()
    with pytest.raises(RecordDamagedError, match="database of another program"):
        Store.open(file)


def test_a_copied_file_writes_under_a_name_of_its_own(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as store:
        store.append("note", data={})
        workshop = store.origin
    copy = tmp_path / "touring.sqlite"
    copy.write_bytes(file.read_bytes())
    with Store.open(copy) as store:
        assert store.origin != workshop
        event = store.append("note", data={})
        knows = store.events(kinds=["knows"])[0]
        assert (knows.number, knows.previous, knows.data) == (1, "", {"heads": {workshop: 1}})
        assert (event.number, event.previous, event.seq, event.clock) == (2, knows.digest, 3, 3)
    with Store.open(file) as store:
        assert store.origin == workshop


def test_summaries_equal_what_the_events_give(file: Path) -> None:
    with Store.open(file) as store:
        store.append("job-started", unit="HCD-001-A", job="j1", data={"title": "Assembly"}, glance='{"done":0}')
        store.append("unit-state", unit="HCD-001-A", data={"state": "in work"})
        store.append("step-done", unit="HCD-001-A", job="j1", data={"step": "s1"}, glance='{"done":1}')
        store.append("job-started", job="j2", data={"title": "Load-in check"})
        store.append("job-closed", job="j2", data={})
        jobs, units = store.jobs(), store.units()
        assert [(row.job, row.title, row.unit, row.closed, row.events) for row in jobs] == [
            ("j2", "Load-in check", "", True, 2),
            ("j1", "Assembly", "HCD-001-A", False, 2),
        ]
        assert [row.job for row in store.jobs(open_only=True)] == ["j1"]
        assert store.jobs(open_only=True)[0].glance == '{"done":1}'
        assert [(row.unit, row.state, row.events) for row in units] == [("HCD-001-A", "in work", 3)]
        views.rebuild(store.connection)
        assert store.units() == units
        assert [row.last_kind for row in store.jobs()] == [row.last_kind for row in jobs]


def test_a_text_is_kept_once_by_its_digest(file: Path) -> None:
    with Store.open(file) as store:
        store.append("job-started", job="j1", data={}, texts=["the plan"])
        store.append("job-started", job="j2", data={}, texts=["the plan"])
        digest = store.connection.execute("SELECT digest FROM text").fetchall()
        assert len(digest) == 1
        assert store.text(digest[0][0]) == "the plan"
        with pytest.raises(RecordError, match="no text of digest"):
            store.text("0" * 64)


def test_no_query_of_every_day_reads_the_whole_table(file: Path) -> None:
    # Row K7 (Miller; Nielsen): with a million events an act is still saved at once.
    with Store.open(file) as store:
        asked: list[str] = []
        store.append("job-started", unit="HCD-001-A", job="j1", data={"title": "Assembly"})
        store.connection.set_trace_callback(asked.append)
        store.append("note", unit="HCD-001-A", job="j1", data={"text": "x"})
        store.events(unit="HCD-001-A", newest=5)
        store.events(job="j1")
        store.jobs(open_only=True)
        views.rebuild(store.connection, jobs=["j1"], units=["HCD-001-A"])
        store.connection.set_trace_callback(None)
        for query in asked:
            if query.lstrip().upper().startswith(("SELECT", "INSERT INTO JOB", "INSERT INTO UNIT")):
                for row in store.connection.execute(f"EXPLAIN QUERY PLAN {query}"):
                    assert not row[3].startswith("SCAN event"), query


def test_a_record_that_is_open_by_another_name_of_its_file_says_so(tmp_path: Path) -> None:
    # One writer at a time (documentation of SQLite, "How to corrupt a database": a hard link makes a second log).
    with Store.open(tmp_path / "record.sqlite") as store:
        store.append("note", data={"text": "x"})
        (tmp_path / "other.sqlite").hardlink_to(tmp_path / "record.sqlite")
        with pytest.raises(RecordError, match="has another name too") as refusal:
            Store.open(tmp_path / "other.sqlite")
        assert "disk" not in str(refusal.value)
        assert "one name only" in refusal.value.hint
        store.append("note", data={"text": "y"})
        assert len(store.events()) == 2
