"""Row J3: a step is kept under a name and gone to again by it; nothing is marked (S1000D; MIL-PRF-87268)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import plain_plan
from helpers.jobs import after, started
from helpers.screens import FakeBench, running, until
from helpers.script import Script

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.plan_text import plan_text
from benchtui.record.event import text_digest
from benchtui.ui import flows
from benchtui.ui.kept_places import keep_place, place_rows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-003-K"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": plain_plan()}) as bench:
        yield bench


async def test_a_step_is_kept_and_gone_to_from_the_list_of_places(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        app.go(flows.work_on(app, app.bench.start("hollin-wiring", UNIT)))
        await until(pilot, "Lay the panel face down")
        screen = app.screen
        assert isinstance(screen, StepScreen)
        await pilot.press("g", "5", "enter")
        await until(pilot, "Looking at step 5")
        before = [event.kind for event in app.store.events()]
        await pilot.press("j")
        await until(pilot, "Keep step 5 under a name")
        await pilot.press("enter")
        await until(pilot, "A name for this step")
        await pilot.press(*"bank", "space", *"one", "enter")
        await until(pilot, "step 5 is kept as bank one")
        await pilot.press("space", "l")
        await until(pilot, "5 kept as bank one:")
        await pilot.press("escape", "j")
        await until(pilot, "bank one")
        await pilot.press("enter")
        await until(pilot, "Looking at step 5")
        assert screen.work.state.current == "lay-out"
        await pilot.press("backspace")
        await until(pilot, "Lay the panel face down")
        await pilot.press("g", *"Bank", "space", *"one", "enter")
        await until(pilot, "Looking at step 5")
        assert [event.kind for event in app.store.events()] == [*before, "place-kept"], "nothing else is written"


def test_by_lines_the_same(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", UNIT)
    script = Script("go 5", "place bank one", "", "places", "1", "", "go bank one", "", "quit", "", "", "")
    JobTalk(script.talk(), run, emergency=("pull the plug",)).go(lambda _: "")
    assert "step 5 is kept as bank one" in script.text
    assert script.text.count("Step 5 of 10") == 4, "after go, after place, from the places, and by its name"
    assert run.state.current == "lay-out" and not run.state.worked


def test_places_are_in_the_record_and_one_moves_when_its_name_is_given_again(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", UNIT)
    work = Work(run)
    keep_place(work, "before lunch")
    work.jump("5")
    assert not keep_place(work, "  before   lunch ").problem
    assert bench.look(run.job).places == {"before lunch": "bank-ohms"}
    assert keep_place(work, "  ").text.startswith("this needs a name")
    assert [row.right for row in place_rows(run.state)] == ["step 5"]


def test_a_place_whose_step_an_edit_took_out_is_none_any_more() -> None:
    whole = plain_plan()
    state = after(started(whole), ev.PlaceKept(step="wipe", name="panel"))
    newer = replace(whole, revision=4, steps=(whole.steps[0], *whole.steps[2:])).numbered()
    moved = ev.RevisionMoved(plan=text_digest(plan_text(newer)), revision=4, reason="edited")
    from benchtui.jobs.state import advance

    state = advance(state, moved, plan=newer)
    assert place_rows(state) == []
    with pytest.raises(JobError, match="there is no step"):
        after(state, ev.PlaceKept(step="wipe", name="panel"))
