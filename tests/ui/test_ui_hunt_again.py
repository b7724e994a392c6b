"""Hunts on what was hunted before, without power, and what is said and asked when one ends; screen and lines."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import demo, shipped_model
from helpers.screens import running, screen_text, until
from helpers.script import Script

from benchtui.content.library import Library
from benchtui.faults import events as ev
from benchtui.faults.earlier import earlier
from benchtui.faults.run import Hunts
from benchtui.faults.target import target_of
from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.lines.hunt import HuntTalk, start_hunt
from benchtui.ui.lines.talk import Left
from benchtui.ui.screens.hunt import HuntScreen

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.faults.run import HuntRun
    from benchtui.ui.app import BenchApp

UNIT = "HCD-001-R"


def dead_fader(hunts: Hunts, unit: str = UNIT) -> HuntRun:
    design, _ = demo()
    return hunts.start(design, model=shipped_model(), unit=unit, scope="control", subject="F3", symptom="control-dead")


def left_with_a_work_around(run: HuntRun) -> None:
    run.act(ev.TestAnswered(test="T33", outcome="still"))
    run.act(ev.Noted(text="not told again"))
    run.act(ev.WorkaroundDone(workaround="spare-control"))
    run.act(ev.TriedAgain(gone=True))


def test_the_last_hunt_on_a_control_is_found_and_one_on_another_or_on_no_unit_is_not(tmp_path: Path) -> None:
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        hunts = Hunts(Library.open(), store)
        about = {id: target_of(design, scope="control", subject=id) for id in ("F3", "F4")}
        assert earlier(store, UNIT, about["F3"]) is None
        first = dead_fader(hunts)
        first.act(ev.RepairDone(repair="re-terminate"))
        first.undo()
        first.act(ev.HuntClosed(result="open", found="V+ lug wrong"))
        dead_fader(hunts)
        known = earlier(store, UNIT, about["F3"])
        assert known is not None
        assert (known.closed, known.others) == (False, 1)
        assert earlier(store, UNIT, about["F4"]) is None
        assert earlier(store, "HCD-002-M", about["F3"]) is None
        assert earlier(store, "", about["F3"]) is None
        bank = design.control("F3").bank
        worst = target_of(design, scope="bank", subject=bank, control="F3")
        assert earlier(store, UNIT, worst) is not None  # of a bank, the control that is worst
        open_now = hunts.open_hunts(UNIT)[0].job
        hunts.resume(open_now).act(ev.HuntClosed(result="fixed", found="a dry joint"))
        closed = earlier(store, UNIT, about["F3"])
        assert closed is not None
        assert closed.closed
        assert "found: a dry joint" in closed.lines
        assert not [line for line in closed.lines if "re-terminate" in line or "repaired" in line]


async def begin(app: BenchApp, pilot: Pilot[None]) -> None:
    """The first questions before a hunt on F3."""
    app.go(flows.find_fault(app, unit=UNIT))
    for question, keys in (("For which design?", ()), ("What is it about?", ("F", "3"))):
        await until(pilot, question)
        await pilot.press(*keys, "enter")


async def test_a_new_hunt_shows_the_last_one_on_the_same_control(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        run = dead_fader(app.hunts)
        left_with_a_work_around(run)
        run.act(ev.HuntClosed(result="work-around", done="K6 stands in for F3"))
        await begin(app, pilot)
        text = await until(pilot, "The record holds a hunt on this.")
        assert f"job {run.job}" in text
        assert "work-around: Map its function to a spare control" in text
        assert "done: K6 stands in for F3" in text
        assert "not told again" not in text
        assert "Take up that hunt" not in text
        await pilot.press("enter")
        await until(pilot, "What does it do?")


async def test_an_open_hunt_on_the_same_control_can_be_taken_up_in_place_of_a_new_one(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        run = dead_fader(app.hunts)
        await begin(app, pilot)
        await until(pilot, "Take up that hunt again: it is not closed")
        await pilot.press("down", "enter")
        await until(pilot, "Find the fault: fader F3")
        assert isinstance(app.screen, HuntScreen)
        assert app.screen.run.job == run.job
        assert len(app.hunts.open_hunts(UNIT)) == 1


async def test_back_from_a_hunt_the_page_says_what_became_of_the_fault_and_nothing_is_asked_as_found(
    tmp_path: Path,
) -> None:
    async with running(tmp_path) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        app.screen.say("readings are kept with Bench-2 from now on")  # type: ignore[attr-defined]
        run = dead_fader(app.hunts)
        left_with_a_work_around(run)
        app.go(flows.open_work(app, run.job))
        await until(pilot, "Write it down: the fault is still there")
        await pilot.press("c")
        text = await until(pilot, "What stands in for it now")
        assert "Found, in your words" not in text
        await pilot.press("enter")
        await until(pilot, "Parts that went in")
        await pilot.press("enter")
        text = " ".join((await until(pilot, "The work-around serves.")).split())
        assert f"The fault on fader F3 stays open on {UNIT} until it is put right" in text
        assert "Bench-2" not in text
        closed = app.store.events(job=run.job)[-1]
        assert closed.data["done"] == "Map its function to a spare control"  # said by the model where nobody did


async def test_no_power_is_one_key_and_power_again_the_same_one(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        run = dead_fader(app.hunts)
        screen = HuntScreen(run)
        app.push_screen(screen)
        await pilot.pause()
        screen.hunting.settle()
        await pilot.press("b")
        text = await until(pilot, "no power here")
        assert "only what needs no power is proposed" in " ".join(text.split())
        assert run.state.no_power
        screen.hunting.settle()
        assert getattr(screen.hunting.proposal.move, "power", "") != "on"
        await pilot.press("b")
        await until(pilot, "there is power again")
        assert "no power here" not in screen_text(app)
        assert not run.state.no_power


async def test_without_power_nothing_is_asked_that_needs_it_and_the_ways_out_stay_open(tmp_path: Path) -> None:
    async with running(tmp_path, size=(80, 24)) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        design, _ = demo()
        run = app.hunts.start(
            design,
            model=shipped_model(),
            unit=UNIT,
            scope="control",
            subject="F3",
            symptom="control-dead",
            deadline_minutes=20.0,
        )
        run.act(ev.PowerSaid(there=False))
        screen = HuntScreen(run)
        app.push_screen(screen)
        await pilot.pause()
        screen.hunting.settle()
        assert screen.hunting.proposal.kind == "test"
        run.act(ev.RepairDone(repair="sweep-clean"))
        for _ in range(40):
            screen.hunting.afresh()
            screen.hunting.settle()
            if screen.hunting.proposal.kind == "close":
                break
            assert screen.hunting.proposal.kind == "test"
            run.act(ev.NotPossible(move=screen.hunting.move))
        screen.redraw()
        text = " ".join((await until(pilot, "Wait for power, then try the symptom")).split())
        assert "it is gone" not in text
        assert "is done and not tried yet: that waits for power." in text
        for key in ("b there is power", "q put it aside", "l all moves", "w way out", "? keys"):
            assert key in text
        await pilot.press("l")
        await until(pilot, "Every move")
        await pilot.press("escape")
        await until(pilot, "Wait for power, then try the symptom")
        await pilot.press("w")
        await until(pilot, "Work-around: ")
        await pilot.press("b")
        await until(pilot, "Try the original symptom again")
        assert run.state.phase == "again"
        await pilot.press("b", "l")
        await until(pilot, "Every move")


async def test_no_power_can_be_said_before_the_first_move(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        await begin(app, pilot)
        for question, keys in (
            ("What does it do?", ()),
            ("Did you notice one of these?", ("n", "o", " ", "p", "o", "w", "e", "r")),
            ("How long to curtain?", ()),
        ):
            await until(pilot, question)
            await pilot.press(*keys, "enter")
        await until(pilot, "Find the fault:")
        assert isinstance(app.screen, HuntScreen)
        assert app.screen.run.state.no_power
        assert app.screen.run.state.started.signs == ()


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_heading_of_the_list_of_moves_stands_once_and_whole(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        app.library = app.hunts.library = Library.open()
        app.push_screen(HuntScreen(dead_fader(app.hunts)))
        await pilot.pause()
        await pilot.press("l")
        text = await until(pilot, "Every move")
        assert text.count("Which one will you make?") == 1
        assert "for what that would lose." in " ".join(text.split())


def talked(tmp_path: Path, lines: list[str], *, before: bool = False, ends: bool = False) -> tuple[str, list[str]]:
    """What is said in a hunt on F3 by lines, and the kinds of event kept."""
    script = Script(*lines)
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        hunts = Hunts(Library.open(), store)
        talk = script.talk()
        run: HuntRun | None = dead_fader(hunts) if before or ends else None
        with suppress(Left):
            if ends and run:
                left_with_a_work_around(run)
            else:
                if run:
                    run.act(ev.HuntClosed(result="open", found="V+ lug wrong"))
                run = start_hunt(talk, hunts, design, UNIT)
            if run:
                HuntTalk(talk, run, emergency=()).go()
        return script.text, [event.kind for event in store.events()]


def test_by_lines_the_last_hunt_is_said_and_no_power_is_an_answer_before_and_a_word_in_it(tmp_path: Path) -> None:
    text, kinds = talked(
        tmp_path, ["F3", "begin", "1", "no power", "", "no power", "power", "no power", "quit"], before=True
    )
    assert "Hunt of " in text
    assert "found: V+ lug wrong" in text
    assert "There is no power here, as you said. The word power says that there is again." in text
    assert "that is known already" in text
    assert kinds.count("hunt-power") == 3


def test_by_lines_a_repair_made_without_power_is_tried_once_there_is_some(tmp_path: Path) -> None:
    said = ["F3", "1", "no power", "20", "moves", "Sweep or press", "", "power", "quit"]
    text, kinds = talked(tmp_path, said)
    assert kinds.count("hunt-again") == 0
    first, done = text.split("done: to be tried when there is power", 1)
    assert "Test: " in first
    assert "Repair: Sweep or press it twenty times" in first
    meanwhile, back = done.split("there is power again", 1)
    assert '"Sweep or press it twenty times" is done and not tried yet: that waits for power.' in meanwhile
    assert "it is gone" not in meanwhile
    assert "Now: Try the original symptom again." in back


def test_by_lines_the_end_is_said_and_nothing_is_asked_as_found(tmp_path: Path) -> None:
    text, _ = talked(tmp_path, ["close", "K6", "none"], ends=True)
    assert "What stands in for it now" in text
    assert "Found, in your words" not in text
    assert f"The work-around serves. The fault on fader F3 stays open on {UNIT} until it is put right." in text
