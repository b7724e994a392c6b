"""What was missing at the start is recalled where it is needed; how far a job is has one wording everywhere."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import after, plan, started, step

from benchtui.content.library import Library
from benchtui.jobs import events as ev
from benchtui.jobs.glance import summarise
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.kit import belongs, lacking, part_named, recalled, things
from benchtui.jobs.plan import Before
from benchtui.jobs.plans import Plans, called_text
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.tally import tally
from benchtui.record.store import Store
from benchtui.ui.view.before import end_rows
from benchtui.ui.view.bench import where
from benchtui.ui.view.head import job_head
from benchtui.ui.view.resume import Return, resume_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

TOOLS = ("torque driver with the socket of the ring nut", "stripper, side cutters, flat pliers")


def short() -> JobState:
    """Three steps; the driver was missing at the start, and the builder said why that will do."""
    the_plan = plan(
        step("clear", text="Clear the bench."),
        step("nut", text="Tighten the nut with the torque driver."),
        step("look", text="Look at it."),
        before=Before(tools=TOOLS),
    )
    return after(
        started(the_plan),
        ev.KitTicked(heading="tools", item=TOOLS[0], found=False),
        ev.KitTicked(heading="tools", item=TOOLS[1], found=True),
        ev.StartedShort(missing=(TOOLS[0],), reason="it comes at noon"),
    )


@pytest.mark.parametrize(
    ("item", "nouns"),
    [
        (TOOLS[0], ("driver",)),
        (TOOLS[1], ("stripper", "cutter", "plier")),
        ("2 × foot pushbutton, M12 metal bushing, momentary, gold contact (B1 to B2)", ("pushbutton",)),
        ("9 × screw M3 × 6, pan head", ("screw",)),
        ("hot-air gun, with a card to shield parts from it", ("gun",)),
    ],
)
def test_a_line_of_the_kit_names_its_things(item: str, nouns: tuple[str, ...]) -> None:
    assert things(item) == nouns


def test_a_step_needs_what_it_speaks_of_and_the_meter_where_it_measures() -> None:
    assert belongs(TOOLS[0], step("nut", text="Tighten the nut with the torque driver."))
    assert not belongs(TOOLS[0], step("look", text="Look at it."))
    assert belongs("2 × foot pushbutton, momentary", step("put", text="Put the button in."))


def test_what_is_missing_is_recalled_at_its_step_after_a_break_and_at_the_end() -> None:
    # Common practice in kitting: a shortage travels with the job until it is filled.
    state = short()
    assert recalled(state) == {"nut": (TOOLS[0],)}
    state = after(state, ev.StepDone(step="clear"))
    page = plain(step_page(state, Sight(key="nut"), width=80, height=20, shapes=UNICODE).lines)
    assert "missing" in page
    assert "it comes at noon" in page
    left = after(state, ev.Suspended(next_act="go on"))
    gone = plain(resume_lines(left, Return(), width=80, gone=timedelta(hours=1), shapes=UNICODE))
    assert "Begun without" in gone
    rows = [row.text for row in end_rows(state, frozenset(), UNICODE)]
    assert f"started without: {TOOLS[0]}" in rows


def test_past_the_last_step_that_needs_it_nothing_is_recalled_but_at_the_end() -> None:
    state = after(short(), ev.StepDone(step="clear"), ev.StepSkipped(step="nut", reason="no driver"))
    assert not recalled(state)
    assert lacking(state)


def test_what_turns_up_is_not_missing_any_more() -> None:
    state = after(short(), ev.KitTicked(heading="tools", item=TOOLS[0], found=True))
    assert not lacking(state)
    assert not recalled(state)
    assert not any(item.startswith("started without") for item in state.open_items())


def test_how_far_a_job_is_reads_the_same_on_every_screen() -> None:
    state = short()
    for event in (
        ev.StepDone(step="clear"),
        ev.StepSkipped(step="nut", reason="no driver"),
        ev.StepDone(step="look"),
    ):
        state = after(state, event)
    assert tally(state) == "2 of 3 steps done, 1 skipped"
    assert "2 of 3 steps done · 1 skipped" in plain(job_head(state, 80, UNICODE))
    open_items = len(state.open_items())
    assert where(summarise(state)) == f"2 of 3 steps done, 1 skipped, {open_items} still open; not closed"
    assert f"Still open: {open_items}" in [row.text for row in end_rows(state, frozenset(), UNICODE)]


def test_a_traced_part_without_a_control_is_called_what_the_bill_calls_it() -> None:
    bill = ("4 × rubber foot", "1 × small 3.3 V controller board with USB-C", "2 × stand-off M3 × 12, metal")
    fit = step("fit-board", text="Press the board into its sockets.")
    assert part_named(bill, fit) == "small 3.3 V controller board with USB-C"
    assert part_named(bill, replace(fit, text="Look at it.")) == ""


def test_a_call_says_where_it_goes_and_how_long_that_takes() -> None:
    assert called_text("Soak for a day", 1500) == "Go to: Soak for a day. It takes about 25 h."
    assert called_text("Set the iron", 8) == "Go to: Set the iron. It takes about 8 min."
    assert called_text("Look", 0) == "Go to: Look."


@pytest.mark.parametrize(("once", "jobs"), [(True, 1), (False, 3)])
def test_what_is_about_the_bench_is_gone_through_once_for_a_whole_batch(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, once: bool, jobs: int
) -> None:
    call = plan(step("strap", act="call", text="Go to: strap.", call="strap-test"), step("look"), id="build")
    strap = plan(step("on", text="Put the strap on."), id="strap-test", title="Strap")
    with Store.open(tmp_path / "record.sqlite", clock=(clock := Clock())) as store:
        bench = PlannedBench({"build": call, "strap-test": strap}, store, clock)
        monkeypatch.setattr(bench, "once_a_sitting", lambda id: once and id == "strap-test")
        batch = Batch.make(bench, "hollin-cue-desk", 3)
        batch.start("build")
        called = batch.call("strap")
        assert len(called.runs()) == jobs
        assert batch.call("strap").units == called.units, "asked for again after a kill, it is the same"
        for run in called.runs().values():
            run.act(ev.StepDone(step="on"))
            run.close()
        assert batch.returned("strap") == batch.units
        assert {run.state.current for run in batch.runs().values()} == {"look"}
        assert {run.state["strap"].returned for run in batch.runs().values()} == {"complete"}


def test_a_test_of_the_bench_that_failed_serves_no_other_unit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Row I11 (ANSI/ESD S20.20: the strap is tested before the work): what it left open is told of the first unit alone.
    call = plan(step("strap", act="call", text="Go to: strap.", call="strap-test"), step("look"), id="build")
    strap = plan(step("test", "observe", text="Test the strap."), id="strap-test", title="Strap")
    with Store.open(tmp_path / "record.sqlite", clock=(clock := Clock())) as store:
        bench = PlannedBench({"build": call, "strap-test": strap}, store, clock)
        monkeypatch.setattr(bench, "once_a_sitting", lambda id: id == "strap-test")
        batch = Batch.make(bench, "hollin-cue-desk", 3)
        batch.start("build")
        (run,) = batch.call("strap").runs().values()
        run.act(ev.StepFailed(step="test", reason="it does not light"))
        run.close(decision="the other strap is in the van")
        first, *others = batch.units
        assert batch.returned("strap") == (first,)
        assert f"step 1 failed (it does not light): Test the strap. (job {run.job})" in bench.units.missing(first)
        assert batch.at("strap") == tuple(others)
        (again,) = batch.call("strap").runs().values()
        assert (again.unit, again.job == run.job) == (others[0], False), "it is tested anew, for those that wait"
        again.act(ev.StepDone(step="test"))
        again.close()
        assert batch.returned("strap") == tuple(others)
        assert batch.current() is not None


def test_the_strap_the_meter_and_the_iron_are_about_the_bench() -> None:
    assert Plans(Library.open()).once_a_sitting() == {"strap-test", "check-meter", "set-iron"}
