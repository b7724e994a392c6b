"""The screens themselves: few tests, since most of what they show is tested as text."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan, plain_plan
from helpers.screens import Clock, check_saved, running, screen_text, until

from benchtui.ui.gate import AGAIN_TIME, READING_TIME
from benchtui.ui.screens.base import BenchScreen
from benchtui.ui.screens.pages import known_keys
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp

SIZES = [(80, 24), (120, 40)]


def named(size: tuple[int, int], what: str) -> str:
    return f"{what}_{size[0]}x{size[1]}"


async def start_job(app: BenchApp, pilot: Pilot[None], *, page: bool = False) -> StepScreen:
    """Start the wiring job on a new unit and come to its first step."""
    from benchtui.ui import flows

    app.bench.plans = {"hollin-wiring": demo_plan() if page else plain_plan()}  # type: ignore[attr-defined]
    app.go(flows.work_on(app, app.bench.start("hollin-wiring", "HCD-003-K")))
    await pilot.pause()
    await until(
        pilot, "unit HCD-003-K"
    )  # mounted, so that what it says at first does not come after what the test does
    screen = app.screen
    assert isinstance(screen, StepScreen) or page
    return screen  # type: ignore[return-value]


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)


@pytest.mark.parametrize("size", SIZES)
async def test_the_bench_with_nothing_open(
    tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest
) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        await pilot.pause()
        await check_saved(app, named(size, "bench_empty"), request)


@pytest.mark.parametrize("size", SIZES)
async def test_the_bench_with_open_work(tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest) -> None:
    clock = Clock()
    async with running(tmp_path, size=size, clock=clock) as (app, pilot):
        app.bench.start("hollin-wiring", "HCD-001-A").suspend(next_act="fetch the red wire")
        clock.forward(days=9)
        app.bench.start("hollin-wiring", "HCD-003-K")
        clock.forward(hours=3)
        await press(pilot, "f1", "escape")
        await check_saved(app, named(size, "bench_open"), request)


@pytest.mark.parametrize("size", SIZES)
async def test_the_page_before_the_work(tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        await start_job(app, pilot, page=True)
        await press(pilot, "space")
        await check_saved(app, named(size, "before"), request)


@pytest.mark.parametrize("size", SIZES)
async def test_a_step_with_a_caution_and_then_open(
    tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest
) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        screen = await start_job(app, pilot)
        await press(pilot, "space", "space")
        await check_saved(app, named(size, "step_caution"), request)
        await press(pilot, "a")
        assert screen.work.unread is None
        await check_saved(app, named(size, "step_wires"), request)


@pytest.mark.parametrize("size", SIZES)
async def test_a_reading_is_typed_straight_away(
    tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest
) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        screen = await start_job(app, pilot)
        await press(pilot, "space", "space", "a", "space", "space", "5", "full_stop", "1", "k")
        await check_saved(app, named(size, "step_reading"), request)
        await press(pilot, "enter")
        assert screen.work.state["bank-ohms"].readings[0].typed == "5.1k"
        assert screen.work.key == "lever"


async def test_help_lists_every_key_of_the_step_screen(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    async with running(tmp_path) as (app, pilot):
        await start_job(app, pilot)
        await press(pilot, "f1")
        await check_saved(app, "help_step_80x24", request)


async def test_the_emergency_page_is_one_key_away_even_while_typing(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        await start_job(app, pilot)
        await press(pilot, "n", "f9")
        assert "pull the plug" in screen_text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, StepScreen)


async def test_a_held_key_stops_at_the_first_caution(tmp_path: Path) -> None:
    # MIL-STD-1472E 5.15.8.4: fifty queued presses must not pass a warning.
    async with running(tmp_path, steady=False) as (app, pilot):
        screen = await start_job(app, pilot)
        await press(pilot, *["space"] * 10)
        for key in ("a", "space") * 10:
            await pilot.press(key)
        assert screen.work.key in ("lay-out", "wipe", "solder@F1")
        assert screen.work.state.acknowledged == frozenset()


async def test_a_step_is_not_left_out_before_its_caution_was_read(tmp_path: Path) -> None:
    # MIL-STD-1472E 5.15.8.4: no key but its own passes a warning.
    async with running(tmp_path) as (app, pilot):
        screen = await start_job(app, pilot)
        await press(pilot, "space", "space", "s")
        assert not screen.prompt.asking
        assert "read the caution first" in screen_text(app)
        await press(pilot, "o")
        assert not screen.prompt.asking
        assert screen.work.leave_out("no wire").problem
        await press(pilot, "a", "s")
        assert screen.prompt.asking


async def test_an_acknowledgement_counts_once_the_caution_could_be_read(tmp_path: Path) -> None:
    async with running(tmp_path, steady=False) as (app, pilot):
        screen = await start_job(app, pilot)
        seconds = [0.0]
        app.keyboard.clock = lambda: seconds[0]
        for _ in range(2):
            seconds[0] += AGAIN_TIME
            await pilot.press("space")
        assert screen.work.key == "solder@F1"
        await pilot.press("a")
        assert screen.work.state.acknowledged == frozenset()
        seconds[0] += AGAIN_TIME
        await pilot.press("a")
        # Both stood whole on the page: one key, and each is in the record by the digest of its own words.
        step = screen.work.state.plan.step("solder@F1")
        read = [event.data["digest"] for event in app.store.events() if event.kind == "caution-acknowledged"]
        assert sorted(read) == sorted(caution.digest for caution in step.cautions if caution.person)
        assert len(read) == 2


async def test_a_caution_that_comes_up_in_a_larger_window_has_to_be_read_too(tmp_path: Path) -> None:
    # MIL-STD-1472E 5.15.8.4: the key must not take with it what has only just come into sight.
    async with running(tmp_path, steady=False, size=(80, 20)) as (app, pilot):
        screen = await start_job(app, pilot)
        step = screen.work.state.plan.step("solder@F1")
        plan = screen.work.state.plan
        long = tuple(replace(each, avoid=f"{each.avoid} {'Stand back. ' * 12}".strip()) for each in step.cautions)
        steps = tuple(replace(each, cautions=long) if each.cautions == step.cautions else each for each in plan.steps)
        screen.run.state = replace(screen.work.state, plan=replace(plan, steps=steps))
        seconds = [0.0]
        app.keyboard.clock = lambda: seconds[0]
        for _ in range(2):
            seconds[0] += AGAIN_TIME
            await pilot.press("space")
        seconds[0] += READING_TIME + 0.01
        screen.redraw()
        assert "the next caution opens then" in screen_text(app)
        await pilot.resize_terminal(100, 50)
        await until(pilot, "2 of 2")
        await pilot.press("a")
        assert screen.work.state.acknowledged == frozenset(), "the second one has only just come into sight"
        seconds[0] += AGAIN_TIME
        await pilot.press("a")
        assert len(screen.work.state.acknowledged) == 2


async def test_putting_aside_and_coming_back(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    clock = Clock()
    async with running(tmp_path, clock=clock) as (app, pilot):
        await start_job(app, pilot)
        await press(pilot, "space", "space", "q", "2", "n", *"red wire next", "enter")
        await check_saved(app, "aside_80x24", request)
        await press(pilot, "q")
        assert app.bench.look(app.bench.open_jobs()[0].job).suspended is not None
    clock.forward(days=2)
    async with running(tmp_path, clock=clock) as (app, pilot):
        await press(pilot, "home", "enter")
        await check_saved(app, "resume_80x24", request)
        await press(pilot, "space")
        assert "say how each thing" in screen_text(app)
        await press(pilot, "2", "2", "space")
        assert isinstance(app.screen, StepScreen)
        assert app.screen.work.key == "solder@F1"


async def test_a_window_too_small_says_so_and_keeps_the_place(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await start_job(app, pilot)
        await press(pilot, "space")
        await pilot.resize_terminal(60, 20)
        await until(pilot, "Too small a window")
        await pilot.resize_terminal(80, 24)
        await until(pilot, "Wipe the panel")
        assert screen.work.key == "wipe"


@pytest.mark.parametrize("size", [(20, 5), (1, 1), (300, 90)])
async def test_no_size_breaks_a_screen(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path) as (app, pilot):
        await start_job(app, pilot)
        await pilot.resize_terminal(*size)
        await press(pilot, "space", "p", "l", "w")
        await pilot.resize_terminal(80, 24)
        await until(pilot, "Hollin cue desk")


@pytest.mark.parametrize("words", ["[x", "[/]", "[bold", "[@click=app.quit]x[/]"])
async def test_brackets_survive_on_the_screen(tmp_path: Path, words: str) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await start_job(app, pilot)
        screen.work.note(words)
        screen.say(words)
        for _ in range(100):
            if screen_text(app).count(words) >= 2:
                break
            await pilot.pause(0.02)
        assert screen_text(app).count(words) >= 2


async def test_without_colour_nothing_but_bold_and_reverse_is_sent(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # no-color.org: present and not empty means no added colour.
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(tmp_path) as (app, pilot):
        screen = await start_job(app, pilot)
        await press(pilot, "space", "space", "n")
        colours = {
            colour
            for strip in screen._compositor.render_strips()
            for segment in strip
            if segment.style is not None
            for colour in (segment.style.color, segment.style.bgcolor)
            if colour is not None and not colour.is_default
        }
        assert colours == set()
        assert app.theme == "bench-plain"


def all_screens() -> list[type[BenchScreen[object]]]:
    from benchtui.ui.screens import (
        aside,
        batch,
        before,
        bench,
        defects,
        end,
        hunt,
        pages,
        pick,
        resume,
        step,
        sums,
        unit,
        units,
    )

    modules = (aside, batch, before, bench, defects, end, hunt, pages, pick, resume, step, sums, unit, units)
    found = []
    for module in modules:
        for value in vars(module).values():
            if isinstance(value, type) and issubclass(value, BenchScreen) and value.__module__ == module.__name__:
                found.append(value)
    return found


@pytest.mark.parametrize("screen", all_screens(), ids=lambda screen: screen.__name__)
def test_every_screen_reaches_the_emergency_page_and_its_keys_have_words(screen: type[BenchScreen[object]]) -> None:
    # NUREG-0700 section 8: what always applies stays one key away.
    keys = [key for binding in screen.BINDINGS for key in binding.key.split(",")]  # type: ignore[union-attr]
    assert "f9" in keys
    assert len(keys) == len(set(keys)), "no key does two things on one screen"
    assert all(binding.description for binding in screen.BINDINGS)  # type: ignore[union-attr]


async def test_no_more_than_five_keys_in_the_bottom_line(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await start_job(app, pilot)
        for key in ("", "space", "space", "a", "space", "space", "left"):
            if key:
                await pilot.press(key)
            assert 0 < len(screen.keys()) <= 5
            assert screen_text(app).split("\n")[-2].rstrip().endswith("keys")
        assert len(known_keys(screen)) > 10  # type: ignore[arg-type]


def test_starting_imports_neither_pint_nor_markdown(tmp_path: Path) -> None:
    code = (
        "import asyncio, sys\n"
        "from pathlib import Path\n"
        "from benchtui.content.library import Library\n"
        "from benchtui.record.store import Store\n"
        "from benchtui.ui.app import BenchApp\n"
        "async def main():\n"
        f"    app = BenchApp(Library.open(), Store.open(Path({str(tmp_path / 'r.sqlite')!r})))\n"
        "    async with app.run_test(size=(80, 24)) as pilot:\n"
        "        await pilot.pause()\n"
        "asyncio.run(main())\n"
        "print([name for name in ('pint', 'textual.widgets._markdown', 'numpy') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


async def test_anything_can_be_looked_up_by_a_word_and_gone_to(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.start("hollin-wiring", "HCD-003-K").suspend()
        await press(pilot, "slash")
        await pilot.pause()
        await press(pilot, *"HCD-003")
        assert "Unit HCD-003-K" in screen_text(app)
        await press(pilot, "down", "enter")
        await pilot.pause()
        await press(pilot, "h")
        assert "job started" in screen_text(app)
        await press(pilot, "escape")


async def test_a_unit_leaves_only_when_nothing_is_missing(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    # ISO 9001:2015 8.6: the release gate names each missing thing.
    from benchtui.jobs.events import Resumed

    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-001-K")
        run.suspend()
        await press(pilot, "u")
        await pilot.pause()
        await press(pilot, "enter")
        await pilot.pause()
        await check_saved(app, "unit_80x24", request)
        await press(pilot, "r")
        assert "not even as temporary: the hold point at step" in screen_text(app)
        run.act(Resumed())
        run.close(decision="the hold point was seen by another")
        await press(pilot, "escape")
        await pilot.pause()
        await press(pilot, "u")
        await pilot.pause()
        await press(pilot, "enter")
        await pilot.pause()
        await press(pilot, "r", "enter")
        assert "say why it may go out" in screen_text(app)
        await press(pilot, *"show", "enter", *"Bo", "enter")
        await pilot.pause()
        assert app.units.view("HCD-001-K").state == "temporary"


async def test_a_new_unit_gets_the_next_serial_and_a_misread_one_is_refused(tmp_path: Path) -> None:
    # ISO/IEC 7064: the last letter tells a misreading.
    from benchtui.ui.screens.units import UnitScreen

    async with running(tmp_path) as (app, pilot):
        chosen: list[str | None] = []
        app.push_screen(UnitScreen("Wire the fader bank", "hollin-cue-desk"), chosen.append)
        await pilot.pause()
        serial = app.units.next_serial("hollin-cue-desk")
        assert serial in screen_text(app)
        wrong = serial[:-1] + ("A" if serial[-1] != "A" else "C")
        await press(pilot, "n", *wrong.replace("-", ""), "enter")
        assert "misread" in screen_text(app)
        await press(pilot, "escape", "home", "enter")
        assert chosen == [serial]


async def test_a_wait_rings_once_when_it_is_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    clock = Clock()
    async with running(tmp_path, clock=clock) as (app, pilot):
        screen = await start_job(app, pilot)
        rung: list[None] = []
        monkeypatch.setattr(app, "bell", lambda: rung.append(None))
        await press(pilot, *["space", "space", "a", "space", "space", "5", "k", "enter", "1", "a", "space"])
        assert screen.work.key == "soak"
        await press(pilot, "space")
        clock.forward(minutes=31)
        app.mind_waits()
        app.mind_waits()
        assert len(rung) == 1
        assert "the wait is over: Space goes on" in screen_text(app)


async def test_a_wait_rings_wherever_the_builder_is_and_after_a_start_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # S1000D 6.4, several modules open; issue: cure and soak timers survive exit and ring when done.
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    clock = Clock()
    async with running(tmp_path, clock=clock) as (app, pilot):
        await start_job(app, pilot)
        await press(pilot, *["space", "space", "a", "space", "space", "5", "k", "enter", "1", "a", "space"])
        await press(pilot, "space", "q", "q")
        await pilot.pause()
        text = screen_text(app)
        assert "LEFT: POWER ON" in text, "what another job has left on stands at the top of the bench"
        assert "wait of step 8 until 10:00" in text
        rung: list[None] = []
        monkeypatch.setattr(app, "bell", lambda: rung.append(None))
        await press(pilot, "c")
        await pilot.pause()
        clock.forward(minutes=31)
        app.mind_waits()
        assert len(rung) == 1
        assert "a wait is over: Wire the fader bank, unit HCD-003-K, step 8" in screen_text(app)
    async with running(tmp_path, clock=clock) as (app, pilot):
        rung = []
        monkeypatch.setattr(app, "bell", lambda: rung.append(None))
        app.waits._rung.clear()
        app.mind_waits()
        assert len(rung) == 1
        await press(pilot, "f1", "escape")
        assert "the wait is over; step 8 of 10" in screen_text(app)


async def test_no_key_answers_a_list_that_cannot_be_seen(tmp_path: Path) -> None:
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.rows import Row

    async with running(tmp_path) as (app, pilot):
        front = PickScreen("A list", "Which one?", [Row(id="one", text="One"), Row(id="two", text="Two")])
        app.push_screen(front)
        await until(pilot, "Which one?")
        await pilot.resize_terminal(40, 12)
        await until(pilot, "Too small a window")
        await press(pilot, "down", "x", "escape", "enter")
        assert app.screen is front
        await pilot.resize_terminal(80, 24)
        await until(pilot, "Which one?")
        assert front.typed == ""
        await press(pilot, "escape")
        assert app.screen is not front
