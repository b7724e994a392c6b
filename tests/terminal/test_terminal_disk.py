"""The real program on a disk that is full, and on a record that may not be written to.

Row H4 (ALCOA: enduring, contemporaneous): a clear message, nothing lost, and the work goes on where it can: what is
written so far is read, procedures are looked at, sums are done.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.begun import begun, taken_up
from helpers.hand import Hand
from helpers.terminal import Terminal

from benchtui.jobs.run import record_job
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.jobs.jobstate import JobState

LIMITED = (
    "import resource, runpy, signal, sys\n"
    "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
    "resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {limit}))\n"
    "sys.argv[0] = 'benchtui'\n"
    "runpy.run_module('benchtui', run_name='__main__')\n"
)
"""The program where no file may grow beyond a limit: to it, a disk that is full."""


def place(text: str) -> int:
    """Number of the step in hand."""
    found = re.search(r"step (\d+) of \d+", text)
    assert found, text
    return int(found[1])


def said(text: str) -> str:
    """What stands on the screen, as if on one line."""
    return " ".join(text.split())


def work_until_it_is_full(hand: Hand) -> int:
    """Go on until the program says that the disk is full; the step at which it stood then."""
    for _ in range(200):
        text = hand.next()
        if "was not saved" in text:
            return place(text)
    raise AssertionError(f"the disk never was full:\n{hand.terminal.text()}")


def state_of(record: Path, text: str = "") -> JobState:
    """The one job of a record; of several the one whose title stands on a screen."""
    with Store.open(record, read_only=True) as store:
        states = [record_job(store, row.job).state for row in store.jobs()]
    return next(state for state in states if not text or state.plan.title in text.splitlines()[1])


def can_still_look_and_reckon(hand: Hand) -> None:
    """At a step that cannot be marked: look back, and leave for a sum."""
    terminal = hand.terminal
    at = place(terminal.text())
    if "leave the field" in terminal.text():  # a reading that could not be kept is still in its field
        hand.press("\x1b")
    hand.press("\x1b[D")
    terminal.until(f"step {at - 1} of")
    hand.press(" ")
    terminal.until(f"step {at} of")
    hand.press("q")
    # Of a record that is only read nothing is to be said, and there is no such page.
    left = terminal.until(lambda text: "Two things are worth saying" in text or "At any time" in text)
    for _ in range(0 if "At any time" in left else 5):  # a procedure that was called gives way to its caller first
        if "The bench" in hand.press("q").splitlines()[0]:
            break
    terminal.until("The bench")
    hand.press("c")
    terminal.until("Which one?")
    terminal.send("led")
    terminal.until("looking for: led")
    hand.press("\r")
    terminal.until("forward")
    terminal.press(*"3.3 V", "tab", *"2 V", "tab", *"5 mA")
    terminal.until("260 Ω")


@pytest.mark.terminal
def test_a_file_that_may_not_grow_is_said_and_nothing_that_was_marked_is_lost(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite"
    begun(record)
    limit = max(path.stat().st_size for path in tmp_path.glob("record.sqlite*")) + 200_000
    program = ("-c", LIMITED.format(limit=limit))
    with Terminal(["--record", str(record)], home=tmp_path / "home", program=program) as terminal:
        hand = Hand(terminal)
        taken_up(hand)
        at = work_until_it_is_full(hand)
        full = terminal.text()
        assert at > 1, full
        can_still_look_and_reckon(hand)
    state = state_of(record, full)
    assert all(state[step.key].settled for step in state.plan.steps[: at - 1])
    with Store.open(record) as store:
        assert verify(store) == ()
        store.append("note", data={"text": "space again"})


@contextmanager
def small_disk(size: str) -> Iterator[Path]:
    """A file system of that size, made for this test alone."""
    folder = Path(tempfile.mkdtemp(prefix="benchtui-disk-"))
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode:
        folder.rmdir()
        pytest.skip("this user may not mount a file system; the limit on the size of files stands in for it")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)
        folder.rmdir()


def filled(disk: Path) -> Path:
    """A file that takes all the room there is."""
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as file, pytest.raises(OSError, match="No space"):
        while True:
            file.write(b"\0" * 4096)
    return ballast


@pytest.mark.terminal
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="a file system in memory is mounted the Linux way")
def test_on_a_disk_that_is_full_the_act_is_not_marked_and_is_once_there_is_space(tmp_path: Path) -> None:
    with small_disk("8m") as disk:
        record = disk / "record.sqlite"
        begun(record)
        with Terminal(["--record", str(record)], home=tmp_path / "home") as terminal:
            hand = Hand(terminal)
            taken_up(hand)
            ballast = filled(disk)
            at = work_until_it_is_full(hand)
            assert "is full" in terminal.text()
            ballast.unlink()
            hand.next()
            hand.until(f"step {at + 1} of")
            terminal.kill()
        state = state_of(record)
        assert all(state[step.key].settled for step in state.plan.steps[:at])
        with Store.open(record) as store:
            assert verify(store) == ()


@pytest.mark.terminal
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="a file system in memory is mounted the Linux way")
def test_on_a_disk_that_is_full_at_the_start_the_record_is_read(tmp_path: Path) -> None:
    with small_disk("8m") as disk:
        record = disk / "record.sqlite"
        begun(record, procedure="strap-test", steps=2)
        ballast = filled(disk)
        with Terminal(["--record", str(record)], home=tmp_path / "home") as terminal:
            assert "is full: here it can only be read" in said(terminal.until("The bench"))
            hand = Hand(terminal)
            hand.press("\r")
            hand.until("step 3 of")
            hand.press("m")
            assert "nothing was saved" in said(terminal.until(lambda text: "nothing was saved" in said(text)))
            can_still_look_and_reckon(hand)
        lines = [sys.executable, "-m", "benchtui", "--lines", "--record", str(record)]
        done = subprocess.run(lines, input="", capture_output=True, text=True, check=True)
        assert "Nothing was kept: this record could only be read." in done.stdout
        ballast.unlink()
        with Store.open(record) as store:
            assert store.notice == ""
            assert verify(store) == ()


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Make a folder one that may not be written to, whoever the user is."""
    if os.getuid():
        folder.chmod(0o555)
        try:
            yield
        finally:
            folder.chmod(0o755)
        return
    # The system's own user may write into any folder, but not to a file system that is mounted for reading.
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    try:
        yield
    finally:
        subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)


@pytest.mark.terminal
def test_a_record_that_may_not_be_written_to_is_read_and_nothing_is_marked(tmp_path: Path) -> None:
    with small_disk("8m") if not os.getuid() else nullcontext(tmp_path / "disk") as disk:
        disk.mkdir(exist_ok=True)
        record = disk / "record.sqlite"
        begun(record, procedure="strap-test", steps=2)
        before = {path.name: path.read_bytes() for path in disk.iterdir()}
        with read_only(disk), Terminal(["--record", str(record)], home=tmp_path / "home") as terminal:
            assert "cannot be written to" in terminal.until("The bench")
            hand = Hand(terminal)
            hand.press("\r")
            hand.until("step 3 of")
            hand.press("m")  # no field opens for a reading that could not be kept
            assert "nothing was saved" in said(terminal.until(lambda text: "nothing was saved" in said(text)))
            can_still_look_and_reckon(hand)
        assert {path.name: path.read_bytes() for path in disk.iterdir()} == before
        assert place_of(record) == 3


def place_of(record: Path) -> int:
    """Number of the step at which the one job of a record stands."""
    state = state_of(record)
    return state.plan.step(state.current).number
