"""The same work is not begun twice on one unit without a word, on the page and by lines.

Source: ISO 9001:2015 8.5.2: one unit has one build record.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import Clock, FakeBench, FakeLibrary, running, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.taking_up import open_already

if TYPE_CHECKING:
    from pathlib import Path

UNIT = "HCD-003-K"
LIST = "before-first-power"


def at_the_bench(folder: Path, *said: str) -> tuple[FakeBench, BenchTalk, Script]:
    clock = Clock()
    store = Store.open(folder / "lines.sqlite", clock=clock)
    bench = FakeBench(FakeLibrary(), store, clock=clock)  # type: ignore[arg-type]
    bench.plans = {"hollin-wiring": plain_plan()}
    script = Script(*said)
    talk = BenchTalk(FakeLibrary(), store, script.talk())  # type: ignore[arg-type]
    talk.bench = talk.ways.bench = bench
    talk.units = talk.ways.units = bench.units
    return bench, talk, script


def test_an_open_job_of_the_same_work_is_offered(tmp_path: Path) -> None:
    bench, talk, script = at_the_bench(tmp_path, "take", "another", "")
    run = bench.start("hollin-wiring", UNIT)
    run.act(ev.StepDone(step=run.state.current))

    def asked(*of: str) -> str | None:
        return talk.ways.go(open_already(talk.ways, *of))

    assert asked("hollin-wiring", UNIT) == run.job
    assert "It is open on this unit already" in script.text and "step 2 of 10" in script.text
    assert asked("hollin-wiring", UNIT) == ""
    assert asked("hollin-wiring", UNIT) is None
    bench.store.close()


def test_nothing_is_asked_where_nothing_of_it_is_open(tmp_path: Path) -> None:
    bench, talk, script = at_the_bench(tmp_path)
    bench.start("hollin-wiring", UNIT)
    for of in (("hollin-wiring", "HCD-004-T"), ("hollin-wiring", ""), ("other", UNIT), ("hollin-wiring", UNIT, "F1")):
        assert talk.ways.go(open_already(talk.ways, *of)) == ""
    assert script.text == ""
    bench.store.close()


def test_lines_take_up_what_is_open_instead_of_a_second_build(tmp_path: Path) -> None:
    bench, talk, script = at_the_bench(tmp_path, "start a procedure", "Wire the fader", UNIT, "take")
    run = bench.start("hollin-wiring", UNIT)
    run.suspend()
    talk.talk.mind = None
    talk.go()
    assert len(bench.open_jobs()) == 1, script.text
    bench.store.close()


async def test_the_page_asks_before_a_second_run_on_one_unit(tmp_path: Path) -> None:
    async with running(tmp_path, plans={LIST: replace(plain_plan(), id=LIST)}) as (app, pilot):
        run = app.bench.start(LIST, UNIT)
        run.suspend()
        app.go(flows.start_job(app, LIST))
        await until(pilot, UNIT)
        await pilot.press("enter")  # the unit known, and not a new one
        await until(pilot, "It is open on this unit already")
        await pilot.press("enter")
        await until(pilot, "step 1 of 10")
        assert isinstance(app.screen, StepScreen) and app.screen.run is run
        assert len(app.bench.open_jobs()) == 1
