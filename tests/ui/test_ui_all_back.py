"""Tools counted back in at the end: one key for all of them, once they were named."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before
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
        assert "Count them: iron, side cutters, meter" in screen_text(app)
        assert run.state.not_back == ("iron", "side cutters", "meter"), "nothing is ticked before the list was seen"
        await pilot.press("t")
        assert not run.state.not_back
        assert "all tools are counted back in" in screen_text(app)
