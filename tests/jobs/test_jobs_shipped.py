"""The shipped procedures worked through: every one to its end, and a batch of six desks from bare panel to release."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock
from helpers.builder import Builder

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.errors import DesignError, JobError
from benchtui.jobs import events as ev
from benchtui.jobs.passport import passport
from benchtui.jobs.run import Bench
from benchtui.jobs.run_batch import Batch
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.run import Run

LIBRARY = Library.open()
DESIGN = "hollin-cue-desk"
DESK = load_design(LIBRARY.path_of("design", DESIGN))
SHIPPED = [entry.id for entry in LIBRARY.entries() if entry.kind in ("procedure", "checklist")]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")  # so that the frozen clock is what counts
    return Clock()


def quick(store: Store) -> None:
    """Let the system write when it likes: thousands of acts, and none of these tests pulls the plug."""
    store.connection.execute("PRAGMA synchronous = OFF")


def builder(clock: Clock) -> Builder:
    return Builder(lambda seconds: clock.forward(seconds=seconds))


def opened(bench: Bench, id: str) -> Run:
    """A job of a procedure, about whichever subject it can be about."""
    others = [found.id for rule in ("each bank", "each connector", "each bus") for found in DESK.subjects(rule)]
    subjects = ["", "F3", *(control.id for control in DESK.controls), *others]
    for subject in subjects:
        try:
            return bench.start(id, "HCD-001-D", design_id=DESIGN, subject=subject)
        except (DesignError, JobError):
            continue
    raise AssertionError(f"{id} is about no subject of the desk")


@pytest.mark.parametrize("id", SHIPPED)
def test_every_shipped_procedure_can_be_worked_through_to_its_end(id: str, tmp_path: Path, clock: Clock) -> None:
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        quick(store)
        bench = Bench(LIBRARY, store, clock=clock)
        run = opened(bench, id)
        builder(clock).finish(run)
        assert run.state.closed == "complete"


@pytest.mark.parametrize("quantity", [4, pytest.param(6, marks=pytest.mark.long)])
def test_a_batch_from_bare_panel_to_release(tmp_path: Path, clock: Clock, quantity: int) -> None:
    """Two interruptions, one defect, one held unit; the matrix, the passport and the sums are right at the end."""
    file = tmp_path / "record.sqlite"
    worker = builder(clock)
    with Store.open(file, clock=clock) as store:
        quick(store)
        bench = Bench(LIBRARY, store, clock=clock)
        batch = Batch.make(bench, DESIGN, quantity)
        batch.start("hollin-assembly")
        for run in batch.runs().values():
            worker.begin(run)
        first = batch.current()
        assert first is not None
        batch.acknowledge(first.key)
        assert batch.done(first.key) == batch.units
        for run in batch.runs().values():
            for _ in range(40):
                worker.step(run)
        batch.runs()[batch.units[2]].suspend(next_act="the second bank", bench=("iron hot",))
    # The first interruption: everything is shut, and taken up the next day.
    clock.forward(hours=20)
    with Store.open(file, clock=clock) as store:
        quick(store)
        bench = Bench(LIBRARY, store, clock=clock)
        batch = Batch(bench, "B1")
        assert {run.state.settled for run in batch.runs().values()} == {41}
        for run in batch.runs().values():
            worker.begin(run)
        bench.units.set_state(batch.units[-1], "held", reason="its board does not start")
        ill = batch.runs()[batch.units[1]]
        half = len(ill.plan) // 2
        for unit in batch.taking_part():
            run = batch.runs()[unit]
            while (step := run.current()) is not None and step.number < half:
                worker.step(run)
        broken = next(
            step for step in ill.plan.steps if step.number >= half and step.subject and step.limits and step.limits.high
        )
        while ill.state.current != broken.key:
            worker.step(ill)
        _break_and_mend(ill, worker)
    # The second: a program killed leaves nothing said.
    clock.forward(minutes=3)
    with Store.open(file, clock=clock) as store:
        quick(store)
        bench = Bench(LIBRARY, store, clock=clock)
        batch = Batch(bench, "B1")
        for unit in batch.taking_part():
            worker.finish(batch.runs()[unit])
            if bench.units.view(unit).void:
                # What the rework made void in procedures that the assembly called earlier is tested once more.
                worker.finish(bench.open(bench.units.retest_plan(unit), unit))
            bench.units.release(unit, by="the builder")
        assert batch.sums() | {"released": quantity - 1, "held": 1} == batch.sums()
        assert sum(batch.sums().values()) == quantity
        held = batch.units[-1]
        with pytest.raises(JobError, match="is not ready"):
            bench.units.release(held, by="the builder")
        cells = batch.matrix("hollin-assembly")
        assert all(cell.status == "done" for unit in batch.taking_part() for cell in cells[unit].values())
        assert sum(cell.settled for cell in cells[held].values()) == 41
        spread = batch.spread("hollin-assembly")
        assert len(spread) > 20
        assert all(len(each.values) >= quantity - 1 for each in spread)
        page = "\n".join(passport(bench.units.view(batch.units[1])))
        assert "- state: released" in page
        assert "on reading 2" in page
        assert page == "\n".join(passport(bench.units.view(batch.units[1])))
        assert verify(store) == ()


def _break_and_mend(run: Run, worker: Builder) -> None:
    """A reading fails, a defect is written, decided and put right, and the step is done again."""
    step = run.current()
    assert step is not None
    assert step.limits is not None
    assert step.limits.high is not None
    for caution in run.state.unread(step.key):
        run.acknowledge(caution)
    run.act(worker.reading(run, step, step.limits.high * 1.5))
    assert run.state[step.key].status == "failed"
    subject = step.subject.id if step.subject else ""
    run.act(ev.DefectFound(defect="D1", text="cold joint", step=step.key, subject=subject))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="to drawing"))
    run.act(ev.ReworkStarted(defect="D1", joint=f"{subject} lug 2", attempts=3))
    run.act(ev.ReworkDone(defect="D1", touched=(subject,) if subject else ()))
    assert run.state[step.key].status == "reopened"
