"""What cannot be written or read while a screen comes up is said there, and the program goes on.

Row H4 (ALCOA "enduring"): a full disk, or a stick that was pulled out, ends no sitting.
"""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import running, until
from textual import events

from benchtui.errors import RecordError
from benchtui.ui.screens.bench import BenchHome
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

FULL = RecordError("the disk that holds the record is full; the last act was not saved", hint="free some space")


async def test_a_step_that_cannot_be_taken_up_is_shown_and_taken_up_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = plain_plan()
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-001-K")
        before = len(app.store.events())

        def full(*_: object, **__: object) -> None:
            raise FULL

        with monkeypatch.context() as refusing:
            refusing.setattr(app.store, "append_all", full)
            await app.push_screen(StepScreen(run))
            text = await until(pilot, "was not saved")
            assert plan.steps[0].text in " ".join(text.split())
            await pilot.press("down")
        assert len(app.store.events()) == before
        await pilot.press("space")
        await until(pilot, "step 2 of")
        assert [event.kind for event in app.store.events()[before:]][-2:] == ["step-done", "step-begun"]


class Broken:
    """A record whose disk is gone."""

    total_changes = 0
    in_transaction = False

    def execute(self, *_: object, **__: object) -> None:
        raise sqlite3.OperationalError("disk I/O error")

    def close(self) -> None:
        """Nothing is left to close."""


async def test_a_record_that_can_no_longer_be_read_leaves_the_last_list_on_the_bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = plain_plan()
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-001-K")
        await pilot.press("c")
        await pilot.press("escape")
        await until(pilot, "HCD-001-K")
        await app.push_screen(StepScreen(run))
        await until(pilot, "step 1 of")
        with monkeypatch.context() as pulled:
            pulled.setattr(app.store, "_db", Broken())
            app.pop_screen()
            text = await until(pilot, "disk I/O error")
            assert isinstance(app.screen, BenchHome)
            assert "HCD-001-K" in text, "the last list stays"
            for key in ("enter", "u", "escape", "slash", "escape", "f", "escape"):
                await pilot.press(key)
            assert app.is_running
        await pilot.press("escape")
        await until(pilot, "The bench")


async def test_a_refusal_in_the_program_itself_is_said_on_the_screen_in_front(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(tmp_path) as (app, pilot):

        def refuses() -> None:
            raise FULL

        monkeypatch.setattr(app, "mind_waits", refuses)
        await app.on_event(events.Callback(callback=app.mind_waits))
        await until(pilot, "was not saved: free some")
