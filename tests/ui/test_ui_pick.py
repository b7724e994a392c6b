"""A list to pick from: what is asked stands in full, also where the heading has no room for its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.screens import running, until

from benchtui.ui.screens.base import BenchScreen
from benchtui.ui.screens.pick import PickScreen
from benchtui.ui.view.rows import Row
from benchtui.ui.widgets.prompt import LEAST, Question

if TYPE_CHECKING:
    from pathlib import Path

LONG = (
    "Defect D1: the workshop wrote that the wiper of F1 was resoldered, and the van wrote that the whole fader was "
    "exchanged for one of lot 2240"
)
ASK = "Look at the bench and the shelf, and at the label inside the lid. Which of the two is it, as far as one can see?"


@pytest.mark.parametrize("size", [(72, 20), (80, 24), (120, 40)])
async def test_a_long_title_and_question_stand_in_full(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        app.push_screen(PickScreen(LONG, ASK, [Row(id="one", text="one unit"), Row(id="two", text="two units")]))
        text = " ".join((await until(pilot, "two units")).split())
        assert LONG in text
        assert ASK in text
        assert "one unit" in text


async def test_a_short_one_stands_in_the_heading_alone(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(PickScreen("Units", "Which one?", [Row(id="one", text="HCD-003-K")]))
        text = await until(pilot, "HCD-003-K")
        assert text.count("Units") == text.count("Which one?") == 1


async def test_what_to_do_at_smoke_can_be_read_in_a_window_of_any_size(tmp_path: Path) -> None:
    # One key away from every screen, and no window is too small to say: pull the plug.
    async with running(tmp_path, size=(40, 12)) as (_app, pilot):
        assert "Too small a window" in await until(pilot, "Too small a window")
        await pilot.press("f9")
        await until(pilot, "It smokes: pull the plug.")
        await pilot.press("escape")
        await until(pilot, "Too small a window")
        await pilot.press("f1")
        await until(pilot, "esc  back")


@pytest.mark.parametrize("size", [(72, 20), (80, 24), (120, 40)])
async def test_a_long_question_leaves_its_field_room(tmp_path: Path, size: tuple[int, int]) -> None:
    label = "For other units too, until (a date or a serial number; nothing: this unit only), as was said at the bench:"
    async with running(tmp_path, size=size) as (app, pilot):
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        screen.ask(Question(label, lambda _: "", unit="kΩ"))
        await pilot.pause()
        await pilot.press(*"2031-03-31 or so")
        text = " ".join((await until(pilot, "2031-03-31 or so")).split())
        rest = text.replace("2031-03-31 or so", "").replace("kΩ", "")
        assert label in " ".join(rest.split())
        assert screen.prompt.field.size.width >= LEAST - 2


async def test_an_answer_that_has_no_room_says_so(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        screen.say("word " * 100)
        await until(pilot, "… the rest has no room here")
