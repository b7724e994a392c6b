"""A copy put back, and what is missing: the record notices, says it in one sentence, and never gives a name twice.

Rows H2 and H3 (21 CFR 11.10(c), (e): records stay complete and cannot be changed unseen), H4 (ALCOA "enduring").
"""

from __future__ import annotations

import itertools
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest

from benchtui.errors import RecordBusyError, RecordDamagedError
from benchtui.jobs.sensible import sensible
from benchtui.record import heads, views
from benchtui.record import lock as lock_module
from benchtui.record.backup import backup
from benchtui.record.branches import Link, named
from benchtui.record.event import canonical, digest_of, text_digest
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.migrate import connect, copy_of
from benchtui.record.store import Store
from benchtui.record.verify import ends, verify
from benchtui.record.whole import totals

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite"


def notes(store: Store, count: int, text: str = "note") -> None:
    for n in range(count):
        store.append("note", unit="HCD-001-R", data={"text": f"{text} {n}"})


def texts(store: Store) -> list[str]:
    return [event.data["text"] for event in store.events(kinds=["note"])]


def raw_copy(file: Path, target: Path) -> None:
    """As a file manager copies a record that is not open."""
    shutil.copyfile(file, target)


def backed_up(file: Path, target: Path) -> None:
    with Store.open(file) as store:
        backup(store, target)


@pytest.mark.parametrize("make", [backed_up, raw_copy])
@pytest.mark.parametrize("put", [shutil.copyfile, shutil.move])
def test_a_backup_put_back_says_what_it_lacks_and_goes_on_under_a_new_name(
    file: Path, tmp_path: Path, make: Callable[[Path, Path], None], put: Callable[[Path, Path], object]
) -> None:
    copy = tmp_path / "copy.sqlite"
    with Store.open(file) as store:
        notes(store, 3, "before")
    make(file, copy)
    with Store.open(file) as store:
        assert store.told == ""
        notes(store, 2, "after")
        old, exported = store.origin, list(lines(store))
    with Store.open(tmp_path / "tour.sqlite") as tour:
        merge(tour, exported)
    put(copy, file)
    with Store.open(file, read_only=True) as store:
        assert "an older copy was put back" in verify(store)[0].message
    with Store.open(file) as store:
        assert store.told.startswith("an older copy of the record was put back: it lacks the last 2 entries made here")
        assert store.origin != old
        noted = store.events(kinds=["copy-put-back"])[0].data
        assert (noted["origin"], noted["has"], noted["had"]) == (old, 3, 5)
        notes(store, 2, "new")
        assert verify(store) == ()
        merged = merge(store, exported)
        assert (merged.added, merged.known, merged.conflicts) == (2, 3, ()), "what it lacked comes back by import"
        assert verify(store) == ()
        back = list(lines(store))
    with Store.open(tmp_path / "tour.sqlite") as tour:
        assert merge(tour, back).conflicts == ()
        assert sorted(texts(tour)) == sorted(
            [f"{w} {n}" for w, c in (("before", 3), ("after", 2), ("new", 2)) for n in range(c)]
        )
        assert list(lines(tour)) == back
    with Store.open(file) as store:
        assert store.told == "", "it is said once"


@pytest.mark.skipif(sys.platform == "win32", reason="the time of a change is not kept there")
@pytest.mark.parametrize("copy", [shutil.copyfile, shutil.copy2])
def test_the_whole_folder_put_back_over_itself_is_noticed(
    file: Path, tmp_path: Path, copy: Callable[[Path, Path], object]
) -> None:
    # The small file is as old as the record then, and says nothing of what is lost.
    kept = tmp_path / "kept"
    kept.mkdir()
    with Store.open(file) as store:
        notes(store, 3, "before")
        old = store.origin
    os.utime(file, (1_900_000_000, 1_900_000_000))
    with Store.open(file) as store:
        pass
    files = [file, file.with_name(file.name + ".head")]
    for each in files:
        copy(each, kept / each.name)
    with Store.open(file) as store:
        old = store.origin
        notes(store, 2, "after")
        exported = list(lines(store))
    for each in files:
        copy(kept / each.name, each)
    with Store.open(file) as store:
        assert store.origin != old
        notes(store, 2, "new")
        assert merge(store, exported).conflicts == ()
        assert verify(store) == ()
    with Store.open(file) as store:
        assert store.told == ""


def test_a_record_written_by_another_program_says_so(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 3)
        old, when = store.origin, store.events()[-1].time[:16].replace("T", " ")
    os.utime(file, (1_900_000_000, 1_900_000_000))
    with Store.open(file) as store:
        assert store.told == (
            f"record.sqlite was written by another program; if that put a copy back, it lacks what came after {when}"
        )
        assert store.origin != old


def test_a_backup_on_another_machine_says_until_when_it_goes(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as store:
        notes(store, 2)
        old = store.origin
        copy = backup(store, tmp_path / "copy.sqlite")
        when = store.events()[-1].time[:16].replace("T", " ")
    with Store.open(copy) as store:
        assert store.told == f"this is a backup, with all that was written until {when} and nothing after it"
        assert store.origin != old
    with Store.open(copy) as store:
        assert store.told == ""


def test_a_backup_put_back_beside_the_log_of_a_killed_program_is_not_written_over(file: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    store = Store.open(file)
    notes(store, 3, "before")
    backup(store, copy)
    notes(store, 200, "after")
    log = file.with_name(file.name + "-wal")
    assert file.read_bytes()[18:20] == b"\x02\x02", (
        "a record in use says in its head that it has a log (SQLite file format)"
    )
    killed = log.read_bytes()
    store.close()
    assert killed
    shutil.copyfile(copy, file)
    log.write_bytes(killed)  # as it lies there when the program was killed
    with Store.open(file, read_only=True) as store:
        assert len(texts(store)) == 3
    with Store.open(file) as store:
        assert len(texts(store)) == 3
        assert "it lacks the last 200 entries" in store.told
        assert verify(store) == ()
    assert (tmp_path / "record.sqlite-log-of-another-file-1").read_bytes() == killed, "nothing is thrown away"


def test_the_small_file_beside_the_record_may_be_lost(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 1)
        old = store.origin
    head = file.with_name(file.name + ".head")
    for damage in (head.unlink, lambda: head.write_bytes(b"\0" * 12)):
        damage()
        with Store.open(file) as store:
            assert "record.sqlite.head was gone and is made anew" in store.told
            assert store.origin != old
            old = store.origin
            notes(store, 1)
            assert verify(store) == ()
        with Store.open(file) as store:
            assert store.told == ""
            assert store.origin == old


def test_a_program_of_an_earlier_version_may_have_written_meanwhile(file: Path) -> None:
    # It knows neither the lines nor the file that say how far the record has come.
    with Store.open(file) as store:
        notes(store, 2)
        store.connection.execute("CREATE TEMP TABLE was AS SELECT * FROM meta WHERE key LIKE 'head:%'")
        head = store.head_file.path.read_bytes()
        notes(store, 2)
        store.connection.execute("INSERT OR REPLACE INTO meta SELECT * FROM was")
    file.with_name(file.name + ".head").write_bytes(head)
    with Store.open(file) as store:
        assert store.told == ""
        assert verify(store) == ()


def test_a_record_put_back_after_a_kill_is_noticed_by_the_disk_s_own_time(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # ALCOA "enduring". A kill leaves no times of the end, and the small file beside is put back with the record.
    monkeypatch.setattr(heads, "CLOCKS_DIFFER", 30_000_000)
    kept = tmp_path / "kept"
    kept.mkdir()
    store = Store.open(file)
    notes(store, 2, "before")
    first = store.origin
    for each in tmp_path.glob("record.sqlite*"):
        shutil.copyfile(each, kept / each.name)
    notes(store, 3, "after")
    store.close()
    time.sleep(0.1)
    for each in tmp_path.glob("record.sqlite*"):
        if not (kept / each.name).exists():
            each.unlink()
    for each in kept.iterdir():
        with each.open("rb") as source, (tmp_path / each.name).open("wb") as target:  # the file stays the same one
            shutil.copyfileobj(source, target)
    with Store.open(file) as again:
        assert "if that put a copy back, it lacks what came after" in again.told
        assert again.origin != first
        assert texts(again) == ["before 0", "before 1"]
    with Store.open(file) as again:
        assert again.told == "", "said once"


def test_a_kill_alone_is_no_copy(file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heads, "CLOCKS_DIFFER", 30_000_000)
    here = tmp_path / "killed"
    here.mkdir()
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import os, sys, pathlib; from benchtui.record.store import Store\n"
            "store = Store.open(pathlib.Path(sys.argv[1])); store.append('note', data={'text': 'x'})\n"
            "print(store.origin, flush=True); os._exit(9)",
            str(here / "record.sqlite"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    time.sleep(0.1)
    with Store.open(here / "record.sqlite") as store:
        assert store.told == ""
        assert store.origin == done.stdout.strip()


@pytest.mark.parametrize(
    ("act", "words"),
    [
        ("DELETE FROM event WHERE seq = 5", "events 5 to 5 of it are missing"),
        ("DELETE FROM event", "events 1 to 5 of it are missing"),
        ("DELETE FROM text", "the text it went by is missing"),
    ],
)
def test_a_lost_end_and_a_lost_text_are_found(file: Path, act: str, words: str) -> None:
    with Store.open(file) as store:
        store.append("job-started", job="J1", data={"title": "t", "plan": text_digest("plan")}, texts=["plan"])
        notes(store, 4)
        assert verify(store) == ()
        last = store.events()[-1]
        assert ends(store) == (f"{last.origin}:5 {last.digest}",)
        store.connection.execute(act)
        views.rebuild(store.connection)
        assert any(words in finding.message for finding in verify(store))


def test_an_end_that_was_cut_off_with_its_note_is_found_by_the_file_beside(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 4)
        store.connection.execute("DELETE FROM event WHERE seq = 4")
        views.rebuild(store.connection)
        store.connection.execute("DELETE FROM meta WHERE key LIKE 'head:%'")
        origin = store.origin
        assert [finding.where for finding in verify(store)] == [f"end of {origin}", str(store.head_file.path)]


def test_an_end_that_was_cut_off_with_both_notes_leaves_their_absence(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 4)
        origin = store.origin
        store.connection.execute("DELETE FROM event WHERE seq = 4")
        views.rebuild(store.connection)
        store.connection.execute("DELETE FROM meta WHERE key LIKE 'head:%'")
    file.with_name(file.name + ".head").unlink()
    with Store.open(file, read_only=True) as store:
        found = {finding.where: finding.message for finding in verify(store)}
    assert "what came after its event 3 may be, too" in found[f"end of {origin}"]
    assert "is gone or cannot be read" in found[str(file) + ".head"]


def test_of_a_part_that_was_taken_in_only_what_never_was_there_may_be_missing(file: Path, tmp_path: Path) -> None:
    with Store.open(tmp_path / "other.sqlite") as other:
        for n in range(8):
            other.append("note", unit=f"HCD-00{n % 2}-A", data={"text": str(n)})
        part = list(lines(other, unit="HCD-001-A"))
        whole = list(lines(other))
    with Store.open(file) as store:
        merge(store, part)
        assert verify(store) == ()
        store.connection.execute("DELETE FROM event WHERE seq = 2")
        store.connection.execute("UPDATE event SET seq = seq - 1 WHERE seq > 2")
        views.rebuild(store.connection)
        assert any("events 3 to 5 of its record are missing" in finding.message for finding in verify(store))
        merge(store, whole)
        assert verify(store) == ()
        assert list(lines(store)) == whole


def test_a_link_to_another_event_is_found(file: Path) -> None:
    # The digest is right for what the event says of itself; only the chain shows that it was put in.
    with Store.open(file) as store:
        notes(store, 2)
        store.connection.execute("UPDATE event SET previous = ?, digest = ? WHERE seq = 2", forged(store, "f" * 64))
        store.connection.execute("DELETE FROM meta WHERE key LIKE 'head:%'")
        assert any("does not follow" in finding.message for finding in verify(store))


def summed(exported: list[str]) -> list[str]:
    """Lines of an export that a forger has changed, with a first line that says so many, and their digest."""
    return [canonical({**json.loads(exported[0]), **totals(exported[1:])}), *exported[1:]]


def forged(store: Store, previous: str) -> tuple[str, str]:
    """A link of the last event to another one, and the digest it then has."""
    last = store.events()[-1]
    fields = {name: getattr(last, name) for name in ("origin", "number", "clock", "time", "kind", "unit", "job")}
    return previous, digest_of(previous=previous, data=canonical(last.data), **fields)


def put_back_twice(file: Path, tmp_path: Path) -> list[list[str]]:
    """A copy put back, worked on, and put back once more; what each time was lost stands in an export of before."""
    copy = tmp_path / "copy.sqlite"
    with Store.open(file) as store:
        notes(store, 3, "before")
    raw_copy(file, copy)
    exports = []
    for words, count in (("first", 5), ("second", 2)):
        with Store.open(file) as store:
            notes(store, count, words)
            exports.append(list(lines(store)))
        shutil.copyfile(copy, file)
        with Store.open(file):
            pass  # it is noticed, and noted
    return exports


def test_what_was_lost_by_each_copy_put_back_is_said_until_it_came_in(file: Path, tmp_path: Path) -> None:
    # ALCOA "complete", "enduring": the second copy takes the notes of the first away with all the rest.
    first, second = put_back_twice(file, tmp_path)
    with Store.open(file) as store:
        assert "the last 5 entries" in store.told
        assert "the last 4 entries" in store.told, "two notes, the note that a copy was put back, and what was known"
        assert store.told.count("an older copy of the record was put back") == 2
        merge(store, second)
    with Store.open(file) as store:
        assert "the last 5 entries" in store.told
        assert "the last 4 entries" not in store.told
        merge(store, first)
    with Store.open(file) as store:
        assert store.told == ""
        assert not file.with_name(file.name + ".lacks").exists()
        assert verify(store) == ()


def test_one_decision_settles_all_that_is_lacking_and_names_each(file: Path, tmp_path: Path) -> None:
    put_back_twice(file, tmp_path)
    with Store.open(file) as store:
        settled = store.settle_lacks(by="me", reason="done again")
        assert "the last 5 entries" in settled.data["about"]
        assert "the last 4 entries" in settled.data["about"]
    with Store.open(file) as store:
        assert store.told == ""
    with Store.open(file, read_only=True) as store:
        assert store.told == ""


def test_it_is_said_of_a_record_opened_for_reading_and_of_one_whose_small_file_is_unreadable(
    file: Path, tmp_path: Path
) -> None:
    put_back_twice(file, tmp_path)
    with Store.open(file, read_only=True) as store:
        assert store.told.count("was put back") == 2
    file.with_name(file.name + ".lacks").write_bytes(b"\xff[1]")
    with Store.open(file) as store:
        assert store.told.count("was put back") == 2, "the record itself has it noted as well"


# -- two lines of events under one name ------------------------------------------------------------------------------


def test_branches_have_the_same_names_in_whatever_order_they_came_together(tmp_path: Path) -> None:
    # Any way to take in any of the histories gives the same bytes and lists: commutative, associative, idempotent.
    for seed in range(4):
        dice = random.Random(seed)
        exports = histories(tmp_path / str(seed), dice)
        outcomes = []
        for number, order in enumerate(itertools.islice(itertools.permutations(exports), 0, 24, 7)):
            with Store.open(tmp_path / str(seed) / f"merged-{number}.sqlite") as store:
                for export in order:
                    merge(store, export)
                    assert merge(store, export).added == 0
                assert verify(store) == ()
                outcomes.append((list(lines(store)), store.jobs(), store.units()))
        with Store.open(tmp_path / str(seed) / "pairs.sqlite") as store:
            pairs = []
            for two in (exports[:2], exports[2:]):
                with Store.open(tmp_path / str(seed) / f"pair-{len(pairs)}.sqlite") as pair:
                    for export in two:
                        merge(pair, export)
                    pairs.append(list(lines(pair)))
            for export in reversed(pairs):
                merge(store, export)
            outcomes.append((list(lines(store)), store.jobs(), store.units()))
        assert all(outcome == outcomes[0] for outcome in outcomes), seed
        kept = [json.loads(line) for line in outcomes[0][0][1:]]
        written = {json.loads(line)["digest"] for export in exports for line in export[1:]}
        assert {event["digest"] for event in kept} == written, "nothing is lost"
        assert len({event["origin"] for event in kept}) > 1


def histories(folder: Path, dice: random.Random) -> list[list[str]]:
    """Exports of four files that went on from copies of each other under one name, as if no copy had been noticed."""
    folder.mkdir()
    files = [folder / "0.sqlite"]
    with Store.open(files[0]) as store:
        notes(store, dice.randrange(1, 4))
    for number in range(1, 4):
        file = folder / f"{number}.sqlite"
        source = dice.choice(files)
        with Store.open(source) as store:
            origin = store.origin
        raw_copy(source, file)
        files.append(file)
        for each in (source, file):
            with Store.open(each) as store:
                store._origin = origin
                store.connection.execute("UPDATE meta SET value = ? WHERE key = 'origin'", (origin,))
                for _ in range(dice.randrange(1, 4)):
                    state = dice.choice(["in work", "held", "scrapped"])
                    store.append("unit-state", unit="HCD-001-R", data={"state": state, "n": dice.random()})
    exports = []
    for file in files:
        with Store.open(file) as store:
            # One of them gives away a part of what it has.
            exports.append(list(lines(store, unit=dice.choice(["", "HCD-001-R"]))))
    return exports


def test_a_part_of_another_line_of_events_is_not_hung_on_ours(file: Path, tmp_path: Path) -> None:
    # Only one unit of the other line is given away: the event that the two lines part at is not among it.
    other = tmp_path / "other.sqlite"
    with Store.open(file) as store:
        notes(store, 1)
        origin = store.origin
    raw_copy(file, other)
    with Store.open(other) as store:
        store._origin = origin
        store.append("note", unit="HCD-002-M", data={"text": "theirs 2"})
        notes(store, 1, "theirs 3")
        part = list(lines(store, unit="HCD-001-R"))
    with Store.open(file) as store:
        notes(store, 1, "ours 2")
        whole = list(lines(store))
    outcomes = []
    for number, order in enumerate(((whole, part), (part, whole))):
        with Store.open(tmp_path / f"merged-{number}.sqlite") as store:
            for export in order:
                merge(store, export)
            assert verify(store) == ()
            outcomes.append(list(lines(store)))
            assert {event.id for event in store.events()} > {f"{origin}:1", f"{origin}:2"}
            assert len(texts(store)) == 3
    assert outcomes[0] == outcomes[1]


def test_the_lowest_digest_goes_on_under_the_name() -> None:
    links = [
        Link(1, "a", ""),
        Link(2, "c", "a"),
        Link(2, "b", "a"),
        Link(3, "d", "c"),
        Link(3, "e", "b"),
        Link(5, "g", "?"),
    ]
    assert named("o", links) == {"a": "o", "b": "o", "c": "o~c", "d": "o~c", "e": "o", "g": "o"}


# -- one writer ------------------------------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="making a link needs a right of its own there")
def test_a_second_writer_by_another_name_of_the_record_is_kept_out(file: Path, tmp_path: Path) -> None:
    # Row H5 (21 CFR 11.10(h)).
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "linked.sqlite"
    link.symlink_to(file)
    with Store.open(file) as first:
        notes(first, 1)
        with Store.open(link) as second:
            assert second.read_only
            assert len(second.events()) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be deleted there")
def test_when_the_lock_s_file_is_deleted_there_is_still_one_writer(file: Path) -> None:
    lock = file.with_name(file.name + ".lock")
    with Store.open(file) as first:
        lock.unlink()
        notes(first, 1)
        with Store.open(file) as second:
            assert second.read_only, "the first has made it anew"
        lock.unlink()
        with Store.open(file) as second:
            assert not second.read_only
            with pytest.raises(RecordBusyError, match=r"another program .*is writing to this record"):
                notes(first, 1)
            assert first.read_only
            assert first.notice
            notes(second, 1)
            assert verify(second) == ()


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be deleted there")
def test_a_lock_s_file_deleted_while_it_is_being_taken_is_taken_anew(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    taking = lock_module._lock

    def taken_late(handle: int) -> bool:
        lock_file.unlink(missing_ok=True)
        monkeypatch.setattr(lock_module, "_lock", taking)
        return taking(handle)

    lock_file = file.with_name(file.name + ".lock")
    monkeypatch.setattr(lock_module, "_lock", taken_late)
    with Store.open(file) as first, Store.open(file) as second:
        assert not first.read_only
        assert second.read_only


def test_what_is_written_is_on_the_disk_before_it_is_said(file: Path) -> None:
    # SQLite, PRAGMA synchronous: 2 is FULL, with which a commit to the log outlives a loss of power; fullfsync: macOS.
    with Store.open(file) as store:
        asked = {
            name: store.connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("synchronous", "fullfsync")
        }
        assert asked == {"synchronous": 2, "fullfsync": 1}
        assert store.connection.execute("PRAGMA journal_mode").fetchone()[0] in ("wal", "delete")


# -- an export that does not make sense ------------------------------------------------------------------------------


def line_of(**changed: object) -> list[str]:
    """An export of one event with fields changed and the digest made to fit."""
    event = {
        "origin": "abcdef012345", "number": 1, "clock": 1, "time": "2031-03-01T09:00:00.000+01:00", "kind": "note",
        "unit": "HCD-001-R", "job": "", "data": {"text": "x"}, "previous": "", **changed,
    }  # fmt: skip
    digest = digest_of(**{**event, "data": canonical(event["data"])})  # type: ignore[arg-type]
    return [canonical({"record": "benchtui", "format": 1, "unit": ""}), canonical({**event, "digest": digest})]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"time": "yesterday"}, "time is 'yesterday'"),
        ({"time": "2031-03-01T09:00:00"}, "time is '2031-03-01T09:00:00'"),
        ({"time": "0001-01-01T00:00:00+00:00"}, "time is '0001-01-01T00:00:00+00:00'"),
        ({"time": "2031-W09-6T09:00:00+01:00"}, "time is '2031-W09-6T09:00:00+01:00'"),
        ({"time": "2031-02-30T09:00:00+01:00"}, "time is '2031-02-30T09:00:00+01:00'"),
        ({"number": -3}, "number is -3"),
        ({"number": True}, "number is True"),
        ({"clock": 2**62}, "clock is"),
        ({"number": 4}, "does not name the event before it"),
        ({"previous": "f" * 64}, "nothing is before it"),
        ({"unit": "HCD-001-R\x1b[2J"}, "unit is"),
        ({"kind": "Note!"}, "kind is"),
        ({"origin": "a:b"}, "origin is"),
        ({"kind": "unit-state", "data": {"state": "sold"}}, "'sold' is no state of a unit"),
        ({"kind": "unit-made", "data": {}}, "lacks its field 'design'"),
        ({"kind": "reading", "data": {"step": 7, "typed": "3"}}, "the field 'step' of the event 'reading' is 7"),
    ],
)  # fmt: skip
def test_an_event_that_makes_no_sense_is_refused_by_its_line(
    file: Path, changed: dict[str, object], words: str
) -> None:
    with Store.open(file) as store:
        with pytest.raises(RecordDamagedError, match=r"line 2 .*nothing was taken in") as refused:
            merge(store, line_of(**changed), check=sensible)
        assert words in str(refused.value)
        assert store.events() == ()
        assert merge(store, line_of(), check=sensible).added == 1


def test_a_mark_that_nobody_sees_does_not_shut_a_record_out(file: Path) -> None:
    with Store.open(file) as store:
        assert merge(store, line_of(unit="AB\u00ad-7"), check=sensible).added == 1


def test_an_event_that_hangs_on_another_one_is_refused(file: Path, tmp_path: Path) -> None:
    with Store.open(tmp_path / "other.sqlite") as other:
        notes(other, 2)
        exported = list(lines(other))
        previous, digest = forged(other, "f" * 64)
    bad = canonical({**json.loads(exported[2]), "previous": previous, "digest": digest})
    with Store.open(file) as store:
        with pytest.raises(RecordDamagedError, match="line 3 does not follow from the event before it"):
            merge(store, summed([*exported[:2], bad]))
        merge(store, exported)
        # By itself it could be what a copy that was put back has written: it is kept, on a branch of its own.
        merged = merge(store, summed([exported[0], bad]))
        assert "both are kept" in merged.conflicts[0]
        assert len(store.events()) == 3
        assert verify(store) == ()


def test_a_changed_text_is_refused(file: Path) -> None:
    line = canonical({"text": "another plan", "digest": text_digest("the plan")})
    with Store.open(file) as store, pytest.raises(RecordDamagedError, match="line 2 was changed"):
        merge(store, [line_of()[0], line])


# -- an upgrade ------------------------------------------------------------------------------------------------------


def test_the_copy_before_an_upgrade_is_made_though_a_file_of_its_name_is_there(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 3)
    db = sqlite3.connect(file, isolation_level=None)
    db.execute("DROP TABLE words")
    db.execute("PRAGMA user_version = 1")
    db.execute("PRAGMA journal_mode = DELETE")
    db.close()
    copy_of(file, 1).write_bytes(b"")
    numbered = file.with_name("record-before-version-2-2.sqlite")
    numbered.with_name(numbered.name + ".part").write_bytes(b"half a copy")
    connect(file, writing=True, busy_seconds=1.0).close()
    assert copy_of(file, 1).read_bytes() == b"", "another file is left alone"
    old = sqlite3.connect(numbered)
    assert old.execute("PRAGMA user_version").fetchone() == (1,)
    assert old.execute("SELECT count(*) FROM event").fetchone() == (3,)
    old.close()


def test_a_record_of_the_time_before_such_notes_gets_them_when_it_is_opened(file: Path, tmp_path: Path) -> None:
    with Store.open(tmp_path / "other.sqlite") as other:
        for n in range(6):
            other.append("note", unit=f"HCD-00{n % 2}-A", data={"text": str(n)})
        part = list(lines(other, unit="HCD-001-A"))
    with Store.open(file) as store:
        notes(store, 2)
        merge(store, part)
        for state in ("in work", "scrapped", "released"):
            store.append("unit-state", unit="HCD-001-A", data={"state": state})
        # As that version left it: nothing of ends, no word of which events are missing, the last state that was set.
        store.connection.execute("DELETE FROM meta WHERE key LIKE 'head%'")
        store.connection.execute("UPDATE meta SET value = '1' WHERE key LIKE 'partial:%'")
        store.connection.execute("UPDATE unit SET state = 'released' WHERE unit = 'HCD-001-A'")
    file.with_name(file.name + ".head").unlink()
    with Store.open(file, read_only=True) as store:
        assert [finding.where for finding in verify(store)] == ["unit HCD-001-A"]
    with Store.open(file) as store:
        assert store.told == ""
        assert verify(store) == ()
        assert [row.state for row in store.units() if row.unit == "HCD-001-A"] == ["scrapped"]
        store.connection.execute("DELETE FROM event WHERE seq = 4")
        assert any("are missing" in finding.message for finding in verify(store))


def test_the_list_of_units_follows_the_moves_as_each_event_comes(file: Path) -> None:
    with Store.open(file) as store:
        for state in ("in work", "held", "released", "sold"):
            store.append("unit-state", unit="HCD-001-R", data={"state": state})
        assert store.units()[0].state == "held"
        units = store.units()
        views.rebuild(store.connection)
        assert store.units() == units
        assert verify(store) == ()


def test_no_entry_uses_up_the_clocks_that_are_left(file: Path, tmp_path: Path) -> None:
    # A clock of any height would be followed by ours, one higher, and no other bench would take that.
    with (
        Store.open(file) as store,
        pytest.raises(RecordDamagedError, match=r"the clock of event .* is 1000000000002"),
    ):
        merge(store, line_of(clock=10**12 + 2))
    with Store.open(file) as store:
        merge(store, line_of(clock=10**12))
        notes(store, 3)
        exported = list(lines(store))
    with Store.open(tmp_path / "other.sqlite") as other:
        merge(other, exported)
        notes(other, 2)
        back = list(lines(other))
    with Store.open(file) as store:
        assert merge(store, back).known == 5
        assert list(lines(store)) == back
