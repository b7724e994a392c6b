"""The end of a job whose text was edited: a failed step that was taken out is decided on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import running, until

from benchtui.jobs import events as ev
from benchtui.ui.screens.end import EndScreen

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


async def test_a_failed_step_that_an_edit_took_out_is_decided_on_at_the_end(tmp_path: Path) -> None:
    # Row A3 (AS9102 4.6; ISO 9001 8.7): with a reason, at the line that says so.
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        for line in run.state.gate:
            run.act(ev.ConditionAnswered(condition=line, answer="yes"))
        run.act(ev.StepFailed(step="lay-out", reason="the panel is bent"))
        last = replace(plain_plan().steps[1], number=1)
        run.move_to(replace(plain_plan(), revision=4, steps=(last,)), reason="one step is enough")
        run.act(ev.StepDone(step=last.key))
        app.push_screen(EndScreen(run))
        await until(pilot, "failed, and taken out by revision 4")
        await pilot.press("enter")
        await until(pilot, "It is needed no more, because")
        await pilot.press("enter")
        await until(pilot, "say why it is needed no more")
        await pilot.press(*"new", "enter")
        await until(pilot, "Nothing is open")
        assert run.state.gone["lay-out"].known.reason == "new"
        run.close()
        assert run.state.closed == "complete"


async def test_what_the_unit_owes_is_worked_out_once_and_not_at_each_tick(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # It is looked up over all jobs of a unit, which a key that ticks a line must not wait for.
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        last = replace(plain_plan().steps[1], number=1)
        run.move_to(replace(plain_plan(), revision=4, steps=(last,), after=("a", "b", "c")), reason="one is enough")
        asked: list[str] = []
        missing = app.units.missing

        def told(unit: str) -> tuple[str, ...]:
            asked.append(unit)
            return missing(unit)

        monkeypatch.setattr(app.units, "missing", told)
        end = EndScreen(run)
        app.push_screen(end)
        await until(pilot, "Then")
        for _ in range(3):
            end._moved()
            await pilot.pause()
        assert asked == ["HCD-003-K"]
