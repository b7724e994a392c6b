"""What stood otherwise for a while, and a repair of what several controls run through, makes void all it touched."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import after, plan, started, step
from helpers.proven import AGAIN, SOLDERED, begun, built, rework_begun, through

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Subject
from benchtui.jobs.revision import reopened_by
from benchtui.jobs.unit_events import WorkaroundSet, WorkaroundUndone

if TYPE_CHECKING:
    from collections.abc import Mapping

    from helpers.bench_of_plans import PlannedBench


# -- what stood otherwise for a while --------------------------------------------------------------------------------


def test_a_work_around_that_was_undone_makes_void_what_it_named(bench: PlannedBench) -> None:
    # Row I9 (ISO 9001 8.7): resoldered as designed, and tested as designed.
    unit = built(bench, SOLDERED)
    at = bench.units.write(unit, WorkaroundSet(text="F1 wired to the spare pin"))
    assert bench.units.missing(unit) == ("still in a temporary state: F1 wired to the spare pin",)
    bench.units.write(unit, WorkaroundUndone(workaround=at.id, note="resoldered"))
    assert bench.units.missing(unit) == (f"{AGAIN}ohms@F1", f"{AGAIN}ohms@F2", f"{AGAIN}rail"), "nothing says what"


def test_a_work_around_of_a_hunt_is_about_what_was_hunted_on_when_set_and_when_undone(bench: PlannedBench) -> None:
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    done = {"result": "work-around", "done": "F1 on the spare pin"}
    at = bench.store.append("hunt-closed", unit=unit, job="H1", data=done)
    about = {f"{AGAIN}ohms@F1", f"{AGAIN}rail"}
    assert about <= set(bench.units.missing(unit))
    through(bench.open(bench.units.retest_plan(unit), unit)).close()
    bench.units.write(unit, WorkaroundUndone(workaround=at.id, note="resoldered"))
    assert set(bench.units.missing(unit)) == about


@pytest.mark.parametrize(
    ("touched", "void"),
    [(("none",), []), (("F1",), ["ohms@F1", "rail"]), (("all",), ["ohms@F1", "ohms@F2", "rail"])],
)
def test_who_puts_a_temporary_state_right_says_what_was_touched(
    bench: PlannedBench, touched: tuple[str, ...], void: list[str]
) -> None:
    # Row I9: a strip of tape that comes off a knob touches no joint.
    unit = built(bench, SOLDERED)
    at = bench.units.write(unit, WorkaroundSet(text="knob F1 taped"))
    bench.units.write(unit, WorkaroundUndone(workaround=at.id, note="tape off", touched=touched))
    assert [proof.step.key for proof in bench.units.view(unit).void] == void


def test_a_work_around_that_touched_nothing_makes_only_the_tests_it_names_void_and_only_once_undone(
    bench: PlannedBench,
) -> None:
    # Its function was mapped to a spare control: the mapping is compared again once that is undone, and no joint is.
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    done = {"result": "work-around", "done": "on a spare", "touched": ["none"], "voids": ["rail"]}
    at = bench.store.append("hunt-closed", unit=unit, job="H1", data=done)
    assert bench.units.view(unit).void == ()
    bench.units.write(unit, WorkaroundUndone(workaround=at.id, note="mapped back", touched=("none",)))
    assert [proof.step.key for proof in bench.units.view(unit).void] == ["rail"]


# -- repairs of what several controls run through --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("touched", "void"),
    [
        (("F1",), ("ohms@F1", "rail")),
        (("J1", "F1", "F2"), ("ohms@F1", "ohms@F2", "rail")),
        (("all",), ("ohms@F1", "ohms@F2", "rail")),
        ((), ("ohms@F1", "ohms@F2", "rail")),
        (("none",), ()),
    ],
)
def test_a_repair_in_a_hunt_on_one_control_makes_void_all_that_it_touched(
    bench: PlannedBench, touched: tuple[str, ...], void: tuple[str, ...]
) -> None:
    # Row I4: another board, plug or chip was under F1 only because the hunt was about F1.
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    data = {"repair": "the-repair", **({"touched": list(touched)} if touched else {})}
    bench.store.append("hunt-repair", unit=unit, job="H1", data=data)
    assert [proof.step.key for proof in bench.units.view(unit).void] == list(void)


@pytest.mark.parametrize(
    ("fields", "void"),
    [
        ({}, ("ohms@F1", "ohms@F2", "rail")),
        ({"touched": ("J1", "F1", "F2")}, ("ohms@F1", "ohms@F2", "rail")),
        ({"touched": ("F2",)}, ("ohms@F2", "rail")),
    ],
)
def test_a_rework_procedure_is_not_about_the_control_that_a_hunt_handed_to_it(
    bench: PlannedBench, fields: Mapping[str, tuple[str, ...]], void: tuple[str, ...]
) -> None:
    # Row I4: the board was exchanged in a job that was begun from a hunt on F1; none of its steps works on F1.
    unit = built(bench, SOLDERED)
    swap = plan(step("lift"), step("set-in"), id="swap", procedure_kind="rework", design_id="hollin-cue-desk", **fields)
    bench.plans["swap"] = swap
    through(bench.start("swap", unit, subject="F1")).close()
    assert [proof.step.key for proof in bench.units.view(unit).void] == list(void)


def test_a_repair_that_touched_nothing_makes_the_tests_it_names_void(bench: PlannedBench) -> None:
    # Firmware loaded again: its own tests, and none of the wiring.
    unit = built(bench, SOLDERED)
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    data = {"repair": "reload", "touched": ["none"], "voids": ["rail"]}
    bench.store.append("hunt-repair", unit=unit, job="H1", data=data)
    assert [proof.step.key for proof in bench.units.view(unit).void] == ["rail"]


@pytest.mark.parametrize("walked", [True, False])
def test_tests_at_the_end_of_a_repair_that_was_walked_through_in_a_hunt_hold(bench: PlannedBench, walked: bool) -> None:
    # The hunt says that the repair is done after its job was closed: an hour of tests in it is not made twice.
    unit = built(bench, SOLDERED)
    tests = [each for each in SOLDERED.steps if each.required]
    bench.plans["swap"] = plan(step("lift"), *tests, id="swap", procedure_kind="rework", design_id="hollin-cue-desk")
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "dead: F1", "subject": "F1"})
    run = bench.start("swap", unit, subject="F1")
    bench.store.append("hunt-walk", unit=unit, job="H1", data={"procedure": "swap", "job": run.job})
    through(run).close()
    done = {"repair": "replace-board", "touched": ["all"], **({"walked": run.job} if walked else {})}
    bench.store.append("hunt-repair", unit=unit, job="H1", data=done)
    void = [proof.step.key for proof in bench.units.view(unit).void]
    assert void == ([] if walked else ["ohms@F1", "ohms@F2", "rail"]), "another repair was done after that job"


def test_more_names_for_what_a_step_runs_through_are_no_other_step() -> None:
    # A job that goes on by today's texts is not made to measure anew what only the program says more of.
    state = started(SOLDERED)
    state = after(state, ev.StepDone(step="solder@F1"))
    steps = [replace(each, touches=(*each.touches, "J1", "M1")) for each in SOLDERED.steps]
    assert reopened_by(state, plan(*steps, design_id="hollin-cue-desk")) == ()


def test_a_plug_that_was_touched_makes_void_the_tests_of_what_is_on_it_in_an_older_text(bench: PlannedBench) -> None:
    # Row I4: the tests of the text the unit was built by name their control and nothing it runs through.
    plug = Subject(id="J1", kind="connector", title="connector J1")
    look = step("look", "observe", subject=plug, touches=("J1", "F1"))
    unit, run = begun(bench, plan(*SOLDERED.steps[:4], look, design_id="hollin-cue-desk"))
    through(run).close()
    bench.plans["fix"] = plan(step("fix"), id="fix", procedure_kind="service", design_id="hollin-cue-desk")
    fix = bench.start("fix", unit)
    rework_begun(fix, subject="J1")
    fix.act(ev.ReworkDone(defect="D1", touched=("J1",)))
    through(fix).close()
    assert bench.units.missing(unit) == (f"{AGAIN}ohms@F1",)
