"""A record that cannot be written or read while a screen comes up: it is said, and the program goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import plain_plan
from helpers.screens import running, screen_text, until

from benchtui.errors import RecordError
from benchtui.ui.screens.bench import BenchHome
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from pathlib import Path


def full(*_: object, **__: object) -> None:
    raise RecordError("the disk is full; the last act was not saved", hint="free some room")


def gone(*_: object, **__: object) -> None:
    raise RecordError("the record cannot be read now", hint="put the stick back")


async def test_a_write_that_fails_as_a_step_comes_up_is_said_and_the_work_goes_on_later(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(app.store, "append_all", full)
            app.push_screen(StepScreen(run))
            text = await until(pilot, "the disk is full")
            assert "free some room" in text
            await pilot.press("space")
            assert "the disk is full" in screen_text(app)
        await pilot.press("space")
        assert run.state.settled == 1


@pytest.mark.parametrize("key", ["q", "u"])
async def test_a_record_that_is_gone_is_said_on_the_bench_and_its_list_stays(tmp_path: Path, key: str) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        home = app.screen
        assert isinstance(home, BenchHome)
        home.fill("")
        if key == "q":
            app.push_screen(StepScreen(run))
            await until(pilot, "step 1 of 10")
        with pytest.MonkeyPatch.context() as patch:
            for name in ("jobs", "events", "units", "append_all"):
                patch.setattr(app.store, name, gone)
            if key == "q":
                app.screen.dismiss("")
            else:
                await pilot.press(key)
            text = await until(pilot, "cannot be read now")
            assert "put the stick back" in text
            assert "Wire the fader bank" in text
            assert app.screen is home
        await pilot.press("down", "up")
        assert app.is_running
