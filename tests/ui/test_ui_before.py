"""The page before a job: a condition that is not so, kit further down that was not seen, and lists that go on below."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.screens import running, until

from benchtui.jobs.plan import Plan
from benchtui.ui.screens.before import BeforeScreen
from benchtui.ui.view.rows import Row, row_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from pathlib import Path


def _long_plan() -> Plan:
    from dataclasses import replace

    plan = demo_plan()
    return replace(plan, before=replace(plan.before, parts=tuple(f"part {number}" for number in range(30))))


async def test_work_begins_on_a_condition_that_is_not_so_only_with_a_reason(tmp_path: Path) -> None:
    """AS9100D 8.5.1 and S1000D preliminary requirements: a start short of them is a recorded decision."""
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-001-A")
        begun: list[bool | None] = []
        app.push_screen(BeforeScreen(run), begun.append)
        await until(pilot, "Is it so?")
        await pilot.press("x", "space", "e")
        await until(pilot, "Begin though it is not so: The unit is unplugged, with a reason")
        assert run.state.not_so == ("The unit is unplugged",)
        await pilot.press("end", "enter")
        await until(pilot, "Begin all the same, because")
        await pilot.press("enter")
        assert begun == []
        await pilot.press(*"lamp test", "enter")
        await pilot.pause()
        assert begun == [True]
        event = next(event for event in app.store.events() if event.kind == "started-short")
        assert event.data["missing"] == ["The unit is unplugged"]
        assert event.data["reason"] == "lamp test"


async def test_ticking_all_ticks_only_what_was_in_sight(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": _long_plan()}) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-001-A")
        app.push_screen(BeforeScreen(run))
        await until(pilot, "more below")
        await pilot.press("e")
        assert ("parts", "part 1") in run.state.kit
        assert ("parts", "part 29") not in run.state.kit
        for _ in range(8):
            await pilot.press("e")
        assert ("parts", "part 29") in run.state.kit


@pytest.mark.parametrize(("cursor", "above"), [(0, 0), (3, 0), (20, 16), (29, 20)])
def test_a_list_says_how_much_of_it_is_above(cursor: int, above: int) -> None:
    # MIL-STD-411F 5.2.5.2: what exceeds the display is said to exist.
    rows = [Row(text="Heading"), *(Row(id=str(number), text=f"row {number}") for number in range(30))]
    lines, places = row_lines(rows, cursor + 1, width=40, height=11, shapes=UNICODE)
    text = plain(lines)
    assert (f"{above} more above" in text) if above else ("more above" not in text)
    first = min(place for place in places if place > 0)
    assert first - 1 == above
    assert f"row {cursor}" in text


@pytest.mark.parametrize("width", [40, 80, 120])
def test_nothing_of_a_row_or_heading_is_cut(width: int) -> None:
    long = "a sentence that goes on for a good while and ends with the one word that matters: polarity"
    rows = [Row(text=long), Row(id="1", text=long, under=long, mark="x"), Row(text=f"  {long}")]
    lines, places = row_lines(rows, 1, width=width, height=40, shapes=UNICODE)
    assert plain(lines).count("polarity") == 4
    assert len(lines) == len(places)
    assert all(width_of(row) <= width for row in lines)


@pytest.mark.parametrize(("cursor", "below"), [(0, "21 more below"), (20, "5 more below"), (29, "")])
def test_a_list_that_goes_on_says_how_much_is_below(cursor: int, below: str) -> None:
    rows = [Row(text="Heading"), *(Row(id=str(number), text=f"row {number}") for number in range(30))]
    lines, places = row_lines(rows, cursor + 1, width=40, height=11, shapes=UNICODE)
    text = plain(lines)
    assert (below in text) if below else ("more below" not in text)
    assert f"row {cursor}" in text
    hidden = 30 - max(place for place in places)
    assert hidden == int(below.split()[0] if below else 0)
