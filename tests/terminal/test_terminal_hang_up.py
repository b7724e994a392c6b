"""The terminal goes away or the machine shuts down in the middle of work: it is put aside by itself.

Row K9 (POSIX signals: SIGHUP, SIGTERM).
"""

from __future__ import annotations

import signal
import sys
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.terminal import Terminal
from helpers.tour import start_the_hollin_desk

from benchtui.content.library import Library
from benchtui.jobs.run import Bench
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("name", ["SIGHUP", "SIGTERM"])
def test_work_is_put_aside_and_the_next_start_says_that_it_was_ended_from_outside(tmp_path: Path, name: str) -> None:
    home = tmp_path / "home"
    with Terminal(home=home) as terminal:
        start_the_hollin_desk(terminal)
        terminal.press("space")
        terminal.until("step 2 of")
        terminal.kill(getattr(signal, name))
        assert terminal.status == 0, "it ends by itself, and gives the terminal back"
    with Store.open(home / "record.sqlite", read_only=True) as store:
        last = store.events()[-1]
        assert (last.kind, last.data.get("forced")) == ("suspended", True)
    with Terminal(home=home) as terminal:
        terminal.until("The bench")
        terminal.press("enter")
        assert "The program was ended from outside" in terminal.until("You were at  step 2")


@pytest.mark.parametrize("name", ["SIGHUP", "SIGTERM"])
def test_work_by_lines_is_put_aside_too(tmp_path: Path, name: str) -> None:
    home = tmp_path / "home"
    home.mkdir()
    with Store.open(home / "record.sqlite") as store:
        Bench(Library.open(), store).start("hollin-assembly", "HCD-001-R")
    with Terminal(["--lines"], home=home) as terminal:
        terminal.until("What do you want to do?")
        terminal.press("1", "enter")  # the job that is open
        terminal.until("The bench is dry")
        terminal.kill(getattr(signal, name))
        assert terminal.status == 0, "it ends by itself"
    with Store.open(home / "record.sqlite", read_only=True) as store:
        last = store.events()[-1]
        assert (last.kind, last.data.get("forced")) == ("suspended", True)
