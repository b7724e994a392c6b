"""Nothing is put right with the power on, the iron has its cautions first, and a dead circuit is measured dead.

ANSI Z535.6 (a safety message stands before what it is about); resistance is read on a circuit without power (meter
manuals, common practice).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench, go_to
from helpers.demo_plan import plain_plan
from helpers.jobs import BANK, plan, step
from helpers.screens import Clock, running, until

from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.run import Bench
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.ui import together
from benchtui.ui.power import in_the_way
from benchtui.ui.screens.defects import DefectScreen
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp


@pytest.fixture
def work(tmp_path: Path) -> Iterator[Work]:
    with at_bench(tmp_path, {"hollin-wiring": plain_plan()}) as bench:
        work = Work(bench.start("hollin-wiring", "HCD-003-K"))
        work.take_up()
        yield work


def under_power(run: Run) -> Work:
    """The job at its soak, with the power on by a step."""
    work = Work(run)
    go_to(work, "soak")
    assert run.state.standing == ("power-on",)
    return work


def cold_joint(run: Run) -> None:
    """A defect that is to be put right with the iron."""
    run.act(ev.DefectFound(defect="D1", text="a cold joint", subject="F1"))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="cold"))


async def rework_chosen(app: BenchApp, pilot: Pilot[None], run: Run) -> None:
    """The rework of a cold joint, picked on the page of the defects."""
    cold_joint(run)
    app.push_screen(DefectScreen(run))
    await until(pilot, "begin the rework")
    await pilot.press("home", "enter")


def test_a_reading_without_power_asks_for_the_lead_when_a_step_has_put_it_in(work: Work) -> None:
    work = under_power(work.run)
    work.look("bank-ohms")
    work.undo()
    assert work.reading("5k").ask == "power"
    assert work.power_off("yes").problem
    said = work.power_off("off")
    assert said.ask == "reading"
    assert said.text == "the power is off; step 7, which puts it in, is open again"
    assert work.state.standing == ()
    work.reading("5k")
    work.reading_again("1")
    assert work.state["bank-ohms"].status is Status.DONE
    assert work.state.current == "first-power", "it is put in once more before what needs it on"
    work.acknowledge()
    work.go_on()
    assert work.state.standing == ("power-on",)


def test_a_pass_over_a_called_procedure_asks_for_the_lead_of_the_work_that_called_it(work: Work) -> None:
    bench = work.run.bench
    dead = replace(BANK, power="off")
    inner = plan(step("ohms", "measure", limits=dead), id="inner", design_id="hollin-cue-desk")
    outer = plan(step("go", "call", call="inner"), id="outer", design_id="hollin-cue-desk")
    bench.plans = {"inner": inner, "outer": outer}  # type: ignore[attr-defined]
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    batch.start("outer")
    for run in batch.runs().values():
        run.suspend(bench=("power on",))
        run.act(ev.Resumed(answers=("still so",)))
    called = batch.call("go")
    runs = tuple(called.runs().values())
    assert all(in_the_way(run, run.plan.steps[0].limits) for run in runs)
    assert not together.power_off(runs, "off").problem
    assert not any(in_the_way(run, run.plan.steps[0].limits) for run in runs)


def test_what_was_said_of_the_power_is_the_same_after_a_restart(work: Work, tmp_path: Path) -> None:
    work = under_power(work.run)
    work.look("bank-ohms")
    work.undo()
    work.power_off("off")
    again = work.run.bench.look(work.run.job)
    assert again == work.state
    assert again.standing == ()


def test_no_rework_begins_with_the_power_on(work: Work) -> None:
    run = under_power(work.run).run
    cold_joint(run)
    with pytest.raises(JobError, match="the power is on"):
        run.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2"))


async def test_the_iron_has_its_cautions_first_and_the_lead_is_pulled(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        app.library = Library.open()
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        under_power(run)
        await rework_chosen(app, pilot, run)
        await until(pilot, "Pull the lead out")
        await pilot.press(*"yes", "enter")
        await until(pilot, "type off once the lead is out")
        await pilot.press(*["backspace"] * 3, *"off", "enter")
        await until(pilot, "Joint to be heated")
        await pilot.press(*"F1 lug 2", "enter")
        await until(pilot, "when you have read")
        assert run.state.defects["D1"].status == "decided"
        for _ in range(8):
            if run.state.defects["D1"].status != "decided":
                break
            await pilot.press("a")
            await pilot.pause(0.1)
        assert run.state.defects["D1"].status == "in rework"
        (begun,) = app.store.events(kinds=["rework-started"])
        assert begun.data["heeded"]


async def test_a_rework_is_not_begun_by_who_leaves_the_cautions(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        app.library = Library.open()
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        await rework_chosen(app, pilot, run)
        await until(pilot, "Joint to be heated")
        await pilot.press(*"F1 lug 2", "enter")
        await until(pilot, "when you have read")
        await pilot.press("escape")
        await pilot.pause(0.1)
        assert run.state.defects["D1"].status == "decided"


def test_a_defect_of_a_closed_job_is_put_right_under_the_cautions_of_the_iron(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        bench = Bench(Library.open(), store)
        unit = bench.units.make("hollin-cue-desk")
        run = bench.start("load-in", unit, design_id="hollin-cue-desk")
        run.act(ev.DefectFound(defect="D1", text="a cold joint at F1 lug 2", subject="F1"))
        run.close(decision="later")
        (left,) = [each for each in bench.left_open(unit) if each.defect[0]]
        put_right = next(step for step in left.plan.steps if step.key == "put-right")
        iron = {each.id for each in bench.library.cautions().values() if "iron" in each.from_use}
        assert iron <= {each.id for each in put_right.cautions}
        assert any(each.person for each in put_right.cautions)
