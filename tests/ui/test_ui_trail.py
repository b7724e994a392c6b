"""One goes back through the places that were looked at, and nothing is marked by it: row J3 (S1000D; MIL-PRF-87268)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import Clock, FakeBench, FakeLibrary, running, until

from benchtui.content.library import Library
from benchtui.paths import shipped
from benchtui.record.store import Store
from benchtui.ui.app import BenchApp
from benchtui.ui.lookups import visit
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.trail import LONGEST, Trail
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from pathlib import Path


def test_the_way_back_leads_through_each_place_once() -> None:
    trail = Trail()
    for place in ("a", "b", "b", "c"):
        trail.left(place)
    assert trail.leads_back("d")
    assert [trail.back("d"), trail.back("c"), trail.back("b")] == ["c", "b", "a"]
    assert trail.back("a") == ""
    assert not trail.leads_back("a")


def test_the_place_in_sight_is_no_way_back_and_the_oldest_drop_out() -> None:
    trail = Trail()
    trail.left("a")
    assert not trail.leads_back("a")
    assert trail.back("a") == ""
    for number in range(LONGEST + 5):
        trail.left(str(number))
    found = [trail.back("") for _ in range(LONGEST + 1)]
    assert found[0] == str(LONGEST + 4)
    assert found[-2:] == ["5", ""]


def test_back_through_the_steps_that_were_looked_at_marks_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        bench = FakeBench(FakeLibrary(), store, clock=Clock())  # type: ignore[arg-type]
        bench.plans = {"hollin-wiring": plain_plan()}
        work = Work(bench.start("hollin-wiring", "HCD-003-K"))
        work.take_up()
        here, before = work.key, store.events()
        seen = []
        for number in ("3", "7", "5"):
            work.jump(number)
            seen.append(work.key)
        work.ahead()  # a step from there is no place of its own
        work.go_on()  # back to the step in hand
        assert work.key == here
        last = work.state.plan.steps[work.state.plan.places[seen[2]] + 1].key
        for place in (last, seen[1], seen[0], here):
            assert not work.before().problem
            assert work.key == place
        assert not work.looking
        reply = work.before()
        assert (reply.problem, reply.text) == (True, "no step was looked at before this one")
        assert store.events() == before


async def test_a_key_goes_back_to_the_step_looked_at_before(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.plans = {"hollin-wiring": plain_plan()}  # type: ignore[attr-defined]
        screen = StepScreen(app.bench.start("hollin-wiring", "HCD-003-K"))
        app.push_screen(screen)
        await until(pilot, "unit HCD-003-K")
        await pilot.press("g", "4", "enter")
        await until(pilot, "step 4 of")
        await pilot.press("backspace")
        await until(pilot, "step 1 of")
        assert not screen.work.looking


async def test_pages_that_were_looked_up_are_gone_back_through(tmp_path: Path) -> None:
    library = Library.open([shipped("procedures"), shipped("checklists")])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        app = BenchApp(library, store, clock=Clock())
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "At any time")
            behind = app.screen
            app.go(visit(app, "caution:iron-burn"))
            first = await until(pilot, "The tip of the iron burns")
            assert "looked at before" not in first
            await pilot.press("backspace")
            await until(pilot, "nothing was looked at before this")
            await pilot.press("escape")
            await until(pilot, "At any time")
            app.go(visit(app, "design:hollin-cue-desk/bill"))
            await until(pilot, "Hollin cue desk:")
            await pilot.press("escape")
            await until(pilot, "At any time")
            app.go(visit(app, "caution:mains"))
            assert "looked at before" in await until(pilot, "Mains voltage kills")
            await pilot.press("backspace")
            await until(pilot, "Hollin cue desk:")
            await pilot.press("backspace")
            await until(pilot, "The tip of the iron burns")
            await pilot.press("escape")
            await until(pilot, "At any time")
            assert app.screen is behind
