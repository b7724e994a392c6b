"""The spares kit on the screen: at every key, refusals in place, reached from the sums and by looking it up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.fault_worlds import demo, shipped_model
from helpers.screens import check_saved, running, until

from benchtui.ui.screens.spares import SparesScreen

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


async def test_the_kit_follows_every_key(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SparesScreen(demo()[0], shipped_model()))
        await until(pilot, "Still to be typed")
        await pilot.press("f2")
        await until(pilot, "there is no list to copy yet")
        await pilot.press("2", "0")
        await until(pilot, "For 60 h of use")
        await check_saved(app, "spares_80x24", request)
        await pilot.press("x")
        await until(pilot, "'x' is not a unit")
        await pilot.press("backspace", "f4")
        await until(pilot, "Sources")


async def test_it_is_found_among_the_sums(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        await pilot.press("c")
        await until(pilot, "Which one?")
        await pilot.press(*"spares for a")
        await until(pilot, "Spares for a tour")
        assert app.screen.query("#rows")
