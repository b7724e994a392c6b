"""A pass over a batch: one key for all units, one event each, and a held unit that drops out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import plain_plan
from helpers.screens import check_saved, running, screen_text

from benchtui.jobs.run_batch import Batch
from benchtui.ui.screens.batch import BatchScreen

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp


async def open_batch(app: BenchApp, pilot: Pilot[None], quantity: int) -> BatchScreen:
    app.bench.plans = {"hollin-wiring": plain_plan()}  # type: ignore[attr-defined]
    batch = Batch.make(app.bench, "hollin-cue-desk", quantity)
    batch.start("hollin-wiring")
    screen = BatchScreen(batch, "hollin-wiring", "Wire the fader bank")
    app.push_screen(screen)
    await pilot.pause()
    return screen


async def test_one_key_marks_a_step_for_every_unit_with_an_event_each(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    # 21 CFR 820.184: batch, lot or unit; one entry with its own serial number each.
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 3)
        await pilot.press("space")
        done = [event for event in app.store.events() if event.kind == "step-done"]
        assert {event.unit for event in done} == set(screen.group.units)
        await pilot.press("space")
        await check_saved(app, "batch_80x24", request)
        await pilot.press("space")
        assert len([event for event in app.store.events() if event.kind == "step-done"]) == 6, "the caution stops it"
        await pilot.press("a", "a", "space", "space")
        assert screen.step is not None
        assert screen.step.key == "bank-ohms"


async def test_readings_are_asked_for_unit_by_unit(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 2)
        for key in ("space", "space", "a", "a", "space", "space", "space", *"5k", "enter", *"5k", "enter"):
            await pilot.press(key)
        assert screen.step is not None
        assert screen.step.key == "lever"
        readings = [event for event in app.store.events() if event.kind == "reading"]
        assert [event.unit for event in readings] == list(screen.group.units)
        await pilot.press("k")
        await pilot.pause()
        assert "middle 5 kΩ" in screen_text(app)


async def test_a_held_unit_drops_out_and_the_matrix_shows_it(tmp_path: Path) -> None:
    # ISO 9001:2015 8.7: one bad unit does not stop the others.
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 3)
        first = screen.group.units[0]
        await pilot.press("h", *first, "space", *"scratched", "enter")
        assert f"left out: {first} (held)" in screen_text(app)
        await pilot.press("space")
        done = {event.unit for event in app.store.events() if event.kind == "step-done"}
        assert done == set(screen.group.units[1:])
        await pilot.press("l")
        await pilot.pause()
        text = screen_text(app)
        assert "3 units: 2 in work, 1 held" in text
        assert "1/2" in text
