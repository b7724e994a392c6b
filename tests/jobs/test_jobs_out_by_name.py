"""What keeps a unit here, whatever is typed: no name under it, a firmware nobody knows; and what a batch takes back.

Sources: ISO 9001:2015 8.6 (release is by name and on evidence), 8.7 (what is decided by mistake can be decided anew),
8.5.2 (which firmware a unit runs is known).
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import plan, step
from helpers.proven import SOLDERED, begun, built, through

from benchtui.errors import JobError
from benchtui.faults.events import WalkOpened
from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.ui.walks import end_walks

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench


def test_no_unit_goes_out_as_temporary_without_a_name(bench: PlannedBench) -> None:
    unit, run = begun(bench, SOLDERED)
    through(run, until="solder@F2")
    with pytest.raises(JobError, match="signs for it"):
        bench.units.set_state(unit, "temporary", reason="a show tonight")
    assert bench.units.view(unit).state == "in work"


@pytest.mark.parametrize(("version", "known"), [("1.4", True), ("unknown", False), (" Unknown ", False), ("?", False)])
def test_a_firmware_that_nobody_knows_is_not_written_down(bench: PlannedBench, version: str, known: bool) -> None:
    unit = built(bench, SOLDERED)
    bench.units.write(unit, ev.FirmwareLoaded(name="hollin-cue-desk", version=version))
    assert any("its firmware is not known" in line for line in bench.units.missing(unit)) is not known


def test_a_batch_takes_back_only_what_was_marked_together(bench: PlannedBench) -> None:
    bench.plans["hollin-assembly"] = plan(
        step("cut@F1"), step("solder@F1"), step("tie@F1"), design_id="hollin-cue-desk"
    )
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    batch.start("hollin-assembly")
    first, second = batch.units
    batch.done("cut@F1")
    bench.clock.forward(minutes=5)  # type: ignore[attr-defined]
    batch.done("solder@F1", units=[first])
    bench.clock.forward(minutes=5)  # type: ignore[attr-defined]
    batch.done("solder@F1", units=[second])
    assert batch.take_back() == ("solder@F1", (second,)), "the first unit did this step at another time"
    assert batch.runs()[first].state.current == "tie@F1"


def test_a_hunt_that_is_closed_closes_what_its_repair_had_called(bench: PlannedBench) -> None:
    unit = built(bench, SOLDERED)
    bench.plans["swap"] = plan(
        step("open@F1"),
        step("out", "call", call="out"),
        id="swap",
        procedure_kind="rework",
        design_id="hollin-cue-desk",
    )
    bench.plans["out"] = plan(
        step("nut"), step("lift"), id="out", procedure_kind="service", design_id="hollin-cue-desk"
    )
    run = bench.start("swap", unit)
    run.act(ev.StepDone(step="open@F1"))
    inner = bench.call(run, "out")
    inner.act(ev.StepDone(step="nut"))
    inner.suspend(bench=("a part or screw loose",))
    run.suspend()
    hunt = SimpleNamespace(job="JHUNT", state=SimpleNamespace(events=[WalkOpened(procedure="swap", job=run.job)]))
    assert end_walks(bench, hunt) == 1  # type: ignore[arg-type]
    assert bench.open_jobs() == ()
    assert inner.state.closed == run.state.closed == "closed with open items"
    assert bench.units.missing(unit), "what was not put back is open on the unit"


def test_a_pass_takes_up_the_build_that_was_begun_on_one_unit_alone(bench: PlannedBench) -> None:
    bench.plans["hollin-assembly"] = plan(step("cut@F1"), step("solder@F1"), design_id="hollin-cue-desk")
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    first, second = batch.units
    alone = bench.start("hollin-assembly", first)
    alone.act(ev.StepDone(step="cut@F1"))
    alone.suspend()
    batch.start("hollin-assembly")
    assert [job.unit for job in bench.open_jobs()].count(first) == 1
    assert batch.runs()[first].job == alone.job
    matrix = batch.matrix("hollin-assembly")
    assert [cell.settled for cell in matrix[first].values()] == [1]
    assert [cell.settled for cell in matrix[second].values()] == [0]
    assert batch.at("cut@F1") == (second,), "the pass begins where a unit is behind"
