"""The wrist strap is tested before anything is marked at a step with loose parts (ANSI/ESD S20.20, row B7)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.demo_plan import make_step, plain_plan
from helpers.jobs import BANK
from helpers.screens import running, until

from benchtui.jobs.plan import Choice
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_sitting import sit_down
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Talk
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.plan import PlanStep

ANSWERS = (Choice(text="it sits"), Choice(text="it does not", verdict="fail"))
STEPS = {
    "do": make_step(1, "fit", "Fit the chip.", static=True),
    "choose": make_step(1, "sits", "Does the chip sit?", act="choose", choices=ANSWERS, required=True, static=True),
    "measure": make_step(1, "bank", "Measure it.", act="measure", limits=BANK, required=True, static=True),
}
LAST = make_step(2, "last", "Look at it.")
ASKED = "test the wrist strap first"
UNIT = "HCD-003-K"


def plan_of(step: PlanStep):  # type: ignore[no-untyped-def]
    return replace(plain_plan(), steps=(step, LAST))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        yield store


@pytest.mark.parametrize("act", STEPS)
def test_nothing_is_marked_before_the_strap_was_tested(store: Store, act: str) -> None:
    plan = plan_of(STEPS[act])
    work = Work(PlannedBench({plan.id: plan}, store, Clock()).start(plan.id, UNIT))
    key = work.key
    acts = {"do": work.go_on, "choose": lambda: work.choose(1), "measure": lambda: work.reading("2.5")}
    assert acts[act]().ask == "strap"
    assert work.go_on().ask == "strap", "Space asks for it as well"
    assert work.state[key].status in (Status.OPEN, Status.BEGUN)
    assert not work.known.readings
    assert work.strap.keep("12M").problem
    assert acts[act]().ask == "strap", "a bad strap is no tested one"
    assert not work.strap.keep("1M").problem
    assert acts[act]().ask == ""
    assert work.state[key].status is Status.DONE


@pytest.mark.parametrize(("act", "keys"), [("do", ["space"]), ("choose", ["1"]), ("measure", ["2"])])
async def test_each_key_that_marks_asks_for_the_strap_on_the_screen(tmp_path: Path, act: str, keys: list[str]) -> None:
    plan = plan_of(STEPS[act])
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, UNIT)
        app.push_screen(StepScreen(run))
        await until(pilot, plan.steps[0].text)
        await pilot.press(*keys)
        await until(pilot, ASKED)
        await pilot.press(*"1M", "enter")
        await until(pilot, "the strap test is kept for this sitting")
        assert run.state[plan.steps[0].key].status is Status.BEGUN, "the key that asked marks nothing"
        assert not run.state[plan.steps[0].key].readings
        await pilot.press(*keys, *(("full_stop", "5", "enter") if act == "measure" else ()))
        await until(pilot, "Look at it.")
        await pilot.pause()
        assert run.state[plan.steps[0].key].status is Status.DONE


@pytest.mark.parametrize(("act", "keys"), [("do", ["space"]), ("choose", ["1"]), ("measure", ["2"])])
async def test_a_pass_over_a_batch_asks_for_it_once(tmp_path: Path, act: str, keys: list[str]) -> None:
    plan = replace(plan_of(STEPS[act]), design_id="hollin-cue-desk")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start(plan.id)
        app.push_screen(BatchScreen(batch, plan.id, "Build"))
        await until(pilot, plan.steps[0].text)
        await pilot.press(*keys)
        await until(pilot, ASKED)
        await pilot.press(*"1M", "enter")
        await until(pilot, "the strap test is kept for this sitting")
        assert {run.state[plan.steps[0].key].status for run in batch.runs().values()} == {Status.BEGUN}
        await pilot.press(*keys, *(("full_stop", "5", "enter") if act == "measure" else ()))
        await pilot.pause()
        assert Status.DONE in {run.state[plan.steps[0].key].status for run in batch.runs().values()}


@pytest.mark.parametrize(("act", "line"), [("do", ""), ("choose", "1"), ("measure", "2.5")])
def test_the_line_mode_asks_for_it_whatever_is_typed(store: Store, act: str, line: str) -> None:
    plan = plan_of(STEPS[act])
    bench = PlannedBench({plan.id: plan}, store, Clock())
    sit_down(bench, unnamed=True)
    run = bench.start(plan.id, UNIT)
    said: list[str] = []
    answers = iter([line, "", line, "1M", line, "q", "", "", ""])

    def ask(prompt: str) -> str:
        said.append(prompt)
        return next(answers)

    JobTalk(Talk(ask, said.append), run, emergency=()).go(lambda _: None)
    assert sum(ASKED in each for each in said) == 2
    assert run.state[plan.steps[0].key].status is Status.DONE
    assert len(run.state[plan.steps[0].key].readings) == (act == "measure")
