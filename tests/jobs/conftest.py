"""The bench of tests that walk a unit of their own; a file that needs another one makes it under the same name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.proven import bench_on

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from helpers.bench_of_plans import PlannedBench


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PlannedBench]:
    """A bench on a record of its own; waits go by its clock, and not by that of the machine."""
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    with bench_on(tmp_path) as bench:
        yield bench
