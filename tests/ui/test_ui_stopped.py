"""What lets the work go on: the bottom line names only keys that do, and the head says why it stands still."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.demo_plan import demo_plan, make_step, plain_plan
from helpers.screens import running, screen_text, until

from benchtui.jobs.run_batch import Batch
from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.screens.aside import AsideScreen
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.strap import Strap
from benchtui.ui.view.batch import batch_head, counted
from benchtui.ui.view.cautions import named
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import step_keys
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PlannedBench]:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    clock = Clock()
    hold = make_step(1, "hold", "Look at the joint.", hold=True)
    wait = make_step(2, "cure", "Let it cure.", act="wait", seconds=1800.0)
    look = make_step(3, "look", "Look at it.")
    plan = replace(plain_plan(), id="three", steps=(hold, wait, look))
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"three": plan, "hollin-wiring": plain_plan(), "page": demo_plan()}, store, clock)


def keys_of(work: Work) -> dict[str, str]:
    return {key.key: key.word for key in step_keys(work, armed=True)}


def head_of(work: Work) -> str:
    return plain(job_head(work.state, 80, UNICODE))


def test_at_a_failed_hold_point_space_is_not_offered_and_the_head_says_why(bench: PlannedBench) -> None:
    work = Work(bench.start("three", "HCD-003-K"))
    work.take_up()
    assert "space" in keys_of(work)
    assert "s" not in keys_of(work), "a hold point cannot be skipped"
    work.fail("the joint is grey")
    assert "space" not in keys_of(work)
    assert {"u", "d"} <= set(keys_of(work))
    assert "hold point failed" in head_of(work)
    assert "nothing goes past it" in work.go_on().text


def test_a_running_wait_offers_its_early_end_and_space_only_when_it_is_over(bench: PlannedBench) -> None:
    work = Work(bench.start("three", "HCD-003-K"))
    work.go_on()
    assert keys_of(work)["space"] == "start the wait"
    work.go_on()
    assert "space" not in keys_of(work)
    assert "e" in keys_of(work)
    assert "waiting" in head_of(work)
    bench.clock.forward(minutes=31)  # type: ignore[attr-defined]
    assert keys_of(work)["space"] == "done, next"


def test_the_head_of_a_batch_counts_its_units_at_the_step(bench: PlannedBench) -> None:
    batch = Batch.make(bench, "hollin-cue-desk", 4)
    batch.start("three")
    runs = batch.runs()
    first, second, third, _ = batch.units
    Work(runs[first]).go_on()
    Work(runs[second]).fail("grey")
    states = [run.state for run in runs.values()]
    step = runs[third].plan.steps[0]
    assert counted(states, step, {third: "held"}) == ["1 done", "1 left", "1 waiting", "1 held"]
    head = plain(batch_head("B1", "Three", states, step, 80, UNICODE, out={third: "held"}))
    assert "step 1 of 3 · 1 done · 1 left · 1 waiting · 1 held" in head


def test_a_strap_test_that_was_called_is_not_asked_for_again(bench: PlannedBench) -> None:
    run = bench.start("hollin-wiring", "HCD-003-K")
    strap = Strap(bench)
    loose = replace(run.plan.steps[0], static=True)
    assert strap.due(loose)
    assert not Strap(bench).keep("1M").problem, "kept by the screen of the procedure that was called"
    assert not strap.due(loose)


def test_the_soak_says_in_the_head_what_can_happen() -> None:
    assert named("soak-fire") == "POWERED FOR HOURS: FIRE RISK"
    assert named("power-on") == "POWER ON"


@pytest.mark.parametrize("key", ["p", "l", "w", "z"])
async def test_esc_leaves_what_stands_beside_the_step_before_it_leaves_the_step(tmp_path: Path, key: str) -> None:
    async with running(tmp_path) as (app, pilot):
        plan = plain_plan()
        app.bench.plans = {plan.id: plan}  # type: ignore[attr-defined]
        app.go(flows.work_on(app, app.bench.start(plan.id, "HCD-003-K")))
        await until(pilot, "unit HCD-003-K")
        before = screen_text(app)
        await pilot.press(key)
        assert "back to the step" in screen_text(app)
        await pilot.press("escape")
        assert isinstance(app.screen, StepScreen)
        assert screen_text(app) == before
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, AsideScreen)
