"""What a step keeps beside its marks, by keyboard alone: parts, files, changes by hand, newer texts, urgent notes."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import make_step, plain_plan
from helpers.fault_worlds import demo
from helpers.screens import Clock, check_saved, running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Hidden
from benchtui.jobs.readings import Meter
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_sitting import sit_down
from benchtui.jobs.run_where import where_firmware, where_used
from benchtui.jobs.steps import Status
from benchtui.ui import flows
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.screens.notice import NoticeScreen
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.screens.unit import UnitPage

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.jobs.plan import Plan
    from benchtui.ui.app import BenchApp


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)


def typed(text: str) -> list[str]:
    """A text as keys."""
    names = {".": "full_stop", " ": "space", "/": "slash", "-": "minus", "_": "underscore", "!": "exclamation_mark"}
    return [names.get(character, character) for character in text]


async def work_on(app: BenchApp, pilot: Pilot[None], plan: Plan, unit: str = "HCD-003-K") -> StepScreen:
    app.bench.plans = {plan.id: plan}  # type: ignore[attr-defined]
    app.go(flows.work_on(app, app.bench.start(plan.id, unit)))
    await pilot.pause()
    await until(pilot, f"unit {unit}")
    screen = app.screen
    assert isinstance(screen, StepScreen)
    return screen


def tracing() -> Plan:
    """Fader F1 asks for its lot, the board for its serial number."""
    steps = (
        make_step(1, "fit-fader", "Fit F1 from behind.", on="F1", trace="lot"),
        make_step(2, "fit-board", "Fit the board.", trace="serial"),
        make_step(3, "look", "Look at it.", section="Close"),
    )
    return replace(plain_plan(), steps=steps)


async def test_a_step_that_wants_the_lot_asks_for_it_and_where_it_went_is_found(tmp_path: Path) -> None:
    # IPC-1782 5.1: traceability per part, by lot or serial, enforced at the fitting step.
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, tracing())
        assert "the lot of the part, before this is done" in screen_text(app)
        await press(pilot, "space")
        assert "Lot of the part for F1" in screen_text(app)
        await press(pilot, "enter")
        assert screen.work.state["fit-fader@F1"].status is Status.BEGUN, "nothing typed is no lot"
        await press(pilot, *"2231", "enter")
        assert screen.work.state["fit-fader@F1"].status is Status.DONE
        await press(pilot, "space", *"b7", "enter", "f", *"washer", "enter")
        assert "2 of 5" in screen_text(app)
        app.design_of = lambda _plan: demo()[0]  # type: ignore[method-assign]
        await press(pilot, *"2611A", "enter")
        assert "there is no such place as 2611A: the nearest is" in screen_text(app)
        assert "Enter again keeps it as" in screen_text(app)
        await press(pilot, *"F2", "enter", "enter", "enter", "enter")
        assert screen.work.state["fit-board"].fitted == ("b7",)
        uses = where_used(app.units, lot="2231")
        assert [(use.unit, use.place, use.what) for use in uses] == [("HCD-003-K", "F1", "fader 2231")]
        board = [(use.place, use.what) for use in where_used(app.units, serial="b7")]
        assert board == [("unit", "Fit the board b7")], "no bill names it, so the step's own words do"
        assert [use.place for use in where_used(app.units, part="washer")] == ["F2"]


async def test_whether_a_part_goes_in_place_of_another_is_asked_before_it_is_kept(tmp_path: Path) -> None:
    # ISO 9001:2015 8.5.2: what is in the unit is what the builder says, and not a guess from a word in two names.
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, tracing())
        await press(pilot, "space", *"2231", "enter", "space", *"b7", "enter")
        await press(pilot, "f", *typed("fader knob"), "enter", *"F1", "enter", *"K9", "enter", "enter", "enter")
        await until(pilot, "In place of the fader, lot 2231 at F1, or beside it?")
        assert len(app.store.events(kinds=["part-fitted"])) == 2
        await press(pilot, "down", "down", "enter")
        await until(pilot, "kept: fader knob at F1, lot K9")
        await press(pilot, "f", *"knob", "enter", *"F1", "enter", *"K8", "enter", "enter", *typed("old knob"), "enter")
        await until(pilot, "Came out at F1: old knob. What was touched for it?")
        assert len(app.store.events(kinds=["part-fitted"])) == 3
        await press(pilot, "down", "enter")
        await until(pilot, "kept: knob at F1, lot K8. It went in for old knob")
        assert [part.lot for part in app.units.view("HCD-003-K").parts_now()] == ["2231", "", "K8"]
        assert screen.work.state["fit-fader@F1"].status is Status.DONE


async def test_where_the_step_says_is_offered_and_what_is_typed_does_not_come_behind_it(tmp_path: Path) -> None:
    # IPC-1782 5.1: the place is looked for years later, and "F1F2" is none.
    async with running(tmp_path) as (app, pilot):
        await work_on(app, pilot, tracing())
        await press(pilot, "space", *"2231", "enter", "left", "f", *"washer", "enter")
        assert "(Enter: F1)" in screen_text(app)
        await press(pilot, *"F2", "enter", "enter", "enter", "enter")
        await until(pilot, "kept: washer at F2")
        await press(pilot, "f", *"sleeve", "enter", "enter", "enter", "enter", "enter")
        await until(pilot, "kept: sleeve at F1")


async def test_a_unit_does_not_leave_before_its_firmware_is_written_down(tmp_path: Path) -> None:
    # ISO 9001:2015 8.5.2, AS9102 form 2: the firmware's identity is known at release, where a procedure asks for it.
    steps = (make_step(1, "load", "Load the firmware.", trace="firmware"), make_step(2, "look", "Look at it."))
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, replace(plain_plan(), steps=steps))
        assert "its firmware is not written down" in app.units.missing("HCD-003-K")
        await press(pilot, "space", *typed("1.2"), "enter")
        assert screen.work.state["load"].status is Status.DONE
        assert "its firmware is not written down" not in app.units.missing("HCD-003-K")
        assert [use.unit for use in where_firmware(app.units, "1.2")] == ["HCD-003-K"]
        await press(pilot, "q", "q")
        await pilot.pause()
        app.push_screen(UnitPage("HCD-003-K"))
        await until(pilot, "Before it may leave")
        await press(pilot, "w", "enter")
        await until(pilot, "unknown is kept too")
        await press(pilot, *typed("1.3"), "enter")
        await until(pilot, "kept with the unit")
        assert [use.unit for use in where_firmware(app.units, "1.3")] == ["HCD-003-K"]


async def test_a_batch_is_asked_once_for_a_lot_and_unit_by_unit_for_serial_numbers(tmp_path: Path) -> None:
    # IPC-1782 5.1: a lot goes into all of them, a serial number is each unit's own.
    plan = tracing()
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start(plan.id)
        app.push_screen(BatchScreen(batch, plan.id, plan.title))
        await until(pilot, "Fit F1")
        await press(pilot, "space")
        await until(pilot, "all 2: Lot of the part for F1")
        await press(pilot, *"2231", "enter", "space")
        await until(pilot, "Fit the board")
        for number in ("b7", "b8"):
            await press(pilot, "space")
            await until(pilot, "Serial number of the part")
            await press(pilot, *number, "enter")
        await press(pilot, "space")
        await until(pilot, "Look at it")
        assert [use.unit for use in where_used(app.units, lot="2231")] == list(batch.units)
        assert [where_used(app.units, serial=number)[0].unit for number in ("b7", "b8")] == list(batch.units)


async def test_a_file_is_kept_by_name_and_digest_and_one_that_is_missing_is_said_so(tmp_path: Path) -> None:
    # S1000D dialogs, MIL-PRF-87269: results that are no numbers, a file by its digest.
    picture = tmp_path / "f1.jpg"
    picture.write_bytes(b"a joint")
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, plain_plan())
        await press(pilot, "t", *typed(str(tmp_path / "none.jpg")), "enter")
        assert "there is no file" in screen_text(app)
        screen.prompt.field.value = str(picture)
        await press(pilot, "enter")
        name, digest = screen.work.known.files[0]
        assert (name, digest) == (str(picture), hashlib.sha256(b"a joint").hexdigest())
        assert f"SHA-256 {digest[:12]}" in screen_text(app)
        await press(pilot, "t")
        screen.prompt.field.value = str(tmp_path)
        await press(pilot, "enter")
        assert "is a folder" in " ".join(screen_text(app).split())  # wherever the path of the folder breaks the line
    from benchtui.record.store import Store
    from benchtui.record.verify import verify

    picture.write_bytes(b"another joint")
    with Store.open(tmp_path / "record.sqlite", read_only=True) as store:
        assert ["is not the one that was attached" in finding.message for finding in verify(store)] == [True]


async def test_a_text_changed_by_hand_shows_both_texts_and_its_reason_ever_after(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    # NASA as-run practice: a redline keeps the original, has its reason, and becomes a proposal for the procedure.
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, plain_plan())
        await press(pilot, "r", "enter")
        assert "that is what it reads already" not in screen_text(app)
        await press(pilot, "escape", "r")
        screen.prompt.field.value = "Lay the panel on felt."
        await press(pilot, "enter", *"scratches", "enter", "enter")
        await check_saved(app, "step_redline_80x24", request)
        await press(pilot, "q", "q")
        await pilot.pause()
        assert "text was changed by hand" in "\n".join(passport(app, "HCD-003-K"))
        second = await work_on(app, pilot, plain_plan(), "HCD-004-R")
        assert second.work.state.text("lay-out").startswith("Lay the panel face down")
        assert "changed by hand for HCD-003-K: Lay the panel on felt. (scratches)" in screen_text(app)


def passport(app: BenchApp, unit: str) -> list[str]:
    from benchtui.jobs.passport import passport as page

    return page(app.units.view(unit))


async def test_a_deviation_holds_for_others_until_its_end_and_then_the_step_asks_for_the_original(
    tmp_path: Path,
) -> None:
    # AS9100D 8.7: a deviation in force has an end, by date or by serial number.
    clock = Clock()
    async with running(tmp_path, clock=clock) as (app, pilot):
        screen = await work_on(app, pilot, plain_plan())
        await press(pilot, "r")
        screen.prompt.field.value = "Use the amber lamps."
        await press(pilot, "enter", *typed("no red ones"), "enter", *typed("soon"), "enter")
        assert "type a date" in screen_text(app)
        screen.prompt.field.value = "2026-03-09"
        await press(pilot, "enter", "q", "q")
        await pilot.pause()
        second = await work_on(app, pilot, plain_plan(), "HCD-004-R")
        assert "deviation until 2026-03-09: Use the amber lamps. (no red ones); r takes it over" in flat(app)
        await press(pilot, "r", "enter", "enter", "enter")
        assert second.work.state.text("lay-out") == "Use the amber lamps."
        await press(pilot, "q", "q")
        await pilot.pause()
        clock.forward(days=8)
        sit_down(app.bench, unnamed=True)
        await work_on(app, pilot, plain_plan(), "HCD-005-W")
        assert "deviation" not in screen_text(app)
        assert "Lay the panel face down" in screen_text(app)


def flat(app: BenchApp) -> str:
    """The screen as one line."""
    return " ".join(screen_text(app).split())


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_procedure_edited_meanwhile_shows_what_changes_and_is_kept_or_moved_to(
    tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest
) -> None:
    # AS9102 4.6, ISO 9001:2015 8.5.6: keep or move, with a reason; changed steps that were done are open again.
    clock = Clock()
    plan = plain_plan()
    async with running(tmp_path, size=size, clock=clock) as (app, pilot):
        screen = await work_on(app, pilot, plan)
        await press(pilot, "space", "space", "c")
        assert "this job goes by the newest text" in screen_text(app)
        job = screen.run.job
    clock.forward(minutes=2)
    steps = [
        replace(step, text="Wipe the panel with a dry cloth.") if step.key == "wipe" else step for step in plan.steps
    ]
    newer = replace(plan, revision=4, steps=(*steps, make_step(11, "label", "Stick the label on.")))
    async with running(tmp_path, size=size, clock=clock, plans={plan.id: newer}) as (app, pilot):
        app.go(flows.take_up(app, job))
        await pilot.pause()
        await press(pilot, "space")
        screen = app.screen  # type: ignore[assignment]
        assert isinstance(screen, StepScreen)
        screen._look_for_newer()
        assert "c shows what changes" in screen_text(app)
        await press(pilot, "c")
        await check_saved(app, f"newer_{size[0]}x{size[1]}", request)
        await press(pilot, "k", "c", "m", "enter")
        assert "this needs a reason" in screen_text(app)
        await press(pilot, *"scratches", "enter")
        assert screen.run.plan.revision == 4
        assert app.store.events(kinds=["revision-moved"])[0].data["reopened"] == ["wipe"]
        assert screen.work.state["wipe"].status is Status.BEGUN
        assert screen.work.state["lay-out"].status is Status.DONE
        assert screen.work.key == "wipe", "what is open again comes first"
        assert "goes on by the newer text" in screen_text(app)


async def test_steps_left_out_for_this_unit_are_one_key_away_with_their_reason(tmp_path: Path) -> None:
    # S1000D applicability: what is not for this unit is listed, because of what.
    hidden = (Hidden(step_id="rev-b", text="Cut the trace.", because="it is for hardware B, and this unit is A"),)
    async with running(tmp_path) as (app, pilot):
        await work_on(app, pilot, replace(plain_plan(), hidden=hidden))
        await press(pilot, "i")
        assert "not for this unit, because it is for hardware B, and this unit is A" in screen_text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, StepScreen)


async def test_an_urgent_note_is_read_before_the_next_run_begins(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    # S1000D updates: an urgent change notice is shown before any run of the affected procedure.
    async with running(tmp_path) as (app, pilot):
        await work_on(app, pilot, plain_plan())
        await press(pilot, "n", *typed("! bag 7 is bad"), "enter")
        assert "read before any later run" in screen_text(app)
        await press(pilot, "q", "q")
        await pilot.pause()
        app.go(flows.work_on(app, app.bench.start("hollin-wiring", "HCD-004-R")))
        await pilot.pause()
        await check_saved(app, "notice_80x24", request)
        assert isinstance(app.screen, NoticeScreen)
        await press(pilot, "space")
        assert isinstance(app.screen, NoticeScreen), "the key that goes on does not read it"
        await press(pilot, "a")
        await pilot.pause()
        assert isinstance(app.screen, StepScreen)
        assert [event.job for event in app.store.events(kinds=["notice-read"])] == [app.screen.run.job]
        await press(pilot, "q", "q")
        await pilot.pause()
        await work_on(app, pilot, plain_plan(), "HCD-005-W")


async def test_a_called_procedure_says_where_it_goes_back_to(tmp_path: Path) -> None:
    # NUREG-0700 section 8: nested procedures show the way back.
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, plain_plan())
        called = app.bench.start("hollin-wiring", "HCD-003-K", caller=(screen.run.job, "wipe"))
        app.go(flows.work_on(app, called))
        await until(pilot, "Called from")
        assert "Called from Wire the fader bank, step 2; back there when this is closed." in flat(app)


async def test_a_step_is_found_by_number_control_part_and_test_point_and_repeats_stand_in_a_grid(
    tmp_path: Path,
) -> None:
    # S1000D navigation: where is it used; one cell for each repeat.
    async with running(tmp_path) as (app, pilot):
        screen = await work_on(app, pilot, plain_plan())
        screen.work.parts = {"F2": "slide-60 slide potentiometer 60 mm"}
        for words, key in (
            ("5", "bank-ohms"),
            ("f1", "solder@F1"),
            ("slide potentiometer", "solder@F2"),
            ("bank-ohms", "bank-ohms"),
        ):
            await press(pilot, "g", *typed(words), "enter")
            assert screen.work.key == key, words
        assert screen.work.state.current == "lay-out", "looking marks nothing"
        await press(pilot, "g", *"F2", "enter", "k")
        text = screen_text(app)
        assert "each of 2" in text
        assert "still to do: F1, F2" in text


async def test_how_near_a_limit_is_near_stands_in_the_working_with_its_ground(tmp_path: Path) -> None:
    # ILAC-G8:09/2019 4.2: the guard band is the meter's own uncertainty, stated with the limits.
    async with running(tmp_path) as (app, pilot):
        await work_on(app, pilot, plain_plan())
        await press(pilot, "g", *"5", "enter", "w")
        assert "near limit: within 60 Ω of it (1 % of the limit; common practice" in flat(app)
        app.bench.meter = Meter(id="m1", name="blue meter", percent=(("resistance", 0.5),), floor=(("resistance", 10),))
        await press(pilot, "w", "w")
        assert "near limit: within 40 Ω of it (the uncertainty of the blue meter, by its sheet)" in flat(app)


def test_an_event_of_an_older_record_without_the_new_fields_is_read() -> None:
    read = ev.read_event("redline", {"step": "a", "text": "b", "reason": "c"})
    assert read == ev.Redlined(step="a", text="b", reason="c")


async def test_a_bag_is_asked_once_for_all_units_and_a_text_of_each_unit(tmp_path: Path) -> None:
    bag = replace(make_step(1, "bag", "Read the lot on the bag.", trace="lot"), part="fader", fits=("F1", "F2"))
    weigh = replace(make_step(2, "weigh", "Weigh it.", trace="text"), part="weight of the unit")
    plan = replace(plain_plan(), steps=(bag, weigh, make_step(3, "look", "Look at it.")))
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start(plan.id)
        app.push_screen(BatchScreen(batch, plan.id, plan.title))
        await until(pilot, "Read the lot on the bag")
        await press(pilot, "space")
        await until(pilot, "all 2: Lot of the fader for F1 to F2 (-: not marked)")
        await press(pilot, "minus", "enter", "space")
        await until(pilot, "Weigh it")
        assert [use.place for use in where_used(app.units, lot="not marked")] == ["F1", "F2"] * 2
        for unit, weight in zip(batch.units, ("3.4 kg", "3.5 kg"), strict=True):
            await press(pilot, "space")
            await until(pilot, f"{unit}: Weight of the unit")
            await press(pilot, *typed(weight), "enter")
        await press(pilot, "space")
        await until(pilot, "Look at it")
        assert [event.data["text"] for event in app.store.events(kinds=["text"])] == ["3.4 kg", "3.5 kg"]
