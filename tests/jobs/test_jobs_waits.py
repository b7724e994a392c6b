"""A wait over a start of the computer: the clock alone says that it is over, and a cure must not end by that unnoticed.

Row C13 (S1000D thresholds; J-STD-001 process control).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import plan, step

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs import timers
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_list import record_job
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        cure = plan(step("cure", "wait", seconds=3600.0), step("next"), id="cure")
        yield PlannedBench({"cure": cure}, store, clock)


def started_anew(monkeypatch: pytest.MonkeyPatch, boot: str) -> None:
    monkeypatch.setattr(timers, "_boot_id", lambda: boot)
    monkeypatch.setattr(timers, "_boot_seconds", lambda: 100.0)


def test_after_a_start_of_the_computer_somebody_has_to_say_that_the_time_has_passed(
    bench: PlannedBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    started_anew(monkeypatch, "first")
    run = bench.start("cure")
    run.start_wait()
    started_anew(monkeypatch, "second")
    bench.clock.forward(hours=3)  # type: ignore[attr-defined]
    assert run.left_to_wait() == 0.0
    with pytest.raises(JobError, match="started anew during this wait, and only its clock says that it is over"):
        run.end_wait()
    run.end_wait(reason="the kitchen clock: begun at nine, now twelve")
    run.act(ev.StepDone(step="cure"))
    timer = record_job(bench.store, run.job).state["cure"].timer
    assert timer is not None
    assert timer.known_by == "the kitchen clock: begun at nine, now twelve"
    assert timer.reason == "", "it was not cut short"


def test_before_its_time_it_is_cut_short_as_ever(bench: PlannedBench, monkeypatch: pytest.MonkeyPatch) -> None:
    started_anew(monkeypatch, "first")
    run = bench.start("cure")
    run.start_wait()
    started_anew(monkeypatch, "second")
    bench.clock.forward(minutes=5)  # type: ignore[attr-defined]
    run.end_wait(reason="the van is here")
    timer = run.state["cure"].timer
    assert timer is not None
    assert (timer.reason, timer.known_by) == ("the van is here", "")


@pytest.mark.parametrize("boot", ["first", ""], ids=["the same start", "a system that names none"])
def test_without_a_start_in_between_it_ends_by_itself(
    bench: PlannedBench, monkeypatch: pytest.MonkeyPatch, boot: str
) -> None:
    started_anew(monkeypatch, "first")
    run = bench.start("cure")
    run.start_wait()
    started_anew(monkeypatch, boot)
    monkeypatch.setattr(timers, "_boot_seconds", lambda: 4000.0)
    bench.clock.forward(hours=3)  # type: ignore[attr-defined]
    run.end_wait()
    assert run.state["cure"].timer is not None


def test_a_batch_asks_the_same(bench: PlannedBench, monkeypatch: pytest.MonkeyPatch) -> None:
    started_anew(monkeypatch, "first")
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    batch.start("cure")
    batch.start_wait("cure")
    started_anew(monkeypatch, "second")
    bench.clock.forward(hours=3)  # type: ignore[attr-defined]
    with pytest.raises(JobError, match="only its clock says that it is over"):
        batch.end_wait("cure")
    assert batch.end_wait("cure", reason="I stood beside it") == batch.units
