"""A step that is not so: its field opens by itself, and keys typed ahead neither leave it out nor pass for a reason."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.screens import running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.steps import Status
from benchtui.ui import flows
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp


async def at(app: BenchApp, pilot: Pilot[None], step_id: str, **changed: object) -> StepScreen:
    """The screen of a job that has only the one step and one after it."""
    plan = demo_plan()
    steps = [replace(step, number=n) for n, step in enumerate([plan.step(step_id), plan.step("unplug")], 1)]
    short = replace(plan, steps=(replace(steps[0], **changed), steps[1]), before=replace(plan.before, conditions=()))  # type: ignore[arg-type]
    short = replace(short, before=type(plan.before)())
    app.bench.plans = {short.id: short}  # type: ignore[attr-defined]
    app.go(flows.work_on(app, app.bench.start(short.id, "HCD-003-K")))
    await until(pilot, "unit HCD-003-K")
    screen = app.screen
    assert isinstance(screen, StepScreen)
    return screen


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press({" ": "space"}.get(key, key))


async def test_an_answer_that_is_not_so_asks_what_is_seen_and_takes_what_is_typed(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "lever")
        await press(pilot, "2", *"stuck on stops", "enter")
        assert [defect.text for defect in screen.work.state.defects.values()] == ["stuck on stops"]
        assert screen.work.known.status is Status.FAILED, "the letter s left nothing out"


async def test_a_failed_step_is_left_out_only_after_yes(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "lever")
        await press(pilot, "2", "escape", "s")
        assert "x writes the defect down" in screen_text(app)
        await press(pilot, *"it is stuck", "enter")
        assert screen.work.known.status is Status.FAILED
        assert "type yes" in screen_text(app)
        await press(pilot, *"yes", "enter", *"spare", "enter")
        assert screen.work.state["lever"].status is Status.SKIPPED
        assert screen.work.state["lever"].reason == "spare"


async def test_the_first_digit_opens_the_field_of_a_failed_reading(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "bank-ohms")
        await press(pilot, *"7k", "enter")
        assert screen.work.known.status is Status.FAILED
        await press(pilot, *"5k", "enter")
        assert "Why again?" in screen_text(app)
        await press(pilot, "1", "enter")
        assert screen.work.state["bank-ohms"].status is Status.DONE


@pytest.mark.parametrize("key", ["s", "o"])
async def test_a_required_test_says_at_once_that_it_cannot_be_left_out(tmp_path: Path, key: str) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "bank-ohms")
        await press(pilot, key)
        assert "this is a required test: it cannot be skipped" in screen_text(app)
        assert not screen.prompt.asking
        await press(pilot, *"7k", "enter", key)
        assert "this required test failed, and nothing goes past it" in " ".join(screen_text(app).split())
        assert not screen.prompt.asking


async def test_an_enter_that_came_too_early_is_told(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "bank-ohms")
        await press(pilot, *"60k", "enter")
        assert "60 kΩ is about 10 times the upper limit of 6 kΩ" in " ".join(screen_text(app).split())
        screen.deliberate = False
        assert screen.work.reading("60k", sure=False).text.startswith("That was too quick to have been read.")
        assert not screen.work.known.readings


async def test_a_signature_names_the_defects_that_are_open(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await at(app, pilot, "sign")
        screen.run.act(ev.DefectFound(defect="D1", text="grey joint"))
        await press(pilot, "space")
        assert "Defect D1 open. Signed all the same by" in screen_text(app)
        await press(pilot, *"Ann", "enter")
        assert screen.work.state["sign"].signed == (("Ann", "done as described, but for defect D1 open"),)


@pytest.mark.parametrize("key", ["s", "o", "h"])
async def test_letters_that_are_typed_on_do_not_go_past_a_step(tmp_path: Path, key: str) -> None:
    # MIL-STD-1472E 5.15.8.4: what was typed ahead for another question is no answer to this one.
    async with running(tmp_path, steady=False) as (app, pilot):
        screen = await at(app, pilot, "lay-out")
        seconds = [0.0]
        app.keyboard.clock = lambda: seconds[0]
        for letter in ("b", "b", key, "b", "enter"):
            seconds[0] += 0.15
            await pilot.press(letter)
        assert "that key came among others: press it once more" in screen_text(app) or not screen.prompt.asking
        assert screen.work.state["lay-out"].status is Status.BEGUN
        assert not screen.work.state["lay-out"].reason
        seconds[0] += 2.0
        await press(pilot, key)
        assert screen.prompt.asking, "pressed by itself it counts at once"
