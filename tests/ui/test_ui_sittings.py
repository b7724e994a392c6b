"""Which meter is on the bench is asked once a sitting, before the first work that reads one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import Clock, running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.run_sitting import add_meter, present, sit_down
from benchtui.jobs.sitting import METER_HOURS, MeterKnown
from benchtui.ui.flows import work_on

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp


def begin(app: BenchApp, unit: str = "HCD-003-K") -> None:
    app.go(work_on(app, app.bench.start("hollin-wiring", unit)))


async def aside(pilot: Pilot[None]) -> None:
    await pilot.press("q", "q")
    await until(pilot, "At any time")


async def test_it_is_asked_before_the_first_reading_and_again_on_another_day(tmp_path: Path) -> None:
    # ISO 9001:2015 7.1.5.2: a reading is worth what its meter is, so it is known with which it was taken.
    clock = Clock()
    async with running(tmp_path, clock=clock, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        add_meter(app.store, MeterKnown(id="blue", name="blue meter"))
        sit_down(app.bench, meter="blue")
        begin(app)
        text = await until(pilot, "step 1 of")
        assert "Which one is on the bench?" not in text
        await aside(pilot)
        clock.forward(hours=METER_HOURS, minutes=1)
        begin(app, "HCD-004-R")
        text = await until(pilot, "Which one is on the bench?")
        assert "▸ blue meter" in text, "the one used last is one key away"
        await pilot.press("enter")
        await until(pilot, "step 1 of")
        assert not present(app.store).meter_due(clock())


async def test_one_past_its_calibration_says_so_when_it_is_chosen_and_takes_its_new_date(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        off = MeterKnown(id="blue", name="blue", due="2026-01-01", kinds=("voltage",), percent=(0.8,), floor=(0.003,))
        add_meter(app.store, off)
        await pilot.press("m")
        await until(pilot, "calibration ran out on 2026-01-01")
        await pilot.press("enter")
        await until(pilot, "The calibration of blue ran out on 2026-01-01")
        await pilot.press(*"2027-01-01", "enter")
        await until(pilot, "readings are kept with blue from now on")
        meter = present(app.store).meter
        assert meter is not None
        assert meter.due == "2027-01-01"
        assert dict(meter.percent) == {"voltage": 0.8}, "what it may be off is not lost"


async def test_a_reason_that_is_a_number_is_the_next_reading_typed_too_early(tmp_path: Path) -> None:
    plan = plain_plan()
    async with running(tmp_path, plans={plan.id: plan, "hollin-wiring": plan}) as (app, pilot):
        add_meter(app.store, MeterKnown(id="blue", name="blue", due="2026-01-01"))
        sit_down(app.bench, meter="blue")
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        for step in plan.steps[:4]:
            for caution in run.state.unread(step.key):
                run.acknowledge(caution)
            run.act(ev.StepDone(step=step.key))
        app.go(work_on(app, run))
        await until(pilot, "step 5 of")
        await pilot.press(*"5k", "enter")
        await until(pilot, "5 kΩ is read. The meter's calibration has run out")
        await pilot.press(*"6k", "enter")
        await until(pilot, "5 kΩ is not kept yet: say in words")
        assert not run.state[plan.steps[4].key].readings
        await pilot.press(*"it was never off so far", "enter")
        await until(pilot, "step 6 of")
        assert [each.typed for each in run.state[plan.steps[4].key].readings] == ["5k"]
        assert "step 6 of" in screen_text(app)
