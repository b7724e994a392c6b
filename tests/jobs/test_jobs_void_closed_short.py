"""Work that was closed short, or whose text was edited under it, makes void what it touched all the same."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import plan, step
from helpers.proven import SOLDERED, built, through

from benchtui.jobs import events as ev

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.plan import Plan

LIVE = (step("power-up", begins="power-on"), *SOLDERED.steps[1:2], step("power-down", ends="power-on"))
SWAP = plan(
    step("unsolder@F1"), step("solder@F1"), *LIVE, id="swap", procedure_kind="rework", design_id="hollin-cue-desk"
)
OF_F1 = ["ohms@F1", "rail"]


def void(bench: PlannedBench, unit: str) -> list[str]:
    return sorted(proof.step.key for proof in bench.units.view(unit).void)


def closed_short(bench: PlannedBench, unit: str, swap: Plan, *, until: str) -> None:
    bench.plans["swap"] = swap
    run = through(bench.start("swap", unit, subject="F1"), until=until)
    run.close(decision="the telephone")


def made_again(bench: PlannedBench, unit: str) -> None:
    if bench.units.view(unit).void:
        through(bench.open(bench.units.retest_plan(unit), unit)).close()
    assert void(bench, unit) == []


def test_rework_that_was_closed_short_and_is_done_by_what_it_left_open_is_rework(bench: PlannedBench) -> None:
    # Row I4 (J-STD-001): the tests made again in between are of the old part.
    unit = built(bench, SOLDERED)
    swap = replace(SWAP, steps=SWAP.steps[:2])
    closed_short(bench, unit, swap, until="solder@F1")
    made_again(bench, unit)
    (left,) = bench.units.left_open(unit)
    through(bench.open(left.plan, unit)).close()
    assert void(bench, unit) == OF_F1
    made_again(bench, unit)
    assert bench.units.missing(unit) == ()


def test_tests_alone_that_rework_left_open_are_no_work(bench: PlannedBench) -> None:
    # Power on and off stand around them, and switch nothing of what is tested.
    unit = built(bench, SOLDERED)
    closed_short(bench, unit, SWAP, until="power-up")
    made_again(bench, unit)
    (left,) = bench.units.left_open(unit)
    only = replace(left.plan, steps=tuple(each for each in left.plan.steps if each.key != "last"))
    through(bench.open(only, unit)).close()
    assert void(bench, unit) == []


@pytest.mark.parametrize(
    ("done", "falls"),
    [("observe", []), ("nothing", []), ("begins", []), ("do", OF_F1), ("done once", OF_F1)],
)
def test_rework_in_which_nothing_was_touched_yet_asks_for_no_test(
    bench: PlannedBench, done: str, falls: list[str]
) -> None:
    # Begun on the wrong fader: the iron was switched on, the old one was looked at, and nobody went on.
    first = {
        "observe": step("look@F1", "observe"),
        "nothing": step("iron-on", about="nothing"),
        "begins": step("switch-on", begins="iron-hot"),
    }.get(done, step("unplug@F1"))
    unit = built(bench, SOLDERED)
    bench.plans["swap"] = replace(SWAP, steps=(first, *SWAP.steps)).numbered()
    run = through(bench.start("swap", unit, subject="F1"), until="unsolder@F1")
    if done == "done once":
        run.act(ev.StepReopened(step=first.key, reason="not so"))
        run.act(ev.StepSkipped(step=first.key, reason="not needed"))
    run.close(decision="the wrong one")
    assert void(bench, unit) == falls


@pytest.mark.parametrize(("kind", "falls"), [("rework", OF_F1), ("service", []), ("assembly", OF_F1)])
def test_what_is_called_says_itself_what_it_touched(bench: PlannedBench, kind: str, falls: list[str]) -> None:
    unit = built(bench, SOLDERED)
    bench.plans["inner"] = plan(step("solder@F1"), id="inner", procedure_kind=kind, design_id="hollin-cue-desk")
    outer = plan(step("go", "call", call="inner"), id="outer", procedure_kind="rework", design_id="hollin-cue-desk")
    bench.plans["outer"] = outer
    run = bench.start("outer", unit, subject="F1")
    called = through(bench.call(run, "go"))
    called.close()
    run.act(ev.CallReturned(step="go", called=called.job, result="complete"))
    through(run).close()
    assert [key for key in void(bench, unit) if key in OF_F1] == falls
    assert ("ohms@F2" in void(bench, unit)) == (kind == "assembly"), "the caller says nothing of what it is about"


def test_a_repair_whose_walk_was_closed_short_was_made_when_it_was_written_down(bench: PlannedBench) -> None:
    # Row I4: what was tested between the closing and the repair, which was made by hand then, is of the old part.
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    closed_short(bench, unit, SWAP, until="solder@F1")
    made_again(bench, unit)
    walk = bench.units.view(unit).jobs[1].job
    data = {"repair": "replace-control", "touched": ["F1"], "walked": walk}
    bench.store.append("hunt-repair", unit=unit, job="H1", data=data)
    assert void(bench, unit) == OF_F1


@pytest.mark.parametrize("edit", [{"procedure_kind": "service"}, {"touched": ("F2",)}])
def test_the_widest_of_the_texts_that_rework_went_by_counts(bench: PlannedBench, edit: dict[str, object]) -> None:
    # Row I4: the joint was made by the text as it was, and the edit before the closing unmakes nothing.
    unit = built(bench, SOLDERED)
    bench.plans["swap"] = replace(SWAP, steps=SWAP.steps[:2])
    run = through(bench.start("swap", unit, subject="F1"))
    newer = replace(run.plan, revision=2, **edit)  # type: ignore[arg-type]
    run.move_to(newer, reason="it was edited")
    run.close()
    assert set(OF_F1) <= set(void(bench, unit))


@pytest.mark.parametrize(("touched", "falls"), [((), []), (("F1",), OF_F1)])
def test_a_service_job_makes_void_what_it_says_that_it_touched(
    bench: PlannedBench, touched: tuple[str, ...], falls: list[str]
) -> None:
    # Row I4: a control that was washed was out of its panel, whether rework called for that or not.
    unit = built(bench, SOLDERED)
    bench.plans["wash"] = plan(
        step("wash@F1"), id="wash", procedure_kind="service", touched=touched, design_id="hollin-cue-desk"
    )
    through(bench.start("wash", unit, subject="F1")).close()
    assert void(bench, unit) == falls
    made_again(bench, unit)
