"""Heating a joint again: counted against what its part bears, over all jobs of the unit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.fault_worlds import demo
from helpers.jobs import after, full_plan, started
from helpers.screens import running, until

from benchtui.content.library import Library
from benchtui.design.joints import joints_at, soldering_of, unknown_joint
from benchtui.errors import UsageError
from benchtui.jobs.events import DefectFound, DispositionGiven, ReworkDone, ReworkStarted
from benchtui.jobs.passport import history, passport
from benchtui.ui.defect_acts import decided_by
from benchtui.ui.screens.defects import DefectScreen
from benchtui.ui.view.defects import NEXT, defect_rows
from benchtui.ui.view.passport import passport_lines
from benchtui.ui.view.shapes import ASCII

if TYPE_CHECKING:
    from pathlib import Path


def test_a_joint_is_known_by_the_first_word_of_its_name() -> None:
    design, _ = demo()
    found = soldering_of(design, "f3 lug 2")
    assert found is not None
    assert found.attempts == 2
    assert soldering_of(design, "Q9 lug 1") is None
    assert soldering_of(design, " ") is None
    assert soldering_of(None, "F3 lug 2") is None


def test_the_joints_of_a_design_are_known_and_others_are_not_taken() -> None:
    # The demo design's fader has three lugs, and its connector pins of its own.
    design, _ = demo()
    assert joints_at(design, "f3") == ("F3 lug 1", "F3 lug 2", "F3 lug 3")
    assert not unknown_joint(design, "F3 lug 2")
    assert not unknown_joint(design, joints_at(design, design.connectors[0].id)[0])
    assert not unknown_joint(None, "B1 lug 9")
    assert unknown_joint(design, "F3 lug 9") == "there is no joint F3 lug 9: F3 has lug 1, lug 2, lug 3"
    assert unknown_joint(design, "Q9 lug 1").startswith("nothing that is soldered is called Q9")


async def test_a_third_heating_of_a_lug_asks_for_a_reason(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """IPC-7711/7721 practice and the part's sheet: solder attempts on one joint are limited (maker's data sheet)."""
    async with running(tmp_path) as (app, pilot):
        monkeypatch.setattr(app, "design_of", lambda _plan: demo()[0])
        run = app.bench.start("hollin-wiring", "HCD-001-A")
        app.push_screen(DefectScreen(run))
        await until(pilot, "No defect is written down")

        async def heat(text: str, *to: str) -> None:
            await pilot.press("n", *text, "enter")
            await until(pilot, "decide what is to be done")
            await pilot.press("home", *to, "enter")
            await until(pilot, "What is to be done?")
            await pilot.press("enter")
            await until(pilot, "Because")
            await pilot.press(*"dull", "enter")
            await until(pilot, "begin the rework")
            await pilot.press("home", *to, "enter")
            await until(pilot, "Joint to be heated")
            await pilot.press(*"f3 lug 9", "enter")
            await until(pilot, "there is no joint F3 lug 9: F3 has lug 1, lug 2, lug 3")
            await pilot.press(*"F3 lug 2", "enter")

        await heat("dull joint")
        await until(pilot, "say when the rework is done")
        assert run.state.joints == {"F3 lug 2": (1, 2)}
        await pilot.press("home", "enter")
        await until(pilot, "Is the rework done?")
        await pilot.press("enter")
        await until(pilot, "Joints heated again")
        assert run.state.defects["D1"].status == "in rework", "an Enter too many ends nothing"
        await pilot.press("home", "enter")
        await until(pilot, "Is the rework done?")
        await pilot.press("down", "enter")
        await until(pilot, "What was touched")
        await pilot.press("enter")
        await until(pilot, "Joints heated again")
        await heat("dull again", "down")
        await until(pilot, "F3 lug 2 was soldered 2 times already; its part bears it 2 times")
        await pilot.press("down", "enter")
        await until(pilot, "Because")
        await pilot.press(*"no spare", "enter")
        await until(pilot, "say when the rework is done")
        assert run.state.joints == {"F3 lug 2": (2, 2)}
        notes = [event.data["text"] for event in app.store.events(kinds=["note"])]
        assert notes == ["F3 lug 2 is heated beyond what its part bears: no spare"]
        assert "F3 lug 2 was reworked 2 times, and its part bears 1" in app.units.missing("HCD-001-A")


async def test_a_part_that_bears_one_soldering_is_asked_about_at_its_first_rework(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The encoder of the desk bears one soldering: its design file, from the maker's data sheet (row I5)."""
    found = soldering_of(demo()[0], "E1 lug A")
    assert found is not None
    assert found.attempts == 1
    async with running(tmp_path) as (app, pilot):
        monkeypatch.setattr(app, "design_of", lambda _plan: demo()[0])
        run = app.bench.start("hollin-wiring", "HCD-001-A")
        run.act(DefectFound(defect="D1", text="dull"))
        run.act(DispositionGiven(defect="D1", disposition="rework", reason="dull"))
        app.push_screen(DefectScreen(run))
        await until(pilot, "begin the rework")
        await pilot.press("home", "enter")
        await until(pilot, "Joint to be heated")
        await pilot.press(*joints_at(demo()[0], "E1")[0], "enter")
        await until(pilot, "was soldered once already; its part bears it once")
        await pilot.press("down", "enter")
        await until(pilot, "Because")
        await pilot.press(*"no spare", "enter")
        await until(pilot, "its part bears none after the first soldering")
        assert run.state.joints == {"E1 lug a": (1, 1)}
        assert "E1 lug a was reworked once, and its part bears none" in app.units.missing("HCD-001-A")


async def test_a_defect_is_put_right_when_the_file_of_its_design_is_gone(tmp_path: Path) -> None:
    """The job goes by its own kept text; what only the design knows is said to be unknown (ISO 9001:2015 8.7)."""
    plan = replace(demo_plan(), design_id="hollin-cue-desk")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-001-A")
        app.push_screen(DefectScreen(run))
        await until(pilot, "No defect is written down")
        await pilot.press("n", *"dull", "enter")
        await until(pilot, "decide what is to be done")
        await pilot.press("home", "enter")
        await until(pilot, "What is to be done?")
        await pilot.press("enter")
        await until(pilot, "Because")
        await pilot.press(*"dull", "enter")
        await until(pilot, "begin the rework")
        await pilot.press("home", "enter")
        seen = " ".join((await until(pilot, "Joint to be heated")).split())
        assert "The design cannot be asked: the file of hollin-cue-desk is not here. Put its file back" in seen
        assert "Nothing checks the name of the joint: read it twice." in seen
        await pilot.press(*"f1 lug 2", "enter")
        seen = await until(pilot, "once already")
        flat = " ".join(seen.split())
        assert "F1 lug 2 was soldered once already; what its part bears is not known." in flat
        assert "read the sheet of the part first" in flat
        await pilot.press("down", "enter")
        await until(pilot, "Because")
        await pilot.press(*"sheet says twice", "enter")
        await until(pilot, "say when the rework is done")
        assert run.state.joints == {"F1 lug 2": (1, 0)}
        await pilot.press("home", "enter")
        await until(pilot, "Is the rework done?")
        await pilot.press("down", "enter")
        await until(pilot, "What was touched")
        await pilot.press(*"F1", "enter")
        await until(pilot, "Joints heated again")
        assert run.state.defects["D1"].status == "reworked"


async def test_what_an_earlier_rework_wrote_down_of_a_part_still_holds_without_its_design(tmp_path: Path) -> None:
    plan = replace(demo_plan(), design_id="hollin-cue-desk")
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-001-A")
        for act in (
            DefectFound(defect="D1", text="dull"),
            DispositionGiven(defect="D1", disposition="rework", reason="dull"),
            ReworkStarted(defect="D1", joint="F1 lug 2", attempts=2),
            ReworkDone(defect="D1", touched=("F1",)),
            DefectFound(defect="D2", text="dull again"),
            DispositionGiven(defect="D2", disposition="rework", reason="dull"),
        ):
            run.act(act)
        app.push_screen(DefectScreen(run))
        await until(pilot, "begin the rework")
        await pilot.press("home", "down", "enter")
        await until(pilot, "Joint to be heated")
        await pilot.press(*"f1 lug 2", "enter")
        await until(pilot, "F1 lug 2 was soldered 2 times already; its part bears it 2 times")
        await until(pilot, "figure from: the last rework of this joint")


def test_a_library_without_designs_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no design 'hollin'; there is none at all: put its file back"):
        Library.open([tmp_path]).path_of("design", "hollin")


@pytest.mark.parametrize("status", [status for status in NEXT if status != "accepted"])
def test_what_comes_next_does_not_read_as_if_it_were_done(status: str) -> None:
    assert NEXT[status].startswith("next: ")


async def test_a_repair_is_decided_by_name_and_stays_on_the_unit_for_life(tmp_path: Path) -> None:
    # Row I3 (ISO 9001 8.7; IPC-A-610): disposition with authority and reason; what is not to the drawing stays visible.
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-001-A")
        run.act(DefectFound(defect="D1", text="pad lifted", subject="F1"))
        app.push_screen(DefectScreen(run))
        await until(pilot, "decide what is to be done")
        await pilot.press("home", "enter")
        await until(pilot, "What is to be done?")
        await pilot.press(*"repair", "enter")
        await until(pilot, "Because")
        await pilot.press(*"wired", "enter")
        await until(pilot, "Decided by")
        await pilot.press("enter")
        await until(pilot, "type who decides")
        await pilot.press(*"Ann", "enter")
        await until(pilot, "decided: repair, by Ann, because wired")
        run.act(ReworkStarted(defect="D1"))
        run.act(ReworkDone(defect="D1", touched=("F1",)))
        run.close(decision="goes home")
        view = app.units.view("HCD-001-A")
        assert view.concessions == ("repair: pad lifted (wired; decided by Ann)",)
        pages = [
            "\n".join(passport(view)),
            "\n".join(history(app.store.events(unit="HCD-001-A"))),
            str(passport_lines(view, (), width=80, shapes=app.shapes)),
        ]
        assert "- repair: pad lifted (wired; decided by Ann)" in pages[0]
        assert "defect D1: repair, by Ann, wired" in pages[1]
        assert "Different from its design, for life" in pages[2] and "decided by Ann" in pages[2]


@pytest.mark.parametrize(
    ("disposition", "asked"), [("rework", 0), ("repair", 1), ("use as is", 1), ("return", 1), ("scrap", 1)]
)
def test_a_name_is_asked_for_where_the_unit_stays_different_or_goes(disposition: str, asked: int) -> None:
    # Row I3: rework brings the unit to its design, and nobody is asked for leave.
    class Asked:
        times = 0

        async def ask(self, *_: str, **__: str) -> str:
            self.times += 1
            return "Ann"

    ways = Asked()
    with pytest.raises(StopIteration) as ended:
        decided_by(ways, "D1", disposition).send(None)  # type: ignore[arg-type]
    assert ways.times == asked
    assert ended.value.value == ("Ann" if asked else "")


def test_what_is_returned_or_scrapped_is_not_said_to_be_reworked() -> None:
    state = after(
        started(full_plan()),
        DefectFound(defect="D1", text="burnt"),
        DispositionGiven(defect="D1", disposition="scrap", reason="not worth it", name="Ann"),
    )
    under = next(row.under for row in defect_rows(state, ASCII) if row.id == "defect:D1")
    assert under == (
        "next: say so on the page of the unit; Enter decides anew; decided: scrap, by Ann, because not worth it"
    )


@pytest.mark.parametrize("slip", ["scrap", "return"])
async def test_a_decision_by_a_slip_is_decided_anew(tmp_path: Path, slip: str) -> None:
    # ISO 9001:2015 8.7: nothing was touched yet, so that a wrong key is no dead end.
    async with running(tmp_path) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-001-A")
        run.act(DefectFound(defect="D1", text="grey joint"))
        run.act(DispositionGiven(defect="D1", disposition=slip, reason="a slip", name="Ann"))
        app.push_screen(DefectScreen(run))
        await until(pilot, "say so on the page of the unit; Enter decides anew")
        await pilot.press("enter")
        await until(pilot, f"It stays: {slip}")
        await pilot.press("down", "enter")
        await until(pilot, "What is to be done?")
        await pilot.press("enter")
        await until(pilot, "Because")
        await pilot.press(*"to drawing", "enter")
        await until(pilot, "next: begin the rework")
        assert run.state.defects["D1"].disposition == "rework"


@pytest.mark.parametrize(("key", "step"), [("n", "rail"), ("u", "")])
async def test_a_defect_of_the_unit_itself_does_not_stand_against_the_step_in_hand(
    tmp_path: Path, key: str, step: str
) -> None:
    async with running(tmp_path, plans={"full": full_plan()}) as (app, pilot):
        run = app.bench.start("full", "HCD-001-R")
        app.push_screen(DefectScreen(run, step="rail"))
        await until(pilot, "of the unit itself")
        await pilot.press(key, *"edge chipped", "enter")
        await until(pilot, "is written down")
        (defect,) = run.state.defects.values()
        assert (defect.text, defect.step) == ("edge chipped", step)
        assert run.state.written("rail") is bool(step)
        assert app.units.missing("HCD-001-R")
