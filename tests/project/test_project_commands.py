"""The command line as scripts see it: what goes where, exit codes, and where files lie.

Rows K11 and K12 (POSIX.1 XBD 12.2 and common practice of command lines; XDG Base Directory 0.8).
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from benchtui import paths


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The program without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "benchtui", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        env={**os.environ, "BENCHTUI_HOME": str(folder), "PYTHONIOENCODING": "utf-8"},
        cwd=folder,
        timeout=120,
        check=False,
    )


def test_data_and_messages_go_to_different_places_and_the_exit_code_tells_which(tmp_path: Path) -> None:
    # Row K11: 0 fine, 1 findings, 2 usage, 3 surroundings; data on standard output, words about it on the other.
    fine = run(tmp_path, "--version")
    assert (fine.returncode, fine.stderr) == (0, "")
    assert fine.stdout.startswith("benchtui ")
    bad = tmp_path / "bad.yaml"
    bad.write_text("procedure: bad\n", encoding="utf-8")
    assert run(tmp_path, "check", str(bad)).returncode == 1
    wrong = run(tmp_path, "--nonsense")
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert "--nonsense" in wrong.stderr
    without = run(tmp_path)
    assert (without.returncode, without.stdout) == (3, "")
    assert "terminal" in without.stderr, "nothing is asked where nobody can answer"


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="other places are usual there")
def test_the_record_lies_in_the_data_folder_that_the_system_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Row K12 (XDG Base Directory 0.8): records are data; one variable of our own makes a folder that can be carried.
    monkeypatch.delenv("BENCHTUI_HOME", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert paths.record_file() == tmp_path / "benchtui" / "record.sqlite"
    monkeypatch.setenv("XDG_DATA_HOME", "")
    assert paths.user_folder() == Path.home() / ".local" / "share" / "benchtui"
    monkeypatch.setenv("XDG_DATA_HOME", "relative/place")
    assert paths.user_folder() == Path.home() / ".local" / "share" / "benchtui", "a relative place is ignored"
    monkeypatch.setenv("BENCHTUI_HOME", str(tmp_path / "stick"))
    assert paths.record_file() == tmp_path / "stick" / "record.sqlite"


def test_an_option_is_never_looked_up_as_a_word_and_a_command_behind_one_is_named(tmp_path: Path) -> None:
    alone = run(tmp_path, "find", "corner")
    assert alone.returncode == 0
    gone = run(tmp_path, "find", "--record", str(tmp_path / "gone.sqlite"), "corner")
    assert gone.returncode == 2
    assert "there is no record" in gone.stderr
    swapped = run(tmp_path, "--record", "x.sqlite", "record")
    assert swapped.returncode == 2
    assert "benchtui record --record FILE" in swapped.stderr
