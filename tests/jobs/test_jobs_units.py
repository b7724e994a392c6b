"""Serial numbers, states of units, what a release asks for, and questions over many units."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan, step
from hypothesis import given
from hypothesis import strategies as st

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs import serials
from benchtui.jobs.applies import UnitFacts, not_for
from benchtui.jobs.batch import odd_ones
from benchtui.jobs.first_unit import characteristics
from benchtui.jobs.missing import Needs
from benchtui.jobs.passport import passport
from benchtui.jobs.readings import Meter
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_units import Units
from benchtui.jobs.run_where import readings_with, where_firmware, where_used
from benchtui.jobs.state import advance
from benchtui.jobs.unit_events import FirmwareLoaded, UnitTakenIn, WorkaroundSet, WorkaroundUndone
from benchtui.jobs.units import MOVES
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.run import Run

SHORT = plan(
    step("mount@F1"),
    full_plan().step("bank"),
    replace(full_plan().step("rail"), touches=("F1",)),
    step("label"),
    design_id="hollin-cue-desk",
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": SHORT}, store, clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one Hollin cue desk"),))  # type: ignore[method-assign]
        yield bench


def build(run: Run, *, bank: str = "2.5", rail: str = "3.3") -> None:
    """Everything of the short plan."""
    typed = {"bank": bank, "rail": rail}
    while (here := run.current()) is not None:
        if here.limits:
            run.read(typed[here.key])
        run.act(ev.StepDone(step=here.key))
    run.close()


# -- serial numbers --------------------------------------------------------------------------------------------------


def test_ten_thousand_serial_numbers_are_unique_and_one_wrong_character_is_noticed() -> None:
    # Row H1 (ISO 9001 8.5.2; ISO/IEC 7064).
    assert len({serials.make("HCD", number) for number in range(1, 10_001)}) == 10_000
    assert not set("BGILOQSUZ") & set(serials.LETTERS)


@given(st.integers(1, 999_999), st.data())
def test_any_single_slip_or_exchange_of_neighbours_is_noticed(number: int, data: st.DataObject) -> None:
    body = serials.make("HCD", number).replace("-", "")
    place = data.draw(st.integers(0, len(body) - 1))
    letters = "0123456789" if body[place].isdigit() else serials.LETTERS
    wrong = body[:place] + data.draw(st.sampled_from(letters)) + body[place + 1 :]
    if data.draw(st.booleans()) and place:
        wrong = body[: place - 1] + body[place] + body[place - 1] + body[place + 1 :]
    if wrong == body:
        assert serials.normal(wrong) == serials.make("HCD", number)
    else:
        with pytest.raises(JobError):
            serials.normal(wrong)


def test_serial_numbers_are_read_however_they_are_typed_and_never_given_twice(bench: PlannedBench) -> None:
    first = bench.units.make("hollin-cue-desk")
    assert first == serials.make("HCD", 1)
    assert serials.normal(first.lower().replace("-", " ")) == first
    assert bench.units.next_serial("hollin-cue-desk") == serials.make("HCD", 2)
    bench.units.set_state(first, "scrapped", reason="panel cracked")
    assert bench.units.make("hollin-cue-desk") == serials.make("HCD", 2)
    with pytest.raises(JobError, match="there is a unit"):
        bench.units.make("hollin-cue-desk", serial=first)


# -- states ----------------------------------------------------------------------------------------------------------


def test_a_unit_makes_only_legal_moves(bench: PlannedBench) -> None:
    # Row H12 (ISO 9001 8.5.2, 8.6, 8.7).
    unit = bench.units.make("hollin-cue-desk")
    for state in MOVES:
        if state and state not in MOVES["planned"]:
            with pytest.raises(JobError, match="is planned and cannot become"):
                bench.units.set_state(unit, state, reason="because")
    bench.start("hollin-assembly", unit)
    assert bench.units.view(unit).state == "in work"
    with pytest.raises(JobError, match="say why"):
        bench.units.set_state(unit, "held")
    bench.units.set_state(unit, "held", reason="one bad board")
    bench.units.set_state(unit, "scrapped", reason="not worth it")
    with pytest.raises(JobError, match="was scrapped"):
        bench.start("hollin-assembly", unit)


def test_a_release_names_each_missing_thing(bench: PlannedBench) -> None:
    # Rows H13 and I3 (ISO 9001 8.6, 8.7).
    unit = bench.units.make("hollin-cue-desk")
    assert bench.units.missing(unit) == (
        "Build one Hollin cue desk (hollin-assembly) has not been gone through to the end",
    )
    run = bench.start("hollin-assembly", unit)
    run.act(ev.StepDone(step="mount@F1"))
    run.act(ev.DefectFound(defect="D1", text="scratch on the front", subject="F1"))
    with pytest.raises(JobError, match="is not ready"):
        bench.units.release(unit, by="the builder")
    run.act(ev.DispositionGiven(defect="D1", disposition="use as is", reason="under the cap"))
    build(run)
    bench.units.write(unit, WorkaroundSet(text="F7 mapped to a spare fader"))
    assert bench.units.missing(unit) == ("still in a temporary state: F7 mapped to a spare fader",)
    temporary = bench.units.release(unit, by="the builder", conditional="show tonight")
    assert temporary.data["state"] == "temporary"
    assert temporary.data["missing"] == ["still in a temporary state: F7 mapped to a spare fader"]
    workaround = bench.store.events(kinds=["work-around"])[0]
    bench.units.write(unit, WorkaroundUndone(workaround=workaround.id))
    bench.units.set_state(unit, "in work")
    # It was worked on again, and nothing says at what.
    assert bench.units.missing(unit) == tuple(
        f"to be tested again after later work: measure {key}" for key in ("bank", "rail")
    )
    build(bench.open(bench.units.retest_plan(unit), unit))
    with pytest.raises(JobError, match="a release needs a name"):
        bench.units.release(unit, by=" ")
    released = bench.units.release(unit, by="the builder")
    assert (released.data["state"], released.data["by"]) == ("released", "the builder")
    assert len(released.data["evidence"]) == 64
    assert bench.units.view(unit).concessions == ("use as is: scratch on the front (under the cap)",)
    assert bench.store.units()[0].state == "released"


def test_a_work_around_of_a_hunt_stays_open_until_it_is_undone(bench: PlannedBench) -> None:
    # Row F11 (NASA open work; S1000D follow-on).
    unit = bench.units.make("hollin-cue-desk")
    build(bench.start("hollin-assembly", unit))
    bench.store.append("hunt-started", unit=unit, job="H1", data={"title": "A dead input: F3"})
    assert bench.units.missing(unit) == ("A dead input: F3 has not come to an end",)
    bench.store.append("hunt-closed", unit=unit, job="H1", data={"result": "work-around", "done": "F3 mapped to F8"})
    assert bench.units.missing(unit) == (
        "still in a temporary state: F3 mapped to F8 (the fault still stands: A dead input: F3)",
    )


def test_a_hunt_without_a_finding_stays_open_until_one_on_the_same_thing_has_one(bench: PlannedBench) -> None:
    unit = bench.units.make("hollin-cue-desk")
    build(bench.start("hollin-assembly", unit))
    for job, data in (("H1", {"result": "not reproduced", "conditions": "in the cold"}), ("H2", {"result": "fixed"})):
        bench.store.append("hunt-started", unit=unit, job=job, data={"title": "A dead input: F3"})
        bench.store.append("hunt-closed", unit=unit, job=job, data=data)
        kept = ("A dead input: F3 (could not be reproduced, it showed: in the cold) has not come to an end",)
        open_now = tuple(line for line in bench.units.missing(unit) if line.endswith("has not come to an end"))
        assert open_now == (kept if job == "H1" else ())


def test_rework_makes_proofs_void_in_this_job_and_in_earlier_ones(bench: PlannedBench) -> None:
    # Rows I2 and I4 (J-STD-001; IPC-A-610; ISO 9001 8.7.1).
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    with pytest.raises(JobError, match="no defect D1 is written down"):
        run.act(ev.ReworkStarted(defect="D1"))
    build(run)
    bench.plans["re-flow"] = plan(step("heat@F1"), id="re-flow", procedure_kind="rework", title="Re-flow a joint")
    rework = bench.start("re-flow", unit, subject="F1", defect=("F1", "cold joint"))
    rework.act(ev.ReworkStarted(defect="F1", joint="F1 lug 2", attempts=2))
    rework.act(ev.StepDone(step="heat@F1"))
    rework.act(ev.ReworkDone(defect="F1", touched=("F1",)))
    rework.close()
    assert bench.units.missing(unit) == (
        "to be tested again after later work: measure bank",
        "to be tested again after later work: measure rail",
    )
    retest = bench.units.retest_plan(unit)
    assert [each.key for each in retest.steps] == ["bank", "rail"]
    build(bench.open(retest, unit))
    assert bench.units.missing(unit) == ()


def test_rework_inside_a_job_opens_its_tests_and_counts_each_joint(bench: PlannedBench) -> None:
    # Rows I4 and I5 (J-STD-001 practice).
    run = bench.start("hollin-assembly", "HCD-001-D")
    run.act(ev.StepDone(step="mount@F1"))
    run.read("2.5")
    run.act(ev.StepDone(step="bank"))
    run.act(ev.DefectFound(defect="D1", text="cold joint", subject="F1"))
    with pytest.raises(JobError, match="decide first"):
        run.act(ev.ReworkStarted(defect="D1"))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="to drawing"))
    for _ in range(2):
        run.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", attempts=2))
        run.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    assert run.state["bank"].status == "reopened"
    assert run.current() == run.plan.step("bank")
    assert "F1 lug 2 was reworked 2 times, and its part bears 1" in run.state.open_items()


# -- questions over many units ---------------------------------------------------------------------------------------


def test_where_a_lot_went_and_what_is_in_a_unit_at_a_time(bench: PlannedBench) -> None:
    # Rows H9, H10 and H11 (IPC-1782 5.1; ISO 9001 8.5.2).
    for number in (1, 2, 3):
        unit = bench.units.make("hollin-cue-desk")
        run = bench.start("hollin-assembly", unit)
        run.act(ev.PartFitted(part="encoder", place="E1", lot="L7" if number != 2 else "L8"))
        bench.units.write(unit, FirmwareLoaded(name="desk", version="1.2" if number < 3 else "1.3"))
    clock: Clock = bench.clock  # type: ignore[assignment]
    clock.forward(days=1)
    run.act(ev.PartFitted(part="encoder", place="E1", lot="L9", replaces="encoder of L7", reason="worn"))
    uses = where_used(bench.units, lot="L7")
    assert [(use.unit, use.place, bool(use.removed)) for use in uses] == [
        (serials.make("HCD", 1), "E1", False),
        (serials.make("HCD", 3), "E1", True),
    ]
    assert [use.unit for use in where_firmware(bench.units, "1.2")] == [serials.make("HCD", 1), serials.make("HCD", 2)]
    view = bench.units.view(serials.make("HCD", 3))
    assert [part.lot for part in view.parts_now()] == ["L9"]
    assert view.as_released() is None
    with pytest.raises(JobError, match="this needs a reason"):
        run.act(ev.PartFitted(part="encoder", place="E1", replaces="encoder"))


def test_every_reading_taken_with_a_meter_is_found(bench: PlannedBench) -> None:
    # Row E11 (ISO 9001 7.1.5.2).
    for number, meter in enumerate(("M1", "M2", "M1"), start=1):
        bench.meter = Meter(id=meter)
        build(bench.start("hollin-assembly", serials.make("HCD", number)))
        bench.clock.forward(days=1)  # type: ignore[attr-defined]
    found = readings_with(bench.store, "M1")
    assert [event.unit for event in found] == [serials.make("HCD", n) for n in (1, 1, 3, 3)]
    assert {event.unit for event in readings_with(bench.store, "M1", start="2031-03-02")} == {serials.make("HCD", 3)}


def test_a_unit_that_came_in_is_described(bench: PlannedBench) -> None:
    # Row H16 (ISO 9001 8.5.3).
    unit = bench.units.make("hollin-cue-desk")
    bench.units.write(unit, UnitTakenIn(condition="dusty", accessories="lead", damage="scratch at the left"))
    intake = bench.units.view(unit).intake
    assert intake is not None
    assert intake.damage == "scratch at the left"


# -- units a step is for ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "unit", "words"),
    [
        ({"hardware": ("A",)}, {"hardware": "B"}, "it is for hardware A, and this unit is B"),
        ({"hardware": ("A", "B")}, {"hardware": "B"}, ""),
        ({"hardware": ("A",)}, {}, ""),
        ({"hardware": ("B",)}, {"hardware": " b "}, ""),
        ({"hardware": ("B",)}, {"hardware": "rev B"}, ""),
        ({"hardware": ("B",)}, {"hardware": "rev BC"}, "it is for hardware B, and this unit is rev BC"),
        ({"options": ("left-handed",)}, {"asked": ("left-handed",)}, "with left-handed, and this unit has no option"),
        ({"options": ("ribbon",)}, {"hardware": "B", "options": ("dim",), "asked": ("dim",)}, ""),
        ({"options": ("ribbon", "dim")}, {"asked": ("dim",)}, ""),
        ({"options": ("left-handed",)}, {"options": ("Left-Handed",), "asked": ("left-handed",)}, ""),
        ({"options": ("left-handed",)}, {"options": ("left-handed", "dim")}, ""),
        ({"serials": "4 to 9"}, {"serial": "HCD-003-X"}, "it is for numbers 4 to 9, and this unit is number 3"),
        ({"serials": "4 to 9"}, {"serial": "HCD-004-X"}, ""),
    ],
)  # fmt: skip
def test_a_step_is_for_some_units_by_rule_and_the_words_follow_from_it(
    rule: dict[str, object], unit: dict[str, object], words: str
) -> None:
    # Rows A5 and A6 (S1000D applicability).
    from benchtui.content.procedure import Applies
    from benchtui.errors import Place

    because = not_for(Applies(**rule, place=Place("x")), UnitFacts(**unit))  # type: ignore[arg-type]
    assert because.endswith(words)
    assert bool(because) == bool(words)


# -- batches ---------------------------------------------------------------------------------------------------------


def test_a_batch_pass_writes_one_event_a_unit_and_goes_past_a_held_one(bench: PlannedBench) -> None:
    # Rows C16, C17 and H15 (820.184; IPC-1782; ISO 9001 8.7; AS9100).
    batch = Batch.make(bench, "hollin-cue-desk", 4)
    batch.start("hollin-assembly")
    assert batch.done("mount@F1") == batch.units
    events = bench.store.events(kinds=["step-done"])
    assert [event.unit for event in events] == list(batch.units)
    bench.units.set_state(batch.units[1], "held", reason="bad board")
    assert batch.left_out() == {batch.units[1]: "held"}
    for unit in batch.at("bank"):
        batch.runs()[unit].read("2.5" if unit != batch.units[3] else "2.9", step="bank")
    assert batch.done("bank") == (batch.units[0], *batch.units[2:])
    with pytest.raises(JobError, match=f"{batch.units[0]}: take the reading first"):
        batch.done("rail")
    assert batch.sums()["held"] == 1
    assert sum(batch.sums().values()) == 4
    cells = batch.matrix("hollin-assembly")
    assert cells[batch.units[1]]["Test"].settled == 0
    assert cells[batch.units[0]]["Test"].settled == 1
    bank = batch.spread("hollin-assembly")[0]
    assert (bank.lowest, bank.highest, bank.median) == (2500.0, 2900.0, 2500.0)
    bench.units.set_state(batch.units[1], "in work")
    assert batch.current() == SHORT.step("bank"), "a unit that is free again is caught up first"


def test_a_reading_whose_step_was_opened_again_counts_nowhere(bench: PlannedBench) -> None:
    # Rows E14 and H14 (AS9102/AS9100; ISO 9001 9.1.3): what was measured before is no longer so.
    batch = Batch.make(bench, "hollin-cue-desk", 3)
    batch.start("hollin-assembly")
    batch.done("mount@F1")
    for unit, typed in zip(batch.units, ("2.4", "2.5", "2.6"), strict=True):
        batch.runs()[unit].read(typed, step="bank")
    batch.done("bank")
    last = batch.runs()[batch.units[2]]
    assert [each.value for each in batch.spread("hollin-assembly")[0].values] == [2400.0, 2500.0, 2600.0]
    last.act(ev.StepReopened(step="bank", reason="part changed"))
    assert [each.value for each in batch.spread("hollin-assembly")[0].values] == [2400.0, 2500.0]
    lines = characteristics(bench.units.view(batch.units[2]))
    assert next((line.result, line.verdict) for line in lines) == ("", "not measured")
    assert "pass; not taken again yet |" in "\n".join(passport(bench.units.view(batch.units[2])))
    last.read("2.7", step="bank", reason="part changed")
    assert [each.value for each in batch.spread("hollin-assembly")[0].values] == [2400.0, 2500.0, 2700.0]
    assert "not taken again yet" not in "\n".join(passport(bench.units.view(batch.units[2])))


def test_odd_values_are_marked_by_a_stated_rule() -> None:
    # Row E14 (AS9102/AS9100 key characteristics; ISO 9001 9.1.3).
    assert odd_ones([10.0, 10.1, 9.9, 10.0, 10.05, 12.0]) == (False,) * 5 + (True,)
    assert odd_ones([10.0, 10.0, 10.0, 10.0, 10.0, 10.5]) == (False,) * 5 + (True,)
    assert odd_ones([10.0] * 6) == (False,) * 6
    assert odd_ones([1.0, 100.0, 1.0]) == (False,) * 3


def test_a_unit_that_never_got_past_a_hold_point_of_its_build_does_not_leave_at_all(tmp_path: Path) -> None:
    # Row I3 (ISO 9001 8.6, 8.7): a concession takes evidence, and what stands behind a hold point has none.
    clock = Clock()
    held = replace(SHORT, procedure_kind="assembly", steps=(SHORT.steps[0], replace(SHORT.steps[3], hold=True)))
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": held}, store, clock)
        unit = bench.units.make("hollin-cue-desk")
        run = bench.start("hollin-assembly", unit)
        run.act(ev.StepDone(step="mount@F1"))
        with pytest.raises(JobError, match="not even as temporary: the hold point at step"):
            bench.units.release(unit, by="the builder", conditional="show tonight")
        run.act(ev.StepDone(step="label"))
        assert bench.units.release(unit, by="the builder", conditional="show tonight").data["state"] == "temporary"


def test_a_view_is_made_anew_only_after_something_was_written_and_is_that_of_a_new_program(
    bench: PlannedBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A page asks what is missing at each key: only the new entries of a job are read, and what they bring is the same.
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    seen: list[str] = []

    def counted(job: JobState, event: ev.JobEvent, **more: Any) -> JobState:
        seen.append(event.KIND)
        return advance(job, event, **more)

    monkeypatch.setattr("benchtui.jobs.fold.advance", counted)
    for act in (
        ev.StepDone(step="mount@F1"),
        ev.DefectFound(defect="D1", text="scratch", subject="F1"),
        ev.DispositionGiven(defect="D1", disposition="use as is", reason="under the cap"),
    ):
        before = bench.units.view(unit)
        assert bench.units.view(unit) is before
        seen.clear()
        run.act(act)
        now = bench.units.view(unit)
        assert seen == [act.KIND]
        assert now == Units(bench.store).view(unit)
    assert len(seen) > 1, "one that nobody had asked before is read whole"
