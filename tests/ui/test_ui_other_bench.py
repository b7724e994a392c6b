"""A job that another bench has in hand: the page says which bench, and that the power may be on there (row D1, C12)."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import plain_plan
from helpers.screens import Clock, FakeBench, FakeLibrary, running, until

from benchtui.jobs import events as ev
from benchtui.jobs.run_sitting import add_meter, sit_down
from benchtui.jobs.sitting import MeterKnown
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.ui.past import other_bench
from benchtui.ui.view.resume import Return, resume_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.run import Run

UNIT = "HCD-003-K"


def taken_over(folder: Path, *, name: str = "", place: str = "", meter: str = "", power: bool = False) -> Run:
    """A job begun at one bench, whose record was given to another, and taken up there."""
    clock = Clock()
    a, b = (Store.open(folder / f"{one}.sqlite", clock=clock) for one in "ab")
    theirs, ours = (FakeBench(FakeLibrary(), store, clock=clock) for store in (a, b))  # type: ignore[arg-type]
    theirs.plans = ours.plans = {"hollin-wiring": plain_plan()}
    if meter:
        add_meter(a, MeterKnown(id=meter, name=f"{meter} meter"))
    if name or place or meter:
        sit_down(theirs, name=name, place=place, meter=meter)
    run = theirs.start("hollin-wiring", UNIT)
    keys = [step.key for step in run.plan.steps]
    for key in keys[: keys.index("first-power") + 1 if power else 1]:
        for caution in run.state.unread(key):
            run.acknowledge(caution, step=key)
        if run.plan.step(key).limits:
            run.read("5k", step=key)
        if run.plan.step(key).choices:
            run.act(ev.ChoiceMade(step=key, choice=run.plan.step(key).choices[0].text))
        run.act(ev.StepDone(step=key))
    merge(b, lines(a))
    return ours.resume(run.job)


def page(run: Run) -> str:
    shown = resume_lines(
        run.state, Return(), width=70, gone=timedelta(minutes=9), shapes=UNICODE, bench=other_bench(run)
    )
    return " ".join(plain(shown).split())


@pytest.mark.parametrize(
    ("said", "named"),
    [
        (
            {"name": "the second builder", "place": "the workshop"},
            "The bench of the second builder at the workshop had",
        ),
        ({"meter": "blue"}, "The bench with the meter blue meter had"),
        ({}, "That bench had"),
    ],
)
def test_the_bench_that_has_it_in_hand_is_named(tmp_path: Path, said: dict[str, str], named: str) -> None:
    text = page(taken_over(tmp_path, **said))  # type: ignore[arg-type]
    assert f"{named} this job in hand, and may have it still." in text
    assert "The power may be on there, and the iron hot: nothing here can tell." in text
    assert "ended from outside" not in text


def test_where_the_power_was_on_by_its_entries_that_is_said(tmp_path: Path) -> None:
    run = taken_over(tmp_path, power=True)
    assert "power-on" in run.state.standing
    assert "By its entries the power is on there" in page(run)


def test_a_job_of_this_bench_names_no_other(tmp_path: Path) -> None:
    run = taken_over(tmp_path)
    run.act(ev.Resumed())
    run.suspend()
    assert other_bench(run) == ""


async def test_the_page_on_the_screen_says_so(tmp_path: Path) -> None:
    clock = Clock()
    with Store.open(tmp_path / "theirs.sqlite", clock=clock) as a:
        theirs = FakeBench(FakeLibrary(), a, clock=clock)  # type: ignore[arg-type]
        theirs.plans = {"hollin-wiring": plain_plan()}
        sit_down(theirs, name="the second builder")
        run = theirs.start("hollin-wiring", UNIT)
        run.act(ev.StepDone(step="lay-out"))
        theirs_said = [*lines(a)]
    clock.forward(minutes=20)
    async with running(tmp_path, clock=clock) as (app, pilot):
        merge(app.store, theirs_said)
        await pilot.press("home", "f5")
        app.screen.fill("")  # type: ignore[attr-defined]
        await pilot.press("home", "enter")
        await until(pilot, "The bench of the second builder had this job in hand")


async def test_a_page_that_is_longer_than_the_window_says_so_and_goes_on(tmp_path: Path) -> None:
    # MIL-STD-411F 5.2.5.2: what exceeds the display is said to exist; here the defects that are open.
    clock = Clock()
    async with running(tmp_path, clock=clock, size=(80, 20), plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        run.act(ev.StepBegun(step="lay-out"))
        for number in range(1, 30):
            run.act(ev.DefectFound(defect=f"D{number}", text=f"grey joint number {number}", step="lay-out"))
        run.suspend(bench=["iron hot"])
        clock.forward(hours=3)
        app.screen.fill("")  # type: ignore[attr-defined]
        await pilot.press("home", "enter")
        text = await until(pilot, "You were away")
        assert "more below: ↓ key" in text
        assert "grey joint number 29" not in text
        for _ in range(40):
            await pilot.press("down")
        text = await until(pilot, "grey joint number 29")
        assert "more below" not in text
        assert "iron hot" in text


async def test_a_bench_says_its_own_name_and_it_stands_at_the_top(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        await pilot.press("n")
        await until(pilot, "What it is called")
        await pilot.press(*"workshop", "enter")
        await until(pilot, "Who sits at it")
        await pilot.press("enter")
        await until(pilot, "The bench: workshop")
        assert app.store.events(kinds=["sitting"])[-1].data["place"] == "workshop"
