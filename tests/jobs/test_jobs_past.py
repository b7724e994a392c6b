"""What a sitting and earlier runs know: meters, strap tests, notes, changed steps, how long things take."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, at, full_plan, plan, started, step, walked

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.pace import minutes_left, minutes_to_stop, minutes_unbroken
from benchtui.jobs.past import in_force, is_over
from benchtui.jobs.readings import verdict
from benchtui.jobs.run_sitting import Past, add_meter, present, sit_down, strap_tested
from benchtui.jobs.sitting import MeterKnown
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"hollin-assembly": full_plan()}, store, clock)


def test_a_meter_is_chosen_once_a_sitting_and_stands_by_each_reading(bench: PlannedBench) -> None:
    # Rows B8, E10 and H7 (ISO 9001 7.1.5; 21 CFR 11.50).
    with pytest.raises(JobError, match="there is no meter 'M1'"):
        sit_down(bench, meter="M1")
    add_meter(bench.store, MeterKnown(id="M1", due="2031-06-30", kinds=("resistance",), percent=(2.0,), floor=(1.0,)))
    sitting = sit_down(bench, name="the builder", place="workshop", meter="M1")
    assert (sitting.name, sitting.place) == ("the builder", "workshop")
    assert bench.meter is not None
    assert bench.meter.uncertainty("resistance", 3000.0) == 61.0
    assert verdict(BANK, 2945.0, meter=bench.meter) == "near limit"
    assert present(bench.store) == sitting


def test_the_strap_is_tested_once_a_sitting_and_again_after_some_hours(bench: PlannedBench) -> None:
    # Row B7 (ANSI/ESD S20.20).
    clock: Clock = bench.clock  # type: ignore[assignment]
    careful = step("fit-board", static=True)
    assert present(bench.store).strap_due(careful, clock.now)
    with pytest.raises(JobError, match="what the tester"):
        strap_tested(bench.store, " ")
    strap_tested(bench.store, "1.1 MΩ")
    assert not present(bench.store).strap_due(careful, clock.now)
    clock.forward(hours=9)
    assert present(bench.store).strap_due(careful, clock.now)
    assert not present(bench.store).strap_due(step("wipe"), clock.now)


@pytest.mark.parametrize("hours", [0, 40, 75, 80])
@pytest.mark.parametrize("written", [False, True], ids=["before anything is written", "after the record wrote it"])
def test_a_strap_test_from_before_the_clock_was_set_back_is_none(
    bench: PlannedBench, hours: float, written: bool
) -> None:
    # Row B7 (ANSI/ESD S20.20): a test that lies ahead, or was overtaken again, may be days old.
    clock: Clock = bench.clock  # type: ignore[assignment]
    careful = step("fit-board", static=True)
    strap_tested(bench.store, "1.1 MΩ")
    clock.forward(hours=-72)
    if written:
        bench.store.append("note", data={"text": "the clock is set right"})
        clock.forward(hours=hours)
        assert present(bench.store).strap_due(careful, clock.now)
    else:
        assert present(bench.store).strap_due(careful, clock.now)
    strap_tested(bench.store, "1.2 MΩ")
    assert not present(bench.store).strap_due(careful, clock.now)
    clock.forward(hours=-1 / 60)
    assert not present(bench.store).strap_due(careful, clock.now), "a minute is what the network sets"


def test_what_another_bench_said_of_its_sitting_holds_there_and_not_here(bench: PlannedBench, tmp_path: Path) -> None:
    # Rows B7, B8 and E10: a reading bears the meter that took it, and a strap is good where it was tested.
    add_meter(bench.store, MeterKnown(id="m1", name="Bench meter", due="2031-06-30"))
    sitting = sit_down(bench, name="ada", place="workshop", meter="m1")
    with Store.open(tmp_path / "van.sqlite", clock=bench.clock) as store:
        van = PlannedBench({}, store, bench.clock)  # type: ignore[arg-type]
        add_meter(store, MeterKnown(id="m1", name="Bench meter", due="2030-01-01"))
        add_meter(store, MeterKnown(id="tour", name="Touring meter"))
        sit_down(van, name="bo", place="van", meter="tour")
        strap_tested(store, "1.1 MΩ")
        exported = list(lines(store))
        merge(store, list(lines(bench.store)))
        assert (present(store).name, present(store).strap) == ("bo", store.events(kinds=["strap-tested"])[0].time)
    merge(bench.store, exported)
    here = present(bench.store)
    assert (here.name, here.place, here.meter, here.strap) == ("ada", "workshop", sitting.meter, "")
    assert {meter.id: meter.due for meter in here.meters} == {"m1": "2031-06-30", "tour": ""}, "ours goes before theirs"
    assert sit_down(bench, meter="tour").meter is not None, "and theirs may have been carried here"


def test_a_note_stands_at_its_step_in_the_next_run_and_an_urgent_one_is_read_first(bench: PlannedBench) -> None:
    # Rows J7 and A9 (S1000D annotation and updates).
    first = bench.start("hollin-assembly", "HCD-001-R")
    first.act(ev.NoteAdded(step="solder@F1", text="the clip is stiff, push left"))
    first.act(ev.NoteAdded(text="bag 7 of the diodes is bad", urgent=True))
    past = Past(bench.store, "hollin-assembly")
    assert [note.text for note in past.notes()["solder"]] == ["the clip is stiff, push left"]
    urgent = past.urgent()
    assert [note.text for note in urgent] == ["bag 7 of the diodes is bad"]
    second = bench.start("hollin-assembly", "HCD-002-T")
    second.act(ev.NoticeRead(note=urgent[0].id))
    assert Past(bench.store, "hollin-assembly").urgent() == ()


def test_steps_that_read_differently_from_the_last_run_are_marked(bench: PlannedBench) -> None:
    # Row A4 (S1000D change marks).
    assert Past(bench.store, "hollin-assembly").changed(full_plan()) == frozenset()
    run = bench.start("hollin-assembly", "HCD-001-R")
    for key in ("lay-out", "wipe"):
        run.act(ev.StepDone(step=key))
    steps = [replace(s, text="dry cloth") if s.key == "wipe" else s for s in full_plan().steps]
    newer = plan(*steps, step("tape"), revision=2)
    assert Past(bench.store, "hollin-assembly").changed(newer) == {"wipe", "tape"}
    # The mark stands until the step was done by the new text once: another job that has begun has read nothing yet.
    bench.plans["hollin-assembly"] = newer
    second, third = (bench.start("hollin-assembly", unit) for unit in ("HCD-002-M", "HCD-003-K"))
    assert Past(bench.store, "hollin-assembly", now=second.job).changed(newer) == {"wipe", "tape"}
    for key in ("lay-out", "wipe"):
        second.act(ev.StepDone(step=key))
    assert Past(bench.store, "hollin-assembly", now=third.job).changed(newer) == frozenset()


def test_a_step_that_a_job_moved_on_to_is_read_by_its_newer_text(bench: PlannedBench) -> None:
    # Row A4: done again after the move, it was read as it stands now.
    run = bench.start("hollin-assembly", "HCD-001-R")
    for key in ("lay-out", "wipe"):
        run.act(ev.StepDone(step=key))
    newer = plan(*(replace(s, text="dry cloth") if s.key == "wipe" else s for s in full_plan().steps), revision=2)
    assert Past(bench.store, "hollin-assembly").changed(newer) == {"wipe"}
    run.move_to(newer, reason="clearer")
    run.act(ev.StepDone(step="wipe"))
    assert Past(bench.store, "hollin-assembly").changed(newer) == frozenset()


def test_what_a_list_has_caught_is_counted(bench: PlannedBench) -> None:
    # Row G8 (Gawande; Hales).
    run = bench.start("hollin-assembly", "HCD-001-R")
    run.act(ev.StepFailed(step="lay-out", reason="the mat is torn"))
    assert Past(bench.store, "hollin-assembly").caught() == {"lay-out": 1}


def test_time_to_the_next_stop_comes_from_the_plan_and_from_the_own_past(bench: PlannedBench) -> None:
    # Rows B5 and C11 (S1000D task duration; pause points).
    timed = plan(
        step("a", minutes=5.0, section="A"),
        step("b", minutes=5.0, section="A"),
        step("live", minutes=3.0, section="B", begins="power-on"),
        step("off", minutes=2.0, section="C", ends="power-on"),
        step("cure", "wait", seconds=600.0, section="D"),
    )
    state = started(timed)
    assert minutes_to_stop(state, {}) == 10.0
    assert minutes_to_stop(state, {"a": 2.0}) == 7.0
    assert minutes_to_stop(walked(state, until="live"), {}) == 5.0, "with the power on there is no safe stop"
    assert minutes_left(state, {}) == 25.0
    assert minutes_to_stop(walked(state), {}) is None
    potting = started(plan(step("a"), step("pot", minutes=4.0, no_break=True), step("level", minutes=3.0), step("b")))
    assert minutes_unbroken(potting, "pot", {}) == 7.0
    assert minutes_unbroken(potting, "level", {}) == minutes_unbroken(potting, "a", {}) == 0.0
    marked = started(plan(step("a", minutes=5.0, stop=True), step("b", minutes=5.0)))
    assert minutes_to_stop(marked, {}) == 5.0
    bench.plans["timed"] = replace(timed, id="timed")
    for number in range(3):
        run = bench.start("timed", f"HCD-00{number + 1}-R")
        run.act(ev.StepBegun(step="a"))
        bench.clock.forward(minutes=7 + number)  # type: ignore[attr-defined]
        run.act(ev.StepDone(step="a"))
    assert Past(bench.store, "timed").minutes() == {"a": 8.0}
    assert at(1)


@pytest.mark.parametrize(
    ("until", "unit", "today", "holds", "over"),
    [
        ("2031-03-31", "HCD-004-D", "2031-03-31", True, False),
        ("2031-03-31", "HCD-004-D", "2031-04-01", False, True),
        ("HCD-004-D", "HCD-004-D", "2031-03-31", True, False),
        ("HCD-004-D", "HCD-005-Y", "2031-03-31", False, True),
        ("HCD-004-D", "FSW-003-A", "2031-03-31", False, False),
        ("HCD-004-D", "", "2031-03-31", False, False),
        ("", "HCD-004-D", "2031-03-31", False, False),
    ],
)
def test_a_deviation_holds_up_to_its_end_and_not_beyond(
    until: str, unit: str, today: str, holds: bool, over: bool
) -> None:
    # Row I7 (AS9100D 8.7: a deviation is for a time or a number of units, the end among them).
    assert in_force(until, unit=unit, today=today) is holds
    assert is_over(until, unit=unit, today=today) is over
