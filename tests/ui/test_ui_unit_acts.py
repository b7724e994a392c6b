"""What is said of a unit outside a job, by keyboard alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.jobs import after, plan, started, step
from helpers.screens import running, until

from benchtui.jobs.conflicts import Conflict
from benchtui.jobs.events import DefectFound, FileAttached, Suspended
from benchtui.jobs.run_decisions import decide
from benchtui.jobs.run_units import Units
from benchtui.jobs.unit_events import UnitStateSet, WorkaroundSet, WorkaroundUndone
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.ui.screens.unit import UnitPage
from benchtui.ui.view.resume import Return, needs_page, resume_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp

UNIT = "HCD-003-K"
OTHER = "HCD-004-T"


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)


async def decide_first(pilot: Pilot[None]) -> None:
    """Up to the answers for the first of what two benches disagree on."""
    await press(pilot, "d")
    await until(pilot, "Which one do you decide?")
    await press(pilot, "enter")
    await until(pilot, "Which is it?")


def made_elsewhere_too(app: BenchApp, tmp_path: Path, *, note: str = "") -> None:
    """Another bench gave a unit the same number, and what it wrote has come in."""
    (tmp_path / "tour").mkdir()
    with Store.open(tmp_path / "tour" / "record.sqlite") as other:
        Units(other).make("hollin-cue-desk", serial=UNIT)
        if note:
            other.append("note", unit=UNIT, data={"text": note})
        merge(app.store, lines(other))


async def page_of(app: BenchApp, pilot: Pilot[None]) -> None:
    app.bench.start("hollin-wiring", UNIT).suspend()
    app.push_screen(UnitPage(UNIT))
    await until(pilot, "Before it may leave")


async def test_a_unit_goes_only_to_states_that_are_open_to_it_and_with_a_reason(tmp_path: Path) -> None:
    # ISO 9001:2015 8.5.2, 8.7: the label on the box is true; illegal moves are not offered.
    async with running(tmp_path) as (app, pilot):
        await page_of(app, pilot)
        await press(pilot, "s")
        text = await until(pilot, "What is it from now on?")
        assert "held" in text
        assert "returned" not in text, "a unit in work cannot come back"
        await press(pilot, *"held", "enter")
        await until(pilot, "Because")
        await press(pilot, "enter")
        await until(pilot, "say why")
        await press(pilot, *"lead", "enter")
        await until(pilot, f"{UNIT} is held")
        states = [event.data for event in app.store.events(unit=UNIT, kinds=[UnitStateSet.KIND])]
        assert (states[-1]["state"], states[-1]["reason"]) == ("held", "lead")


async def test_a_unit_goes_out_as_temporary_only_by_the_list_and_a_name(tmp_path: Path) -> None:
    # ISO 9001:2015 8.6: whoever lets it go with something open sees what that is, and signs.
    async with running(tmp_path) as (app, pilot):
        await page_of(app, pilot)
        await press(pilot, "s", *"temporary", "enter")
        await until(pilot, "not even as temporary: the hold point at step 7")
    no_hold = replace(plain_plan(), steps=plain_plan().steps[:2])
    async with running(tmp_path, plans={"hollin-wiring": no_hold}) as (app, pilot):
        app.bench.start("hollin-wiring", OTHER)
        app.push_screen(UnitPage(OTHER))
        await until(pilot, "Before it may leave")
        await press(pilot, "s")
        await until(pilot, "What is it from now on?")
        await press(pilot, *"temporary", "enter")
        await until(pilot, "It goes out as")
        await press(pilot, *"a show", "enter")
        await until(pilot, "Released as temporary by")
        await press(pilot, *"Ann", "enter")
        await until(pilot, f"{OTHER} is temporary")
        last = app.units.view(OTHER).last_state
        assert last is not None
        assert last.by == "Ann" and last.missing


async def test_a_temporary_state_is_open_until_somebody_says_it_is_put_right(tmp_path: Path) -> None:
    # NASA open work, S1000D follow-on: a work-around blocks the release until it is undone.
    async with running(tmp_path) as (app, pilot):
        app.units.write(UNIT, WorkaroundSet(text="the cue is mapped to the spare fader"))
        await page_of(app, pilot)
        assert any("spare fader" in item for item in app.units.missing(UNIT))
        await press(pilot, "u")
        await until(pilot, "Which one was put right?")
        await press(pilot, "enter")
        await until(pilot, "What was done instead")
        await press(pilot, *"soldered", "enter")
        await until(pilot, "Was a lead, joint, plug or part of the unit touched for it?")
        await press(pilot, "down", "enter")
        await until(pilot, "What was touched, such as F3 J1")
        await press(pilot, *"Q9", "enter")
        await until(pilot, "nothing here is called Q9")
        await press(pilot, "backspace", "backspace", *"all", "enter")
        await until(pilot, "open no more")
        assert app.store.events(unit=UNIT, kinds=[WorkaroundUndone.KIND])[-1].data["touched"] == ["all"]
        assert not any("spare fader" in item for item in app.units.missing(UNIT))


async def test_what_can_hardly_be_made_good_is_signed_to_stay_as_it_is(tmp_path: Path) -> None:
    # ISO 9001:2015 8.7.1 d: a concession has a reason and a name, and stays in sight.
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        app.push_screen(UnitPage(UNIT))
        await until(pilot, "Before it may leave")
        await press(pilot, "l")
        await until(pilot, "nothing is missing here that may be signed")
        run.act(FileAttached(name="picture", digest="0" * 64, size=1))
        run.close(decision="sold as it is")
        await press(pilot, "l")
        await until(pilot, "Which one stays as it is?")
        await press(pilot, "enter")
        await until(pilot, "It can stay as it is, because")
        await press(pilot, *"fine", "enter")
        await until(pilot, "Signed by")
        await press(pilot, "enter")
        await until(pilot, "type who signs")
        await press(pilot, *"me", "enter")
        await until(pilot, "it stands on the unit for life")
        (signed,) = app.store.events(kinds=["concession"])
        assert signed.data["reason"] == "fine"
        assert signed.data["item"] not in app.units.missing(UNIT)


async def test_what_two_benches_disagree_on_is_decided_on_the_page_of_the_unit(tmp_path: Path) -> None:
    # ISO 9001:2015 8.6, 8.7: nothing is released while it is not known what is so.
    async with running(tmp_path) as (app, pilot):
        for _ in range(3):  # the other bench's entries come first, so that only the serial number is in dispute
            app.store.append("note", data={"text": "before"})
        await page_of(app, pilot)
        await press(pilot, "d")
        await until(pilot, "no two benches disagree")
        made_elsewhere_too(app, tmp_path)
        await decide_first(pilot)
        await press(pilot, *"two", "enter")
        await until(pilot, "Which of them gets a new number?")
        await press(pilot, "escape")
        await until(pilot, "Before it may leave")
        await decide_first(pilot)
        await press(pilot, "enter")
        text = await until(pilot, "What is so, and why")
        assert "is it one unit, or are they two?" in " ".join(text.split()), "what is decided on is not cut"
        await press(pilot, "enter")
        await until(pilot, "say what you found")
        await press(pilot, *"seen", "enter")
        await until(pilot, "Decided by")
        await press(pilot, *"me", "enter")
        text = await until(pilot, "decided; it stands on the page")
        assert "two benches disagree, and it has to be decided" not in text
        assert app.store.events(kinds=["conflict-decided"])[0].data["reason"] == "one unit: seen"
        text = await until(pilot, "Decisions where two benches disagreed")
        assert "(decided by me)" in text
        assert "Different from its design" not in text, "a word about the record is no difference from the design"


async def test_one_of_two_units_of_one_number_gets_a_new_one_on_its_page(tmp_path: Path) -> None:
    # ISO 9001:2015 8.5.2: one number, one unit; what was written stays, and says which number it had.
    async with running(tmp_path) as (app, pilot):
        await page_of(app, pilot)
        made_elsewhere_too(app, tmp_path, note="on tour")
        await decide_first(pilot)
        await press(pilot, *"two", "enter")
        text = await until(pilot, "Which of them gets a new number?")
        assert "Wire the fader bank; last touched" in text
        assert "no job yet; last touched" in text
        await press(pilot, *"no job", "enter")
        await until(pilot, "What you saw")
        await press(pilot, "enter")
        text = await until(pilot, "say where each of the two stands")
        assert "The old number stays in the history of both." in " ".join(text.split())
        await press(pilot, *"shelf and case", "enter")
        await until(pilot, "Said by")
        await press(pilot, *"me", "enter")
        text = await until(pilot, "put HCD-004-")
        new = next(row.unit for row in app.store.units() if row.unit != UNIT)
        assert f"it is {new} from now on: put {new} on it, over {UNIT}" in " ".join(text.split())
        assert f"one of them is {new} from then on" in " ".join((await until(pilot, "Its number")).split())
        assert [event.data["text"] for event in app.store.events(unit=new, kinds=["note"])] == ["on tour"]


async def test_a_decision_is_withdrawn_on_the_page_of_the_unit(tmp_path: Path) -> None:
    # 21 CFR 11.10(e): the decision and its withdrawal both stay to be seen.
    async with running(tmp_path) as (app, pilot):
        await page_of(app, pilot)
        made_elsewhere_too(app, tmp_path)
        for conflict in app.units.view(UNIT).conflicts:
            decide(app.units, UNIT, conflict.id, reason="one unit", by="me")
        await press(pilot, "d")
        await until(pilot, "it was wrong: withdraw it")
        await press(pilot, "enter")
        await until(pilot, "It is withdrawn, because")
        await press(pilot, "enter")
        await until(pilot, "say why it is not so")
        await press(pilot, *"two", "enter")
        await until(pilot, "Withdrawn by")
        await press(pilot, *"me", "enter")
        text = await until(pilot, "to be decided again")
        assert "withdrawn: two (me)" in " ".join(text.split())
        assert app.units.view(UNIT).conflicts


def test_the_page_after_a_break_names_what_two_benches_disagree_on() -> None:
    # Row D1 (place-keeping after an interruption): it is shown even after a short break, and what both say is not.
    state = after(started(plan(step("a"), step("b"))), Suspended())
    small = Conflict(id="b:3", kind="step-done", time="2031-03-01T09:00:00+01:00", message="is done", matters=False)
    large = replace(small, id="b:4", kind="reading", about="bank", message="this step is done", matters=True)
    assert not needs_page(state, timedelta(), (small,))
    assert needs_page(state, timedelta(), (small, large))
    shown = plain(resume_lines(state, Return(), width=60, gone=timedelta(), shapes=UNICODE, conflicts=(small, large)))
    assert "2031-03-01 09:00: this step is done" in " ".join(shown.split())
    assert "step done" not in shown


async def test_a_unit_that_comes_in_is_described_before_it_is_touched(tmp_path: Path) -> None:
    # ISO 9001:2015 8.5.3: other people's property, and damage that was there before.
    async with running(tmp_path) as (app, pilot):
        await page_of(app, pilot)
        await press(pilot, "i")
        for answer in ("dusty", "one cap broken", "", "not saved"):
            await until(pilot, "Taken in")
            await press(pilot, *("space" if letter == " " else letter for letter in answer), "enter")
            await pilot.pause()
        text = await until(pilot, "As it came in")
        for part in ("dusty", "damage: one cap broken", "settings: not saved"):
            assert part in text


async def test_a_defect_of_a_closed_job_is_offered_and_can_be_used_as_it_is(tmp_path: Path) -> None:
    # ISO 9001:2015 8.7.1: what does not conform is put right, or signed to be used as it is, in a closed job as well.
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", UNIT)
        run.act(DefectFound(defect="D1", text="lug 2 lifted"))
        run.close(decision="goes home")
        app.push_screen(UnitPage(UNIT))
        await until(pilot, "do what is open")
        await press(pilot, "o")
        await until(pilot, "Which one is done now?")
        await press(pilot, *"lug", "enter")
        await until(pilot, "What is to be done?")
        await press(pilot, *"use", "enter")
        await until(pilot, "because")
        await press(pilot, *"holds", "enter")
        await until(pilot, "Decided by")
        await press(pilot, *"Ann", "enter")
        await until(pilot, "that stands on the unit for life")
        view = app.units.view(UNIT)
        assert view.defects == ()
        assert "use as is: lug 2 lifted (holds; decided by Ann)" in view.concessions
