"""A unit is released only on what is proven: each thing that is missing is a line of the gate."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, full_plan, plan, started, step

from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.named import joint_name, names_of, touched, unknown_words
from benchtui.jobs.passport import passport
from benchtui.jobs.readings import Meter, take
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_decisions import concede, may_concede
from benchtui.jobs.run_sitting import add_meter
from benchtui.jobs.sitting import MeterKnown
from benchtui.jobs.steps import Timer
from benchtui.jobs.timers import Moment, remaining
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.run import Run

RAIL = full_plan().step("rail")
"""A required test of the unit as a whole: it names nothing that it touches."""

SHORT = plan(step("mount@F1"), step("mount@F2"), full_plan().step("bank"), RAIL, design_id="hollin-cue-desk")
SOAK = plan(step("mount@F1"), step("cure", "wait", seconds=1800.0), design_id="hollin-cue-desk")
VOID = ("to be tested again after later work: measure bank", "to be tested again after later work: measure rail")


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PlannedBench]:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": SHORT}, store, clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one Hollin cue desk"),))  # type: ignore[method-assign]
        yield bench


@pytest.fixture
def built(bench: PlannedBench) -> str:
    """A unit with nothing missing."""
    unit = bench.units.make("hollin-cue-desk")
    go_through(bench.start("hollin-assembly", unit))
    assert bench.units.missing(unit) == ()
    return unit


def go_through(run: Run, *, decision: str = "", until: str = "") -> None:
    typed = {"bank": "2.5", "rail": "3.3"}
    while (here := run.current()) is not None and here.key != until:
        if here.limits:
            run.read(typed[here.key])
        run.act(ev.StepDone(step=here.key))
    run.close(decision=decision)


def reworked(run: Run, *touched: str, joint: str = "F1 lug 2", subject: str = "F1") -> None:
    run.act(ev.DefectFound(defect="D1", text="cold joint", subject=subject))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="to drawing"))
    run.act(ev.ReworkStarted(defect="D1", joint=joint, attempts=2))
    run.act(ev.ReworkDone(defect="D1", touched=touched))


def through_tests(run: Run) -> Run:
    run.act(ev.StepDone(step="mount@F1"))
    run.act(ev.StepDone(step="mount@F2"))
    run.read("2.5")
    run.act(ev.StepDone(step="bank"))
    run.read("3.3")
    run.act(ev.StepDone(step="rail"))
    return run


# -- what was touched ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("said", [("f1",), ("fader", "F1."), ("F1 lug 2",), ("F2, f1;",), ("bank-a",), ("all",), ()])
def test_what_was_touched_is_understood_however_it_is_typed(bench: PlannedBench, said: tuple[str, ...]) -> None:
    # Row I4 (J-STD-001): the tests of what was touched, and of the whole unit, are open again.
    run = through_tests(bench.start("hollin-assembly", "HCD-001-R"))
    reworked(run, *said)
    assert [run.state[key].status.value for key in ("bank", "rail")] == ["reopened", "reopened"]


@pytest.mark.parametrize(("said", "strange"), [(("F11",), "F11"), (("F1", "Fl"), "Fl"), (("fader",), "fader")])
def test_a_word_that_names_nothing_is_refused_by_name(bench: PlannedBench, said: tuple[str, ...], strange: str) -> None:
    run = through_tests(bench.start("hollin-assembly", "HCD-001-R"))
    with pytest.raises(JobError, match=f"nothing here is called {strange};") as refusal:
        reworked(run, *said)
    assert "F1, F2, bank-a" in refusal.value.hint
    assert run.state.defects["D1"].status == "in rework"
    # In a record from elsewhere, where nobody can be asked any more, it stands for everything.
    assert touched(said, names_of(run.state), own="F1") == frozenset()


def test_the_subject_of_the_defect_was_touched_whatever_else_is_named() -> None:
    state = started(SHORT)
    assert touched(("F2",), names_of(state), own="f1") == {"F1", "F2"}
    assert unknown_words(("f2 and F1",), names_of(state)) == ()


def test_a_joint_is_one_joint_however_it_is_typed(bench: PlannedBench) -> None:
    # Row I5 (J-STD-001 practice).
    run = through_tests(bench.start("hollin-assembly", "HCD-001-R"))
    assert joint_name(" f1  Lug 2.", names_of(run.state)) == "F1 lug 2"
    for number, joint in enumerate(("F1 lug 2", "f1 LUG 2", "f1  lug 2."), start=1):
        run.act(ev.DefectFound(defect=f"D{number}", text="cold joint", subject="F1"))
        run.act(ev.DispositionGiven(defect=f"D{number}", disposition="rework", reason="to drawing"))
        run.act(ev.ReworkStarted(defect=f"D{number}", joint=joint, attempts=2))
        run.act(ev.ReworkDone(defect=f"D{number}", touched=("F1",)))
    assert run.state.joints == {"F1 lug 2": (3, 2)}
    assert bench.units.view("HCD-001-R").joints == {"F1 lug 2": (3, 2)}


@pytest.mark.parametrize(
    ("figure", "reworks", "line"),
    [
        ({"attempts": 1}, 1, "F1 lug 2 was reworked once, and its part bears none"),
        ({"attempts": 1}, 5, "F1 lug 2 was reworked 5 times, and its part bears none"),
        ({"attempts": 2}, 1, ""),
        ({"attempts": 2}, 2, "F1 lug 2 was reworked 2 times, and its part bears 1"),
        ({"attempts": 0}, 5, ""),
        # As older programs wrote it: the reworks it bears, and nothing at all where it bears one soldering.
        ({"limit": 1}, 2, "F1 lug 2 was reworked 2 times, and its part bears 1"),
        ({"limit": 0}, 5, ""),
    ],
)
def test_a_joint_bears_as_many_solderings_as_the_sheet_of_its_part_says(
    bench: PlannedBench, figure: dict[str, int], reworks: int, line: str
) -> None:
    # Row I5 (J-STD-001 practice). "Once" on a sheet means that the joint made at assembly is the only one.
    run = through_tests(bench.start("hollin-assembly", "HCD-001-R"))
    for number in range(1, reworks + 1):
        run.act(ev.DefectFound(defect=f"D{number}", text="cold joint", subject="F1"))
        run.act(ev.DispositionGiven(defect=f"D{number}", disposition="rework", reason="to drawing"))
        run.act(ev.ReworkStarted(defect=f"D{number}", joint="F1 lug 2", **figure))
        run.act(ev.ReworkDone(defect=f"D{number}", touched=("F1",)))
    go_through(run, decision="as it is")
    assert [text for text in run.state.open_items() if "lug" in text] == ([line] if line else [])
    assert bench.units.missing("HCD-001-R") == ((line,) if line else ())


def test_a_rework_that_has_begun_is_ended_before_another_thing_is_decided(bench: PlannedBench) -> None:
    # Row I3 (ISO 9001 8.7): what was touched was touched, and is tested.
    run = through_tests(bench.start("hollin-assembly", "HCD-001-R"))
    run.act(ev.DefectFound(defect="D1", text="cold joint", subject="F1"))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="to drawing"))
    run.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", attempts=4))
    with pytest.raises(JobError, match="the rework of defect D1 has begun"):
        run.act(ev.DispositionGiven(defect="D1", disposition="use as is", reason="looks fine"))
    run.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    with pytest.raises(JobError, match="3 open"):
        run.close()


# -- what it has to pass ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("design", "line"),
    [
        ("", "nothing says what it has to pass: it is of no design"),
        ("own-desk", "nothing says what it has to pass: no assembly procedure is for own-desk"),
    ],
)
def test_a_unit_that_no_procedure_asks_anything_of_leaves_only_by_a_name(
    bench: PlannedBench, tmp_path: Path, design: str, line: str
) -> None:
    # Row H13 (ISO 9001:2015 8.6): no release without evidence of what was planned, or by somebody who answers for it.
    del bench.units.needs  # type: ignore[method-assign]
    bench.units.library = Library.open([tmp_path])
    bench.plans["chk"] = plan(step("s"), id="chk", kind="checklist", procedure_kind="read-do", design_id=design)
    go_through(bench.start("chk", "X-1"))
    assert bench.units.missing("X-1") == (line,)
    with pytest.raises(JobError, match="nothing says what it has to pass"):
        bench.units.release("X-1", by="ann")
    assert may_concede(bench.units, "X-1") == (line,)
    concede(bench.units, "X-1", line, reason="built and tested by hand, sheet in the folder", by="ann")
    bench.units.release("X-1", by="ann")
    assert bench.units.view("X-1").state == "released"
    assert any(line in each for each in bench.units.view("X-1").concessions), "it stands on the unit for life"


def test_a_passport_of_a_unit_that_was_never_built_does_not_say_that_nothing_is_open(bench: PlannedBench) -> None:
    # Row H13: no paper says less than the gate before a release.
    unit = bench.units.make("hollin-cue-desk")
    page = passport(bench.units.view(unit))
    told = page[page.index("## Open") + 2 :]
    assert told == ["- whether each assembly procedure of its design was gone through is not looked at here"]
    go_through(bench.start("hollin-assembly", unit))
    bench.units.release(unit, by="ann")
    page = passport(bench.units.view(unit))
    assert page[page.index("## Open") + 2 :] == ["none"], "the gate looked when it was released"


# -- repairs outside a rework job ------------------------------------------------------------------------------------


def test_a_part_exchanged_in_any_job_makes_the_tests_of_its_place_void(bench: PlannedBench, built: str) -> None:
    # Row I4 (J-STD-001; ISO 9001 8.7.1).
    bench.plans["service"] = plan(step("swap@F1"), id="service", procedure_kind="service")
    run = bench.start("service", built)
    run.act(ev.PartFitted(part="fader", place="f1", lot="L8"))
    assert bench.units.missing(built) == ("Build one Hollin cue desk is still open (job " + run.job + ")",)
    run.act(ev.PartFitted(part="fader", place="f1", lot="L9", replaces="fader", reason="worn"))
    run.act(ev.StepDone(step="swap@F1"))
    run.close()
    assert bench.units.missing(built) == VOID
    go_through(bench.open(bench.units.retest_plan(built), built))
    assert bench.units.missing(built) == ()


def test_a_part_exchanged_inside_a_job_opens_its_tests_and_its_joints_are_new(bench: PlannedBench) -> None:
    run = through_tests(bench.start("hollin-assembly", "HCD-001-R"))
    reworked(run, "F1")
    run.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", attempts=2))
    run.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    run.read("2.5")
    run.act(ev.StepDone(step="bank"))
    assert "F1 lug 2 was reworked 2 times, and its part bears 1" in run.state.open_items()
    run.act(ev.PartFitted(part="fader", place="F1", lot="L9", replaces="fader", reason="pads lifted"))
    assert run.state.joints == {}
    assert bench.units.view("HCD-001-R").joints == {}
    assert run.state["bank"].status == "reopened"
    assert run.current() == run.plan.step("bank")


@pytest.mark.parametrize("result", ["fixed", "open"])
def test_a_repair_in_a_hunt_makes_the_tests_of_its_control_void(bench: PlannedBench, built: str, result: str) -> None:
    bench.store.append("hunt-started", unit=built, job="H1", data={"title": "dead: F1", "subject": "F1"})
    bench.store.append("hunt-test", unit=built, job="H1", data={"test": "wiggle", "outcome": "dead"})
    assert not set(VOID) & set(bench.units.missing(built))
    if result == "open":
        bench.store.append("hunt-repair", unit=built, job="H1", data={"repair": "re-flow"})
    bench.store.append("hunt-closed", unit=built, job="H1", data={"result": result})
    assert set(VOID) <= set(bench.units.missing(built))


@pytest.mark.parametrize("subject", ["F1", ""])
def test_a_rework_job_that_was_gone_through_makes_the_tests_before_it_void(
    bench: PlannedBench, built: str, subject: str
) -> None:
    # Row I4: the rework is a job of its own, and no defect was written in it; without a subject, everything is tested.
    bench.plans["re-flow"] = plan(step("heat@F1"), id="re-flow", procedure_kind="rework")
    run = bench.start("re-flow", built, subject=subject)
    run.act(ev.StepDone(step="heat@F1"))
    assert not set(VOID) & set(bench.units.missing(built))
    run.close()
    assert bench.units.missing(built) == VOID


def test_the_tests_at_the_end_of_a_rework_and_of_what_it_calls_hold(bench: PlannedBench, built: str) -> None:
    bench.plans["after"] = plan(RAIL, id="after", procedure_kind="service")
    again = step("then", "call", call="after")
    bench.plans["re-flow"] = plan(step("heat@F1"), SHORT.step("bank"), again, id="re-flow", procedure_kind="rework")
    run = bench.start("re-flow", built, subject="F1")
    run.act(ev.StepDone(step="heat@F1"))
    run.read("2.5")
    run.act(ev.StepDone(step="bank"))
    inner = bench.call(run, "then")
    go_through(inner)
    run.act(ev.CallReturned(step="then", called=inner.job, result="complete"))
    run.act(ev.StepDone(step="then"))
    run.close()
    assert bench.units.missing(built) == ()


def test_tests_of_one_step_id_in_two_procedures_are_each_made_again(bench: PlannedBench, built: str) -> None:
    # Row I4: the shipped procedures measure at one control under one id by other limits.
    other = replace(BANK, low=7000.0, nominal=8000.0, high=9000.0, text="7 kΩ to 9 kΩ", point="another")
    bench.plans["service"] = plan(
        replace(SHORT.step("bank"), limits=other), id="service", procedure_kind="service", design_id="hollin-cue-desk"
    )
    run = bench.start("service", built)
    run.read("8.0")
    run.act(ev.StepDone(step="bank"))
    run.close()
    bench.plans["re-flow"] = plan(step("heat@F1"), id="re-flow", procedure_kind="rework")
    for _ in range(2):  # what was tested again is void again after the next rework
        go_through(bench.start("re-flow", built, subject="F1"))
        again = bench.units.retest_plan(built)
        assert again.title == "Test again: Build one Hollin cue desk"
        assert sorted(each.key for each in again.steps) == ["hollin-assembly:bank", "rail", "service:bank"]
        run = bench.open(again, built)
        while (here := run.current()) is not None:
            run.read({"hollin-assembly:bank": "2.5", "service:bank": "8.0", "rail": "3.3"}[here.key])
            run.act(ev.StepDone(step=here.key))
        run.close()
        assert run.state.closed == "complete"
        assert bench.units.missing(built) == ()


def test_a_step_that_makes_another_void_does_so_for_the_jobs_before_it(bench: PlannedBench, built: str) -> None:
    bench.plans["service"] = plan(step("file", voids=("bank",)), id="service", procedure_kind="service")
    go_through(bench.start("service", built))
    assert bench.units.missing(built) == VOID[:1]


# -- each line of the gate -------------------------------------------------------------------------------------------


def test_the_gate_names_a_job_that_is_open_and_what_a_job_was_closed_without(bench: PlannedBench) -> None:
    # Rows H13 and C8 (ISO 9001 8.6; AS9100): and a whole run to the end makes it good.
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    assert f"Build one Hollin cue desk is still open (job {run.job})" in bench.units.missing(unit)
    go_through(run, until="rail", decision="out of time")
    assert bench.units.missing(unit) == (f"step 4 open: measure rail (job {run.job})",)
    with pytest.raises(JobError, match="is not ready: step 4 open"):
        bench.units.release(unit, by="the builder")
    assert may_concede(bench.units, unit) == (), "a required test is made, and not signed away"
    go_through(bench.start("hollin-assembly", unit))
    assert bench.units.missing(unit) == ()


def test_the_gate_names_a_defect_until_it_is_put_right(bench: PlannedBench, built: str) -> None:
    # Row I1 (ISO 9001 8.7).
    bench.plans["service"] = plan(step("look", "observe"), id="service", procedure_kind="service")
    run = bench.start("service", built)
    run.act(ev.DefectFound(defect="D1", text="fader dead", subject="F1"))
    run.act(ev.StepDone(step="look"))
    run.close(decision="mended tomorrow")
    assert bench.units.missing(built) == (f"defect {run.job}:D1 found: fader dead",)
    with pytest.raises(JobError, match="is not ready: defect"):
        bench.units.release(built, by="the builder")


def test_the_gate_asks_for_the_firmware_where_a_step_does(bench: PlannedBench) -> None:
    bench.plans["hollin-assembly"] = plan(step("load", trace="firmware"), design_id="hollin-cue-desk")
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    run.act(ev.FirmwareLoaded(step="load", name="desk", version="1.2"))
    go_through(run)
    assert bench.units.missing(unit) == ()
    other = bench.units.make("hollin-cue-desk")
    bench.start("hollin-assembly", other)
    assert "its firmware is not written down" in bench.units.missing(other)


def test_a_release_rests_on_every_event_of_the_unit_so_far(bench: PlannedBench, built: str) -> None:
    # Row H13 (21 CFR 11.70): the digest can be worked out again from the record, and differs when an event does.
    events = bench.store.events(unit=built)
    released = bench.units.release(built, by="the builder")
    digest = hashlib.sha256("\n".join(event.digest for event in events).encode()).hexdigest()
    assert released.data["evidence"] == digest


# -- what can hardly be made good ------------------------------------------------------------------------------------


def test_a_wait_cut_short_is_made_good_by_a_whole_one_or_signed_for(bench: PlannedBench) -> None:
    # Row C13 and ISO 9001:2015 8.7.1 d (a concession is signed, and stays in sight).
    bench.plans["hollin-assembly"] = SOAK
    unit = bench.units.make("hollin-cue-desk")

    def soak(minutes: float, why: str = "") -> Run:
        run = bench.start("hollin-assembly", unit)
        run.act(ev.StepDone(step="mount@F1"))
        run.start_wait()
        bench.clock.forward(minutes=minutes)  # type: ignore[attr-defined]
        run.end_wait(reason=why)
        run.act(ev.StepDone(step="cure"))
        run.close()
        return run

    run = soak(10, "the van is here")
    line = f"Build one Hollin cue desk, step 2 (job {run.job}): its wait was cut short, because: the van is here"
    assert bench.units.missing(unit) == (line,)
    for item, reason, by, words in (
        (VOID[0], "fine", "the builder", "cannot be signed"),
        (line, " ", "the builder", "needs a reason"),
        (line, "it is hard by now", "", "needs a name"),
    ):
        with pytest.raises(JobError, match=words):
            concede(bench.units, unit, item, reason=reason, by=by)
    concede(bench.units, unit, line, reason="it is hard by now", by="the builder")
    assert bench.units.missing(unit) == ()
    assert bench.units.view(unit).concessions == (f"left as it is: {line} (it is hard by now; signed the builder)",)
    again = soak(10, "the van is here")
    assert bench.units.missing(unit) == (line.replace(run.job, again.job),), "signed for one wait and not for the next"
    soak(40)
    assert bench.units.missing(unit) == ()


# -- the state of the unit follows the work --------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["assembly", "rework"])
def test_a_unit_is_in_work_again_when_it_is_built_on(bench: PlannedBench, built: str, kind: str) -> None:
    # Row H12 (ISO 9001 8.5.2, 8.6).
    bench.units.release(built, by="the builder")
    bench.plans["more"] = plan(step("heat@F1"), id="more", procedure_kind=kind)
    run = bench.start("more", built, subject="F1")
    assert bench.units.view(built).state == "released", "it may have been begun by a slip"
    run.act(ev.StepDone(step="heat@F1"))
    assert bench.units.view(built).state == "in work"


def test_a_released_unit_with_a_defect_is_released_no_more(bench: PlannedBench, built: str) -> None:
    # ISO 9001:2015 8.7.1: what is found after the release is dealt with as well.
    bench.units.release(built, by="the builder")
    bench.plans["service"] = plan(step("look"), id="service", procedure_kind="service")
    run = bench.start("service", built)
    assert bench.units.view(built).state == "released"
    run.act(ev.DefectFound(defect="D1", text="fader dead", subject="F1"))
    view = bench.units.view(built)
    assert view.state == "in work"
    assert view.last_state is not None
    assert view.last_state.reason == "defect D1: fader dead"


def test_a_released_unit_whose_part_is_exchanged_is_released_no_more(bench: PlannedBench, built: str) -> None:
    bench.units.release(built, by="the builder")
    bench.plans["service"] = plan(step("swap@F1"), id="service", procedure_kind="service")
    run = bench.start("service", built)
    run.act(ev.PartFitted(part="fader", place="F1", replaces="fader", reason="worn"))
    assert bench.units.view(built).state == "in work"


def test_nothing_is_marked_on_a_unit_that_is_held_or_scrapped(bench: PlannedBench) -> None:
    # Row H12 (ISO 9001 8.7): what was seen can be written down, and work waits.
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    bench.units.set_state(unit, "held", reason="bad board")
    before = run.state
    for act in (ev.StepBegun(step="mount@F1"), ev.StepDone(step="mount@F1"), ev.PartFitted(part="x", place="F1")):
        with pytest.raises(JobError, match=f"{unit} is held: nothing is marked on it"):
            run.act(act)
    assert run.state is before
    run.act(ev.NoteAdded(text="the board has a crack"))
    run.suspend()
    with pytest.raises(JobError, match="is held"):
        bench.start("hollin-assembly", unit)
    bench.units.set_state(unit, "in work", reason="new board")
    run.act(ev.Resumed())
    run.act(ev.StepDone(step="mount@F1"))
    bench.units.set_state(unit, "scrapped", reason="panel cracked")
    with pytest.raises(JobError, match="is scrapped"):
        run.act(ev.StepDone(step="mount@F2"))


# -- batches, meters, clocks -----------------------------------------------------------------------------------------


def test_a_batch_is_made_whole_or_not_at_all(bench: PlannedBench, monkeypatch: pytest.MonkeyPatch) -> None:
    # Row C16 (820.184): a kill in between leaves no half of a batch.
    calls = []
    append = bench.store.append_all
    monkeypatch.setattr(bench.store, "append_all", lambda *args, **more: calls.append(1) or append(*args, **more))
    batch = Batch.make(bench, "hollin-cue-desk", 6, hardware="B")
    assert calls == [1]
    assert len(set(batch.units)) == 6
    assert {bench.units.view(unit).state for unit in batch.units} == {"planned"}


def test_the_last_mark_of_a_batch_is_taken_back_where_the_units_differ(bench: PlannedBench) -> None:
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    for unit, only in zip(batch.units, ("only-a", "only-b"), strict=True):
        bench.plans["p"] = plan(step(only), step("last"), id="p")
        bench.start("p", unit, batch=batch.name)
    batch.procedure = "p"
    assert batch.done("only-a") == batch.units[:1]
    bench.clock.forward(minutes=1)  # type: ignore[attr-defined]
    assert batch.done("only-b") == batch.units[1:]
    assert batch.take_back() == ("only-b", batch.units[1:])
    assert batch.take_back() == ("only-a", batch.units[:1])
    assert batch.take_back() == ("", ())


@pytest.mark.parametrize("due", ["31.03.2026", "31/3/2026", "March 2026", "2026-3-31", "2026-02-30"])
def test_a_calibration_date_that_cannot_be_read_is_refused_and_trusted_by_nobody(bench: PlannedBench, due: str) -> None:
    # Row E10 (ISO 9001 7.1.5.2).
    with pytest.raises(JobError, match="is no date") as refusal:
        add_meter(bench.store, MeterKnown(id="M1", due=due))
    assert "2027-03-31" in refusal.value.hint
    with pytest.raises(JobError, match="calibration date of M1 cannot be read"):
        take(RAIL, "3.3", meter=Meter(id="M1", due=due), today="2026-01-01")
    assert take(RAIL, "3.3", meter=Meter(id="M1", due=due), today="2026-01-01", override="agrees with M2").override


def test_the_machine_s_own_count_goes_before_a_clock_that_was_set(bench: PlannedBench) -> None:
    # Row C13 (J-STD-001 process control): three hours forward end no cure, three hours back begin none anew.
    clock: Clock = bench.clock  # type: ignore[assignment]
    timer = Timer(seconds=7200.0, started=clock.now.isoformat(), boot="b1", boot_seconds=100.0)
    for hours in (3.0, -3.0):
        clock.forward(hours=hours)
        assert remaining(timer, Moment(clock.now, "b1", 700.0)) == 6600.0
        clock.forward(hours=-hours)
    clock.forward(hours=1)
    assert remaining(timer, Moment(clock.now, "b2", 5.0)) == 3600.0, "after a restart only the clock is left"


def test_a_required_test_of_the_whole_unit_is_void_whatever_was_touched(bench: PlannedBench, built: str) -> None:
    # Row I4: F2 is not among what the test of the rail names, for it names nothing.
    other = replace(SHORT.step("bank"), touches=("F1",))
    bench.plans["hollin-assembly"] = plan(step("mount@F2"), other, RAIL, design_id="hollin-cue-desk")
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    go_through(run)
    bench.plans["re-flow"] = plan(step("heat@F2"), id="re-flow", procedure_kind="rework")
    rework = bench.start("re-flow", unit, subject="F2")
    go_through(rework)
    assert bench.units.missing(unit) == VOID[1:]
