"""What all tests share: a quiet terminal library, no outside settings, and the option that renews the saved screens."""

from __future__ import annotations

import os

os.environ["TEXTUAL_ANIMATIONS"] = "none"  # read when textual is imported, so it has to be set before that
# One thread for the outside solver: its small systems gain nothing by more, and on a busy machine its threads wait for
# each other a hundred times as long as they work. Read when numpy loads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
for name in ("NO_COLOR", "BENCHTUI_HOME", "BENCHTUI_ASCII"):
    os.environ.pop(name, None)

from collections import Counter  # noqa: E402
from pathlib import Path  # noqa: E402

import pytest  # noqa: E402


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-screens", action="store_true", help="save the screens as they are now")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """A test that did not run is not a test that passed: each reason stands in a line of its own, asked for or not."""
    skipped = terminalreporter.stats.get("skipped", [])
    reasons = Counter(str(report.longrepr[2]).removeprefix("Skipped: ") for report in skipped)
    for reason, count in sorted(reasons.items()):
        terminalreporter.write_line(f"NOT TESTED HERE: {count} skipped, {reason}")


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test may touch the record of the person who runs it."""
    monkeypatch.setenv("BENCHTUI_HOME", str(tmp_path / "home"))
