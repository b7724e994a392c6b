"""Two benches that worked on one unit apart: a test stands against work only where it was really made after it.

Rows I4 and I11 (ISO 9001:2015 8.6, 8.7: proof before release). The order of a merged record follows how much each
bench had written, and says nothing of what came first in the world.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

UNIT = "HCD-001-R"
PLANS = {
    "hollin-assembly": plan(step("mount@F1"), full_plan().step("bank"), design_id="hollin-cue-desk"),
    "annual": plan(full_plan().step("bank"), id="annual", procedure_kind="service", design_id="hollin-cue-desk"),
    "mend": plan(step("solder@F1"), id="mend", procedure_kind="service", design_id="hollin-cue-desk"),
}


def pair(folder: Path) -> tuple[PlannedBench, PlannedBench, Clock]:
    """A workshop and a van that know the same unit, built and proven."""
    clock = Clock()
    benches = []
    for name in ("workshop", "van"):
        bench = PlannedBench(PLANS, Store.open(folder / f"{name}.sqlite", clock=clock), clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one"),))  # type: ignore[method-assign]
        benches.append(bench)
    workshop, van = benches
    workshop.units.make("hollin-cue-desk")
    walk(workshop, "hollin-assembly")
    merge(van.store, lines(workshop.store))
    return workshop, van, clock


def walk(bench: PlannedBench, procedure: str) -> None:
    run = bench.start(procedure, UNIT)
    for key in [each.key for each in run.plan.steps]:
        if run.plan.step(key).act == "measure":
            run.read("2.5")
        run.act(ev.StepDone(step=key))
    run.close()


def rework(bench: PlannedBench) -> None:
    run = bench.start("mend", UNIT)
    run.act(ev.DefectFound(defect="D1", text="cold joint", subject="F1"))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="cold"))
    run.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", limit=3))
    run.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    run.act(ev.StepDone(step="solder@F1"))
    run.close()


def much_written(bench: PlannedBench) -> None:
    for number in range(60):
        bench.store.append("note", data={"text": f"other work {number}"})


@pytest.mark.parametrize("busy", ["workshop", "van", ""])
@pytest.mark.parametrize("first", ["test", "rework"])
def test_the_test_counts_only_when_it_was_made_after_the_rework(tmp_path: Path, busy: str, first: str) -> None:
    workshop, van, clock = pair(tmp_path)
    for name, bench in (("workshop", workshop), ("van", van)):
        if name == busy:
            much_written(bench)
    acts = [lambda: walk(workshop, "annual"), lambda: rework(van)]
    for act in acts if first == "test" else reversed(acts):
        clock.forward(hours=20)
        act()
    ours, theirs = list(lines(workshop.store)), list(lines(van.store))
    merge(workshop.store, theirs)
    merge(van.store, ours)
    missing = workshop.units.missing(UNIT)
    assert missing == van.units.missing(UNIT)
    again = [line for line in missing if "tested again" in line]
    if first == "test":
        assert again, "the joint was heated after the test"
    elif busy == "workshop":
        assert not again
    # Else the van's many entries put its rework behind the test, and it is made once more, to be safe.


def test_in_one_job_at_two_benches_as_well(tmp_path: Path) -> None:
    clock = Clock()
    stores = [Store.open(tmp_path / f"{name}.sqlite", clock=clock) for name in ("workshop", "van")]
    workshop, van = (PlannedBench(PLANS, store, clock) for store in stores)
    for bench in (workshop, van):
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one"),))  # type: ignore[method-assign]
    workshop.units.make("hollin-cue-desk")
    run = workshop.start("hollin-assembly", UNIT)
    run.act(ev.StepDone(step="mount@F1"))
    run.suspend()
    merge(van.store, lines(workshop.store))
    much_written(workshop)
    run.act(ev.Resumed())
    run.read("2.5")
    run.act(ev.StepDone(step="bank"))
    run.close()
    clock.forward(hours=25)
    other = van.resume(run.job)
    other.act(ev.Resumed())
    other.act(ev.DefectFound(defect="D1", text="cold joint", subject="F1"))
    other.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="cold"))
    other.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", limit=3))
    other.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    other.suspend()
    merge(workshop.store, lines(van.store))
    assert any("tested again" in line or "step 2" in line for line in workshop.units.missing(UNIT))


@pytest.mark.parametrize("way", ["imported", "copied"])
def test_a_test_made_where_the_work_was_known_counts_though_the_clock_there_is_behind(tmp_path: Path, way: str) -> None:
    workshop, van, clock = pair(tmp_path)
    clock.forward(days=365)
    rework(van)
    assert any("tested again" in line for line in van.units.missing(UNIT))
    if way == "imported":
        merge(workshop.store, lines(van.store))
    else:
        van.store.close()
        copy = tmp_path / "elsewhere" / "record.sqlite"
        copy.parent.mkdir()
        copy.write_bytes((tmp_path / "van.sqlite").read_bytes())
        workshop = PlannedBench(PLANS, Store.open(copy, clock=clock), clock)
    clock.forward(days=-364)
    assert any("tested again" in line for line in workshop.units.missing(UNIT))
    walk(workshop, "annual")
    assert not any("tested again" in line for line in workshop.units.missing(UNIT))
    alone = Store.open(tmp_path / "alone.sqlite", clock=clock)
    merge(alone, lines(workshop.store, unit=UNIT))
    other = PlannedBench(PLANS, alone, clock)
    assert not any("tested again" in line for line in other.units.missing(UNIT)), "as one unit's export tells it too"
