"""An iron that a step switched on is hot until a step, or somebody, says that it is off (DESIGN.md, Cautions)."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import plan, step
from helpers.proven import bench_on

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.glance import summarise
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.standing import IRON_HOT, iron_on_at
from benchtui.ui.past import around
from benchtui.ui.view.resume import Return, resume_lines
from benchtui.ui.view.shapes import ASCII
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from helpers.bench_of_plans import PlannedBench

MEND = plan(
    step("look"),
    step("on", text="Switch the iron on and set it to 330 °C. Tin its tip."),
    step("joint", text="Solder the lead."),
    step("off", text="Switch the iron off and put it into its stand."),
    step("look-again"),
    id="mend",
    procedure_kind="rework",
    design_id="hollin-cue-desk",
)
SET = plan(step("heat", text="Switch the iron on and set it to 330 °C."), id="set-iron", procedure_kind="service")
CALLING = plan(
    step("set", "call", call="set-iron"), step("joint"), step("off", text="Switch the iron off."), id="calling"
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    with bench_on(tmp_path) as here:
        here.plans |= {"mend": MEND, "set-iron": SET, "calling": CALLING}
        yield here


def test_an_iron_that_was_switched_on_stands_until_a_step_switches_it_off(bench: PlannedBench) -> None:
    run = bench.start("mend", bench.units.make("hollin-cue-desk"))
    run.act(ev.StepDone(step="look"))
    assert run.state.left == ()
    run.act(ev.StepDone(step="on"))
    assert run.state.left == (IRON_HOT,)
    run.act(ev.StepDone(step="joint"))
    found = iron_on_at(run.state)
    assert found is not None
    assert found.number == 2
    run.act(ev.StepDone(step="off"))
    assert run.state.left == ()
    assert iron_on_at(run.state) is None


def test_after_a_kill_the_bench_and_the_page_of_the_return_say_that_the_iron_is_on(bench: PlannedBench) -> None:
    run = bench.start("mend", bench.units.make("hollin-cue-desk"))
    for key in ("look", "on"):
        run.act(ev.StepDone(step=key))
    assert summarise(run.state).left_on == (IRON_HOT,)
    after = type(bench)(bench.plans, bench.store, bench.clock)
    back = after.resume(run.job)
    text = plain(resume_lines(back.state, Return(), width=200, gone=timedelta(minutes=3), shapes=ASCII))
    assert "iron hot: press the number" in text
    assert "it was switched on at step 2, and no step since has switched it off" in text
    with pytest.raises(JobError, match="iron hot"):
        back.act(ev.Resumed())
    back.act(ev.Resumed(answers=("no longer so",)))
    assert back.state.left == ()


def test_what_was_said_of_it_stands_over_what_the_steps_say(bench: PlannedBench) -> None:
    run = bench.start("mend", bench.units.make("hollin-cue-desk"))
    for key in ("look", "on"):
        run.act(ev.StepDone(step=key))
    run.suspend(bench=())
    assert run.state.left == ()


def test_an_iron_that_called_work_made_hot_is_hot_in_the_work_that_called_it(bench: PlannedBench) -> None:
    run = bench.start("calling", bench.units.make("hollin-cue-desk"))
    called = bench.call(run, "set")
    called.act(ev.StepDone(step="heat"))
    called.close()
    run.act(ev.CallReturned(step="set", called=called.job, result=called.state.closed))
    assert run.state.left == (IRON_HOT,)
    again = bench.look(run.job)
    assert again.left == (IRON_HOT,)
    run.act(ev.StepDone(step="set"))
    run.act(ev.StepDone(step="joint"))
    run.act(ev.StepDone(step="off"))
    assert run.state.left == ()
    assert around(run) == ()


def test_an_iron_that_the_others_of_a_batch_switched_off_is_not_hot_at_a_unit_that_waits(bench: PlannedBench) -> None:
    # There is one iron: a unit whose joint failed must not keep the heading of all the others at IRON HOT.
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    batch.start("mend")
    first, second = batch.units
    batch.done("look")
    batch.done("on")
    assert all(run.state.left == (IRON_HOT,) for run in batch.runs().values())
    batch.runs()[second].act(ev.StepFailed(step="joint", reason="cold"))
    batch.done("joint", units=[first])
    batch.done("off", units=[first])
    assert [run.state.left for run in batch.runs().values()] == [(), ()]
