"""Keys that are held down, as a real terminal reports them: on the full screen, and in the line mode.

MIL-STD-1472E 5.15.8.4. A common keyboard repeats after half a second, 30 times a second (from memory).
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.terminal import Terminal
from helpers.tour import start_the_hollin_desk

from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path


def _hold(terminal: Terminal, key: str, *, repeats: int = 30) -> None:
    terminal.send(key)
    terminal.pause(0.5)
    for _ in range(repeats):
        terminal.send(key)
        terminal.pause(1 / 30)


def _marks(record: Path) -> int:
    with Store.open(record, read_only=True) as store:
        return len(store.events(kinds=["step-done"]))


@pytest.mark.terminal
def test_a_held_key_marks_one_step_of_the_real_program(tmp_path: Path) -> None:
    home = tmp_path / "home"
    with Terminal(home=home) as terminal:
        start_the_hollin_desk(terminal)
        _hold(terminal, " ")
        terminal.until("step 2 of")
    assert _marks(home / "record.sqlite") == 1


@pytest.mark.terminal
def test_a_held_enter_marks_one_step_by_lines(tmp_path: Path) -> None:
    folder = tmp_path / "home" / "procedures"
    folder.mkdir(parents=True)
    steps = "".join(f"  - id: look-{n}\n    do: Look at it once more, number {n}.\n" for n in range(1, 13))
    (folder / "looks.yaml").write_text(
        "procedure: looks\ntitle: Twelve looks\nkind: service\nrevision: 1\ndesign: any\npurpose: Nothing is missed.\n"
        "before:\n  conditions: none\n  tools: none\n  parts: none\n  materials: none\nminutes: 5\nafter: none\n"
        f"order: strict\nsteps:\n{steps}"
    )
    record = tmp_path / "record.sqlite"
    with Terminal(["--lines", "--record", str(record)], home=tmp_path / "home") as terminal:
        terminal.until("What do you want to do?")
        terminal.press("start", "enter")
        terminal.until("Twelve looks")
        terminal.press("Twelve looks", "enter")
        terminal.until("For which design?")
        terminal.press("1", "enter")
        terminal.until("Serial number of the unit")
        terminal.press("enter")
        terminal.until("step, or help>")
        terminal.pause(1.5)
        _hold(terminal, "\r")
        terminal.until("too soon after the last Enter")
        terminal.burst("\r" * 15)  # typed ahead, all at once
        terminal.pause(1.0)
        assert _marks(record) == 1
        terminal.pause(1.0)
        terminal.press("enter")
        terminal.until("number 3")
        assert _marks(record) == 2
