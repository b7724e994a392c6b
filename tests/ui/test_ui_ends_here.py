"""Work that was begun by mistake, or ends early, is ended from its own page, from the bench, and by lines.

Source: ISO 9001:2015 8.5.1 (each piece of work has an end that is known).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import make_step, plain_plan
from helpers.screens import FakeBench, FakeLibrary, running, screen_text, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.ui import flows
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.screens.bench import BenchHome
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PLANS = {"hollin-wiring": plain_plan()}
UNIT = "HCD-003-K"


async def test_the_page_that_puts_work_aside_ends_work_begun_by_mistake(tmp_path: Path) -> None:
    async with running(tmp_path, plans=PLANS) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        app.go(flows.work_on(app, run))
        await until(pilot, "step 1 of 10")
        await pilot.press("q")
        await until(pilot, "e: it was begun by mistake, or it ends here")
        await pilot.press("e")
        await until(pilot, "It was begun by mistake")
        await pilot.press("enter")
        await until(pilot, "It was begun by mistake, because")
        await pilot.press(*"wrong desk", "enter")
        await until(pilot, "No work is open")
        assert isinstance(app.screen, BenchHome)
        assert run.state.closed == ev.NOTHING_DONE and run.state.decision == "wrong desk"


async def test_work_in_which_something_is_marked_ends_with_what_is_open(tmp_path: Path) -> None:
    async with running(tmp_path, plans=PLANS) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        app.go(flows.work_on(app, run))
        await until(pilot, "step 1 of 10")
        await pilot.press("space")
        await until(pilot, "step 2 of 10")
        await pilot.press("q", "e")
        await until(pilot, "How does it end?")
        assert "Take each mark back at its steps first" in screen_text(app)
        assert f"what was not done is listed, and stays open on {UNIT}" in screen_text(app)
        await pilot.press("enter")
        await until(pilot, "It ends here, because")
        await pilot.press("escape")
        await until(pilot, "What is left at the bench")
        assert not run.state.closed, "given up: it goes on"
        await pilot.press("e")
        await until(pilot, "How does it end?")
        await pilot.press("enter")
        await until(pilot, "It ends here, because")
        await pilot.press(*"the panel cracked", "enter")
        await until(pilot, "No work is open")
        assert run.state.closed == "closed with open items"


async def test_the_row_at_the_bench_ends_it_once_what_was_left_on_is_safe(tmp_path: Path) -> None:
    async with running(tmp_path, plans=PLANS) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        run.suspend(bench=("iron hot",))
        app.screen.fill("")  # type: ignore[attr-defined]
        await pilot.press("home", "e")
        await until(pilot, "How does it end?")
        await pilot.press("enter")
        await until(pilot, "Left at the bench: IRON HOT")
        await pilot.press("enter")
        await until(pilot, "because")
        await pilot.press(*"a slip", "enter")
        await until(pilot, "No work is open")
        assert run.state.closed == ev.NOTHING_DONE and run.state.left == ()


async def test_a_batch_names_the_unit_whose_work_ends(tmp_path: Path) -> None:
    async with running(tmp_path, plans=PLANS) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start("hollin-wiring")
        app.screen.fill("")  # type: ignore[attr-defined]
        await pilot.press("home", "e")
        await until(pilot, "Which work ends?")
        assert all(unit in screen_text(app) for unit in batch.units)
        await pilot.press("enter")
        await until(pilot, "How does it end?")
        await pilot.press("enter")
        await until(pilot, "because")
        await pilot.press(*"one too many", "enter")
        await until(pilot, "is closed with nothing done")
        assert len(batch.runs()) == 1


async def test_e_on_a_row_that_is_no_open_work_says_so(tmp_path: Path) -> None:
    async with running(tmp_path, plans=PLANS) as (_, pilot):
        await pilot.press("e")
        await until(pilot, "the mark stands on no open work")


async def test_a_called_procedure_that_was_begun_by_mistake_leaves_its_step_to_be_done(tmp_path: Path) -> None:
    outer = replace(plain_plan(), id="outer", steps=(make_step(1, "in", "Go in.", act="call", call="hollin-wiring"),))
    async with running(tmp_path, plans={**PLANS, "outer": outer}) as (app, pilot):
        run = app.bench.start("outer", UNIT)
        app.go(flows.work_on(app, run))
        await until(pilot, "step 1 of 1")
        await pilot.press("space")
        await until(pilot, "step 1 of 10")
        await pilot.press("q", "e")
        await until(pilot, "How does it end?")
        await pilot.press("enter")
        await until(pilot, "because")
        await pilot.press(*"not yet", "enter")
        await until(pilot, "nothing was done in it, so this step is still to be done")
        assert isinstance(app.screen, StepScreen) and app.screen.run is run
        assert not run.state["in"].settled


# -- by lines ----------------------------------------------------------------------------------------------------------


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, PLANS) as bench:
        yield bench


def at_the_bench(bench: FakeBench, *lines: str) -> Script:
    script = Script(*lines)
    talk = BenchTalk(FakeLibrary(), bench.store, script.talk())  # type: ignore[arg-type]
    talk.bench = talk.ways.bench = bench
    talk.units = talk.ways.units = bench.units
    talk.talk.mind = None
    talk.go()
    return script


def test_lines_end_work_at_the_bench(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", UNIT)
    script = at_the_bench(bench, "end open work", "mistake", "wrong desk")
    assert "is closed with nothing done." in script.text
    assert run.state.closed == ev.NOTHING_DONE and bench.open_jobs() == ()


def test_lines_end_work_at_its_steps(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", UNIT)
    script = at_the_bench(bench, "1", "", "", "end", "here", "the panel cracked")
    assert run.state.closed == "closed with open items", script.text
    assert "Put aside" not in script.text


def test_scrapping_a_unit_ends_its_work_and_its_hunts(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", UNIT)
    script = at_the_bench(bench, "units", "1", "s", "scrapped", "the panel cracked")
    assert f"{UNIT} is scrapped." in script.text
    assert run.state.closed and bench.open_jobs() == ()


def test_lines_name_work_that_may_be_forgotten(bench: FakeBench) -> None:
    bench.start("hollin-wiring", UNIT).suspend()
    bench.clock.now += timedelta(days=30)  # type: ignore[attr-defined]
    assert "forgotten?" in at_the_bench(bench).text
