"""What closed jobs left open is done afterwards: steps as a job of their own, and defects put right.

Rows I11 and I12 (ISO 9001:2015 8.6, 8.7): what was let be is known by name, and ends by work or by a signed decision.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import RAIL, plan, step

from benchtui.jobs import events as ev
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.ui.view.resume import Return, resume_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-001-R"
LIVE = plan(
    step("mount@F1"),
    step("power-up", begins="power-on"),
    step("rail", "measure", limits=RAIL, required=True),
    step("label"),
    step("power-down", ends="power-on"),
    step("pack"),
    design_id="hollin-cue-desk",
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"hollin-assembly": LIVE}, store, clock)


def closed_with_a_failed_rail(bench: PlannedBench) -> str:
    run = bench.start("hollin-assembly", UNIT)
    for key in ("mount@F1", "power-up"):
        run.act(ev.StepDone(step=key))
    run.read("2.9")
    run.act(ev.DefectFound(defect="D1", text="lug 2 of F1 lifted", step="rail", subject="F1"))
    run.close(decision="goes home")
    return run.job


def test_open_steps_of_a_closed_job_are_done_as_a_job_of_their_own_with_power_on_and_off_around_them(
    bench: PlannedBench,
) -> None:
    job = closed_with_a_failed_rail(bench)
    assert any(f"(job {job})" in line for line in bench.units.missing(UNIT))
    steps, defect = bench.units.left_open(UNIT)
    assert [each.key for each in steps.plan.steps] == ["power-up", "rail", "label", "power-down", "pack"]
    run = bench.open(steps.plan, UNIT)
    assert [each.id for each in bench.units.left_open(UNIT)] == [defect.id], "the other one is in hand"
    run.act(ev.StepDone(step="power-up"))
    run.read("3.3")
    for key in ("rail", "label", "power-down", "pack"):
        run.act(ev.StepDone(step=key))
    run.close()
    assert bench.units.missing(UNIT) == (f"defect {job}:D1 found: lug 2 of F1 lifted",)


def test_what_is_left_open_once_more_is_told_of_the_later_job_alone(bench: PlannedBench) -> None:
    job = closed_with_a_failed_rail(bench)
    run = bench.open(bench.units.left_open(UNIT)[0].plan, UNIT)
    run.act(ev.StepDone(step="power-up"))
    run.read("3.3")
    run.act(ev.StepDone(step="rail"))
    run.close(decision="no label at hand")
    lines = bench.units.missing(UNIT)
    assert not any(f"(job {job})" in line for line in lines)
    assert [line for line in lines if f"(job {run.job})" in line]
    again = bench.units.left_open(UNIT)[0]
    assert (again.id, again.plan.title) == (run.job, "Left open: Build one Hollin cue desk")


def test_a_step_that_a_newer_text_took_out_before_it_was_begun_is_not_counted_as_left_open(bench: PlannedBench) -> None:
    # Row I11: the line says how many steps the job it starts has to do.
    run = bench.start("hollin-assembly", UNIT)
    keys = ("mount@F1", "power-up", "rail", "power-down", "pack")
    without = plan(*(each for each in LIVE.steps if each.key in keys), design_id="hollin-cue-desk", revision=2)
    run.move_to(without, reason="the label is printed elsewhere")
    run.act(ev.StepDone(step="mount@F1"))
    run.close(decision="goes home")
    (left,) = bench.units.left_open(UNIT)
    assert [each.key for each in left.plan.steps] == ["power-up", "rail", "power-down", "pack"]
    assert left.text.startswith("4 steps of ")


def test_a_defect_of_a_closed_job_is_put_right_and_voids_the_tests_of_what_was_touched(bench: PlannedBench) -> None:
    job = closed_with_a_failed_rail(bench)
    steps, defect = bench.units.left_open(UNIT)
    run = bench.open(steps.plan, UNIT)
    run.act(ev.StepDone(step="power-up"))
    run.read("3.3")
    for key in ("rail", "label", "power-down", "pack"):
        run.act(ev.StepDone(step=key))
    run.close()
    run = bench.open(defect.plan, UNIT, defect=defect.defect)
    assert bench.units.left_open(UNIT) == ()
    name = f"{job}:D1"
    run.act(ev.ReworkStarted(defect=name, joint="F1 lug 2", attempts=4))
    run.act(ev.ReworkDone(defect=name, touched=("F1",)))
    for each in run.plan.steps:
        run.act(ev.StepDone(step=each.key))
    run.close()
    view = bench.units.view(UNIT)
    assert view.defects == ()
    assert bench.units.missing(UNIT) == ("to be tested again after later work: measure rail",)
    assert view.joints == {"F1 lug 2": (1, 4)}


def test_a_job_closed_whole_leaves_nothing_open(bench: PlannedBench) -> None:
    run = bench.start("hollin-assembly", UNIT)
    for key in ("mount@F1", "power-up"):
        run.act(ev.StepDone(step=key))
    run.read("3.3")
    for key in ("rail", "label", "power-down", "pack"):
        run.act(ev.StepDone(step=key))
    run.close()
    assert bench.units.left_open(UNIT) == ()


def test_a_job_that_another_bench_has_in_hand_says_so_and_not_that_the_program_was_ended(tmp_path: Path) -> None:
    # Row D1: what is said after a break is true.
    clock = Clock()
    with Store.open(tmp_path / "a.sqlite", clock=clock) as a, Store.open(tmp_path / "b.sqlite", clock=clock) as b:
        benches = [PlannedBench({"hollin-assembly": LIVE}, store, clock) for store in (a, b)]
        run = benches[0].start("hollin-assembly", UNIT)
        for key in ("mount@F1", "power-up"):
            run.act(ev.StepDone(step=key))
        merge(b, lines(a))
        state = benches[1].resume(run.job).state
        assert state.suspended == ev.Suspended(forced=True, elsewhere=True)
        shown = " ".join(
            plain(resume_lines(state, Return(), width=70, gone=timedelta(minutes=9), shapes=UNICODE)).split()
        )
        assert "comes from another bench" in shown
        assert "Ask there before you touch the unit" in shown
        assert "Still standing" in shown, "its power is on"
        assert "ended from outside" not in shown
        killed = PlannedBench({"hollin-assembly": LIVE}, a, clock).resume(run.job).state
        assert killed.suspended == ev.Suspended(forced=True)
