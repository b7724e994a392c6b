"""A hunt in the record: written before it is shown, taken up after a kill, and learnt from."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest
from helpers.screens import Clock
from helpers.small_fault_model import small_model

from benchtui.design import load_design
from benchtui.errors import JobError, RecordError
from benchtui.faults.events import (
    HuntClosed,
    NeighboursTried,
    RepairDone,
    TestAnswered,
    TriedAgain,
    WalkOpened,
    Withdrawn,
    WorkaroundDone,
)
from benchtui.faults.model_text import model_text, read_model_text
from benchtui.faults.run import Hunts
from benchtui.jobs.events import JobClosed
from benchtui.record.event import Draft
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.faults.events import HuntEvent
    from benchtui.faults.hunt import HuntState


DESIGN = load_design(Path(__file__).resolve().parents[2] / "procedures" / "hollin-cue-desk" / "design.yaml")

LIBRARY: Any = SimpleNamespace(entries=lambda kind=None: (), cautions=dict)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(tmp_path: Path, clock: Clock) -> Iterator[Store]:
    with Store.open(tmp_path / "record.sqlite", clock=clock) as opened:
        yield opened


def hunts(store: Store, clock: Clock) -> Hunts:
    return Hunts(LIBRARY, store, clock=clock)


def begin(store: Store, clock: Clock, **more: Any):  # type: ignore[no-untyped-def]
    return hunts(store, clock).start(DESIGN, model=small_model(), unit="0042", scope="control", subject="F3", **more)


def standing(state: HuntState) -> tuple[Any, ...]:
    """All of a state but the model, which names another file after it was read back from the record."""
    return state.events, state.withdrawn, state.position, state.phase, state.pending, state.elapsed, state.answers


def test_every_act_is_in_the_record_and_a_killed_hunt_goes_on(store: Store, clock: Clock) -> None:
    run = begin(store, clock, symptom="dead", words="fader three is gone")
    run.act(TestAnswered(test="T1", outcome="bad", typed=("0.02 V",)))
    run.act(RepairDone(repair="mend-a"))
    kept = run.state
    # Nothing is closed or saved in between: a new run over the same record stands at the same place.
    again = hunts(store, clock).resume(run.job, DESIGN)
    assert standing(again.state) == standing(kept)
    assert again.unit == "0042"
    assert again.state.phase == "again"
    assert [event.kind for event in store.events(job=run.job)] == ["hunt-started", "hunt-test", "hunt-repair"]
    again.undo()
    assert again.state.phase == "look"
    assert store.events(job=run.job)[-1].kind == "hunt-withdrawn"
    assert standing(hunts(store, clock).resume(run.job, DESIGN).state) == standing(again.state)


def test_a_refused_act_writes_nothing(store: Store, clock: Clock) -> None:
    run = begin(store, clock)
    before = len(store.events())
    with pytest.raises(JobError):
        run.act(TriedAgain(gone=True))
    assert len(store.events()) == before


def test_an_act_that_cannot_be_written_changes_nothing(store: Store, clock: Clock) -> None:
    run = begin(store, clock)
    state = run.state
    store.close()
    with pytest.raises(RecordError):
        run.act(TestAnswered(test="T1", outcome="bad"))
    assert run.state is state


def test_a_hunt_survives_a_change_of_its_model(store: Store, clock: Clock) -> None:
    run = begin(store, clock)
    run.act(TestAnswered(test="T1", outcome="bad"))
    again = hunts(store, clock).resume(run.job, DESIGN)
    assert model_text(again.state.model) == model_text(small_model())  # the library here knows no model at all
    assert model_text(read_model_text(model_text(small_model()))) == model_text(small_model())
    # A sign of an earlier version names one test; a field that this version does not know is passed over.
    older = model_text(small_model()).replace('"first":["T2"]', '"first":"T2","colour":"red"')
    assert read_model_text(older).signs[0].first == ("T2",)
    with pytest.raises(JobError, match="cannot be read"):
        read_model_text("[]")


def test_with_a_curtain_time_the_clock_counts(store: Store, clock: Clock) -> None:
    run = begin(store, clock, deadline_minutes=30)
    clock.forward(minutes=6)
    run.act(TestAnswered(test="T1", outcome="ok"))
    assert run.state.elapsed == pytest.approx(6.0)
    clock.forward(minutes=20)
    assert run.elapsed == pytest.approx(26.0)
    assert run.propose().kind in ("work-around", "close")


def test_open_hunts_are_listed_with_where_they_stand(store: Store, clock: Clock) -> None:
    run = begin(store, clock)
    [summary] = hunts(store, clock).open_hunts()
    assert (summary.job, summary.unit, summary.title) == (run.job, "0042", "Find the fault: fader F3")
    [row] = store.jobs(open_only=True)
    assert '"procedure_kind":"fault finding"' in row.glance
    assert "next: Test T1" in row.glance
    run.act(HuntClosed(result="not reproduced", conditions="cold, long lead"))
    assert hunts(store, clock).open_hunts() == ()


def test_confirmed_repairs_are_learnt_and_can_be_forgotten(store: Store, clock: Clock) -> None:
    run = begin(store, clock)
    run.act(RepairDone(repair="mend-c"))
    run.act(TriedAgain(gone=True))
    run.act(NeighboursTried(well=True))
    run.act(HuntClosed(result="fixed", fault="C"))
    later = begin(store, clock)
    assert later.state.started.weights is not None
    assert later.state.started.weights["C"] == pytest.approx((20 / 6 + 1) / 21)
    assert "1 confirmed repair on this design" in later.propose().suspects[0].source
    # What was learnt later does not change a hunt that is under way.
    assert hunts(store, clock).resume(run.job, DESIGN).state.started.weights is None
    hunts(store, clock).forget(DESIGN.id)
    assert begin(store, clock).state.started.weights is None


def test_a_close_that_was_taken_back_teaches_nothing(store: Store, clock: Clock) -> None:
    run = begin(store, clock)
    run.act(RepairDone(repair="mend-c"))
    run.act(TriedAgain(gone=True))
    run.act(NeighboursTried(well=True))
    run.act(HuntClosed(result="fixed", fault="C"))
    with pytest.raises(JobError, match="its end stands"):  # else it would be neither open nor closed
        run.undo()
    # An older version could take it back: such a record is read as it was meant.
    number = len(run.state.events) - 1
    store.append("hunt-withdrawn", unit="0042", job=run.job, data={"event": number, "why": ""})
    assert begin(store, clock).state.started.weights is None
    run = hunts(store, clock).resume(run.job, DESIGN)
    run.act(HuntClosed(result="fixed", fault="B"))
    learnt = {each.fault: each.here for each in hunts(store, clock).learnt(small_model(), DESIGN.id)}
    assert (learnt["B"], learnt["C"]) == (1, 0)


def test_a_hunt_that_leaves_a_short_inside_says_so_to_the_next_person(store: Store, clock: Clock) -> None:
    run = begin(store, clock, signs=("smells",))
    run.act(TestAnswered(test="T2", outcome="bad"))
    for result in ("fixed", "not reproduced"):
        with pytest.raises(JobError, match="short may still be inside"):
            run.act(HuntClosed(result=result))
    assert hunts(store, clock).resume(run.job, DESIGN).state.locks == ("T2",)
    run.act(HuntClosed(result="open", conditions="near the upper stop"))
    said = store.events(job=run.job)[-1].data["conditions"]
    assert said == "near the upper stop; a short may be inside, so no power before V+ to GND is healthy"
    # Whoever takes the unit up next measures first, whatever was noticed; then it is as any other unit.
    later = begin(store, clock)
    assert later.state.started.locked
    assert later.propose().why.startswith("Safety goes first. Another hunt on this unit has left a short inside")
    assert hunts(store, clock).short_left("0042")
    assert not hunts(store, clock).short_left("0043")
    later.act(TestAnswered(test="T2", outcome="ok"))
    assert later.state.locks == ()
    later.act(HuntClosed(result="not reproduced"))
    assert not begin(store, clock).state.locks


def test_a_short_in_a_hunt_that_was_put_aside_counts_for_the_next(store: Store, clock: Clock) -> None:
    aside = begin(store, clock, signs=("smells",))
    assert begin(store, clock).state.locks == ("T2",)
    aside.act(TestAnswered(test="T2", outcome="ok"))
    aside.act(HuntClosed(result="not reproduced"))


def test_a_neighbour_left_alone_is_an_open_hunt_of_the_unit(tmp_path: Path, clock: Clock) -> None:
    from benchtui.content.library import Library

    with Store.open(tmp_path / "beside.sqlite", clock=clock) as store:
        ours = Hunts(Library.open(), store, clock=clock)
        run = ours.start(DESIGN, model=ours.model("dead-input"), unit="0042", scope="control", subject="F3")
        run.act(RepairDone(repair="re-terminate"))
        run.act(TriedAgain(gone=True))
        run.act(NeighboursTried(well=False, which="F4", left=False))
        beside = run.begin_beside("F4")
        assert beside is not None
        assert {each.title for each in ours.open_hunts("0042")} == {
            "Find the fault: fader F3",
            "Find the fault: fader F4",
        }
        assert beside.state.started.words == "found after a repair on fader F3"
        assert run.begin_beside("another") is None


@pytest.mark.parametrize(
    ("repair", "touched"),
    [
        ("replace-control", {"F3"}),
        ("seat-connector", {"J1", "F1", "F3", "F8"}),
        ("replace-board", {"all"}),
        ("re-flow", {"F3"}),
        ("reload", {"none"}),
        ("other-lead", {"none"}),
    ],
)
def test_a_repair_writes_down_what_it_touched_whatever_was_hunted_on(
    tmp_path: Path, clock: Clock, repair: str, touched: set[str]
) -> None:
    # Another board is not about the fader that was hunted on: what was proven of all others is void with it.
    from benchtui.content.library import Library

    with Store.open(tmp_path / "touched.sqlite", clock=clock) as store:
        ours = Hunts(Library.open(), store, clock=clock)
        about: dict[str, Any] = {"scope": "control", "subject": "F3"} if repair != "other-lead" else {"scope": "unit"}
        run = ours.start(DESIGN, model=ours.model("dead-input"), unit="0042", **about)
        run.act(RepairDone(repair=repair))
        written = set(store.events(job=run.job)[-1].data["touched"])
        assert touched <= written
        assert len(touched) > 1 or touched == written


def test_what_a_repair_or_a_work_around_changes_besides_is_named_by_tests_that_there_are(
    tmp_path: Path, clock: Clock
) -> None:
    # Firmware loaded again touches no joint: the tests of the firmware are made again, and no other.
    from benchtui.content.library import Library

    library = Library.open()
    with Store.open(tmp_path / "voids.sqlite", clock=clock) as store:
        ours = Hunts(library, store, clock=clock)
        run = ours.start(DESIGN, model=ours.model("dead-input"), unit="0042", scope="control", subject="F3")
        run.act(RepairDone(repair="reload"))
        data = store.events(job=run.job)[-1].data
        assert (data["touched"], data["voids"]) == (["none"], ["checksum", "replug", "compare"])
        model = run.state.model
        named = {id for each in (*model.repairs, *model.workarounds) for id in each.voids}
    procedures = [library.procedure(entry.id) for entry in library.entries("procedure")]
    assert named <= {step.id for procedure in procedures for step in procedure.steps if step.required}


def test_a_work_around_writes_down_what_it_touched_where_the_model_says_so(tmp_path: Path, clock: Clock) -> None:
    from benchtui.content.library import Library

    with Store.open(tmp_path / "around.sqlite", clock=clock) as store:
        ours = Hunts(Library.open(), store, clock=clock)

        def closed(*acts: HuntEvent) -> tuple[object, object]:
            run = ours.start(DESIGN, model=ours.model("dead-input"), unit="0042", scope="control", subject="F3")
            for act in acts:
                run.act(act)
            run.act(HuntClosed(result="work-around", done="played on"))
            data = store.events(job=run.job)[-1].data
            return data.get("touched"), data.get("voids")

        assert closed(WorkaroundDone(workaround="spare-control"), TriedAgain(gone=True)) == (["none"], ["compare"])
        assert closed(WorkaroundDone(workaround="spare-control"), Withdrawn()) == ([], []), "it was taken back"
        assert closed() == ([], []), "nobody said which: it may have touched what was hunted on"


def test_a_repair_names_the_job_that_walked_through_it_and_no_other(tmp_path: Path, clock: Clock) -> None:
    from benchtui.content.library import Library

    with Store.open(tmp_path / "walked.sqlite", clock=clock) as store:
        ours = Hunts(Library.open(), store, clock=clock)
        run = ours.start(DESIGN, model=ours.model("dead-input"), unit="0042", scope="control", subject="F3")
        run.act(WalkOpened(procedure="replace-control", job="J1"))
        for repair in ("seat-connector", "replace-control"):
            run.act(RepairDone(repair=repair))
            run.act(TriedAgain(gone=False))
        for job, result in (("J2", "complete"), ("J3", "closed with open items")):
            run.act(WalkOpened(procedure="re-terminate", job=job))
            store.append("job-closed", job=job, data=JobClosed(result=result).to_data())
            run.act(RepairDone(repair="re-terminate"))
            run.act(TriedAgain(gone=False))
        done = [event.data["walked"] for event in store.events(job=run.job) if event.kind == "hunt-repair"]
        assert done[:3] == ["", "", "J2"], "the first job was walked for another repair than the one that was done"
        assert done[3] == "", "one that was closed short was not walked through: it was made by hand, after it"


def test_a_hunt_on_a_unit_that_was_good_to_go_and_a_repair_put_it_in_work_again(store: Store, clock: Clock) -> None:
    # ISO 9001, 8.7.1: what is found after the release is dealt with, and what was repaired is verified again.
    told = []

    def found_bad(unit: str, why: str) -> list[Draft]:
        told.append((unit, why))
        return [Draft(kind="unit-state", unit=unit, data={"state": "in work", "reason": why})]

    ours = Hunts(LIBRARY, store, clock=clock, found_bad=found_bad)
    run = ours.start(DESIGN, model=small_model(), unit="0042", scope="control", subject="F3", words="it jumps")
    begun = ("0042", "Find the fault: fader F3: it jumps")
    run.act(RepairDone(repair="mend-a", before=True))
    assert told == [begun]
    run.act(RepairDone(repair="mend-b"))
    assert told == [begun, ("0042", f"repaired: {run.state.layout.repairs[1].title}")]
    assert [event.kind for event in store.events(unit="0042")][-2:] == ["hunt-repair", "unit-state"]
    assert hunts(store, clock).resume(run.job, DESIGN).state.phase == "again"


def test_there_is_no_such_hunt(store: Store, clock: Clock) -> None:
    with pytest.raises(JobError, match="no fault finding"):
        hunts(store, clock).resume("H99999")
