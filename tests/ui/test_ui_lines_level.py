"""What the pages do and the line mode does too: waits that ring, the way to the next safe stop, parts, yes and no."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import demo_plan, plain_plan
from helpers.fault_worlds import demo
from helpers.screens import FakeBench
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.ui.lines.before import how_it_is, prepare
from benchtui.ui.lines.end import close_job
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left, Talk
from benchtui.ui.lines.units import _history
from benchtui.ui.lines.yes import answered_so

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": plain_plan(), "with-page": demo_plan()}) as bench:
        yield bench


# -- yes and no --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "so"),
    [
        *((word, False) for word in ("n", "N", "No", "missing", "not here", "lost", "x")),
        *((word, True) for word in ("y", "Yes", "here")),
        *((word, None) for word in ("perhaps", "in the van")),
    ],
)
def test_no_is_never_taken_for_yes(typed: str, so: bool | None) -> None:
    assert answered_so(typed) is so


@pytest.mark.parametrize("typed", ["n", "no", "missing", "not here", "X"])
def test_what_is_said_to_be_missing_is_written_down_as_missing(bench: FakeBench, typed: str) -> None:
    run = bench.start("with-page", "HCD-003-K")
    script = Script("N", "no", typed, "perhaps", *[""] * 12)
    assert not prepare(script.talk(), run)
    assert run.state.conditions == dict.fromkeys(run.plan.before.conditions, ev.NO)
    assert run.state.kit["tools", "soldering iron"] is False
    assert "'perhaps' is neither" in script.text
    assert run.state.kit["tools", "multimeter"] is True


@pytest.mark.parametrize("typed", ["no", "lost", "x"])
def test_a_tool_that_is_lost_is_not_counted_back(bench: FakeBench, typed: str) -> None:
    run = bench.start("with-page", "HCD-003-K")
    for condition in run.plan.before.conditions:
        run.act(ev.ConditionAnswered(condition=condition, answer="yes"))
    run.act(ev.KitTicked(heading="tools", item="soldering iron"))
    script = Script("", "", typed, "")
    assert close_job(script.talk(), run, bench.units) == ""
    assert run.state.not_back == ("soldering iron",)


def test_what_is_not_seen_to_sends_back_to_the_steps(bench: FakeBench) -> None:
    run = bench.start("with-page", "HCD-003-K")
    script = Script("no")
    assert close_job(script.talk(), run, bench.units) == ""
    assert "See to it first" in script.text
    assert run.state.closed == ""


# -- after a break -----------------------------------------------------------------------------------------------------


def test_the_page_after_a_break_names_no_number_that_another_question_has(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", "HCD-003-K")
    run.suspend(bench=("iron hot",))
    script = Script("1")
    assert how_it_is(script.talk(), run) == ["still so"]
    page = script.text.partition("How is it now?")[0]
    assert "iron hot: asked next" in page
    assert " 2 " not in page


# -- a wait that is over -----------------------------------------------------------------------------------------------


def test_a_wait_that_ends_while_a_question_waits_is_rung_and_said_at_once() -> None:
    said: list[str] = []
    news = iter(["", "the wait is over: step 8", "", ""])
    there = iter([False, False, True])
    talk = Talk(lambda _: "go", said.append, watch=lambda _: next(there))
    talk.mind = lambda: next(news)
    assert talk.ask("step, or help") == "go"
    assert said == ["step, or help> ", "\a", "The wait is over: step 8.", "step, or help> "]


# -- the terminal goes away --------------------------------------------------------------------------------------------


def test_a_terminal_that_goes_away_puts_the_work_aside(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", "HCD-003-K")
    lines = iter(["", ""])
    talk = Talk(lambda _: next(lines, None) or talk.hang_up() or "", lambda _: None)
    with pytest.raises(Left):
        JobTalk(talk, run, emergency=()).go(lambda _: "")
    last = bench.store.events()[-1]
    assert (last.kind, last.data.get("forced")) == ("suspended", True)


def test_nothing_is_cut_in_two_when_the_terminal_goes_away_between_questions() -> None:
    talk = Talk(lambda _: "never heard", lambda _: None)
    talk.hang_up()
    with pytest.raises(Left):
        talk.ask("step, or help")


# -- finding the way ---------------------------------------------------------------------------------------------------


def test_a_step_is_gone_to_by_the_part_of_its_control(bench: FakeBench, monkeypatch: pytest.MonkeyPatch) -> None:
    run = bench.start("hollin-wiring", "HCD-003-K")
    script = Script("go slide", "quit", "", "")
    talk = JobTalk(script.talk(), run, emergency=())
    design = demo()[0]
    monkeypatch.setattr(talk.ways, "design_of", lambda _: design)
    talk.go(lambda _: "")
    part = next(one.part for one in design.controls if one.id == "F1")
    assert "slide" in f"{part.id} {part.title}".lower()
    assert "Step 3 of 10" in script.text


def test_the_way_to_the_next_safe_stop_is_said_where_a_stretch_begins(bench: FakeBench) -> None:
    plan = plain_plan()
    bench.plans = {"hollin-wiring": replace(plan, steps=tuple(replace(step, minutes=7.0) for step in plan.steps))}
    run = bench.start("hollin-wiring", "HCD-003-K")
    script = Script("", "time", "quit", "", "")
    JobTalk(script.talk(), run, emergency=()).go(lambda _: "")
    assert script.text.count("About 14 min to the next safe stop.") == 1
    assert "about 7 min to the next safe stop" in script.text


def test_what_stands_in_the_calling_job_is_said_at_each_step(bench: FakeBench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchtui.ui.lines.job.around", lambda _: ("power on",))
    run = bench.start("hollin-wiring", "HCD-003-K")
    script = Script("", "", "quit", "", "")
    JobTalk(script.talk(), run, emergency=()).go(lambda _: "")
    assert script.text.count("Mind: POWER ON.") == 2


# -- the history of a unit ---------------------------------------------------------------------------------------------


def test_a_long_history_says_that_it_is_cut_and_gives_all_on_demand(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", "HCD-003-K")
    for number in range(8):
        run.act(ev.NoteAdded(text=f"note {number}"))
    ways = JobTalk(script.talk(), run, emergency=()).ways if (script := Script("all", "")) else None
    assert ways is not None
    assert _history(ways, "HCD-003-K", 3)
    assert "The newest 3 entries; there are older ones." in script.text
    assert "note 4" not in script.text
    assert not _history(ways, "HCD-003-K", 0)
    assert "note 0" in script.text
