"""Row E15 on every screen: the first of two readings stands nowhere until the second is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import plain_plan
from helpers.screens import FakeBench, running, screen_text, until
from helpers.script import Script

from benchtui.content.library import Library
from benchtui.content.procedure import load_procedure
from benchtui.jobs.run_batch import Batch
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.jobs.plan import Plan
    from benchtui.ui.app import BenchApp

UNIT = "HCD-003-K"
FIRST = ("5", "full_stop", "1", "3", "k", "enter")
SECOND = ("5", "full_stop", "1", "4", "k", "enter")


def measured_twice() -> Plan:
    """The reading of the bank, taken twice, and the steps after it."""
    whole = plain_plan()
    bank = replace(whole.step("bank-ohms"), twice="2 %", apart=0.02)
    return replace(whole, steps=(bank, *whole.steps[5:])).numbered()


async def begin(app: BenchApp, pilot: Pilot[None]) -> StepScreen:
    app.go(flows.work_on(app, app.bench.start("hollin-wiring", UNIT)))
    await until(pilot, "Measure between supply and ground")
    assert isinstance(app.screen, StepScreen)
    return app.screen


async def test_the_first_is_in_no_page_of_the_step_before_the_second(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": measured_twice()}) as (app, pilot):
        screen = await begin(app, pilot)
        assert "at most 2 % apart" in screen_text(app)
        await pilot.press(*FIRST)
        await until(pilot, "first of two kept, out of sight")
        assert "type the second reading" in screen_text(app)
        # The step itself, the list, tall characters, the working, the step after with this one above it.
        for keys in ((), ("l",), ("l", "z"), ("z", "w"), ("w", "g", "2", "enter"), ("space",)):
            await pilot.press(*keys)
            await pilot.pause()
            assert "5.13" not in screen_text(app), keys
        await pilot.press("5")
        await until(pilot, "Reading,")
        assert screen.prompt.field.value == "5", "the field does not bring it back either"
        await pilot.press(*SECOND[1:])
        await until(pilot, "Does every lever move")
        await pilot.press("left")
        text = await until(pilot, "read 2")
        assert "5.13 kΩ" in text and "5.14 kΩ" in text


async def test_two_that_are_too_far_apart_are_asked_for_again(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": measured_twice()}) as (app, pilot):
        screen = await begin(app, pilot)
        await pilot.press(*FIRST)
        await until(pilot, "first of two kept, out of sight")
        await pilot.press("5", "full_stop", "5", "k", "enter")
        text = await until(pilot, "The two readings are more than 2 % apart.")
        assert "5.13 kΩ" in text and "5.5 kΩ" in text, "both are kept, and shown now"
        await pilot.press("space")
        await until(pilot, "Reading,")
        await pilot.press(*FIRST, *SECOND)
        await until(pilot, "Does every lever move")
        assert len(screen.work.state["bank-ohms"].readings) == 4
        assert not [reading.reason for reading in screen.work.state["bank-ohms"].readings if reading.reason]


async def test_the_history_of_the_unit_does_not_tell_it_either(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": measured_twice()}) as (app, pilot):
        await begin(app, pilot)
        await pilot.press(*FIRST)
        await until(pilot, "first of two kept, out of sight")
        from benchtui.ui.view.history import unit_lines
        from benchtui.ui.view.lookup import past_rows

        told = str(unit_lines(app.store.events(unit=UNIT), 80)) + str(past_rows(app.store, "5.13k"))
        assert "5.13" not in told and "out of sight" in told


async def test_each_unit_of_a_batch_is_measured_twice(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": measured_twice()}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start("hollin-wiring")
        screen = BatchScreen(batch, "hollin-wiring", "Wire the fader bank")
        app.push_screen(screen)
        await until(pilot, "Measure between supply and ground")
        one, other = batch.units
        await pilot.press(*FIRST)
        await until(pilot, f"{one}: kept, and out of sight")
        assert "5.13" not in screen_text(app)
        await pilot.press("5", "full_stop", "5", "k", "enter")
        await until(pilot, f"{one}: the two readings are more than 2 % apart")
        await pilot.press(*FIRST)
        await until(pilot, f"{one}: kept, and out of sight")
        await pilot.press(*SECOND)
        await until(pilot, f"{other}")
        await pilot.press(*FIRST)
        await until(pilot, f"{other}: kept, and out of sight")
        await pilot.press(*SECOND)
        await until(pilot, "Does every lever move")
        assert [len(run.state["bank-ohms"].readings) for run in batch.runs().values()] == [4, 2]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": measured_twice()}) as bench:
        yield bench


def test_by_lines_it_is_not_said_again_before_the_second(bench: FakeBench) -> None:
    script = Script("5.13k", "list", "", "5.5k", "5.13k", "5.14k", "quit", "", "", "")
    run = bench.start("hollin-wiring", UNIT)
    JobTalk(script.talk(), run, emergency=("pull the plug",)).go(lambda _: "")
    assert "It is measured twice, at most 2 % apart." in script.text
    before, _, after = script.text.partition("The two readings are more than 2 % apart.")
    assert "out of sight" in before and "5.13" not in before
    assert after
    assert run.state["bank-ohms"].status.value == "done"


def test_the_bonding_of_each_shipped_design_is_measured_twice() -> None:
    # The one reading of a unit that nothing else proves: that a bond is none shows at no control and in no other test.
    found = {
        (entry.id, step.id)
        for entry in Library.open().entries("procedure")
        for step in load_procedure(entry.path).steps
        if step.twice
    }
    assert found == {("hollin-assembly", "bond-ohms"), ("foot-switch-assembly", "bond-ohms")}
