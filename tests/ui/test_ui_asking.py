"""Asking the record about many units from the bench, by keyboard alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import Clock, check_saved, running, until

from benchtui.jobs import events as ev
from benchtui.jobs.run_sitting import add_meter, sit_down
from benchtui.jobs.sitting import MeterKnown
from benchtui.jobs.unit_events import FirmwareLoaded

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


async def test_where_a_lot_went_is_asked_at_the_bench(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    # IPC-1782 5.1, ISO 9001:2015 8.5.2: which three of eight have the bad lot, and which run the old firmware.
    async with running(tmp_path) as (app, pilot):
        for unit, lot in (("HCD-001-K", "2231"), ("HCD-002-P", "2240"), ("HCD-003-K", "2231")):
            run = app.bench.start("hollin-wiring", unit)
            run.act(ev.PartFitted(part="fader", place="F1", lot=lot))
            app.units.write(unit, FirmwareLoaded(name="hollin", version="1.2" if lot == "2231" else "1.1"))
        await pilot.press("w")
        await until(pilot, "Lot 2231")
        await check_saved(app, "ask_80x24", request)
        for key in (*"2231", "enter"):
            await pilot.press(key)
        text = await until(pilot, "2 units: HCD-001-K, HCD-003-K.")
        assert "HCD-002-P" not in text
        await pilot.press("escape")
        await until(pilot, "Of which lot")
        for key in (*"firmware", "space", "1", "full_stop", "1", "enter"):
            await pilot.press(key)
        await until(pilot, "1 unit: HCD-002-P.")


async def test_every_reading_with_a_meter_since_a_date_names_the_units_in_doubt(tmp_path: Path) -> None:
    # ISO 9001:2015 7.1.5.2: a meter found unfit makes earlier readings doubtful, and they have to be found.
    clock = Clock()
    plan = plain_plan()
    async with running(tmp_path, clock=clock, plans={plan.id: plan}) as (app, pilot):
        add_meter(app.store, MeterKnown(id="blue", name="blue meter"))
        sit_down(app.bench, meter="blue")
        for unit in ("HCD-001-K", "HCD-002-P"):
            run = app.bench.start(plan.id, unit)
            for step in plan.steps[:4]:
                for caution in run.state.unread(step.key):
                    run.acknowledge(caution)
                run.act(ev.StepDone(step=step.key))
            run.read("5k")
            clock.forward(days=1)
        await pilot.press("w")
        await until(pilot, "blue meter")
        for key in (*"blue", "enter"):
            await pilot.press(key)
        await until(pilot, "Since which date")
        for key in (*"yesterday", "enter"):
            await pilot.press(key)
        await until(pilot, "is no date")
        for key in (*"2026", "minus", *"03", "minus", *"03", "enter"):
            await pilot.press(key)
        text = await until(pilot, "1 reading. 1 unit: HCD-002-P.")
        assert "resistance of the fader bank: 5 kΩ, pass" in text
        await pilot.press("escape")
        await until(pilot, "Of which lot")
        for key in ("enter", "enter"):
            await pilot.press(key)
        assert "2 units: HCD-001-K, HCD-002-P." in await until(pilot, "2 readings.")
