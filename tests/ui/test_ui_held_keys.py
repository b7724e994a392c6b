"""A key that lies under an elbow answers one line of a page, and nothing on the page after it.

MIL-STD-1472E 5.15.8.4 (a held or queued key does not pass what has to be answered). Delay and rate of a keyboard are
those of common systems, from memory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan, make_step, plain_plan
from helpers.screens import running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before, Choice
from benchtui.ui import flows
from benchtui.ui.gate import QUIET_TIME, REPEAT_TIME, TOO_SOON
from benchtui.ui.screens.before import BeforeScreen
from benchtui.ui.screens.end import EndScreen
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.jobs.plan import Plan
    from benchtui.ui.app import BenchApp

KEYBOARDS = pytest.mark.parametrize(("delay", "rate"), [(0.25, 30.0), (0.5, 6.0), (0.66, 30.0), (1.0, 6.0)])


class Hand:
    """Presses keys by a clock of its own, which becomes that of the program."""

    def __init__(self, app: BenchApp, pilot: Pilot[None]) -> None:
        self.now = 1000.0
        self.app = app
        self.pilot = pilot
        app.keyboard.clock = lambda: self.now

    async def press(self, key: str, *, after: float = 5.0) -> None:
        self.now += after
        await self.pilot.press(key)

    async def hold(self, key: str, *, delay: float, rate: float, repeats: int = 8) -> None:
        await self.press(key)
        await self.press(key, after=delay)
        for _ in range(repeats):
            await self.press(key, after=1 / rate)
        self.now += 0.02
        await self.pilot.pause()

    async def let_pass(self, seconds: float) -> None:
        """Let time pass until what waits for no repeat has been done."""
        self.now += seconds
        self.app.keyboard.due()
        await self.pilot.pause()


def _plan(kind: str) -> Plan:
    choices = (Choice(text="yes"), Choice(text="no", verdict="fail"))
    if kind == "choose":
        steps = tuple(
            make_step(n, f"c{n}", "Is it so?", act="choose", choices=choices, required=True) for n in range(1, 7)
        )
    else:
        steps = tuple(make_step(n, f"d{n}", "Do it.") for n in range(1, 7))
    return replace(plain_plan(), steps=steps)


@KEYBOARDS
@pytest.mark.parametrize(("kind", "key"), [("choose", "1"), ("do", "space"), ("do", "pagedown")])
async def test_a_held_key_settles_one_step(tmp_path: Path, kind: str, key: str, delay: float, rate: float) -> None:
    plan = _plan(kind)
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-003-K")
        app.push_screen(StepScreen(run))
        await until(pilot, "step 1 of 6")
        hand = Hand(app, pilot)
        await hand.hold(key, delay=delay, rate=rate)
        assert run.state.current == plan.steps[1].key
        await hand.press(key, after=QUIET_TIME + 0.01)
        assert run.state.current == plan.steps[2].key


async def test_a_press_that_came_too_soon_is_said_to_be_one(tmp_path: Path) -> None:
    plan = _plan("choose")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-003-K")
        app.push_screen(StepScreen(run))
        await until(pilot, "step 1 of 6")
        hand = Hand(app, pilot)
        await hand.press("1")
        await hand.press("1", after=0.5)
        assert TOO_SOON.split(":")[0] in screen_text(app)
        assert run.state.current == plan.steps[1].key
        await hand.press("1", after=0.85)
        assert run.state.current == plan.steps[2].key
        assert TOO_SOON.split(":")[0] not in screen_text(app)


async def test_digits_of_a_reading_may_be_the_same(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": demo_plan()}) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        run.state = replace(run.state, current=next(step.key for step in run.plan.steps if step.limits))
        screen = StepScreen(run)
        app.push_screen(screen)
        await until(pilot, "limits")
        hand = Hand(app, pilot)
        for digit in "5555":
            await hand.press(digit, after=0.1)
        assert screen.prompt.field.value == "5555"


def _kit(app: BenchApp) -> Plan:
    before = Before(
        conditions=("The USB lead is out", "The lid is open", "The strap was tested"),
        tools=tuple(f"tool {n}" for n in range(10)),
    )
    plan = replace(_plan("do"), before=before, after=("The iron is off", "The clippings are swept up"))
    app.bench.plans = {plan.id: plan}  # type: ignore[attr-defined]
    return plan


@KEYBOARDS
async def test_a_held_key_answers_one_condition(tmp_path: Path, delay: float, rate: float) -> None:
    async with running(tmp_path) as (app, pilot):
        plan = _kit(app)
        run = app.bench.start(plan.id, "HCD-003-K")
        app.push_screen(BeforeScreen(run))
        await until(pilot, "Is it so?")
        hand = Hand(app, pilot)
        await hand.hold("space", delay=delay, rate=rate)
        assert len(run.state.conditions) == 1
        assert not run.state.kit
        await hand.press("space")
        await hand.press("space")
        await hand.hold("space", delay=delay, rate=rate)
        assert len(run.state.kit) == 1, "and of the kit one line is ticked"
        await hand.hold("e", delay=delay, rate=rate)
        await hand.let_pass(REPEAT_TIME)
        assert isinstance(app.screen, BeforeScreen)


async def test_ten_lines_of_kit_are_ticked_twice_a_second(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        plan = _kit(app)
        run = app.bench.start(plan.id, "HCD-003-K")
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer="yes"))
        begun: list[bool | None] = []
        app.push_screen(BeforeScreen(run), begun.append)
        await until(pilot, "Is it so?")
        await pilot.press(*["down"] * 3)
        hand = Hand(app, pilot)
        for _ in range(10):
            await hand.press("space", after=0.5)
        await hand.let_pass(REPEAT_TIME)
        assert len(run.state.kit) == 10
        await hand.press("space", after=0.3)
        assert begun == [], "the line that begins the work is another matter"
        await hand.press("space", after=QUIET_TIME + 0.01)
        await pilot.pause()
        assert begun == [True], screen_text(app)


@KEYBOARDS
async def test_a_held_key_closes_no_job(tmp_path: Path, delay: float, rate: float) -> None:
    async with running(tmp_path) as (app, pilot):
        plan = _kit(app)
        run = app.bench.start(plan.id, "HCD-003-K")
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer="yes"))
        for tool in plan.before.tools[:3]:
            run.act(ev.KitTicked(heading="tools", item=tool, found=True))
        for step in plan.steps:
            run.act(ev.StepDone(step=step.key))
        screen = EndScreen(run)
        app.push_screen(screen)
        await until(pilot, "To see to")
        hand = Hand(app, pilot)
        await hand.hold("space", delay=delay, rate=rate)
        assert screen.ticked == {0}
        assert not run.state.back
        await hand.hold("t", delay=delay, rate=rate)
        assert not run.state.back, "t names the tools, and a second press counts them back in"
        await hand.press("up")
        await hand.press("space")
        await hand.hold("space", delay=delay, rate=rate)
        assert len(run.state.back) == 1
        await hand.press("t")
        await hand.press("t")
        assert not run.state.not_back
        await pilot.press("end")
        await hand.hold("enter", delay=delay, rate=rate)
        assert run.state.closed == "complete", "the first press closes it"
        assert not isinstance(app.screen, StepScreen)


@KEYBOARDS
async def test_a_key_held_from_one_page_does_nothing_on_the_next(tmp_path: Path, delay: float, rate: float) -> None:
    async with running(tmp_path) as (app, pilot):
        plan = _kit(app)
        run = app.bench.start(plan.id, "HCD-003-K")
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer="yes"))
        for tool in plan.before.tools:
            run.act(ev.KitTicked(heading="tools", item=tool, found=True))
        app.go(flows.work_on(app, run))
        await until(pilot, "tool 9")
        await pilot.press("end")
        hand = Hand(app, pilot)
        await hand.press("space")
        await until(pilot, "step 1 of 6")
        for after in (delay, *[1 / rate] * 8):
            await hand.press("space", after=after)
        assert run.state.current == plan.steps[0].key


async def test_a_held_digit_does_not_take_back_that_the_iron_is_hot(tmp_path: Path) -> None:
    plan = _plan("do")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-003-K")
        app.put_aside(run, lambda: None)
        await until(pilot, "What is left at the bench")
        hand = Hand(app, pilot)
        await hand.hold("2", delay=0.5, rate=30.0)
        await hand.press("q")
        await pilot.pause()
        assert run.state.suspended is not None
        assert run.state.suspended.bench == ("iron hot",)


async def test_a_held_enter_does_not_answer_question_after_question(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        given: list[str | None] = []

        async def ask() -> None:
            for number in range(6):
                given.append(await app.ask("Parts", f"Question {number}"))

        app.go(ask())
        await until(pilot, "Question 0")
        hand = Hand(app, pilot)
        await pilot.press(*"fader")
        await hand.hold("enter", delay=0.5, rate=30.0)
        assert given[0] == "fader"
        assert len(given) <= 2, "only the rhythm of the third tells that it is held, and nothing may be an answer"


@KEYBOARDS
async def test_a_held_enter_takes_one_row_of_one_list(tmp_path: Path, delay: float, rate: float) -> None:
    async with running(tmp_path) as (app, pilot):
        rows = [Row(id="one", text="one"), Row(id="two", text="two")]
        picked: list[str | None] = []

        async def ask() -> None:
            for number in range(4):
                picked.append(await app.pick(f"List {number}", "Which?", rows))

        app.go(ask())
        await until(pilot, "List 0")
        hand = Hand(app, pilot)
        await hand.hold("enter", delay=delay, rate=rate)
        assert picked == ["one"]
        assert "List 1" in screen_text(app)
        for _ in range(2):  # whoever knows his way goes on twice a second
            await hand.press("enter", after=0.3)
            await hand.let_pass(REPEAT_TIME)
        assert picked == ["one"] * 3


async def test_a_double_click_marks_one_step(tmp_path: Path) -> None:
    plan = _plan("do")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-003-K")
        app.push_screen(StepScreen(run))
        await until(pilot, "step 1 of 6")
        await pilot.click("#keys", offset=(3, 0), times=2)
        await pilot.pause()
        assert run.state.current == plan.steps[1].key
