"""Records of benches that went on apart and were merged: nothing that matters is lost, and no unit leaves undecided.

Rows H15 (21 CFR 11.10(e): nothing is obscured by a later entry) and I11 (ISO 9001:2015 8.6, 8.7: release, nonconforming
outputs): a defect, a failed reading or a rework counts, whichever bench wrote it and whatever the other did meanwhile.
"""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import IRON, full_plan, plan, step
from helpers.random_acts import next_act, plans

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.conflicts import evidence
from benchtui.jobs.missing import Needs
from benchtui.jobs.passport import passport
from benchtui.jobs.run_decisions import decide, withdraw
from benchtui.jobs.run_list import record_job
from benchtui.jobs.run_sitting import add_meter, sit_down
from benchtui.jobs.run_units import Units
from benchtui.jobs.sitting import MeterKnown
from benchtui.jobs.steps import Status
from benchtui.jobs.units import MOVES
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record.verify import verify
from benchtui.unit_states import following

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.plan import Plan
    from benchtui.jobs.run_job import Run

SMALL = plan(
    step("mount@F1"),
    full_plan().step("bank"),
    replace(full_plan().step("rail"), touches=("F1",)),
    step("label"),
    design_id="hollin-cue-desk",
)
UNIT = "HCD-001-R"


class Two:
    """A workshop and a touring laptop that begin with the same record: one unit, its job at the last step."""

    def __init__(self, folder: Path, *, measured: bool = True, plan_of: Plan = SMALL) -> None:
        self.clock, self.plan = Clock(), plan_of
        self.here = self.bench(folder / "workshop.sqlite")
        self.here.units.make("hollin-cue-desk")
        run = self.here.start("hollin-assembly", UNIT)
        run.act(ev.StepDone(step="mount@F1"))
        for key, typed in (("bank", "2.5"), ("rail", "3.3")) if measured else ():
            run.read(typed)
            run.act(ev.StepDone(step=key))
        self.job = run.job
        self.there = self.bench(folder / "touring.sqlite")
        merge(self.there.store, lines(self.here.store))

    def bench(self, file: Path) -> PlannedBench:
        bench = PlannedBench({"hollin-assembly": self.plan}, Store.open(file, clock=self.clock), self.clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one"),))  # type: ignore[method-assign]
        return bench

    def runs(self) -> tuple[Run, Run]:
        """The job, taken up at both benches."""
        ours, theirs = self.here.resume(self.job), self.there.resume(self.job)
        theirs.act(ev.Resumed())
        return ours, theirs

    def merged(self) -> PlannedBench:
        """Both take in the other's record, and tell the same; the workshop, started anew."""
        ours, theirs = list(lines(self.here.store)), list(lines(self.there.store))
        self.here.units.view(UNIT)  # what was kept of it before the import is of no use after it
        merge(self.here.store, theirs)
        merge(self.there.store, ours)
        assert list(lines(self.here.store)) == list(lines(self.there.store))
        assert self.here.units.view(UNIT) == self.there.units.view(UNIT) == Units(self.here.store).view(UNIT)
        assert verify(self.here.store) == ()
        bench = PlannedBench({"hollin-assembly": SMALL}, self.here.store, self.clock)
        bench.units.needs = self.here.units.needs  # type: ignore[method-assign]
        return bench


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Two]:
    both = Two(tmp_path)
    yield both
    both.here.store.close()
    both.there.store.close()


def finish(run: Run) -> None:
    run.act(ev.StepDone(step="label"))
    run.close()


@pytest.mark.parametrize("later", ["ours", "theirs"])
def test_a_defect_written_where_the_job_was_still_open_stands_though_it_was_closed_elsewhere(
    two: Two, later: str
) -> None:
    ours, theirs = two.runs()
    for _ in range(5):
        (ours if later == "ours" else theirs).act(ev.NoteAdded(text="looked at it"))
    finish(ours)
    theirs.act(ev.DefectFound(defect="D1", text="cracked lug on F1", subject="F1"))
    bench = two.merged()
    assert any("cracked lug on F1" in line for line in bench.units.missing(UNIT))
    with pytest.raises(JobError, match="is not ready"):
        bench.units.release(UNIT, by="me")
    assert bench.look(two.job).closed == "closed with open items"
    assert not [row for row in bench.store.jobs(open_only=True) if row.job == two.job]


def test_a_reading_that_failed_elsewhere_fails_the_step_that_passed_here(two: Two) -> None:
    ours, theirs = two.runs()
    theirs.act(ev.StepReopened(step="bank", reason="F1 was exchanged"))
    theirs.read("1.5k", reason="exchanged")
    ours.act(ev.StepReopened(step="bank", reason="moved"))
    ours.read("2.4k", reason="moved")
    ours.act(ev.StepDone(step="bank"))
    finish(ours)
    bench = two.merged()
    known = bench.look(two.job)["bank"]
    assert {reading.typed for reading in known.readings} == {"2.5", "2.4k", "1.5k"}
    assert known.status is Status.FAILED
    assert bench.units.missing(UNIT)


@pytest.mark.parametrize("typed", ["1.5k", "2.4k"])
def test_a_step_measured_at_both_benches_keeps_both_readings_and_the_failed_one_counts(
    tmp_path: Path, typed: str
) -> None:
    two = Two(tmp_path, measured=False)
    ours, theirs = two.runs()
    ours.read("2.5")
    ours.act(ev.StepDone(step="bank"))
    for _ in range(3):
        theirs.act(ev.NoteAdded(text="later"))
    theirs.read(typed)
    bench = two.merged()
    known = bench.look(two.job)["bank"]
    assert {reading.typed for reading in known.readings} == {"2.5", typed}
    assert known.status is (Status.FAILED if typed == "1.5k" else Status.DONE)
    assert known.reading is not None
    assert known.reading.verdict == ("fail" if typed == "1.5k" else "pass")
    assert bool(bench.units.view(UNIT).conflicts) is (typed == "1.5k"), "two that passed are no conflict"
    for each in (two.here, two.there):
        each.store.close()


def test_what_was_reworked_at_both_benches_voids_its_tests_each_time(two: Two) -> None:
    run = two.here.resume(two.job)
    run.act(ev.DefectFound(defect="D1", text="cold joint", subject="F1"))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="cold"))
    merge(two.there.store, lines(two.here.store))
    ours, theirs = two.runs()
    for each in (ours, theirs):
        each.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", attempts=4))
    for _ in range(4):
        ours.act(ev.NoteAdded(text="heats up"))
    ours.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    for key, typed in (("bank", "2.5"), ("rail", "3.3")):
        ours.read(typed)
        ours.act(ev.StepDone(step=key))
    for _ in range(12):
        theirs.act(ev.NoteAdded(text="cools down"))
    theirs.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    state = two.merged().look(two.job)
    assert state["rail"].status is Status.REOPENED
    assert state.joints == {"F1 lug 2": (2, 4)}


def test_a_defect_and_a_failed_reading_at_a_step_that_an_edit_took_out_elsewhere_are_kept(tmp_path: Path) -> None:
    two = Two(tmp_path, measured=False)
    ours, theirs = two.runs()
    without = replace(
        plan(*(each for each in SMALL.steps if each.key != "bank"), design_id=SMALL.design_id), revision=2
    )
    ours.move_to(without, reason="bank is measured later")
    for _ in range(3):
        theirs.act(ev.NoteAdded(text="later"))
    theirs.read("1.5k")
    theirs.act(ev.DefectFound(defect="D1", text="F1 reads low", step="bank"))
    bench = two.merged()
    state = bench.look(two.job)
    assert [defect.text for defect in state.defects.values()] == ["F1 reads low"]
    assert [reading.typed for reading in state.gone["bank"].known.readings] == ["1.5k"]
    assert any("F1 reads low" in line for line in bench.units.missing(UNIT))
    for each in (two.here, two.there):
        each.store.close()


def test_a_signature_does_not_stand_over_a_reading_that_failed_elsewhere(tmp_path: Path) -> None:
    signed = plan(*SMALL.steps[:2], step("ready", "sign"), step("label"), design_id=SMALL.design_id)
    two = Two(tmp_path, measured=False, plan_of=signed)
    ours, theirs = two.runs()
    ours.read("2.5")
    ours.act(ev.StepDone(step="bank"))
    ours.act(ev.SignedOff(step="ready", name="me", meaning="did"))
    ours.act(ev.StepDone(step="ready"))
    for _ in range(6):
        theirs.act(ev.NoteAdded(text="later"))
    theirs.read("1.5k")
    assert two.merged().look(two.job)["ready"].status is Status.REOPENED
    for each in (two.here, two.there):
        each.store.close()


def test_two_defects_of_one_number_are_both_kept_and_decided_each_by_its_own(two: Two) -> None:
    ours, theirs = two.runs()
    ours.act(ev.DefectFound(defect="D1", text="scratch", subject="F1"))
    ours.act(ev.DispositionGiven(defect="D1", disposition="use as is", reason="under the cap"))
    theirs.act(ev.DefectFound(defect="D1", text="cracked lug", subject="F1"))
    rework = plan(step("heat@F1"), id="re", procedure_kind="rework")
    two.there.plans["re"] = rework
    view = two.there.units.view(UNIT)
    job = two.there.start("re", UNIT, subject="F1", defect=(view.defects[0].id, "cracked lug"))
    bench = two.merged()
    defects = bench.look(two.job).defects
    assert {(defect.text, defect.status) for defect in defects.values()} == {
        ("scratch", "accepted"),
        ("cracked lug", "found"),
    }
    assert all(name.startswith("D1-") for name in defects)
    assert [defect.text for defect in bench.units.view(UNIT).defects] == ["cracked lug"]
    bench.plans["re"] = rework
    again = bench.resume(job.job)
    again.act(ev.Resumed())
    name = next(iter(again.state.defects))
    again.act(ev.ReworkStarted(defect=name))
    again.act(ev.ReworkDone(defect=name, touched=("F1",)))
    again.act(ev.StepDone(step="heat@F1"))
    again.close()
    assert bench.units.view(UNIT).defects == (), "the rework puts right the one it was opened for"
    assert bench.units.view(UNIT).conflicts == ()


def test_a_rework_done_elsewhere_voids_the_tests_though_the_defect_was_let_be_here(two: Two) -> None:
    run = two.here.resume(two.job)
    run.act(ev.DefectFound(defect="D1", text="cold joint", subject="F1"))
    merge(two.there.store, lines(two.here.store))
    ours, theirs = two.runs()
    ours.act(ev.DispositionGiven(defect="D1", disposition="use as is", reason="it holds"))
    theirs.act(ev.NoteAdded(text="later"))
    theirs.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="cold"))
    theirs.act(ev.ReworkStarted(defect="D1", joint="F1 lug 2", attempts=4))
    theirs.act(ev.ReworkDone(defect="D1", touched=("F1",)))
    bench = two.merged()
    state = bench.look(two.job)
    assert state["rail"].status is Status.REOPENED
    assert state.joints == {"F1 lug 2": (1, 4)}
    assert {conflict.about for conflict in bench.units.view(UNIT).conflicts} == {"D1"}


@pytest.mark.parametrize("looks", [1, 4, 9])
def test_a_job_that_was_only_looked_at_and_put_aside_at_one_bench_is_no_ground_for_conflicts(
    tmp_path: Path, looks: int
) -> None:
    hot = plan(step("mount@F1"), *(step(f"solder@F{n}", cautions=(IRON,)) for n in range(1, 5)), step("label"))
    two = Two(tmp_path, measured=False, plan_of=hot)
    ours, theirs = two.runs()
    for n in range(1, 5):
        if n in (1, 3):  # read once, and it holds until the work is taken up again
            for caution in ours.state.unread(f"solder@F{n}"):
                ours.acknowledge(caution, step=f"solder@F{n}")
        ours.act(ev.StepDone(step=f"solder@F{n}"))
    for _ in range(looks):
        theirs.suspend()
        theirs.act(ev.Resumed(identify=True))
    theirs.suspend()
    finish(ours)
    bench = two.merged()
    folded = record_job(bench.store, two.job)
    assert [each for each in folded.conflicts if each.matters] == []
    assert folded.state.closed == "complete"
    assert bench.units.missing(UNIT) == ()
    for each in (two.here, two.there):
        each.store.close()


def test_a_conflict_says_what_one_bench_wrote_and_what_the_other_had(tmp_path: Path) -> None:
    two = Two(tmp_path, measured=False)
    ours, theirs = two.runs()
    ours.read("2.5")
    ours.act(ev.StepDone(step="bank"))
    for _ in range(4):
        theirs.act(ev.NoteAdded(text="later"))
    theirs.act(ev.StepFailed(step="bank", reason="lug 2 of F1 lifted"))
    (found,) = two.merged().units.view(UNIT).conflicts
    assert found.text == (
        f"2031-03-01 09:00, job {two.job}: One bench wrote: step 2 (measure bank), it is not so: lug 2 of F1 lifted. "
        "The other bench had marked this step done with the reading 2.5, pass, not knowing of this. "
        "It is kept, and the step stands as failed now."
    )
    for each in (two.here, two.there):
        each.store.close()


@pytest.mark.parametrize("careful", ["scrapped", "held"])
@pytest.mark.parametrize("first", [True, False])
def test_what_one_bench_scraps_or_holds_the_other_does_not_release(two: Two, careful: str, first: bool) -> None:
    finish(two.runs()[0])
    merge(two.there.store, lines(two.here.store))
    benches = (two.here, two.there) if first else (two.there, two.here)
    benches[0].units.set_state(UNIT, careful, reason="panel cracked")
    benches[1].units.release(UNIT, by="me")
    bench = two.merged()
    view = bench.units.view(UNIT)
    assert view.state == careful
    assert bench.store.units()[0].state == careful
    assert all(conflict.kind == "unit-state" for conflict in view.conflicts)
    with pytest.raises(JobError):
        bench.units.release(UNIT, by="me")


def test_a_state_that_does_not_follow_is_named_and_blocks_until_it_is_decided(two: Two) -> None:
    finish(two.runs()[0])
    merge(two.there.store, lines(two.here.store))
    two.here.units.set_state(UNIT, "held", reason="panel cracked")
    two.there.store.append("note", unit=UNIT, data={"text": "one entry later"})
    two.there.units.set_state(UNIT, "accepted")
    bench = two.merged()
    found = bench.units.view(UNIT).conflicts
    held = "one bench wrote that it is held on 2031-03-01 at 09:00, because: panel cracked"
    accepted = "another bench, not knowing of it, wrote that it is accepted on 2031-03-01 at 09:00"
    assert [each.message for each in found] == [f"{held}; {accepted}: look at the unit, and say what is so"]
    bench.units.set_state(UNIT, "in work", reason="the crack is in the film only")
    assert any("because: panel cracked" in line for line in bench.units.missing(UNIT))
    decide(bench.units, UNIT, found[0].id, reason="the crack is in the film only", by="me")
    assert bench.units.release(UNIT, by="me").data["state"] == "released"


def test_one_serial_number_given_at_two_benches_keeps_the_unit_until_it_is_decided(tmp_path: Path) -> None:
    clock = Clock()
    with Store.open(tmp_path / "a.sqlite", clock=clock) as a, Store.open(tmp_path / "b.sqlite", clock=clock) as b:
        benches = [PlannedBench({"hollin-assembly": SMALL}, store, clock) for store in (a, b)]
        assert {bench.units.make("hollin-cue-desk") for bench in benches} == {UNIT}
        merge(b, lines(a))
        units = benches[1].units
        assert units.missing(UNIT) == (
            "two benches disagree, and it has to be decided: 2031-03-01 09:00: "
            "HCD-001-R was given at two benches: is it one unit, or are they two?",
        )
        conflict = units.view(UNIT).conflicts[0].id
        for reason, by, words in (("", "me", "a reason"), ("one", " ", "a name")):
            with pytest.raises(JobError, match=words):
                decide(units, UNIT, conflict, reason=reason, by=by)
        for reason in ("two desks", "They are two: one stands on each bench."):
            with pytest.raises(JobError, match=r"are parted, not decided on.*benchtui record part HCD-001-R"):
                decide(units, UNIT, conflict, reason=reason, by="me")
        with pytest.raises(JobError, match="one unit, or they are two"):
            decide(units, UNIT, conflict, reason="entered again", by="me")
        assert [each.id for each in units.view(UNIT).conflicts] == [conflict], "it stands until it is one"
        with pytest.raises(JobError, match="no conflict 'x'"):
            decide(units, UNIT, "x", reason="one", by="me")
        decide(units, UNIT, conflict, reason="one desk, entered twice", by="me")
        assert units.missing(UNIT) == ()
        view = units.view(UNIT)
        assert "one desk, entered twice (decided by me)" in view.decisions[0]
        assert view.concessions == (), "a decision is no departure from the design"
        page = "\n".join(passport(view))
        assert "one desk, entered twice" in page.partition("## Decisions where two benches disagreed")[2]
        assert "## Agreed departures from the design\n\nnone" in page
        merge(a, lines(b))
        assert benches[0].units.missing(UNIT) == ()


def held_here_accepted_there(two: Two) -> None:
    finish(two.runs()[0])
    merge(two.there.store, lines(two.here.store))
    two.here.units.set_state(UNIT, "held", reason="panel cracked")
    two.there.store.append("note", unit=UNIT, data={"text": "one entry later"})
    two.there.units.set_state(UNIT, "accepted")


def test_a_decision_that_was_wrong_is_withdrawn_and_stays_to_be_seen(two: Two) -> None:
    # 21 CFR 11.10(e): what was written stays; ISO 9001:2015 8.7.1: the unit is not good to go by it any more.
    held_here_accepted_there(two)
    bench = two.merged()
    units = bench.units
    conflict = units.view(UNIT).conflicts[0].id
    units.set_state(UNIT, "in work", reason="the crack is in the film only")
    decide(units, UNIT, conflict, reason="the film only", by="me")
    units.release(UNIT, by="me")
    (decision,) = units.view(UNIT).decided
    for reason, by, words in (("", "me", "a reason"), ("cracked", " ", "a name")):
        with pytest.raises(JobError, match=words):
            withdraw(units, UNIT, decision, reason=reason, by=by)
    with pytest.raises(JobError, match="no decision 'x'"):
        withdraw(units, UNIT, "x", reason="cracked", by="me")
    assert units.view(UNIT).state == "released"
    withdraw(units, UNIT, decision, reason="the panel is cracked", by="you")
    view = units.view(UNIT)
    assert view.state == "in work", "it is not good to go by what is no longer so"
    assert [each.id for each in view.conflicts] == [conflict]
    assert any("has to be decided" in line for line in units.missing(UNIT))
    assert view.decisions[0].endswith("the film only (decided by me); withdrawn: the panel is cracked (you)")
    assert view.decisions[0] in "\n".join(passport(view))
    with pytest.raises(JobError, match="withdrawn already: the panel is cracked"):
        withdraw(units, UNIT, decision, reason="again", by="you")
    decide(units, UNIT, conflict, reason="a new panel is in", by="you")
    assert units.view(UNIT).conflicts == ()
    assert len(units.view(UNIT).decisions) == 2


@pytest.mark.parametrize("first", ["here", "there"])
def test_a_decision_withdrawn_at_one_bench_is_withdrawn_at_the_other_and_one_made_there_stands(
    two: Two, first: str
) -> None:
    held_here_accepted_there(two)
    two.merged()
    conflict = two.here.units.view(UNIT).conflicts[0].id
    decide(two.here.units, UNIT, conflict, reason="the film only", by="me")
    merge(two.there.store, lines(two.here.store))
    (decision,) = two.there.units.view(UNIT).decided
    one, other = (two.here, two.there) if first == "here" else (two.there, two.here)
    withdraw(one.units, UNIT, decision, reason="cracked through", by="me")
    other.store.append("note", unit=UNIT, data={"text": "meanwhile"})
    two.merged()
    assert [each.id for each in two.here.units.view(UNIT).conflicts] == [conflict]
    # Both decide it, each by itself, and one of them was wrong: the other decision still stands.
    for bench in (one, other):
        decide(bench.units, UNIT, conflict, reason=f"seen by {bench is one}", by="me")
    two.merged()
    newest = list(two.here.units.view(UNIT).decided)[-1]
    withdraw(one.units, UNIT, newest, reason="a slip", by="me")
    two.merged()
    assert two.here.units.view(UNIT).conflicts == ()


def test_a_decision_about_a_job_is_withdrawn_for_the_job_as_well(two: Two) -> None:
    ours, theirs = two.runs()
    ours.act(ev.StepNotApplicable(step="label", reason="no label"))
    theirs.act(ev.StepFailed(step="label", reason="crooked"))
    bench = two.merged()
    (conflict,) = bench.units.view(UNIT).conflicts
    decide(bench.units, UNIT, conflict.id, reason="it is straight", by="me")
    assert record_job(bench.store, two.job).conflicts == ()
    (decision,) = bench.units.view(UNIT).decided
    withdraw(bench.units, UNIT, decision, reason="it is crooked", by="me")
    assert [each.id for each in record_job(bench.store, two.job).conflicts] == [conflict.id]


def test_a_release_that_did_not_know_of_the_other_bench_is_named(two: Two) -> None:
    ours, theirs = two.runs()
    theirs.act(ev.NoteAdded(text="F1 sticks"))
    finish(ours)
    two.here.units.release(UNIT, by="me")
    bench = two.merged()
    assert ["was let go (released)" in conflict.message for conflict in bench.units.view(UNIT).conflicts] == [True]
    released = bench.store.events(unit=UNIT, kinds=["unit-state"])[-1]
    decide(bench.units, UNIT, released.id, reason="tried it: it does not stick", by="me")
    assert bench.units.view(UNIT).conflicts == ()


def test_a_release_names_the_evidence_it_rests_on(two: Two) -> None:
    # Row I12 (ISO 9001:2015 8.6: evidence of conformity): the digest covers every entry about the unit, and no other.
    finish(two.here.resume(two.job))
    before = [event.digest for event in two.here.store.events(unit=UNIT)]
    two.here.store.append("note", unit="HCD-002-M", data={"text": "another desk"})
    signed = two.here.units.release(UNIT, by="me")
    assert signed.data["evidence"] == evidence(before)
    assert evidence(before) != evidence(before[:-1])
    assert two.here.units.view(UNIT).conflicts == ()


@pytest.mark.parametrize("before", MOVES)
def test_states_follow_their_moves_and_the_careful_one_stands(before: str) -> None:
    for wanted in MOVES:
        if not wanted:
            continue
        state, fits = following(before, wanted)
        assert fits == (not before or wanted == before or wanted in MOVES[before])
        assert state == wanted if fits else state in (before, "held")
        if wanted == "scrapped" or before == "scrapped":
            assert state == "scrapped"
        elif wanted == "held":
            assert state == "held"
    assert following(before, "sold") == (before, False)


def test_one_bench_alone_has_no_conflicts(two: Two) -> None:
    run = two.here.resume(two.job)
    finish(run)
    two.here.units.release(UNIT, by="me")
    assert record_job(two.here.store, two.job).conflicts == ()
    assert two.here.units.view(UNIT).conflicts == ()


# -- anything at all, at three benches -------------------------------------------------------------------------------


def walk(bench: PlannedBench, job: str, rng: Random, acts: int) -> None:
    run, editions = bench.resume(job), plans("any")
    for _ in range(acts):
        event, moved_to = next_act(run.state, editions, rng)
        try:
            if rng.random() < 0.06:
                bench.units.set_state(UNIT, rng.choice(["in work", "held", "accepted", "scrapped"]), reason="because")
            run.act(event, plan=moved_to)
        except JobError:
            continue


@pytest.mark.parametrize("seed", [*range(3), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(3, 150))])
def test_whatever_three_benches_did_nothing_is_lost_and_they_come_to_the_same(tmp_path: Path, seed: int) -> None:
    rng, clock = Random(seed), Clock()

    def opened(name: str) -> PlannedBench:
        return PlannedBench({"hollin-assembly": plans("any")[0]}, Store.open(tmp_path / name, clock=clock), clock)

    first = opened("0.sqlite")
    job = first.start("hollin-assembly", UNIT).job
    walk(first, job, rng, 25)
    exports = []
    for number in range(1, 4):
        bench = opened(f"{number}.sqlite")
        merge(bench.store, lines(first.store))
        walk(bench, job, rng, 25)
        exports.append(list(lines(bench.store)))
        bench.store.close()
    first.store.close()

    outcomes = []
    for number, order in enumerate(itertools.permutations(exports)):
        bench = opened(f"merged-{number}.sqlite")
        for export in order:
            merge(bench.store, export)
        outcomes.append((list(lines(bench.store)), bench.units.view(UNIT), record_job(bench.store, job)))
        kept(bench, job)
        bench.store.close()
    assert all(outcome == outcomes[0] for outcome in outcomes)


def kept(bench: PlannedBench, job: str) -> None:
    """What must be true of a record whatever was merged into it."""
    events = bench.store.events(job=job)
    state, view = bench.look(job), bench.units.view(UNIT)
    named = {conflict.id for conflict in view.conflicts}
    found = [event for event in events if event.kind == "defect"]
    assert len(state.defects) == len(found), "a defect was lost"
    assert Counter(defect.text for defect in state.defects.values()) == Counter(event.data["text"] for event in found)
    readings = Counter(reading.typed for _, known in state.every() for reading in known.readings)
    for event in events:
        if event.kind == "reading" and event.data["verdict"] == "fail":
            assert readings[event.data["typed"]] or event.id in named, "a failed reading was lost"
    for defect in state.defects.values():
        assert defect.status in ("accepted", "reworked") or any(
            defect.text in line for line in bench.units.missing(UNIT)
        )
    assert sum(times for times, _ in state.joints.values()) <= sum(event.kind == "rework-started" for event in events)
    if state.closed == "complete":
        assert state.open_items() == ()
    for _, known in state.every():
        if known.status is Status.DONE and known.readings:
            assert known.readings[-1].verdict != "fail", "a step is done on a failed reading"
    legal = ""
    for event in bench.store.events(unit=UNIT, kinds=["unit-state"]):
        legal, _ = following(legal, event.data["state"])
    assert view.state == legal == bench.store.units()[0].state
    if view.conflicts:
        with pytest.raises(JobError):
            bench.units.release(UNIT, by="me")


def test_a_conflict_names_the_bench_by_what_it_said_of_itself(tmp_path: Path) -> None:
    two = Two(tmp_path, measured=False)
    sit_down(two.there, place="the tour case", name="the second builder")
    ours, theirs = two.runs()
    ours.read("2.5")
    ours.act(ev.StepDone(step="bank"))
    for _ in range(4):
        theirs.act(ev.NoteAdded(text="later"))
    theirs.act(ev.StepFailed(step="bank", reason="lug 2 of F1 lifted"))
    (found,) = two.merged().units.view(UNIT).conflicts
    assert ": The bench of the second builder at the tour case wrote: step 2 (measure bank), it is not so" in found.text
    for each in (two.here, two.there):
        each.store.close()


def test_a_decision_is_withdrawn_by_what_it_was_about_as_well(two: Two) -> None:
    held_here_accepted_there(two)
    units = two.merged().units
    conflict = units.view(UNIT).conflicts[0].id
    decide(units, UNIT, conflict, reason="the film only", by="me")
    assert not units.view(UNIT).conflicts
    withdraw(units, UNIT, conflict, reason="the panel is cracked", by="you")
    assert [each.id for each in units.view(UNIT).conflicts] == [conflict]
    with pytest.raises(JobError, match="no decision"):
        withdraw(units, UNIT, conflict, reason="again", by="you")


def test_choosing_a_meter_leaves_the_bench_its_name(two: Two) -> None:
    add_meter(two.here.store, MeterKnown(id="blue"))
    sit_down(two.here, place="the workshop", name="the first builder")
    sitting = sit_down(two.here, meter="blue")
    assert (sitting.place, sitting.name) == ("the workshop", "the first builder")
