"""A pass over a batch: one key for all units, one event each, and a held unit that drops out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import plain_plan
from helpers.jobs import IRON, plan, step
from helpers.screens import check_saved, running, screen_text, until
from textual.widgets import Input

from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.ui.screens.batch import BatchScreen

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp


async def open_batch(app: BenchApp, pilot: Pilot[None], quantity: int) -> BatchScreen:
    app.bench.plans = {"hollin-wiring": plain_plan()}  # type: ignore[attr-defined]
    batch = Batch.make(app.bench, "hollin-cue-desk", quantity)
    batch.start("hollin-wiring")
    screen = BatchScreen(batch, "hollin-wiring", "Wire the fader bank")
    app.push_screen(screen)
    await pilot.pause()
    return screen


async def hold_or_free(pilot: Pilot[None], unit: str, why: str) -> None:
    await pilot.press("h")
    await until(pilot, "Hold or free which unit?")
    await pilot.press(*unit, "enter")
    await until(pilot, f"{unit}, because")
    await pilot.press(*why, "enter")


async def test_one_key_marks_a_step_for_every_unit_with_an_event_each(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    # 21 CFR 820.184: batch, lot or unit; one entry with its own serial number each.
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 3)
        await pilot.press("space")
        done = [event for event in app.store.events() if event.kind == "step-done"]
        assert {event.unit for event in done} == set(screen.group.units)
        await pilot.press("space")
        await check_saved(app, "batch_80x24", request)
        await pilot.press("space")
        assert len([event for event in app.store.events() if event.kind == "step-done"]) == 6, "the caution stops it"
        await pilot.press("a", "space", "space")
        assert screen.step is not None
        assert screen.step.key == "bank-ohms"


async def test_readings_are_asked_for_unit_by_unit(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 2)
        for key in ("space", "space", "a", "space", "space", "space", *"5k", "enter", *"5k", "enter"):
            await pilot.press(key)
        assert screen.step is not None
        assert screen.step.key == "lever"
        readings = [event for event in app.store.events() if event.kind == "reading"]
        assert [event.unit for event in readings] == list(screen.group.units)
        await pilot.press("k")
        await pilot.pause()
        assert "middle 5 kΩ" in screen_text(app)


async def test_a_held_unit_drops_out_and_the_matrix_shows_it(tmp_path: Path) -> None:
    # ISO 9001:2015 8.7: one bad unit does not stop the others.
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 3)
        first = screen.group.units[0]
        await hold_or_free(pilot, first, "scratched")
        await until(pilot, f"not in the pass: {first} (held)")
        await pilot.press("space")
        done = {event.unit for event in app.store.events() if event.kind == "step-done"}
        assert done == set(screen.group.units[1:])
        await pilot.press("l")
        await pilot.pause()
        text = screen_text(app)
        assert "3 units: 2 in work, 1 held" in text
        assert "1/2" in text


async def test_a_unit_that_is_freed_at_a_step_has_its_caution_read_like_the_others(tmp_path: Path) -> None:
    # ANSI Z535.6 and ISO 9001:2015 8.7: the caution is read for each unit, and nothing but that is asked for.
    built = plan(step("a"), step("s", cautions=(IRON,)), step("z"), design_id="hollin-cue-desk")
    async with running(tmp_path, plans={built.id: built}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 3)
        batch.start(built.id)
        screen = BatchScreen(batch, built.id, "Build")
        app.push_screen(screen)
        await pilot.pause()
        await pilot.press("space")
        third = batch.units[2]
        app.units.set_state(third, "held", reason="scratched")
        screen.settle()
        await pilot.press("a")
        assert not screen.unread
        await hold_or_free(pilot, third, "back")
        await until(pilot, f"{third} is free and takes part again")
        assert [each.id for each in screen.unread] == [IRON.id]
        await pilot.press("space")
        await until(pilot, "read the caution first; a says that you have")
        await pilot.press("a", "space")
        await pilot.pause()
        assert {run.state["s"].status.value for run in batch.runs().values()} == {"done"}
        read = [event.unit for event in app.store.events(kinds=["caution-acknowledged"])]
        assert sorted(read) == sorted(batch.units), "once for each unit"


async def test_a_reading_typed_ahead_of_its_field_loses_no_digit(tmp_path: Path) -> None:
    """Enter, and the next unit's reading at once: while the first is written down, the field still has the keyboard."""
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 2)
        for key in ("space", "space", "a", "space", "space", "space", *"5k"):
            await pilot.press(key)
        field = screen.prompt.field
        field.post_message(Input.Submitted(field, "5k"))
        field.value = "5k12.5"  # typed before the answer to the first was taken
        await until(pilot, f"{screen.group.units[1]}, ")
        await pilot.pause()
        assert screen.prompt.field.value == "12.5"
        readings = [event for event in app.store.events() if event.kind == "reading"]
        assert [event.data["typed"] for event in readings] == ["5k"]


async def test_a_unit_whose_reading_fails_waits_and_the_others_go_on(tmp_path: Path) -> None:
    # ISO 9001:2015 8.7, and J-STD-001 practice: it is measured again with a reason, or taken in hand.
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 2)
        first, second = screen.group.units
        for key in ("space", "space", "a", "space", "space", "space", *"9k", "enter"):
            await pilot.press(key)
        text = screen_text(app)
        assert f"waits: {first}, step 5 failed" in text
        for key in (*"5k", "enter"):
            await pilot.press(key)
        assert screen.step is not None
        assert screen.step.key == "lever", f"{second} goes on"
        for key in ("m", *"5k", "enter", "1", "enter"):
            await pilot.press(key)
        assert "waits:" not in screen_text(app)
        readings = [event for event in app.store.events() if event.kind == "reading" and event.unit == first]
        assert [event.data["verdict"] for event in readings] == ["fail", "pass"]
        assert readings[1].data["reason"] == "probe slipped"


async def test_a_second_press_begins_no_second_way(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        begun = []

        async def way() -> None:
            begun.append(1)
            await pilot.pause(0.05)

        app.go(way())
        app.go(way())
        await pilot.pause(0.1)
        assert begun == [1]
        app.go(way())
        await pilot.pause(0.1)
        assert begun == [1, 1]


async def test_the_last_mark_is_taken_back_for_all_units(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 3)
        await pilot.press("space")
        await pilot.press("u")
        assert screen.step is not None
        assert screen.step.number == 1
        again = [event for event in app.store.events() if event.kind == "step-reopened"]
        assert {event.unit for event in again} == set(screen.group.units)


async def test_a_caution_that_one_unit_has_read_alone_is_shown_for_the_others(tmp_path: Path) -> None:
    # 21 CFR Part 11.50, row D6: what is acknowledged for a unit stood on the screen.
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 3)
        await pilot.press("space", "space")
        lead = screen.lead
        for caution in lead.state.unread(lead.state.current):
            lead.acknowledge(caution)
        screen.settle()
        await pilot.pause()
        text = screen_text(app)
        assert "WARNING" in text and "If not: a cough that stays for life." in text, (
            "in full, as the others have to read it"
        )
        await pilot.press("a")
        read = [event for event in app.store.events() if event.kind == "caution-acknowledged"]
        assert sorted((event.unit, event.data["caution"]) for event in read) == sorted(
            (unit, caution.id) for unit in screen.group.units for caution in lead.plan.step("solder@F1").cautions
        )


async def test_a_signature_for_several_says_of_each_what_it_does_not_stand_for(tmp_path: Path) -> None:
    # 21 CFR 11.50: a signature says what it means; a step that was skipped on one unit was not done as described.
    async with running(tmp_path) as (app, pilot):
        app.bench.plans = {"small": plan(step("a"), step("b"), step("s", "sign"), step("t", "sign"), id="small")}  # type: ignore[attr-defined]
        batch = Batch.make(app.bench, "hollin-cue-desk", 3)
        batch.start("small")
        first, second, third = batch.units
        batch.runs()[first].act(ev.StepSkipped(step="a", reason="no part"))
        batch.runs()[first].act(ev.DefectFound(defect="D1", text="scratch", step="a"))
        batch.runs()[second].act(ev.StepDone(step="a"))
        batch.runs()[second].act(ev.DefectFound(defect="D1", text="dent", step="a"))
        screen = BatchScreen(batch, "small", "A small batch")
        app.push_screen(screen)
        await pilot.pause()
        await pilot.press("space", "space", "space")
        await until(pilot, "Signed all the same for 3 units by")
        text = screen_text(app)
        assert f"{first}  step 1 skipped; defect D1 open" in text
        assert f"{second}  defect D1 open" in text
        assert f"{third}  done as described" in text
        await pilot.press("escape")
        await until(pilot, "batch B1")
        assert screen.step is not None
        assert screen.step.key == "s", "nobody signed"
        await pilot.press("space")
        await until(pilot, "Signed all the same for 3 units by")
        await pilot.press(*"ann", "enter")
        await until(pilot, "signed for 3")
        signed = {event.unit: event.data["meaning"] for event in app.store.events(kinds=["signed-off"])}
        assert signed == {
            first: "done as described, but for step 1, defect D1 open",
            second: "done as described, but for defect D1 open",
            third: "done as described",
        }


async def test_a_unit_whose_job_was_closed_while_it_was_in_hand_leaves_the_pass_to_the_others(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 2)
        first, second = screen.group.units
        await pilot.press("t")
        await until(pilot, "Which one do you take in hand?")
        screen.group.runs()[first].close(decision="sold as parts")
        await pilot.press("escape")
        await until(pilot, "Wire the fader bank")
        assert screen.lead.unit == second


async def test_where_every_unit_failed_nothing_is_called_passed_and_measuring_again_shows_the_step(
    tmp_path: Path,
) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_batch(app, pilot, 2)
        await pilot.press("space", "space", "space", "a", "space", "space")
        for _ in range(2):
            await pilot.press("1", "enter")
            await pilot.pause()
        assert screen.step is None
        text = screen_text(app)
        assert "no unit can go on" in text
        assert "every step passed" not in text
        unit, stuck = [*screen.group.waiting().items()][-1]
        await pilot.press("m")
        text = screen_text(app)
        assert f"step {stuck.number} of" in text
        assert stuck.text.split(".")[0][:20] in text
        assert unit in text
