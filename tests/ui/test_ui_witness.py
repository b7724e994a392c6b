"""Row I1: a witness point is on record and may be passed; a hold point may not (DOE-STD-1029; NPR 8735.2B ch. 8)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import make_step, plain_plan
from helpers.jobs import after, started
from helpers.screens import FakeBench, running, until
from helpers.script import Script

from benchtui.content.library import Library
from benchtui.content.procedure import load_procedure
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.expand import expand
from benchtui.jobs.look_through import look_through_lines
from benchtui.jobs.passport import history, passport
from benchtui.jobs.run_batch import Batch
from benchtui.paper.steps import plan_blocks
from benchtui.ui import flows, together
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.view.passport import passport_lines
from benchtui.ui.view.shapes import ASCII

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-003-K"
PLAN = replace(
    plain_plan(),
    steps=(
        make_step(1, "polarity", "Hold the plug against the drawing.", witness=True),
        make_step(2, "lead", "Plug the lead in.", witness=True),
        make_step(3, "close", "Close the lid.", hold=True),
    ),
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {PLAN.id: PLAN}) as bench:
        yield bench


def test_it_is_passed_with_nobody_there_and_a_hold_point_is_not() -> None:
    state = after(started(PLAN), ev.StepDone(step="polarity"))
    assert state.current == "lead"
    state = after(state, ev.Witnessed(step="lead", name="Ann"), ev.StepDone(step="lead"))
    assert state["lead"].witnessed == ("Ann",)
    with pytest.raises(JobError, match="hold point"):
        after(state, ev.StepSkipped(step="close", reason="late"))


def test_nobody_has_looked_on_afterwards_or_where_nothing_was_to_be_seen() -> None:
    state = after(started(PLAN), ev.StepDone(step="polarity"))
    with pytest.raises(JobError, match="this step is done"):
        after(state, ev.Witnessed(step="polarity", name="Ann"))
    with pytest.raises(JobError, match="no witness point"):
        after(state, ev.Witnessed(step="close", name="Ann"))
    with pytest.raises(JobError, match="needs a name"):
        after(state, ev.Witnessed(step="lead", name=" "))


def test_what_was_seen_of_a_step_counts_no_more_once_it_is_open_again() -> None:
    state = after(started(PLAN), ev.Witnessed(step="polarity", name="Ann"), ev.StepDone(step="polarity"))
    state = after(state, ev.StepReopened(step="polarity", reason="taken back"))
    assert state["polarity"].witnessed == ()
    assert state["polarity"].earlier[0].witnessed == ("Ann",)


async def test_it_costs_no_key_and_one_writes_the_name(tmp_path: Path) -> None:
    async with running(tmp_path, plans={PLAN.id: PLAN}) as (app, pilot):
        app.go(flows.work_on(app, app.bench.start(PLAN.id, UNIT)))
        text = await until(pilot, "WITNESS POINT")
        assert "the work waits for nobody" in text and "who looks on" in text
        await pilot.press("space")
        await until(pilot, "Plug the lead in.")
        await pilot.press("y")
        await until(pilot, "Who looks on")
        await pilot.press(*"Ann", "enter")
        await until(pilot, "Ann looked on")
        await pilot.press("space")
        await until(pilot, "Close the lid.")
        await pilot.press("y")
        await until(pilot, "this is no witness point")
        view = app.units.view(UNIT)
        said = "\n".join(passport(view))
        assert "step 1, Hold the plug against the drawing. nobody looked on" in said
        assert "step 2, Plug the lead in. Ann looked on" in said
        assert "step 3" not in said
        assert "Ann looked on" in str(passport_lines(view, (), width=200, shapes=ASCII))
        assert any("Ann looked on at lead" in line for line in history(app.store.events(unit=UNIT)))


async def test_in_a_batch_one_name_is_written_for_all_that_are_at_the_step(tmp_path: Path) -> None:
    async with running(tmp_path, plans={PLAN.id: PLAN}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start(PLAN.id)
        app.push_screen(BatchScreen(batch, PLAN.id, PLAN.title))
        await until(pilot, "WITNESS POINT")
        await pilot.press("y", *"Ann", "enter")
        await until(pilot, "Ann looks on, at 2 units")
        await pilot.press("space", "space")
        await until(pilot, "Close the lid.")
        await pilot.press("y")
        await until(pilot, "this is no witness point")
        states = [run.state for run in batch.runs().values()]
        assert [state["polarity"].witnessed for state in states] == [("Ann",)] * 2
        assert [state["lead"].witnessed for state in states] == [()] * 2
        step = states[0].plan.step("close")
        assert together.witness(batch, step, "Ann").text == "this is no witness point"


def test_by_lines_the_same(bench: FakeBench) -> None:
    run = bench.start(PLAN.id, UNIT)
    script = Script("", "witness Ann", "", "quit", "", "", "")
    JobTalk(script.talk(), run, emergency=("pull the plug",)).go(lambda _: "")
    assert script.text.count("Witness point:") >= 2
    assert "Ann looks on" in script.text
    assert [run.state[key].witnessed for key in ("polarity", "lead")] == [(), ("Ann",)]


def test_it_stands_on_the_list_before_the_work_and_on_paper() -> None:
    ahead = look_through_lines(PLAN, {})
    assert ahead["Witness points: ask somebody to look on"] == (
        "step 1: Hold the plug against the drawing.",
        "step 2: Plug the lead in.",
    )
    printed = str([*plan_blocks(PLAN, titles={}, alone=True)])
    assert printed.count("Looked on by") == 2 and "witness point" in printed


def test_the_mark_is_one_word_of_the_file_and_no_shipped_step_bears_it(tmp_path: Path) -> None:
    # Who works alone has nobody to ask: the mark is for benches with two, who write it into texts of their own.
    library = Library.open()
    paths = [entry.path for entry in library.entries("procedure")]
    assert not [step.id for path in paths for step in load_procedure(path).steps if step.witness]
    path = next(entry.path for entry in library.entries("procedure") if entry.id == "strap-test")
    text = path.read_text(encoding="utf-8")
    file = tmp_path / "strap.yaml"
    file.write_text(text.replace("    minutes:", "    witness: yes\n    minutes:", 1), encoding="utf-8")
    assert [step.witness for step in expand(load_procedure(file), None, library.cautions())].count(True) == 1
