"""Views of a design reached by keys: from the bench, from a step, by looking words up, and in the line mode."""

from __future__ import annotations

from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

import pytest
from helpers.screens import Clock, screen_text, until
from helpers.script import Script

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.jobs import events as ev
from benchtui.jobs.run import Bench
from benchtui.jobs.run_build import ToBuild, assemblies, still_to_build
from benchtui.paths import shipped
from benchtui.record.store import Store
from benchtui.ui.app import BenchApp
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left
from benchtui.ui.screens.hunt import HuntScreen
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

    from textual.pilot import Pilot

DESIGN = "foot-switch"


def library() -> Library:
    return Library.open([shipped("procedures"), shipped("checklists")])


@asynccontextmanager
async def program(folder: Path, *, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[BenchApp, Pilot[None]]]:
    """The program over the shipped content."""
    clock = Clock()
    with Store.open(folder / "record.sqlite", clock=clock) as store:
        app = BenchApp(library(), store, clock=clock)
        async with app.run_test(size=size) as pilot:
            yield app, pilot


async def type_in(pilot: Pilot[None], words: str) -> None:
    await pilot.press(*("space" if letter == " " else letter for letter in words), "enter")


def assembly(folder: Library) -> str:
    return next(iter(assemblies(folder, DESIGN)))


VIEWS = {
    "pin map": "pins are free",
    "panel from the front": "FRONT",
    "mirrored": "REAR, left and right exchanged",
    "control by": "wire",
    "connector by": "goes to",
    "building": "from",
    "bill": "for 1",
    "checks": "What the design spends",
    "all of them": "power on",
    "kind, place": "x, y mm",
}
"""What is typed in the list of views, to what then stands on the page."""


@pytest.mark.parametrize(
    "typed",
    [
        pytest.param(("mirrored", "all of them"), id="two"),
        pytest.param(tuple(VIEWS), id="all", marks=pytest.mark.long),
    ],
)
async def test_views_are_reached_from_the_bench_by_keys_alone(tmp_path: Path, typed: tuple[str, ...]) -> None:
    async with program(tmp_path) as (_, pilot):
        await until(pilot, "At any time")
        await pilot.press("d")
        await until(pilot, "For which design?")
        await type_in(pilot, "wing")
        await until(pilot, "What do you want to see?")
        for words in typed:
            await type_in(pilot, words)
            await until(pilot, VIEWS[words])
            await pilot.press("escape")
            await until(pilot, "What do you want to see?")
        await pilot.press("escape")
        await until(pilot, "At any time")


async def test_a_panel_turns_and_a_bill_counts(tmp_path: Path) -> None:
    async with program(tmp_path) as (app, pilot):
        for _ in range(3):
            app.units.make(DESIGN)
        await until(pilot, "At any time")
        await pilot.press("d")
        await until(pilot, "For which design?")
        await type_in(pilot, "wing")
        await until(pilot, "What do you want to see?")
        await type_in(pilot, "bill")
        await until(pilot, "For 3 units still to build")
        await pilot.press("plus")
        await until(pilot, "For 4 units, as asked for.")
        await pilot.press(*["minus"] * 9)
        await until(pilot, "for 1 ")  # never below one
        await pilot.press("escape")
        await until(pilot, "What do you want to see?")
        await type_in(pilot, "panel from the front")
        await until(pilot, "FRONT")
        await pilot.press("p")
        await until(pilot, "REAR")


async def test_a_view_stands_beside_a_step_and_comes_again_with_one_key(tmp_path: Path) -> None:
    async with program(tmp_path) as (app, pilot):
        await until(pilot, "At any time")
        run = app.bench.start(assembly(app.library), "", design_id=DESIGN)
        await app.push_screen(StepScreen(run))
        await pilot.pause()
        await pilot.press("v")
        await until(pilot, "What do you want to see?")
        await type_in(pilot, "pin map")
        await until(pilot, "pins are free")
        await pilot.press("escape")
        await until(pilot, "What do you want to see?")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, StepScreen)
        await pilot.press("V")
        await until(pilot, "pins are free")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, StepScreen)
        assert not run.state.settled  # looking marks nothing


async def test_a_view_is_found_by_looking_words_up(tmp_path: Path) -> None:
    async with program(tmp_path) as (_, pilot):
        await until(pilot, "At any time")
        await pilot.press("slash")
        await until(pilot, "Look something up")
        await type_in(pilot, "pin map wing")
        await until(pilot, "pins are free")


async def test_nonsense_keys_and_a_tiny_window_do_no_harm(tmp_path: Path) -> None:
    async with program(tmp_path) as (app, pilot):
        await until(pilot, "At any time")
        await pilot.press("d")
        await until(pilot, "For which design?")
        await type_in(pilot, "wing")
        await until(pilot, "What do you want to see?")
        await type_in(pilot, "all of them")
        await until(pilot, "power on")
        await pilot.press("x", "7", "f5", "tab", "end", "pagedown", "down", "home", "pageup", "up", "delete", "A")
        assert "Test points" in screen_text(app)
        await pilot.resize_terminal(30, 8)
        await until(pilot, "Too small a window")
        await pilot.resize_terminal(100, 30)
        await until(pilot, "Test points")
        await pilot.press("end")
        bottom = screen_text(app)
        await pilot.press("home")
        await until(pilot, "power off" if "power off" in bottom else "Test points")


# -- line mode -------------------------------------------------------------------------------------------------------


def test_the_line_mode_looks_at_a_design(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        script = Script("look", "wing", "pin map", "no such thing", "bill", "checks", "", "")
        BenchTalk(library(), store, script.talk()).go()
    assert "pins are free" in script.text
    assert "Nothing of the design holds 'no such thing'." in script.text
    assert "No unit is planned in the record: this is for one." in script.text
    assert "What the design spends" in script.text


def test_the_line_mode_looks_beside_a_step(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        bench = Bench(library(), store)
        run = bench.start(assembly(bench.library), "", design_id=DESIGN)
        page = len(run.state.gate) + sum(
            len(getattr(run.plan.before, name)) for name in ("tools", "parts", "materials")
        )
        script = Script(*["y"] * len(run.state.gate), *[""] * page, "look pin map")
        with pytest.raises(Left):
            JobTalk(script.talk(), run, emergency=()).go(lambda _: "")
    assert "pins are free" in script.text


# -- units still to build --------------------------------------------------------------------------------------------


def test_units_still_to_build_come_from_the_record(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        bench = Bench(library(), store)
        procedures = assemblies(bench.library, DESIGN)
        assert still_to_build(store, DESIGN, procedures).units == 1  # none is planned: the bill is for one
        first, second, third = (bench.units.make(DESIGN) for _ in range(3))
        bench.units.make("hollin-cue-desk")
        assert still_to_build(store, DESIGN, procedures).waiting == (first, second, third)
        bench.start(procedures[0], first)  # begun is not built
        assert still_to_build(store, DESIGN, procedures).units == 3
        bench.units.set_state(third, "scrapped", reason="cracked panel")
        found = still_to_build(store, DESIGN, procedures)
        assert found.waiting == (first, second)
        run = bench.start(procedures[0], second)
        run.act(ev.FileAttached(name="picture", digest="0" * 64, size=1))  # else it is closed with nothing done
        run.close(decision="shown at a fair as it is")
        found = still_to_build(store, DESIGN, procedures)
        assert (found.waiting, found.built) == ((first,), (second,))
        assert found.words() == f"For 1 unit still to build in the record: {first}. 1 built already."


def test_words_on_what_is_still_to_build() -> None:
    assert ToBuild(built=("A", "B")).words().startswith("No unit is left to build in the record (2 built)")
    many = ToBuild(waiting=tuple(f"HCD-{number:03}" for number in range(1, 9)))
    assert many.words().endswith("HCD-006 and 2 more.")


@pytest.mark.long
async def test_a_view_stands_beside_a_hunt(tmp_path: Path) -> None:
    async with program(tmp_path) as (app, pilot):
        await until(pilot, "At any time")
        design = load_design(app.library.path_of("design", DESIGN))
        model = app.hunts.model(app.hunts.models(DESIGN)[0])
        run = app.hunts.start(
            design, model=model, unit="", scope="control", subject=design.controls[0].id, symptom="", signs=()
        )
        app.push_screen(HuntScreen(run))
        await until(pilot, "Suspects")
        await pilot.press("d")
        await until(pilot, f"Test points of {design.controls[0].id}")
        await type_in(pilot, "pin map")
        await until(pilot, "pins are free")
        await pilot.press("escape")
        await until(pilot, "What do you want to see?")
        await pilot.press("escape")
        await until(pilot, "Suspects")
