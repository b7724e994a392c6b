"""A unit that was good to go is so no more from the moment something speaks against it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.plan import Choice
from benchtui.jobs.unit_events import WorkaroundSet
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.run import Run

RAIL = full_plan().step("rail")
CHECK = plan(
    replace(RAIL, key="check", step_id="check"),
    step("lamps", "choose", choices=(Choice(text="all lit"), Choice(text="one is dark", verdict="fail"))),
    step("file", voids=("rail",)),
    id="yearly",
    title="Yearly check",
    procedure_kind="service",
    design_id="hollin-cue-desk",
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        built = plan(step("mount@F1"), RAIL, design_id="hollin-cue-desk")
        bench = PlannedBench({"hollin-assembly": built, "yearly": CHECK}, store, clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one Hollin cue desk"),))  # type: ignore[method-assign]
        yield bench


@pytest.fixture
def released(bench: PlannedBench) -> str:
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    run.act(ev.StepDone(step="mount@F1"))
    run.read("3.3")
    run.act(ev.StepDone(step="rail"))
    run.close()
    bench.units.release(unit, by="the builder")
    return unit


def failing_reading(run: Run) -> None:
    run.read("2.5")


def failing_answer(run: Run) -> None:
    run.read("3.3")
    run.act(ev.StepDone(step="check"))
    run.act(ev.ChoiceMade(step="lamps", choice="one is dark"))


def step_failed(run: Run) -> None:
    run.act(ev.StepFailed(step="check", reason="no light on the meter"))


def left_open(run: Run) -> None:
    run.act(ev.FileAttached(name="picture", digest="0" * 64, size=1))
    run.close(decision="show tonight")


def voiding_step(run: Run) -> None:
    run.read("3.3")
    run.act(ev.StepDone(step="check"))
    run.act(ev.ChoiceMade(step="lamps", choice="all lit"))
    run.act(ev.StepDone(step="lamps"))
    assert run.bench.units.view(run.unit).state == "released"
    run.act(ev.StepDone(step="file"))


@pytest.mark.parametrize(
    ("act", "why"),
    [
        (failing_reading, "Yearly check, step 1: the reading 2.5 is outside its limits"),
        (failing_answer, "Yearly check, step 2: one is dark"),
        (step_failed, "Yearly check, step 1 failed: no light on the meter"),
        (left_open, "Yearly check was closed with open items: step 1 open: measure rail (and 2 more)"),
        (voiding_step, "Yearly check, step 3: what was proven before has to be tested again"),
    ],
)
def test_what_speaks_against_a_released_unit_in_a_service_job_puts_it_in_work(
    bench: PlannedBench, released: str, act: object, why: str
) -> None:
    # ISO 9001:2015 8.7.1: what is found after the release is dealt with as well.
    run = bench.start("yearly", released)
    assert bench.units.view(released).state == "released"
    act(run)  # type: ignore[operator]
    view = bench.units.view(released)
    assert view.last_state is not None
    assert (view.state, view.last_state.reason) == ("in work", why)
    assert bench.units.missing(released)


def test_a_failing_reading_of_what_is_about_the_bench_leaves_the_unit_as_it_is(
    bench: PlannedBench, released: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Common practice: a wrist strap that fails says nothing of the desk that lies there.
    monkeypatch.setattr(bench, "once_a_sitting", lambda procedure: procedure == "yearly")
    bench.start("yearly", released).read("2.5")
    assert bench.units.view(released).state == "released"


def test_a_temporary_state_puts_a_released_unit_in_work(bench: PlannedBench, released: str) -> None:
    bench.units.write(released, WorkaroundSet(text="F1 wired to the spare pin"))
    assert bench.units.view(released).state == "in work"
