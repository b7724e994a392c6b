"""What was said to be on, hot or loose stands until it is said to be off, and a dead-circuit reading asks for it first.

Source: the reading of a resistance is taken on a circuit without power (meter manuals, common practice).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.jobs import after, plan, started, step
from helpers.screens import running, screen_text, until
from test_ui_not_so import at, press

from benchtui.jobs import events as ev
from benchtui.jobs.glance import summarise
from benchtui.jobs.standing import numbered
from benchtui.jobs.unit_events import UnitStateSet
from benchtui.ui import flows
from benchtui.ui.past import around
from benchtui.ui.view.spoken import limits_said

if TYPE_CHECKING:
    from pathlib import Path

LEFT = ("power on", "iron hot")


def test_what_is_still_so_stands_on_after_the_work_was_taken_up() -> None:
    state = after(started(demo_plan()), ev.Suspended(bench=LEFT), ev.Resumed(answers=("still so", "no longer so")))
    assert state.left == ("power on",)
    assert "power on" in summarise(state).left_on
    assert after(state, ev.BenchSaid(bench=())).left == ()


@pytest.mark.parametrize("mark", ["held", "failed"])
def test_a_lead_that_is_out_takes_no_hold_and_no_failure_back(mark: str) -> None:
    power = plan(step("on", begins="power-on"), step("off", ends="power-on"))
    marks = {
        "held": ev.StepHeld(step="on", reason="it smells"),
        "failed": ev.StepFailed(step="on", reason="400 mA"),
    }
    state = after(started(power), ev.StepBegun(step="on"), marks[mark])
    state = after(state, ev.BenchSaid(bench=(), off=("power-on",)))
    assert state["on"].status == mark
    assert "power-on" not in state.standing


def test_a_state_keeps_its_number_when_others_are_gone() -> None:
    assert numbered(("a part or screw loose", "the vice")) == ((4, "a part or screw loose"), (5, "the vice"))


async def test_power_that_was_left_on_stands_in_the_heading_and_before_the_reading(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "bank-ohms")
        screen.run.suspend(bench=LEFT)
        screen.dismiss("")
        await pilot.pause()
        app.go(flows.take_up(app, screen.run.job))
        await until(pilot, "press the number")
        await press(pilot, "1", "2", "space")
        await until(pilot, "POWER ON")
        assert "IRON HOT" in screen_text(app)
        await press(pilot, "4")
        assert "Pull the lead" in screen_text(app)
        await press(pilot, *"1k", "enter")
        assert not screen.run.state["bank-ohms"].readings
        await press(pilot, "escape", "m", *"off", "enter")
        assert screen.run.state.left == ("iron hot",)
        assert "POWER ON" not in screen_text(app)


async def test_the_page_that_puts_work_aside_comes_marked_with_what_was_said(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "lever")
        await press(pilot, "q", "2", "escape")
        await until(pilot, "IRON HOT")
        assert screen.run.state.left == ("iron hot",)
        await press(pilot, "q", "q")
        await pilot.pause()
        assert screen.run.state.suspended is not None
        assert screen.run.state.suspended.bench == ("iron hot",)


def test_the_state_of_the_power_is_read_out_as_an_order() -> None:
    limits = demo_plan().step("bank-ohms").limits
    assert limits is not None
    assert "must be OFF" in limits_said(replace(limits, power="off"))[1]


async def test_a_record_that_is_only_read_opens_no_field_and_leaves_in_one_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "bank-ohms")
        monkeypatch.setattr(type(app.store), "read_only", True)
        screen.redraw()
        assert "type the reading" not in screen_text(app)
        await press(pilot, "4")
        assert not screen.prompt.asking
        await press(pilot, "q")
        await pilot.pause()
        assert app.screen is not screen
        assert "What is left at the bench" not in screen_text(app)


async def test_two_jobs_of_a_unit_never_give_two_defects_one_name(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "lever")
        screen.work.fail("the lever is loose")
        other = app.bench.start(screen.run.plan.id, screen.run.unit)
        assert other.next_defect() == "D2"
        assert [*screen.run.state.defects] == ["D1"]


async def test_a_unit_that_is_out_as_temporary_says_so_at_each_step(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "lever")
        out = UnitStateSet(state="temporary", reason="a show tonight")
        app.store.append(out.KIND, unit=screen.run.unit, data=out.to_data())
        assert around(screen.run) == ("out as temporary",)


async def test_an_open_field_is_not_drawn_in_a_window_that_is_too_small(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "bank-ohms")
        await press(pilot, "4")
        await pilot.resize_terminal(60, 16)
        await until(pilot, "Too small a window")
        assert "Reading, " not in screen_text(app)
        await pilot.resize_terminal(80, 24)
        text = await until(pilot, "Reading, ")
        assert text.count("leave the field") == 1
        assert screen.prompt.field.value == "4"
