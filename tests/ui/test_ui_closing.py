"""Closing a called procedure: what the calling work still uses stays out, and is counted back in at its end alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from helpers.demo_plan import make_step, plain_plan
from helpers.screens import running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before
from benchtui.ui.closing import staying
from benchtui.ui.screens.end import EndScreen

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp

BUILD = ("wrist strap and mat, with an earth point", "meter with thin insulated tips and a clip", "side cutters")
TEST = ("wrist strap and mat", "meter, or a strap tester", "good light")


def called(app: BenchApp) -> tuple[Run, Run]:
    """A build that has called the test of the strap, with the kit of both counted out."""
    build = replace(plain_plan(), before=Before(tools=BUILD), steps=(make_step(1, "strap", "Test it.", act="call"),))
    build = replace(build, title="Build a desk", steps=(replace(build.steps[0], call="strap-test"),))
    test = replace(plain_plan(), id="strap-test", before=Before(tools=TEST), steps=(make_step(1, "on", "Put it on."),))
    app.bench.plans = {"hollin-wiring": build, "strap-test": test}  # type: ignore[attr-defined]
    calling = app.bench.start("hollin-wiring", "HCD-003-K")
    for tool in BUILD:
        calling.act(ev.KitTicked(heading="tools", item=tool, found=True))
    run = app.bench.call(calling, "strap")
    for tool in TEST:
        run.act(ev.KitTicked(heading="tools", item=tool, found=True))
    run.act(ev.StepDone(step="on"))
    return calling, run


async def test_tools_that_the_calling_work_uses_are_not_counted_in_mid_build(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        calling, run = called(app)
        assert staying(run) == {"wrist strap and mat": "Build a desk", "meter, or a strap tester": "Build a desk"}
        app.push_screen(EndScreen(run))
        text = await until(pilot, "Stays in use for Build a desk, and is counted back in there")
        assert "Still open: 1" in text, "the light alone is counted back in here"
        await pilot.press("space")
        await until(pilot, "Close the job: complete")
        await pilot.press("space")
        await pilot.pause()
        assert run.bench.look(run.job).closed == "complete"
        noted = [event.data["text"] for event in app.store.events(kinds=[ev.NoteAdded.KIND])]
        said = "still in use for Build a desk, and counted back in there: wrist strap and mat, meter, or a strap tester"
        assert noted == [said], "the record does not say that they were put away"
        assert set(app.bench.resume(calling.job).state.not_back) == set(BUILD)


async def test_a_tool_the_calling_work_has_put_away_is_counted_in_here(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        calling, run = called(app)
        for tool in BUILD[:2]:
            calling.act(ev.KitTicked(heading="tools", item=tool, back=True))
        assert staying(run) == {}
        app.push_screen(EndScreen(run))
        await until(pilot, "Still open: 3")
        await pilot.press("t")
        assert "t again: all 3 are back" in screen_text(app)


async def test_a_job_nobody_called_counts_all_its_tools_in(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, _):
        calling, _run = called(app)
        assert staying(calling) == {}
