"""The file a record is in: moved, exchanged or deleted while it is open, or mixed with the log of another.

Row H4 (ALCOA "complete", "enduring"): what was said to be saved is in a file that can be found. The ways in which a
record is spoiled are those of the documentation of SQLite, "How to corrupt a database file", 2.
"""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from benchtui.errors import RecordBusyError, RecordDamagedError, RecordError
from benchtui.record import disk, heads, logs, migrate
from benchtui.record import lock as lock_module
from benchtui.record.backup import backup
from benchtui.record.event import UNIT_PARTED
from benchtui.record.export import lines
from benchtui.record.lock import WriterLock
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record.verify import verify
from benchtui.ui.lines.talk import kept_said

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "bench" / "record.sqlite"


def notes(store: Store, count: int, text: str = "note") -> None:
    for n in range(count):
        store.append("note", unit="HCD-001-R", data={"text": f"{text} {n} {'x' * 300}"})


def count(store: Store) -> int:
    return len(store.events(kinds=["note"]))


def killed(file: Path, number: int, text: str = "note") -> None:
    """Leave a record as a program leaves it that is killed: its log beside it, its small file without times."""
    kept = file.parent / "as-killed"
    kept.mkdir(parents=True)
    with Store.open(file) as store:
        notes(store, number, text)
        for each in file.parent.glob(f"{file.name}*"):
            shutil.copyfile(each, kept / each.name)
    for each in kept.iterdir():
        with each.open("rb") as source, (file.parent / each.name).open("wb") as target:  # the same file as before
            shutil.copyfileobj(source, target)
    shutil.rmtree(kept)
    assert logs.has_log(file)


def moved(file: Path) -> None:
    file.rename(file.with_name("moved.sqlite"))


def exchanged(file: Path) -> None:
    other = file.with_name("other.sqlite")
    with Store.open(other) as store:
        notes(store, 1, "other")
    other.replace(file)


def log_gone(file: Path) -> None:
    logs.log_of(file).unlink()


@pytest.mark.parametrize(
    ("happens", "words"),
    [
        (moved, "was moved or deleted while"),
        (Path.unlink, "was moved or deleted while"),
        (exchanged, "was exchanged for another file while"),
        (log_gone, "the log of"),
    ],
)
def test_nothing_is_said_to_be_saved_into_a_file_without_its_name(
    file: Path, happens: Callable[[Path], None], words: str
) -> None:
    store = Store.open(file)
    notes(store, 5)
    happens(file)
    for _ in range(2):
        with pytest.raises(RecordError, match="nothing was saved") as refused:
            notes(store, 1, "too late")
        assert words in refused.value.message
        assert "record-rescued-1.sqlite beside it: put that in its place" in refused.value.hint
    store.close()
    assert len(list(file.parent.glob("*rescued*"))) == 1, "it is copied once"
    copy = file.with_name("record-rescued-1.sqlite")
    for each in file.parent.glob("record.sqlite*"):
        if each.name not in ("record.sqlite.head", "record.sqlite.lock"):
            each.unlink()
    shutil.copyfile(copy, file)
    with Store.open(file) as again:
        assert count(again) == 5
        assert again.told == "", "the last that was written here is in it"
        assert verify(again) == ()


def test_a_moved_record_has_all_that_was_saved_and_goes_on_in_its_place(file: Path) -> None:
    store = Store.open(file)
    notes(store, 5)
    file.rename(file.with_name("moved.sqlite"))
    with pytest.raises(RecordError, match="nothing was saved"):
        notes(store, 1)
    shutil.copyfile(file.with_name("moved.sqlite"), file.with_name("seen.sqlite"))
    with Store.open(file.with_name("seen.sqlite"), read_only=True) as seen:
        assert count(seen) == 5
    file.with_name("moved.sqlite").rename(file)
    notes(store, 1)
    store.close()
    with Store.open(file) as again:
        assert count(again) == 6
        assert again.told == ""


def test_a_record_deleted_before_the_end_is_copied_at_the_end(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 3)
        file.unlink()
    with Store.open(file.with_name("record-rescued-1.sqlite"), read_only=True) as copy:
        assert count(copy) == 3
    with Store.open(file) as again:
        assert again.told.startswith("the record that was here is gone: this one is new, and lacks the last 3 entries")
    assert not logs.log_of(file).exists() or logs.log_of(file).stat().st_size == 0


def test_a_folder_that_is_gone_is_said(file: Path) -> None:
    with Store.open(file) as store:
        notes(store, 3)
        file.parent.rename(file.parent.with_name("moved"))
        with pytest.raises(RecordError, match="was moved or deleted") as refused:
            notes(store, 1)
        assert "put it back in its place" in refused.value.hint
        file.parent.with_name("moved").rename(file.parent)
        notes(store, 1)
        assert count(store) == 4


def test_the_log_of_a_record_that_is_gone_is_kept(file: Path) -> None:
    killed(file, 10)
    file.rename(file.with_name("moved.sqlite"))
    with Store.open(file) as store:
        assert "the record that was here is gone" in store.told
        assert (
            "record.sqlite-log-of-another-file-1; beside that record it has to be called record.sqlite-wal"
            in store.told
        )
    for each in file.parent.glob("record.sqlite*"):
        if "another-file" not in each.name:
            each.unlink()
    file.with_name("moved.sqlite").rename(file)
    file.with_name("record.sqlite-log-of-another-file-1").rename(logs.log_of(file))
    with Store.open(file) as store:
        assert count(store) == 10


@pytest.mark.parametrize("read_only", [False, True])
@pytest.mark.parametrize(("first", "second"), [(50, 400), (50, 900), (300, 150), (3, 2)])
def test_a_plain_copy_put_back_over_a_killed_record_is_not_mixed_with_its_log(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, first: int, second: int, read_only: bool
) -> None:
    monkeypatch.setattr(logs, "CLOCKS_DIFFER", -1)
    with Store.open(file) as store:
        notes(store, first)
    shutil.copyfile(file, tmp_path / "copy")
    killed(file, second, "after")
    log = logs.log_of(file).read_bytes()
    shutil.copyfile(tmp_path / "copy", file)
    with Store.open(file, read_only=read_only) as store:
        found = count(store)
        # Where the log holds every page that differs, the copy is brought up to date by it and nothing is lost.
        assert found == first + second or (found == first and f"it lacks the last {second} entries" in store.told)
        assert verify(store)[: read_only and 1] == () or "an older copy was put back" in verify(store)[0].message
        if not read_only and found == first:
            assert "a log that does not belong to record.sqlite lay beside it" in store.told
            assert file.with_name("record.sqlite-log-of-another-file-1").read_bytes() == log
    if second > 100 and not read_only:
        assert found == first


def test_another_record_over_a_killed_one_is_not_mixed_with_its_log(file: Path, tmp_path: Path) -> None:
    killed(file, 300)
    with Store.open(tmp_path / "other.sqlite") as other:
        notes(other, 120, "other")
        exported = list(lines(other))
    shutil.copyfile(tmp_path / "other.sqlite", file)
    with Store.open(file) as store:
        assert [line for line in lines(store) if '"kind":"note"' in line] == [
            line for line in exported if '"kind":"note"' in line
        ]
        assert verify(store) == ()


def test_a_newer_copy_is_not_taken_back_by_an_older_log(file: Path, tmp_path: Path) -> None:
    # A small record: the log of the killed program holds all its pages, and would hide the copy whole.
    killed(file, 3)
    elsewhere = tmp_path / "elsewhere"
    shutil.copytree(file.parent, elsewhere)
    with Store.open(elsewhere / file.name) as store:
        notes(store, 4, "elsewhere")
    shutil.copyfile(elsewhere / file.name, file)
    with Store.open(file) as store:
        assert count(store) == 7
        assert verify(store) == ()


def test_an_import_before_a_kill_stays_where_a_branch_got_another_name(file: Path, tmp_path: Path) -> None:
    # Taking in a second history gives entries that were here another name: they are the same entries.
    with Store.open(file) as store:
        notes(store, 3)
    shutil.copyfile(file, tmp_path / "old")
    with Store.open(file) as store:
        notes(store, 2, "here")
        ours = store.origin
    with Store.open(file) as store:
        other = Store.open(tmp_path / "old")
        other._origin = ours  # as a program of an earlier version went on under the old name
        notes(other, 2, "there")
        exported = list(lines(other))
        other.close()
    with Store.open(file) as store:
        merge(store, exported)
        for each in file.parent.glob("record.sqlite*"):
            shutil.copyfile(each, tmp_path / each.name)
    assert logs.belongs(tmp_path / file.name)


def test_what_can_be_read_neither_with_its_log_nor_without_is_left_as_it_is(file: Path, tmp_path: Path) -> None:
    killed(file, 400)
    with Store.open(tmp_path / "other.sqlite") as other:
        notes(other, 900, "other")
    body = (tmp_path / "other.sqlite").read_bytes()
    file.write_bytes(body[: len(body) // 2])
    before = {each.name: each.read_bytes() for each in file.parent.iterdir() if "shm" not in each.name}
    with pytest.raises(RecordDamagedError, match="do not fit together"):
        Store.open(file)
    assert {each.name: each.read_bytes() for each in file.parent.iterdir() if "shm" not in each.name} == before


def test_a_log_is_read_where_its_shared_file_cannot_be_made(file: Path) -> None:
    # As on a write-protected stick; a folder in the place of the shared file stands for it.
    killed(file, 6)
    shared = file.with_name(file.name + "-shm")
    shared.unlink(missing_ok=True)
    shared.mkdir()
    with Store.open(file, read_only=True) as store:
        assert count(store) == 6
        assert store.told == ""
        assert verify(store) == ()


def test_a_busy_record_is_not_read_without_its_log(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    killed(file, 2)
    busy = sqlite3.OperationalError("database is locked")
    busy.sqlite_errorcode = sqlite3.SQLITE_BUSY

    class Locked(sqlite3.Connection):
        def execute(self, *_: object) -> sqlite3.Cursor:  # type: ignore[override]
            raise busy

    real = sqlite3.connect
    monkeypatch.setattr(migrate.sqlite3, "connect", lambda *a, **k: real(*a, factory=Locked, **k))
    with pytest.raises(RecordBusyError):
        Store.open(file, read_only=True)


def test_a_line_older_than_the_record_after_a_power_cut_is_no_copy(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # The small file's block and its time reach the disk apart.
    monkeypatch.setattr(heads, "CLOCKS_DIFFER", -(10**12))
    with Store.open(file) as store:
        notes(store, 1)
        old, name = store.head_file.path.read_bytes(), store.origin
    killed(file, 1)
    file.with_name(file.name + ".head").write_bytes(old.replace(old.split()[3].rjust(20) + b" ", b" " * 20 + b"@"))
    with Store.open(file) as store:
        assert (store.told, store.origin) == ("", name)


def test_a_changed_small_file_after_a_kill_says_what_it_can_be(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heads, "CLOCKS_DIFFER", -(10**12))
    killed(file, 1)
    with Store.open(file) as store:
        assert "if only the power failed, or a right to the file was changed, nothing is missing" in store.told


# -- what is held in memory ------------------------------------------------------------------------------------------


def test_after_a_failed_write_the_next_entry_is_about_its_own_unit(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as here, Store.open(tmp_path / "b.sqlite") as there:
        for store, job in ((here, "JA"), (there, "JB")):
            store.append("unit-made", unit="HCD-001-R", data={})
            store.append("job-started", unit="HCD-001-R", job=job, data={"title": job})
        made = there.events(kinds=["unit-made"])[0]
        merge(here, lines(there))
        here.append(UNIT_PARTED, unit="HCD-001-R", data={"made": made.digest, "serial": "HCD-002-T"})
        here.connection.execute(
            "CREATE TEMP TRIGGER full BEFORE UPDATE ON main.job BEGIN SELECT RAISE(ABORT, 'full'); END"
        )
        name = here.origin
        with pytest.raises(RecordError):
            here.append("note", unit="HCD-001-R", job="JB", data={"text": "x"})
        here.connection.execute("DROP TRIGGER full")
        event = here.append("note", unit="HCD-005-Q", data={"text": "x"})
        assert here.events(newest=1)[0].unit == event.unit == "HCD-005-Q"
        with pytest.raises(RuntimeError), here.writing():
            here.renew_origin()
            raise RuntimeError
        assert here.origin == name, "a name that was taken back is not gone on under"


# -- where it cannot be written --------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", [sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_WRITE])
def test_a_record_on_a_full_disk_is_read_and_says_so(file: Path, monkeypatch: pytest.MonkeyPatch, code: int) -> None:
    with Store.open(file) as store:
        notes(store, 2)
    real = migrate.connect

    def full(path: Path, *, writing: bool, **rest: object) -> sqlite3.Connection:
        if writing:
            error = sqlite3.OperationalError("disk I/O error")
            error.sqlite_errorcode = code
            raise error
        return real(path, writing=writing, **rest)  # type: ignore[arg-type]

    monkeypatch.setattr(migrate, "connect", full)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: type("Usage", (), {"free": 4096})())
    with Store.open(file) as store:
        assert store.notice == (
            f"the disk that holds {file} is full: here it can only be read; free some space, then start again"
        )
        assert count(store) == 2
        with pytest.raises(RecordBusyError, match="is full"):
            notes(store, 1)
    assert WriterLock(file).try_take(), "the right to write was given back"


def test_a_name_that_cannot_be_signed_holds_the_lock_all_the_same(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file.parent.mkdir()

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    lock = WriterLock(file)
    assert lock.try_take()
    assert not WriterLock(file).try_take()
    lock.release()


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="open files are counted where Linux lists them")
def test_a_lock_that_fails_leaves_no_file_open(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file.parent.mkdir()
    lock = WriterLock(file)

    def fails(_: int) -> tuple[bool, bool]:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(lock_module, "_lock", fails)
    before = len(list(Path("/proc/self/fd").iterdir()))
    with pytest.raises(OSError, match="Input"):
        lock.try_take()
    assert len(list(Path("/proc/self/fd").iterdir())) == before


def test_a_link_that_leads_nowhere_makes_no_record(tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    link, folder = tmp_path / "record.sqlite", tmp_path / "folder"
    link.symlink_to(stick / "bench" / "record.sqlite")
    folder.symlink_to(stick / "bench")
    for path in (link, folder / "record.sqlite"):
        for read_only in (False, True):
            with pytest.raises(RecordError, match="which is not there; put in the stick"):
                Store.open(path, read_only=read_only)
    assert not stick.exists()


# -- folders that several machines reach -----------------------------------------------------------------------------


def listed(tmp_path: Path, folder: Path, kind: str) -> Path:
    mounts = tmp_path / "mounts"
    place = str(folder).replace(" ", "\\040")
    mounts.write_text(
        "22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/disk rw\n"
        f"90 22 0:44 / {place} rw,relatime - {kind} share rw,vers=3\n",
        encoding="utf-8",
    )
    return mounts


@pytest.mark.skipif(os.name == "nt", reason="the list of what is mounted is Linux's")
@pytest.mark.parametrize("kind", ["nfs4", "cifs", "fuse.sshfs"])
def test_a_record_in_a_shared_folder_uses_no_log_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    folder = (tmp_path / "on the share").resolve()
    with Store.open(folder / "record.sqlite") as store:
        notes(store, 1)
    monkeypatch.setattr(disk, "MOUNTS", listed(tmp_path, folder, kind))
    with Store.open(folder / "record.sqlite") as store:
        assert "is in a folder that other machines reach: use it from one bench at a time" in store.told
        assert store.connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        notes(store, 1)
        assert not logs.log_of(store.path).exists()
    monkeypatch.setattr(disk, "MOUNTS", listed(tmp_path, folder, "ext4"))
    with Store.open(folder / "record.sqlite") as store:
        assert store.told == ""
        assert store.connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert count(store) == 2


@pytest.mark.skipif(os.name == "nt", reason="Windows locks everywhere")
def test_a_folder_without_locks_says_that_nobody_is_kept_out(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(lock_module.fcntl, "flock", none)
    with Store.open(file) as store:
        assert "cannot keep a second program out: use it from one bench at a time" in store.told
        assert store.connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        notes(store, 1)


def test_on_leaving_it_is_said_what_was_not_kept(file: Path) -> None:
    with Store.open(file) as store:
        assert kept_said(store) == "Everything is kept."
        file.rename(file.with_name("moved.sqlite"))
        with pytest.raises(RecordError):
            notes(store, 1)
        file.with_name("moved.sqlite").rename(file)
        notes(store, 1)
        assert kept_said(store) == "What was refused is not kept; all the rest is."
    with Store.open(file, read_only=True) as store:
        assert kept_said(store) == "Nothing was kept: this record could only be read."


def test_a_backup_that_has_no_room_leaves_nothing_behind(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = sqlite3.OperationalError("database or disk is full")
    full.sqlite_errorcode = sqlite3.SQLITE_FULL

    def fails(_: sqlite3.Connection) -> None:
        raise full

    monkeypatch.setattr("benchtui.record.backup._mark", fails)
    with Store.open(file) as store:
        notes(store, 3)
        with pytest.raises(RecordError, match="there is no folder"):
            backup(store, tmp_path / "stick" / "copy.sqlite")
        with pytest.raises(RecordError, match="is full"):
            backup(store, tmp_path / "copy.sqlite")
    assert not list(tmp_path.glob("copy*"))
