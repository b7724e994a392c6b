"""One record and more than one program, clock, or hand on the file, through the real program.

Rows H5 (Part 11.10(h): one writer at a time), H6 (ALCOA consistent; RFC 3339: a clock that jumps back is noted, and the
order stays) and H3 (a flipped byte is found and named).
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.begun import begun, taken_up
from helpers.hand import Hand
from helpers.terminal import Terminal

from benchtui.record.event import CLOCK_SET
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from collections.abc import Sequence

TESTS = Path(__file__).resolve().parents[1]


def said(text: str) -> str:
    """What stands on the screen, as if on one line."""
    return " ".join(text.split())


@pytest.mark.terminal
def test_a_second_program_reads_says_so_and_marks_nothing(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite"
    begun(record)
    with Terminal(["--record", str(record)], home=tmp_path / "home") as first:
        writer = Hand(first)
        taken_up(writer)
        first.until("step 1 of")
        with Terminal(["--record", str(record)], home=tmp_path / "home") as second:
            bench = second.until("The bench")
            assert f"another program (process {first.pid})" in said(bench)
            assert "here it can only be read" in said(bench)
            reader = Hand(second)
            reader.press("\r")
            second.until("step 1 of")
            reader.press(" ")
            second.until(lambda text: "here it can only be read: nothing was saved" in said(text))
            # The writer is not held up by the one that reads.
            writer.press(" ")
            first.until("step 2 of")
    with Store.open(record, read_only=True) as store:
        assert len(store.events(kinds=["step-done"])) == 1
        assert verify(store) == ()


def program_by_clock(record: Path, home: Path, clock: Path) -> Terminal:
    return Terminal(
        [str(record)],
        home=home,
        program=("-m", "helpers.program_by_clock"),
        environment={"BENCH_CLOCK": str(clock), "PYTHONPATH": f"{TESTS}{os.pathsep}{TESTS.parent}"},
    )


@pytest.mark.terminal
def test_a_clock_set_back_three_hours_is_noted_and_the_order_stays(tmp_path: Path) -> None:
    record, clock = tmp_path / "record.sqlite", tmp_path / "clock"
    begun(record, procedure="strap-test", steps=1)
    with program_by_clock(record, tmp_path / "home", clock) as terminal:
        hand = Hand(terminal)
        taken_up(hand)
        terminal.until("step 2 of")
        hand.press(" ")
        terminal.until("step 3 of")
        clock.write_text("-10800", encoding="utf-8")
        hand.next()
        terminal.until("all 3 steps done")
        terminal.kill()
    with Store.open(record, read_only=True) as store:
        events = store.events()
        noted = next(event for event in events if event.kind == CLOCK_SET)
        after = [event for event in events if event.seq > noted.seq]
        assert [event.kind for event in after][:3] == ["reading", "strap-tested", "step-done"]
        assert all(event.time < noted.data["from"] for event in after)
        assert [event.seq for event in events] == list(range(1, len(events) + 1))
        assert verify(store) == ()
    with program_by_clock(record, tmp_path / "home", clock) as terminal:
        terminal.until("The bench")
        Hand(terminal).press("\r")
        terminal.until("Every step was gone through")


def verified(record: Path) -> subprocess.CompletedProcess[str]:
    words: Sequence[str] = (sys.executable, "-m", "benchtui", "record", "verify", "--record", str(record))
    return subprocess.run(words, capture_output=True, text=True, check=False, cwd=TESTS.parent)


@pytest.mark.terminal
def test_a_flipped_byte_is_found_by_the_command_and_named(tmp_path: Path) -> None:
    record = tmp_path / "record.sqlite"
    begun(record, procedure="strap-test", steps=2)
    with Terminal(["--record", str(record)], home=tmp_path / "home") as terminal:
        hand = Hand(terminal)
        taken_up(hand)
        terminal.until("step 3 of")
        hand.press("1.1 MΩ\r")
        terminal.until("all 3 steps done")
        terminal.send("\x11")
        terminal.wait()
    assert verified(record).returncode == 0
    data = bytearray(record.read_bytes())
    at = data.rindex(b'"typed":"1.1 M')
    data[at + len('"typed":"')] ^= 0x01
    record.write_bytes(data)
    found = verified(record)
    assert found.returncode != 0
    assert "reading): was changed after it was written" in found.stdout
