"""What comes is read on a key of the page before the work, and nothing is answered by it: row B9."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.at_work import at_bench
from helpers.demo_plan import demo_plan
from helpers.screens import running, until
from helpers.script import Script

from benchtui.jobs.look_through import look_through_lines
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.screens.before import BeforeScreen

if TYPE_CHECKING:
    from pathlib import Path


async def test_what_comes_is_read_before_the_work_and_the_page_is_as_it_was(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.plans = {"hollin-wiring": demo_plan()}  # type: ignore[attr-defined]
        app.go(flows.work_on(app, app.bench.start("hollin-wiring", "HCD-003-K")))
        await pilot.pause()
        await until(pilot, "unit HCD-003-K")
        page = app.screen
        assert isinstance(page, BeforeScreen)
        before = page.run.state
        await pilot.press("l")
        shown = await until(pilot, f"What comes in: {page.run.plan.title}")
        assert next(iter(look_through_lines(page.run.plan, {}))) in shown
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is page
        assert page.run.state == before


def test_by_lines_it_is_said_at_the_first_condition_and_answers_nothing(tmp_path: Path) -> None:
    script = Script("list", "")
    with at_bench(tmp_path, {"hollin-wiring": demo_plan()}) as bench:
        run = bench.start("hollin-wiring", "HCD-003-K")
        JobTalk(script.talk(), run, emergency=()).go(lambda _: "")
        for heading, lines in look_through_lines(run.plan, {}).items():
            assert f"{heading}: {' '.join(lines)}" in script.text
        assert run.state.conditions == {}
