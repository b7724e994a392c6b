"""The first-unit record on the screens and by lines: which unit is the first, what it read, and who signs it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.proven import SHORT, through
from helpers.screens import Clock, FakeBench, FakeLibrary, running, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.run_batch import Batch
from benchtui.record.store import Store
from benchtui.ui import batches
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.screens.unit import UnitPage
from benchtui.ui.view.passport import passport_lines
from benchtui.ui.view.shapes import ASCII
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.run import Bench
    from benchtui.jobs.run_units import Units

UNIT = "HCD-003-K"
PLANS = {"hollin-wiring": SHORT}


@pytest.fixture(autouse=True)
def nothing_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """The short build is all that a unit has to go through."""
    monkeypatch.setattr("benchtui.jobs.run_units.Units.needs", lambda *_: Needs())


def built(bench: Bench, unit: str = UNIT) -> None:
    through(bench.start("hollin-wiring", unit)).close()


async def test_the_page_of_a_unit_shows_the_record_and_the_release_signs_it(tmp_path: Path) -> None:
    # Row H14 (AS9102 4.6 and form 3, from memory).
    async with running(tmp_path, plans=PLANS) as (app, pilot):
        built(app.bench)
        app.push_screen(UnitPage(UNIT))
        text = await until(pilot, "First-unit record")
        assert "its first-unit record is due: no unit of this" in text
        await pilot.press("v")
        text = await until(pilot, "2 characteristics: 2 pass")
        assert "1 bank" in text and "2.0 kΩ to 3.0 kΩ: 2.5 kΩ, pass, 2026-03-02" in text
        await pilot.press("escape")
        await until(pilot, "Looked through and signed by")
        await pilot.press("escape")
        await until(pilot, "Before it may leave")
        await pilot.press("r")
        await until(pilot, "Released, and its first-unit record signed, by:")
        await pilot.press(*"Bo", "enter")
        text = await until(pilot, "First-unit record signed by Bo on 2026-03-02")
        assert "is due" not in text
        assert app.units.view(UNIT).state == "released"


async def test_it_is_signed_on_the_page_where_the_unit_is_whole_and_only_once(tmp_path: Path) -> None:
    async with running(tmp_path, plans=PLANS) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        app.push_screen(UnitPage(UNIT))
        await until(pilot, "Before it may leave")
        await pilot.press("v")
        await until(pilot, "2 characteristics: 2 not measured")
        await pilot.press("escape")
        await until(pilot, "it can be signed once nothing is missing")
        through(run).close()
        for _ in range(2):
            await pilot.press("v")
            await until(pilot, "2 characteristics: 2 pass")
            await pilot.press("escape")
            if not app.units.view(UNIT).first_unit:
                await until(pilot, "Looked through and signed by")
                await pilot.press(*"Bo", "enter")
            await until(pilot, "Before it may leave")
        assert len(app.units.view(UNIT).first_unit) == 1


async def test_a_batch_says_which_unit_is_the_first_and_the_release_names_it(tmp_path: Path) -> None:
    # Row H14: the first of a batch.
    async with running(tmp_path, plans=PLANS, size=(80, 30)) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start("hollin-wiring")
        one, two = batch.units
        app.push_screen(BatchScreen(batch, "hollin-wiring", "Build one Hollin cue desk"))
        await until(pilot, f"First unit {one}, its record is due: no unit of this design has one")
        await pilot.press("h")
        await until(pilot, "Hold or free which unit")
        await pilot.press("enter")
        await until(pilot, f"Hold {one}, because")
        await pilot.press(*"lead", "enter")
        await until(pilot, f"First unit {two}, its record is due")
        await app.pop_screen()
        app.units.set_state(one, "in work")
        for run in batch.runs().values():
            through(run).close()
        app.go(batches.release(app, batch))
        text = await until(pilot, "Released, 2 of 2, by")
        assert f"{one}  nothing is missing; the name signs its first-unit record as well" in text
        assert f"{two}  nothing is missing\n" in text
        await pilot.press(*"Bo", "enter")
        for _ in range(200):
            if app.units.view(two).state == "released":
                break
            await pilot.pause(0.02)
        assert [len(app.units.view(unit).first_unit) for unit in batch.units] == [1, 0]


def at_the_bench(tmp_path: Path, *typed: str, build: bool) -> tuple[Script, Units]:
    """Type lines at the bench of a record with one unit."""
    clock = Clock()
    store = Store.open(tmp_path / "lines.sqlite", clock=clock)
    bench = FakeBench(FakeLibrary(), store, clock=clock)  # type: ignore[arg-type]
    bench.plans = PLANS
    if build:
        built(bench)
    script = Script(*typed)
    talk = BenchTalk(FakeLibrary(), store, script.talk())  # type: ignore[arg-type]
    talk.bench = talk.ways.bench = bench
    talk.talk.mind = None
    talk.go()
    return script, bench.units


def test_by_lines_the_record_is_read_out_and_signed(tmp_path: Path) -> None:
    script, units = at_the_bench(tmp_path, "units", "1", "v", "Bo", "", "", build=True)
    said = "\n".join(script.said)
    assert "This is the first unit, and its first-unit record is due: no unit of this design has one." in " ".join(
        said.split()
    )
    assert "2.0 kΩ to 3.0 kΩ: 2.5 kΩ, pass, 2026-03-02" in said
    assert f"The first-unit record of {UNIT} is signed." in said
    assert units.view(UNIT).first_unit[0].by == "Bo"
    units.store.close()


def test_what_was_in_a_unit_when_it_left_and_is_in_it_now_stands_on_its_page(tmp_path: Path) -> None:
    # Rows H9 and H10 (ISO 9001 8.5.2): as released and as fitted now.
    with Store.open(tmp_path / "parts.sqlite", clock=Clock()) as store:
        bench = FakeBench(FakeLibrary(), store, clock=Clock())  # type: ignore[arg-type]
        bench.plans = PLANS
        run = bench.start("hollin-wiring", UNIT)
        run.act(ev.PartFitted(part="fader", place="F1", lot="L1"))
        run.act(ev.PartFitted(part="fader", place="F2", lot="L1"))
        through(run).close()

        def page() -> str:
            return plain(passport_lines(bench.units.view(UNIT), (), width=76, shapes=ASCII))

        assert "Changed since" not in page()
        bench.units.release(UNIT, by="Bo")
        assert "Changed since" not in page()
        bench.units.set_state(UNIT, "returned", reason="F1 crackles")
        bench.plans["fix"] = SHORT
        later = bench.start("fix", UNIT)
        later.act(ev.PartFitted(part="fader", place="F1", lot="L2", replaces="fader", reason="worn"))
        text = page()
        assert "F1: fader, lot L1 was in it, and is out\n  F1: fader, lot L2 is in it since" in text
        assert "F2: fader, lot L1 was" not in text
