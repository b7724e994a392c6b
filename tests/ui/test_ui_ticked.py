"""Lists that are only ticked: at a human pace, and never by the letters of a word that was meant for a field."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from helpers.screens import Steady, running, screen_text, until

from benchtui.jobs.plan import Before
from benchtui.ui.screens.before import BeforeScreen
from benchtui.ui.screens.end import EndScreen

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp

TOOLS = tuple(f"tool {n}" for n in range(1, 4))
AFTER = ("The iron is off", "The bench is swept", "Hands are washed")


class Paced(Steady):
    """A clock on which a press of a key comes one second after the one before."""

    def __init__(self) -> None:
        super().__init__()
        self.seconds = 100.0

    def __call__(self) -> float:
        return self.seconds


def begun(app: BenchApp) -> Run:
    from helpers.demo_plan import demo_plan

    plan = replace(demo_plan(), before=Before(conditions=("The bench is dry",), tools=TOOLS), after=AFTER)
    app.bench.plans = {plan.id: plan}  # type: ignore[attr-defined]
    return app.bench.start(plan.id, "HCD-003-K")


async def test_the_end_page_is_ticked_at_one_a_second(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = EndScreen(begun(app))
        app.push_screen(screen)
        await until(pilot, "To see to")
        clock = Paced()
        app.keyboard.clock = clock
        for _ in AFTER:
            clock.seconds += 1.0
            await pilot.press("space")
            clock.seconds += 0.3
            app.keyboard.due()
            clock.seconds -= 0.3
            await pilot.pause()
        assert screen.ticked == frozenset(range(len(AFTER)))
        assert "too soon" not in screen_text(app)


async def test_closing_names_the_line_that_is_not_ticked(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(EndScreen(begun(app)))
        text = await until(pilot, "To see to above: 3")
        assert "Nothing is open" not in text
        await pilot.press("space", "up", "end", "up", "space")
        await until(pilot, "not ticked yet: The bench is swept, and 1 more")


async def test_a_value_is_typed_only_at_a_condition_and_its_letters_tick_nothing(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        run = begun(app)
        app.push_screen(BeforeScreen(run))
        await until(pilot, "a value")
        await pilot.press("space")
        await until(pilot, "Begin the work")
        assert "a value" not in screen_text(app)
        clock = Paced()
        app.keyboard.clock = clock
        clock.seconds += 5.0
        for key in ("t", "y", "e", "s", "3", "e"):
            clock.seconds += 0.1
            await pilot.press(key)
        assert not run.state.kit, "nobody counted anything"
        clock.seconds += 2.0
        await pilot.press("e")
        assert len(run.state.kit) == len(TOOLS)
