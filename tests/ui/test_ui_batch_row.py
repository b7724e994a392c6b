"""The row of a batch at the bench: it says where the pass is, and not where a held unit was left."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from helpers.demo_plan import plain_plan
from helpers.screens import MORNING, running, screen_text, until

from benchtui.jobs.glance import JobSummary
from benchtui.jobs.run_batch import Batch
from benchtui.ui.view.ages import ago
from benchtui.ui.view.bench import aged, batch_row
from benchtui.ui.view.shapes import SPOKEN, UNICODE

if TYPE_CHECKING:
    from pathlib import Path

LAST = MORNING.isoformat()


def job(unit: str, number: int, text: str) -> JobSummary:
    return JobSummary(job=f"J-{unit}", unit=unit, title="Build", batch="B1", last=LAST, of=46, number=number, text=text)


def test_the_step_of_a_held_unit_is_not_that_of_the_pass() -> None:
    jobs = (job("A", 9, "Deburr the holes."), job("B", 4, "Measure the thickness."), job("C", 9, "Deburr the holes."))
    assert batch_row(jobs, MORNING, UNICODE).under == "step 4 of 46: Measure the thickness."
    row = batch_row(jobs, MORNING, UNICODE, out={"B": "held"})
    assert row.under == "step 9 of 46: Deburr the holes.; 1 not in the pass"


def test_a_batch_that_is_through_but_for_a_held_unit_says_so() -> None:
    jobs = (job("A", 0, ""), job("B", 4, "Measure the thickness."))
    assert (
        batch_row(jobs, MORNING, UNICODE, out={"B": "held"}).under
        == "every step gone through; not closed; 1 not in the pass"
    )


def test_a_scrapped_unit_is_none_of_those_that_are_open() -> None:
    jobs = (job("A", 9, "Deburr the holes."), job("B", 4, "Measure the thickness."))
    row = batch_row(jobs, MORNING, UNICODE, out={"B": "scrapped"})
    assert (row.text, row.under) == ("Batch B1, 1 unit: Build", "step 9 of 46: Deburr the holes.")


def test_a_batch_and_a_job_that_may_be_forgotten_are_named_on_the_page_and_by_lines() -> None:
    # Row B2: work that nobody touched for long is named, so that it is taken up or ended.
    jobs = (job("A", 9, "Deburr the holes."), job("B", 4, "Measure the thickness."))
    later = MORNING + timedelta(days=30)
    assert batch_row(jobs, later, UNICODE).right.endswith("✗ forgotten?")
    assert aged(jobs[0], later, SPOKEN) == f"{ago(LAST, later)}, forgotten?"
    assert "forgotten" not in batch_row(jobs, MORNING, UNICODE).right


async def test_the_bench_asks_the_record_which_units_are_held(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.plans = {"hollin-wiring": plain_plan()}  # type: ignore[attr-defined]
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start("hollin-wiring")
        app.units.set_state(batch.units[0], "held", reason="a lead is on order")
        batch.done(batch.runs()[batch.units[1]].state.current)
        app.screen.fill("")  # type: ignore[attr-defined]
        await until(pilot, "1 not in the pass")
        assert "step 2 of 10" in screen_text(app)


def test_the_row_counts_the_units_on_which_a_step_failed_and_not_the_steps_of_one() -> None:
    jobs = (job("A", 9, "Deburr the holes."), job("B", 4, "Measure the thickness."), job("C", 7, "Test the strap."))
    jobs = (replace(jobs[0], failed=1), replace(jobs[1], failed=1), jobs[2])
    said = batch_row(jobs, MORNING, UNICODE).under
    assert said == "step 4 of 46, failed on 2 of 3 units: Measure the thickness."


def test_what_only_one_unit_has_left_on_is_said_with_that_unit() -> None:
    on = replace(job("A", 9, "Deburr the holes."), left_on=("power on",))
    off = job("B", 9, "Deburr the holes.")
    assert "POWER ON (A)  step 9" in batch_row((on, off), MORNING, UNICODE).under
    assert "POWER ON  step 9" in batch_row((on, replace(off, left_on=("power on",))), MORNING, UNICODE).under
