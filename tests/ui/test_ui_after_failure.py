"""What lets nothing pass a failure or a held step by a key too many: reasons, holds, and digits typed on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench, go_to
from helpers.demo_plan import plain_plan
from helpers.screens import FakeBench, running, screen_text, until

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.steps import Status
from benchtui.ui import defect_acts
from benchtui.ui.gate import READ_FIRST
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def work(tmp_path: Path) -> Iterator[Work]:
    with at_bench(tmp_path, {"hollin-wiring": plain_plan()}) as bench:
        work = Work(bench.start("hollin-wiring", "HCD-003-K"))
        work.take_up()
        yield work


def reworked(work: Work, *, opened_before: bool = False) -> None:
    """A defect of the step in hand, decided on and put right."""
    if opened_before:
        work.undo()
    work.run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="a bridge"))
    work.run.act(ev.ReworkStarted(defect="D1", joint=""))
    work.run.act(ev.ReworkDone(defect="D1", touched=("F1",)))


@pytest.mark.parametrize("why", ["2", "3", "I bent the lug back", "adjusted"])
def test_what_was_done_to_the_unit_after_a_failure_is_a_defect_first(work: Work, why: str) -> None:
    go_to(work, "bank-ohms")
    work.reading("8k")
    assert work.reading("5k").ask == "why again"
    assert "It failed" in work.why_asked
    refused = work.reading_again(why)
    assert refused.problem
    assert refused.ask == "defect first"
    assert [reading.typed for reading in work.known.readings] == ["8k"], "it is not kept behind the defect's back"
    work.fail("a bridge of solder at lug 2")
    assert work.reading("5k").ask == "why again"
    assert "d begins the rework" in work.reading_again(why).text
    assert work.known.status is Status.FAILED


def test_another_lead_of_the_meter_is_no_work_on_the_unit(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(FakeBench, "once_a_sitting", lambda _self, _procedure: True)
    go_to(work, "bank-ohms")
    work.reading("8k")
    assert work.reading("5k").ask == "why again"
    assert "It failed" not in work.why_asked
    assert not work.reading_again("new leads").problem
    assert [reading.reason for reading in work.run.state["bank-ohms"].readings] == ["", "new leads"]


@pytest.mark.parametrize("opened_before", [False, True])
def test_after_the_rework_of_its_defect_a_test_is_a_first_one(work: Work, opened_before: bool) -> None:
    go_to(work, "bank-ohms")
    work.reading("8k")
    work.fail("a bridge of solder at lug 2")
    reworked(work, opened_before=opened_before)
    work.look("bank-ohms")
    work.work_here()
    assert work.reading("5k").ask == ""
    assert work.state["bank-ohms"].status is Status.DONE


def test_a_second_failure_after_a_rework_asks_for_a_defect_of_its_own(work: Work) -> None:
    go_to(work, "bank-ohms")
    work.reading("8k")
    work.fail("a bridge of solder at lug 2")
    reworked(work)
    work.look("bank-ohms")
    work.work_here()
    work.reading("8.2k")
    assert work.reading("5k").ask == "why again"
    assert work.reading_again("3").problem


def test_the_key_that_goes_on_does_not_do_a_step_that_waits(work: Work) -> None:
    key = work.key
    work.hold("the strap is in the van")
    for _ in range(2):
        reply = work.go_on()
        assert (reply.text, reply.problem) == ("held: u opens it again", True)
    assert work.state[key].status is Status.HELD
    assert not work.run.bench.store.events(kinds=["step-done"])


def test_no_reading_is_taken_at_a_step_that_waits(work: Work) -> None:
    go_to(work, "bank-ohms")
    work.hold("the meter is lent out")
    assert work.reading("5k").problem
    assert work.known.status is Status.HELD
    assert work.known.readings == ()


@pytest.mark.parametrize("seen", ["7", " 127 ", "4.2", "-", "12 7"])
def test_figures_alone_do_not_say_what_is_wrong(work: Work, seen: str) -> None:
    assert work.fail(seen).problem
    assert not work.state.defects
    with pytest.raises(JobError, match="in words"):
        defect_acts.found(work.run, seen)


async def test_a_reading_too_many_answers_no_question_after_it(tmp_path: Path) -> None:
    # In one rhythm, as a row of readings is typed: the last one has no step any more.
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        run = app.bench.start("hollin-wiring", "HCD-003-K")
        go_to(Work(run), "bank-ohms")
        app.push_screen(StepScreen(run))
        await until(pilot, "4.0 kΩ to 6.0 kΩ")
        now = [1000.0]
        app.keyboard.clock = lambda: now[0]
        for key in ("5", "enter", "5", "enter", *"21", "enter"):
            now[0] += 0.3
            await pilot.press(key)
        assert run.state["bank-ohms"].status is Status.DONE
        assert run.state.current == "lever"
        assert run.state["lever"].choice == ""
        assert READ_FIRST[:20] in screen_text(app)
        now[0] += 3.0
        await pilot.press("1")
        assert run.state["lever"].choice == "yes"


async def test_a_reading_too_many_answers_for_no_unit_of_a_batch(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start("hollin-wiring")
        runs = tuple(batch.runs().values())
        for run in runs:
            go_to(Work(run), "bank-ohms")
        app.push_screen(BatchScreen(batch, "hollin-wiring", "Wire the fader bank"))
        await until(pilot, "4.0 kΩ to 6.0 kΩ")
        now = [1000.0]
        app.keyboard.clock = lambda: now[0]
        for key in ("5", "enter", "5", "enter", "5", "enter", *"212", "enter"):
            now[0] += 0.3
            await pilot.press(key)
        assert [run.state["bank-ohms"].status for run in runs] == [Status.DONE, Status.DONE]
        assert [run.state["lever"].choice for run in runs] == ["", ""]
        now[0] += 3.0
        await pilot.press("1")
        assert [run.state["lever"].choice for run in runs] == ["yes", ""]
