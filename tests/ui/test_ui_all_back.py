"""The page at the end: tools counted back in by one key, once they were named, and what the unit owes besides."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import plain_plan
from helpers.screens import running, screen_text, until

from benchtui.errors import RecordError
from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before
from benchtui.ui.screens.defects import DefectScreen
from benchtui.ui.screens.end import EndScreen

if TYPE_CHECKING:
    from pathlib import Path


async def test_one_key_counts_all_tools_in_after_it_has_named_them(tmp_path: Path) -> None:
    plan = replace(plain_plan(), before=Before(tools=("iron", "side cutters", "meter")))
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id)
        for tool in plan.before.tools:
            run.act(ev.KitTicked(heading="tools", item=tool, found=True))
        app.push_screen(EndScreen(run))
        await until(pilot, "counted back in")
        await pilot.press("t")
        text = screen_text(app)
        assert "Count them against the list. t again: all 3 are back" in text
        assert all(tool in text for tool in plan.before.tools), "they stand on the page"
        assert run.state.not_back == ("iron", "side cutters", "meter"), "nothing is ticked before the list was seen"
        await pilot.press("t")
        assert not run.state.not_back
        assert "all tools are counted back in" in screen_text(app)


async def test_a_tool_that_cannot_be_written_down_is_not_called_counted_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # An event is on disk before it is said: a full disk ends the counting at the tool it was full at.
    plan = replace(plain_plan(), before=Before(tools=("iron", "side cutters", "meter")))
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id)
        for tool in plan.before.tools:
            run.act(ev.KitTicked(heading="tools", item=tool, found=True))
        app.push_screen(EndScreen(run))
        await until(pilot, "counted back in")
        act = run.act

        def full_at_the_second(event: ev.JobEvent) -> None:
            if isinstance(event, ev.KitTicked) and event.item == "side cutters":
                raise RecordError("the disk is full")
            act(event)

        monkeypatch.setattr(run, "act", full_at_the_second)
        await pilot.press("t", "t")
        assert "the disk is full" in screen_text(app)
        assert "all tools are counted back in" not in screen_text(app)
        assert run.state.not_back == ("side cutters", "meter")


async def test_what_the_gate_will_ask_for_is_told_with_the_rework_and_at_the_end(tmp_path: Path) -> None:
    # ISO 9001:2015 8.6: the pages and the gate before a release draw on one list.
    plan = plain_plan()
    owed = ("to be tested again after later work: Measure the harness.", "defect D1 found: grey joint")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-003-K")
        app.units.missing = lambda _unit: owed  # type: ignore[method-assign]
        for page in (EndScreen(run), DefectScreen(run)):
            app.push_screen(page)
            await until(pilot, "The unit owes besides, before its release")
            assert "to be tested again after later work: Measure the harness." in screen_text(app)
            assert "defect D1 found" not in screen_text(app), "what is open in this job stands in its own list"
