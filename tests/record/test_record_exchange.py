"""Verifying, exporting, merging, backing up, migrating and searching a record."""

from __future__ import annotations

import hashlib
import json
import random
import re
import sqlite3
from pathlib import Path

import pytest

from benchtui.errors import NewerRecordError, RecordDamagedError, RecordError
from benchtui.record import views
from benchtui.record.backup import backup
from benchtui.record.event import canonical, text_digest
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.migrate import copy_of
from benchtui.record.schema import VERSION
from benchtui.record.search import look
from benchtui.record.store import Store
from benchtui.record.verify import verify

OLD = Path(__file__).parent / "old_records"


def fill(store: Store, count: int = 6) -> None:
    """Events of two units and their jobs."""
    store.append(
        "job-started",
        unit="HCD-001-A",
        job="J1",
        data={"title": "Assembly", "plan": text_digest("the plan")},
        texts=["the plan"],
    )
    for n in range(count):
        store.append("note", unit="HCD-001-A", job="J1", data={"text": f"fader {n} is stiff", "n": n})
    store.append("unit-state", unit="HCD-002-C", data={"state": "planned"})


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite"


def test_a_record_that_was_left_alone_verifies(file: Path) -> None:
    with Store.open(file) as store:
        fill(store)
        assert verify(store) == ()


@pytest.mark.parametrize(
    ("act", "words"),
    [
        ("UPDATE event SET data = replace(data, 'stiff', 'loose') WHERE seq = 3", "event 3 .*was changed"),
        ("UPDATE event SET time = '2001-01-01T00:00:00+00:00' WHERE seq = 2", "event 2 .*changed"),
        ("DELETE FROM event WHERE seq = 4", "events 4 to 4 of its record are missing"),
        ("DELETE FROM event WHERE seq = 4", "7 events are there, and the last is number 8"),
        ("UPDATE text SET body = 'another plan'", "text .*was changed"),
        ("UPDATE unit SET state = 'released'", "unit HCD-002-C.*differs from its events"),
        ("UPDATE job SET closed = 1", "job J1.*differs from its events"),
    ],
)  # fmt: skip
def test_every_change_behind_its_back_is_found_and_named(file: Path, act: str, words: str) -> None:
    # Row H3 (21 CFR Part 11, integrity).
    with Store.open(file) as store:
        fill(store)
        store.connection.execute(act)
        assert any(re.search(words, f"{finding.where}: {finding.message}") for finding in verify(store))


def test_a_flipped_byte_is_found(file: Path) -> None:
    # Row H3. A byte of a page that holds no text of an event may change nothing that can be read.
    with Store.open(file) as store:
        fill(store, 40)
        store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        whole = canonical([canonical(event.data) for event in store.events()])
    good = file.read_bytes()
    dice = random.Random(6)
    spots = [good.index(b"fader 17 is stiff") + 3, *(dice.randrange(100, len(good)) for _ in range(40))]
    found = 0
    for spot in spots:
        bad = bytearray(good)
        bad[spot] ^= 1 << dice.randrange(8)
        for name in (file.with_name("bad.sqlite"),):
            name.write_bytes(bad)
            try:
                with Store.open(name, read_only=True) as store:
                    problems = verify(store)
                    same = problems or canonical([canonical(event.data) for event in store.events()]) == whole
            except RecordError:
                problems, same = (True,), True  # type: ignore[assignment]
            assert same, f"byte {spot} changed an event and was not found"
            found += bool(problems)
            if spot == spots[0]:
                assert problems
    assert found


def test_an_export_is_the_same_bytes_from_the_same_events(file: Path, tmp_path: Path) -> None:
    # Rows H18 and H19 (820.184; ISO 9001 8.6; 21 CFR 11.10(b)).
    with Store.open(file) as store:
        fill(store)
        first = list(lines(store))
        assert first == list(lines(store))
        one = list(lines(store, unit="HCD-001-A"))
    with Store.open(tmp_path / "other.sqlite") as other:
        assert merge(other, first).added == 8
        assert list(lines(other)) == first
        assert verify(other) == ()
        assert other.jobs()[0].title == "Assembly"
        assert other.text(text_digest("the plan")) == "the plan"
    with Store.open(tmp_path / "unit.sqlite") as other:
        merge(other, one)
        assert list(lines(other, unit="HCD-001-A")) == one
        assert verify(other) == ()
        assert [row.unit for row in other.units()] == ["HCD-001-A"]


def test_two_benches_that_went_on_apart_hold_the_same_after_merging_either_way(tmp_path: Path) -> None:
    workshop, touring = tmp_path / "workshop.sqlite", tmp_path / "touring.sqlite"
    with Store.open(workshop) as store:
        fill(store)
    touring.write_bytes(workshop.read_bytes())
    with Store.open(workshop) as here, Store.open(touring) as there:
        for n in range(5):
            here.append("note", unit="HCD-001-A", job="J1", data={"text": f"workshop {n}"})
            there.append("note", unit="HCD-001-A", job="J1", data={"text": f"touring {n}"})
        there.append("unit-state", unit="HCD-002-C", data={"state": "in work"})
        from_here, from_there = list(lines(here)), list(lines(there))
        assert merge(here, from_there).added == 7  # what that bench knew stands before its first entry
        assert merge(there, from_here).added == 5
        assert list(lines(here)) == list(lines(there))
        assert [event.id for event in here.events()] == [event.id for event in there.events()]
        assert here.units() == there.units()
        assert [row.last_time for row in here.jobs()] == [row.last_time for row in there.jobs()]
        again = merge(here, from_there)
        assert (again.added, again.known) == (0, 15)
        assert verify(here) == verify(there) == ()
        after = here.append("note", data={"text": "after the merge"})
        assert after.clock > max(event.clock for event in here.events()[:-1])


def test_two_events_of_one_identity_are_named_and_both_kept(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as store:
        origin = store.origin
        store.append("note", data={"text": "ours"})
        with Store.open(tmp_path / "forged.sqlite") as other:
            other._origin = origin  # as if a copy had not been noticed
            other.append("note", data={"text": "theirs"})
            theirs = list(lines(other))
        merged = merge(store, theirs)
        assert (merged.added, len(merged.conflicts)) == (1, 1)
        assert "both are kept" in merged.conflicts[0]
        assert {event.data["text"] for event in store.events()} == {"ours", "theirs"}
        assert merge(store, theirs).conflicts == ()
        assert verify(store) == ()
        assert store.append("note", data={}).origin not in origin, "the name is not used any further"


def test_a_changed_line_is_refused_and_nothing_is_taken_in(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as store:
        fill(store)
        whole = list(lines(store))
    forged = [line.replace("stiff", "loose") for line in whole]
    newer = [canonical({**json.loads(whole[0]), "format": 99}), *whole[1:]]
    with Store.open(tmp_path / "other.sqlite") as other:
        with pytest.raises(RecordDamagedError, match="line 4 was changed"):
            merge(other, forged)
        with pytest.raises(RecordDamagedError, match="no line of an export"):
            merge(other, ["{}"])
        with pytest.raises(NewerRecordError):
            merge(other, newer)
        assert other.events() == ()


def test_a_backup_is_whole_and_never_overwrites(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as store:
        fill(store)
        copy = backup(store, tmp_path)
        events = store.events()
        with pytest.raises(RecordError, match="is there already"):
            backup(store, copy)
        assert backup(store, tmp_path).stem == f"{copy.stem}-2", "twice on one day is usual"
        assert backup(store, tmp_path).stem == f"{copy.stem}-3"
    with Store.open(copy, read_only=True) as store:
        assert store.events() == events
        assert verify(store) == ()


@pytest.mark.parametrize("version", range(1, VERSION))
def test_a_record_of_every_earlier_version_opens_with_a_copy_made_first(file: Path, version: int) -> None:
    script = (OLD / f"version_{version}.sql").read_text(encoding="utf-8")
    db = sqlite3.connect(file)
    db.executescript(script)
    db.close()
    with Store.open(file, read_only=True) as store:
        assert [event.kind for event in store.events()] == ["job-started", "note", "unit-state"]
    assert not copy_of(file, version).exists(), "only reading changes nothing on the disk"
    with Store.open(file) as store:
        assert verify(store) == ()
        assert look(store, "stiff").events[0].data["text"] == "the clip is stiff"
        store.append("note", data={"text": "after"})
    old = sqlite3.connect(copy_of(file, version))
    assert old.execute("PRAGMA user_version").fetchone() == (version,)
    assert old.execute("SELECT count(*) FROM event").fetchone() == (3,)
    old.close()


def test_words_are_found_with_and_without_an_index(file: Path) -> None:
    # Row J2 (S1000D; Miller).
    with Store.open(file) as store:
        fill(store)
        store.append(
            "hunt-started", unit="HCD-002-C", job="H1", data={"words": "pad 7 double-fires", "title": "A dead input"}
        )
        for _ in range(2):
            assert [event.data["n"] for event in look(store, "stiff FADER 3").events] == [3]
            assert len(look(store, "fader stif").events) == 6
            assert look(store, "fader stif", limit=2).events[0].data["n"] == 5
            assert [event.kind for event in look(store, "double-fires").events] == ["hunt-started"]
            assert look(store, "nowhere").events == ()
            assert look(store, '"; DROP').events == ()
            store.connection.execute("DROP TABLE IF EXISTS words")


def test_summaries_kept_equal_summaries_rebuilt(file: Path) -> None:
    with Store.open(file) as store:
        fill(store)
        units, jobs = store.units(), store.jobs()
        views.rebuild(store.connection)
        assert store.units() == units
        assert store.jobs() == jobs


def test_a_file_that_is_not_the_one_attached_is_found(file: Path) -> None:
    # Row E13 (S1000D dialogs; MIL-PRF-87269).
    picture = file.with_name("trace.png")
    picture.write_bytes(b"as it was")
    digest = hashlib.sha256(b"as it was").hexdigest()
    with Store.open(file) as store:
        for name in ("trace.png", "elsewhere.png"):
            store.append("file-attached", job="J1", data={"name": name, "digest": digest, "size": 9})
        assert verify(store) == (), "a file that is not at hand proves nothing"
        picture.write_bytes(b"another")
        assert [finding.where for finding in verify(store)] == ["file trace.png"]
