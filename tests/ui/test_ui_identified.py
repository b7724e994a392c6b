"""The right unit: read off it after a break, and a known one however its number is typed.

ISO 9001:2015 8.5.2 (identification): work on a look-alike unit is filed under another one's number.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import make_step, plain_plan
from helpers.screens import FakeBench, running, screen_text, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.jobs.steps import Status
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left
from benchtui.ui.screens.bench import BenchHome
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.screens.units import UnitScreen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp

PLAN = replace(plain_plan(), steps=tuple(make_step(n, f"d{n}", "Do it.") for n in range(1, 4)))


def two_put_aside(bench: FakeBench, *, left: tuple[str, ...] = ("iron hot",)) -> Run:
    """The first of two units in work, both put aside."""
    bench.plans = {PLAN.id: PLAN}
    runs = [bench.start(PLAN.id, unit) for unit in ("HCD-001-R", "HCD-002-M")]
    for run in runs:
        run.act(ev.StepBegun(step=PLAN.steps[0].key))
        run.suspend(bench=left)
    return runs[0]


def kinds(app: BenchApp, run: Run) -> list[str]:
    return [event.kind for event in app.store.events() if event.job == run.job]


async def test_whoever_gives_up_at_the_serial_number_has_not_taken_the_work_up(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        job = two_put_aside(app.bench).job  # type: ignore[arg-type]
        for _ in range(2):
            app.go(flows.open_work(app, job))
            await until(pilot, "iron hot")
            await pilot.press("2", "space")
            await until(pilot, "Serial number, read off the unit")
            await pilot.press(*"002-M", "enter")
            await until(pilot, "that is not HCD-001-R: look again which unit is on the bench")
            await pilot.press("escape", "escape")
            await pilot.pause()
            assert isinstance(app.screen, BenchHome)
            state = app.bench.look(job)
            assert state.suspended is not None
            assert state.suspended.bench == ("iron hot",), "it is still to be answered for"
        app.go(flows.open_work(app, job))
        await until(pilot, "iron hot")
        await pilot.press("2", "space", *"HCD-002-M", "enter")
        await until(pilot, "that is not HCD-001-R")
        await pilot.press(*"001-R", "enter")
        await until(pilot, "step 1 of 3")
        screen = app.screen
        assert isinstance(screen, StepScreen)
        assert [event for event in kinds(app, screen.run) if event in ("resumed", "unit-identified")] == [
            "resumed",
            "unit-identified",
            "unit-identified",
        ]
        await pilot.press("space")
        assert screen.work.state[PLAN.steps[0].key].status is Status.DONE


async def test_a_number_that_was_asked_for_and_never_given_is_asked_for_again(tmp_path: Path) -> None:
    # The disk was full between taking up and the number, or the program was ended there; the break itself was short.
    async with running(tmp_path) as (app, pilot):
        run = two_put_aside(app.bench, left=())  # type: ignore[arg-type]
        run.act(ev.Resumed(identify=True))
        app.go(flows.open_work(app, run.job))
        await until(pilot, "Serial number, read off the unit")
        await pilot.press("escape")
        await pilot.pause()
        assert run.state.suspended is not None
        app.go(flows.open_work(app, run.job))
        await until(pilot, "space  read the serial number")
        await pilot.press("space", *"001-R", "enter")
        await until(pilot, "step 1 of 3")
        assert isinstance(app.screen, StepScreen)
        assert not app.screen.run.state.identify


async def test_a_known_unit_is_known_by_the_end_of_its_number_and_a_new_one_asked_about(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.units.make("hollin-cue-desk", serial="HCD-001-R")
        named: list[str | None] = []

        async def ask(typed: str) -> None:
            app.push_screen(UnitScreen("Build", "hollin-cue-desk"), named.append)
            await until(pilot, "On which unit?")
            await pilot.press("n", *typed, "enter")
            await pilot.pause()

        await ask("001-R")
        await ask("HCD-002-M")
        assert named == ["HCD-001-R", "HCD-002-M"]
        await ask("007-X")
        assert len(named) == 2
        assert "there is no unit 007-X in this record: Enter again makes a new one of it" in screen_text(app)
        seconds = [app.keyboard.last.at]
        app.keyboard.clock = lambda: seconds[0]
        for after in (0.5, 0.033, 0.033):  # Enter is held
            seconds[0] += after
            await pilot.press("enter")
        assert len(named) == 2
        seconds[0] += 2.0
        await pilot.press("enter")
        await pilot.pause()
        assert named[2:] == ["007-X"]


# -- by lines --------------------------------------------------------------------------------------------------------


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path) as bench:
        yield bench


def by_lines(run: Run, *typed: str) -> str:
    script = Script(*typed)
    with suppress(Left):
        JobTalk(script.talk(), run, emergency=()).go(lambda _: "")
    return script.text


def test_by_lines_the_number_is_read_off_before_the_work_is_taken_up(bench: FakeBench) -> None:
    job = two_put_aside(bench).job
    run = bench.resume(job)
    said = by_lines(run, "1", "HCD-002-M", "")
    assert "That is not HCD-001-R: look again" in said
    assert run.state.suspended is not None
    assert run.state.suspended.bench == ("iron hot",)
    run = bench.resume(job)
    by_lines(run, "1", "hcd-001-r", "", "quit", "", "")
    assert run.state[PLAN.steps[0].key].status is Status.DONE


def test_by_lines_a_number_never_given_is_asked_for_again(bench: FakeBench) -> None:
    run = two_put_aside(bench, left=())
    run.act(ev.Resumed(identify=True))
    said = by_lines(run, "001-R", "", "quit", "", "")
    assert "serial number, read off the unit" in said
    assert run.state[PLAN.steps[0].key].status is Status.DONE


@pytest.mark.parametrize(
    ("known", "first", "taken"), [(True, False, "HCD-002"), (True, True, "HCD-001"), (False, True, "HCD-001")]
)
async def test_what_is_repaired_was_built_before_and_comes_first(
    tmp_path: Path, known: bool, first: bool, taken: str
) -> None:
    async with running(tmp_path) as (app, pilot):
        if known:
            app.bench.units.make("hollin-cue-desk", serial="HCD-001-R")
        named: list[str | None] = []
        app.push_screen(UnitScreen("Mend", "hollin-cue-desk", known_first=first), named.append)
        await until(pilot, "On which unit?")
        await pilot.press("enter")
        await pilot.pause()
        assert str(named[0]).startswith(taken)
