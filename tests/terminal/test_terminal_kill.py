"""The whole program in a real pseudo-terminal: start, work, be killed outright, start again, go on."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.terminal import Terminal
from helpers.tour import bags_without_a_number, prove_the_strap, start_the_hollin_desk

if TYPE_CHECKING:
    from pathlib import Path


def test_six_steps_a_caution_a_reading_then_kill_9_and_resume(tmp_path: Path) -> None:
    home = tmp_path / "home"
    with Terminal(home=home) as terminal:
        start_the_hollin_desk(terminal)
        terminal.press("space")
        prove_the_strap(terminal)
        terminal.press("1")  # all of it is there
        bags_without_a_number(terminal)
        # Step 9 has a caution to the hands: the sharp edges of the panel. Neither going on nor an acknowledgement typed
        # ahead gets past it; its own key does, once it has been in sight.
        terminal.until("▲! CAUTION")
        terminal.press("a", "space", "space")
        assert "○ 9 open" in terminal.until("step 9 of")
        terminal.pause(1.0)
        terminal.press("a")
        terminal.until("9 begun")
        terminal.press("space")
        terminal.until("step 10 of")
        terminal.burst("2.98 mm\r")  # all at once: no character may be lost while the field opens
        terminal.until("step 11 of")
        # In a window too small to show the step no key may mark it, and nothing is lost when it grows again.
        terminal.resize(30, 8)
        terminal.until("Too small")
        terminal.press("space", "space")
        terminal.resize(80, 24)
        terminal.until("step 11 of")
        terminal.press("right")  # space again at once would be taken for a key that is held
        terminal.until("step 12 of")
        terminal.kill()

    with Terminal(home=home) as terminal:
        bench = terminal.until("The bench")
        assert "Build one Hollin cue desk" in bench
        assert "HCD-001" in bench
        terminal.press("enter")
        resume = terminal.until("You were at  step 12")
        assert "The program was ended from outside" in resume
        assert "2.98 mm: pass" in resume
        terminal.press("space")
        terminal.until("go there")
        terminal.press("left")
        terminal.until("● 11 done")
        terminal.press("left")
        terminal.until("● 10 done")
        assert "2.98 mm" in terminal.text()
