"""Batches of two benches under one name stay two batches, and no unit is built by the text of another design."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import plan, step

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_batches import find_batch, known_batches
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.ui.view.bench import by_batch

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

DESK = plan(step("mount@F1"), design_id="hollin-cue-desk")
PEDAL = plan(step("foot"), id="foot-assembly", title="Build one foot switch", design_id="foot-switch")


@pytest.fixture
def benches(tmp_path: Path) -> Iterator[tuple[PlannedBench, PlannedBench]]:
    clock = Clock()
    plans = {"hollin-assembly": DESK, "foot-assembly": PEDAL}
    with Store.open(tmp_path / "a.sqlite", clock=clock) as one, Store.open(tmp_path / "b.sqlite", clock=clock) as two:
        yield PlannedBench(plans, one, clock), PlannedBench(plans, two, clock)


def test_two_batches_of_one_name_stay_apart_at_both_benches(benches: tuple[PlannedBench, PlannedBench]) -> None:
    # Row H7: one event per unit, and the quantities of each batch add up.
    here, there = benches
    desks, pedals = Batch.make(here, "hollin-cue-desk", 2), Batch.make(there, "foot-switch", 2)
    assert (desks.name, pedals.name) == ("B1", "B1")
    Batch(there, "B1").start("foot-assembly")
    merge(here.store, list(lines(there.store)))
    merge(there.store, list(lines(here.store)))
    names = {
        desks.units: f"B1-{here.store.origin[:4]}",
        pedals.units: f"B1-{there.store.origin[:4]}",
    }
    for bench in benches:
        assert {batch.units: batch.name for batch in known_batches(bench.store)} == names
        for units, name in names.items():
            batch = Batch(bench, name)
            assert (batch.name, batch.written, batch.units) == (name, "B1", units)
            assert sum(batch.sums().values()) == 2
        assert [len(jobs) for jobs in by_batch(bench.open_jobs())] == [2]
    assert find_batch(here.store, "B1") == find_batch(here.store, names[desks.units])
    assert Batch(there, "B1").design == "foot-switch"

    batch = Batch(here, names[desks.units])
    batch.start("hollin-assembly")
    assert tuple(batch.runs()) == desks.units
    assert batch.done("mount@F1") == desks.units
    taken_up = Batch(here, names[pedals.units]).runs("foot-assembly")
    assert {run.plan.id for run in taken_up.values()} == {"foot-assembly"}
    assert tuple(taken_up) == pedals.units
    shown = [{job.batch for job in jobs} for jobs in by_batch(here.open_jobs()) if isinstance(jobs, tuple)]
    assert sorted(map(sorted, shown)) == sorted([name] for name in names.values())
    assert Batch.make(here, "hollin-cue-desk", 1).name == "B2"


def test_a_batch_keeps_its_plain_name_while_no_other_has_it(benches: tuple[PlannedBench, PlannedBench]) -> None:
    here, _ = benches
    batch = Batch.make(here, "hollin-cue-desk", 2)
    batch.start("hollin-assembly")
    assert [batch.name for batch in known_batches(here.store)] == ["B1"]
    assert {job.batch for job in here.open_jobs()} == {"B1"}
    assert Batch(here, "B7").units == ()
    assert find_batch(here.store, "B7") is None


def test_no_job_of_another_design_is_begun_on_a_unit(benches: tuple[PlannedBench, PlannedBench]) -> None:
    # ISO 9001:2015 8.5.2: what a unit is, is known; a wrong number typed is the likely slip.
    here, _ = benches
    unit = here.units.make("foot-switch")
    with pytest.raises(
        JobError, match=f"{unit} is of the design foot-switch, and Build one Hollin cue desk"
    ) as refusal:
        here.start("hollin-assembly", unit)
    assert "its own design" in refusal.value.hint
    assert here.units.view(unit).state == "planned"
    assert here.open_jobs() == ()
    here.plans["any"] = plan(step("look"), id="any", procedure_kind="service")
    here.start("any", unit).act(ev.StepDone(step="look"))
    here.start("foot-assembly", unit)


def test_what_an_older_program_began_on_another_design_can_be_ended(benches: tuple[PlannedBench, PlannedBench]) -> None:
    here, _ = benches
    unit = here.units.make("foot-switch")
    data = {"plan": "x", "procedure": "hollin-assembly", "design": "hollin-cue-desk"}
    here.store.append("job-started", unit=unit, job="JOLD22", data=data)
    assert here.units.opening(unit, DESK)


def test_a_build_begun_once_more_by_a_slip_leaves_the_matrix_as_it_was(
    benches: tuple[PlannedBench, PlannedBench],
) -> None:
    here, _ = benches
    batch = Batch.make(here, "hollin-cue-desk", 1)
    batch.start("hollin-assembly")
    batch.done("mount@F1")
    here.resume(batch.runs()[batch.units[0]].job).close()
    before = batch.matrix("hollin-assembly")
    here.clock.forward(minutes=5)  # type: ignore[attr-defined]
    here.start("hollin-assembly", batch.units[0]).act(ev.NoteAdded(text="the wrong one"))
    assert batch.matrix("hollin-assembly") != before, "a second build is under way"
    (job,) = here.open_jobs()
    here.resume(job.job).close(decision="wrong unit")
    assert batch.matrix("hollin-assembly") == before
