"""Row G6: a list left in the midst is begun again or gone on with, by choice and on record (Dismukes 2006; CAP 676)."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import make_step, plain_plan
from helpers.jobs import after, started
from helpers.screens import FakeBench, running, screen_text, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.jobs.lists import FROM_TOP, LIST_KEEPS, WENT_ON, left_in_the_midst
from benchtui.jobs.steps import Status
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left
from benchtui.ui.screens.resume import ResumeScreen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp

LIST = replace(
    plain_plan(),
    kind="checklist",
    procedure_kind="read-do",
    title="Before first power",
    steps=tuple(
        make_step(n, f"line{n}", f"Line {n}.", act="observe", response="out", section="Nothing is shorted.")
        for n in range(1, 5)
    ),
)
LONG = LIST_KEEPS / timedelta(minutes=1)


def half_done(bench: FakeBench) -> Run:
    """Two lines of four are confirmed, and the list is put aside."""
    bench.plans = {LIST.id: LIST}
    run = bench.start(LIST.id)
    for key in ("line1", "line2"):
        run.act(ev.StepDone(step=key))
    run.suspend()
    return run


def statuses(run: Run) -> list[Status]:
    return [run.state[step.key].status for step in run.plan.steps]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path) as bench:
        yield bench


def test_it_is_asked_only_of_a_list_left_for_long_and_in_the_midst() -> None:
    fresh = started(LIST)
    midst = after(fresh, ev.StepDone(step="line1"), ev.Suspended())
    assert left_in_the_midst(midst, LIST_KEEPS)
    assert not left_in_the_midst(midst, LIST_KEEPS - timedelta(seconds=1))
    assert not left_in_the_midst(after(fresh, ev.Suspended()), LIST_KEEPS), "nothing was confirmed"
    whole = after(fresh, *(ev.StepDone(step=step.key) for step in LIST.steps), ev.Suspended())
    assert not left_in_the_midst(whole, LIST_KEEPS), "nothing is open"
    procedure = after(started(replace(LIST, kind="procedure")), ev.StepDone(step="line1"), ev.Suspended())
    assert not left_in_the_midst(procedure, LIST_KEEPS)


def test_from_the_top_every_confirmed_line_is_open_again_and_what_failed_stays_to_be_seen() -> None:
    state = after(
        started(replace(LIST, order="any")),
        ev.StepDone(step="line1"),
        ev.StepSkipped(step="line2", reason="later"),
        ev.StepFailed(step="line3", reason="it is in"),
        ev.Suspended(),
    )
    top = after(state, ev.Resumed(checklist=FROM_TOP))
    assert [top[step.key].status.value for step in LIST.steps] == ["reopened", "reopened", "failed", "open"]
    assert top.current == "line1"
    assert after(state, ev.Resumed(checklist=WENT_ON))["line1"].status is Status.DONE
    assert ev.read_event("resumed", {}) == ev.Resumed(rules=0), "as older programs wrote it"


async def take_up(app: BenchApp, pilot: Pilot[None], run: Run, *, minutes: float) -> None:
    app.bench.clock.forward(minutes=minutes)  # type: ignore[attr-defined]
    app.go(flows.take_up(app, run.job))
    await pilot.pause()


@pytest.mark.parametrize(("key", "how", "first"), [("t", FROM_TOP, "Line 1."), ("o", WENT_ON, "Line 3.")])
async def test_one_key_says_how_it_goes_on_and_takes_it_up(tmp_path: Path, key: str, how: str, first: str) -> None:
    async with running(tmp_path) as (app, pilot):
        run = half_done(app.bench)  # type: ignore[arg-type]
        await take_up(app, pilot, run, minutes=LONG)
        await until(pilot, "A list left in the midst")
        await pilot.press("space")
        await until(pilot, "t begins it again, o goes on with it")
        assert run.state.suspended is not None, "the key of every day does not answer it"
        await pilot.press(key)
        await until(pilot, first)
        assert run.state.plan.step(run.state.current).text == first
        resumed = [event.data for event in app.store.events(job=run.job) if event.kind == "resumed"]
        assert [data["checklist"] for data in resumed] == [how]


async def test_after_a_short_break_nothing_is_asked(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        run = half_done(app.bench)  # type: ignore[arg-type]
        await take_up(app, pilot, run, minutes=LONG - 1)
        assert isinstance(app.screen, ResumeScreen)
        assert "left in the midst" not in screen_text(app)
        await pilot.press("t", "o")
        assert run.state.suspended is not None
        await pilot.press("space")
        await until(pilot, "Line 3.")


@pytest.mark.parametrize(
    ("answer", "expected"),
    [("1", ["reopened", "reopened", "open", "open"]), ("2", ["done", "done", "open", "open"])],
)
def test_by_lines_the_same_is_asked(bench: FakeBench, answer: str, expected: list[str]) -> None:
    run = half_done(bench)
    bench.clock.forward(minutes=LONG)  # type: ignore[attr-defined]
    script = Script(answer)
    with pytest.raises(Left):
        JobTalk(script.talk(), run, emergency=("pull the plug",)).go(lambda _: "")
    assert "Is it begun again from the top, or gone on with where it was left?" in script.text
    marks = [status.value if status is not Status.BEGUN else "open" for status in statuses(run)]
    assert marks[1:] == expected[1:]
    assert bool(run.state["line1"].reason) is (answer == "1")
