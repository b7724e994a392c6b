"""Jobs on a record: written first, folded after, and found again as they were."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan, step

from benchtui.errors import JobError, RecordError
from benchtui.jobs import events as ev
from benchtui.jobs.glance import glance_text, is_stale, summarise
from benchtui.jobs.plan_text import plan_text, read_plan
from benchtui.jobs.run import record_job
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.steps import Status
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record_command import main as record_main

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")  # so that the frozen clock is what counts
    return Clock()


@pytest.fixture
def store(tmp_path: Path, clock: Clock) -> Iterator[Store]:
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield store


@pytest.fixture
def bench(store: Store, clock: Clock) -> PlannedBench:
    return PlannedBench({"hollin-assembly": full_plan()}, store, clock)


def again(bench: PlannedBench) -> PlannedBench:
    """The bench as a program started anew would have it."""
    return PlannedBench(bench.plans, bench.store, bench.clock)  # type: ignore[arg-type]


def test_a_plan_survives_the_way_through_the_record() -> None:
    assert read_plan(plan_text(full_plan())) == full_plan()
    with pytest.raises(JobError, match="cannot be read"):
        read_plan("[]")


def test_a_plan_that_a_step_was_taken_out_of_is_numbered_anew(bench: PlannedBench) -> None:
    # Each step has one number, by which every sentence names it, and the one before it is done first.
    whole = plan(step("a"), step("b"), step("c"), design_id="hollin-cue-desk")
    run = bench.open(replace(whole, steps=whole.steps[1:]), "HCD-001-R")
    assert [(each.key, each.number) for each in run.plan.steps] == [("b", 1), ("c", 2)]
    assert again(bench).resume(run.job).plan == run.plan
    with pytest.raises(JobError, match="step 1 comes first"):
        run.act(ev.StepDone(step="c"))
    run.act(ev.StepDone(step="b"))
    run.act(ev.StepDone(step="c"))
    assert whole.numbered() is whole


def test_fields_of_a_newer_version_are_passed_over() -> None:
    text = plan_text(full_plan()).replace('"id":"hollin-assembly"', '"id":"hollin-assembly","moods":["blue"]')
    assert read_plan(text) == full_plan()


def test_what_is_done_is_found_again_by_a_program_started_anew(bench: PlannedBench, clock: Clock) -> None:
    run = bench.start("hollin-assembly", "HCD-001-A")
    run.act(ev.StepDone(step="lay-out"))
    run.act(ev.StepBegun(step="wipe"))
    clock.forward(hours=30)
    found = again(bench).resume(run.job)
    assert found.away.total_seconds() == 30 * 3600
    assert found.state.suspended is not None
    assert found.state.suspended.forced
    assert replace(found.state, suspended=None, last=run.state.last, trail=run.state.trail) == run.state


def test_a_refused_act_leaves_no_trace(bench: PlannedBench) -> None:
    run = bench.start("hollin-assembly", "HCD-001-A")
    before, events = run.state, bench.store.events()
    with pytest.raises(JobError):
        run.act(ev.StepDone(step="wipe"))
    assert run.state is before
    assert bench.store.events() == events


def test_an_act_that_cannot_be_written_changes_nothing(bench: PlannedBench, monkeypatch: pytest.MonkeyPatch) -> None:
    run = bench.start("hollin-assembly", "HCD-001-A")
    before = run.state
    monkeypatch.setattr(bench.store, "append_all", _full)
    with pytest.raises(RecordError, match="the disk is full"):
        run.act(ev.StepDone(step="lay-out"))
    assert run.state is before


def _full(*_: object, **__: object) -> None:
    raise RecordError("the disk is full")


def test_a_job_keeps_its_text_when_the_procedure_is_edited(bench: PlannedBench) -> None:
    # Row A2 (S1000D identification; ISO 9001 8.5.6).
    run = bench.start("hollin-assembly", "HCD-001-A")
    assert run.newer() is None
    bench.plans["hollin-assembly"] = replace(
        full_plan(revision=2), steps=tuple(replace(s, text=s.text.upper()) for s in full_plan().steps)
    )
    found = again(bench).resume(run.job)
    assert found.plan == full_plan()
    newer = found.newer()
    assert newer is not None
    assert "lay-out" in newer[1].changed


def test_a_job_moves_to_a_newer_text_and_changed_done_steps_open_again(bench: PlannedBench) -> None:
    # Row A3 (AS9102 4.6; ISO 9001 8.5.6).
    run = bench.start("hollin-assembly", "HCD-001-A")
    run.act(ev.StepDone(step="lay-out"))
    run.act(ev.StepDone(step="wipe"))
    old = full_plan()
    steps = [replace(old.step("wipe"), text="wipe with a dry cloth"), old.step("lay-out"), step("tape"), *old.steps[2:]]
    newer = plan(*steps, revision=2)
    with pytest.raises(JobError, match="this needs a reason"):
        run.move_to(newer, reason="")
    run.move_to(newer, reason="the old text scratched a panel")
    assert run.state["wipe"].status is Status.REOPENED
    assert run.state["lay-out"].status is Status.DONE
    assert run.state["tape"].status is Status.OPEN
    assert run.plan.revision == 2
    found = again(bench).resume(run.job)
    assert found.plan == newer
    moved = bench.store.events(kinds=["revision-moved"])[0]
    assert moved.data["reason"] == "the old text scratched a panel"
    assert moved.data["reopened"] == ["wipe"]


def test_how_long_a_called_procedure_takes_opens_nothing_again(bench: PlannedBench) -> None:
    old = plan(step("go", "call", call="inner"), step("last"), id="hollin-assembly")
    old = replace(old, steps=(replace(old.steps[0], text="Go to: Inner. It takes about 5 min."), old.steps[1]))
    newer = replace(old, revision=2, steps=(replace(old.steps[0], text="It takes about 9 min.", tries=3), old.steps[1]))
    bench.plans |= {"hollin-assembly": old, "inner": plan(step("look"), id="inner")}
    run = bench.start("hollin-assembly", "HCD-001-A")
    inner = bench.call(run, "go")
    inner.act(ev.StepDone(step="look"))
    inner.close()
    run.act(ev.CallReturned(step="go", called=inner.job, result="complete"))
    run.act(ev.StepDone(step="go"))
    run.move_to(newer, reason="another revision of what it calls")
    assert run.state["go"].status is Status.DONE


def test_lists_show_each_job_in_one_line(bench: PlannedBench, clock: Clock) -> None:
    # Row C19 (NUREG-0700): several jobs, each with its state and age.
    first = bench.start("hollin-assembly", "HCD-001-A")
    first.act(ev.StepDone(step="lay-out"))
    clock.forward(days=3)
    second = bench.start("hollin-assembly", "HCD-002-C")
    second.suspend(next_act="wipe the panel")
    jobs = again(bench).open_jobs()
    assert [(job.unit, job.settled, job.of, job.suspended) for job in jobs] == [
        ("HCD-002-C", 0, 11, True),
        ("HCD-001-A", 1, 11, False),
    ]
    assert jobs[0].next_act == "wipe the panel"
    assert jobs[1].text == "do wipe"
    assert jobs[1].last.startswith("2031-03-01T09:00")
    bench.store.connection.execute("UPDATE job SET glance = ''")
    assert again(bench).open_jobs() == jobs, "a line that is not kept is worked out from the events"
    assert glance_text(first.state)
    assert summarise(first.state).number == 2


def test_a_reading_goes_through_its_question(bench: PlannedBench) -> None:
    bench.plans["hollin-assembly"] = plan(full_plan().step("rail"), step("last"))
    run = bench.start("hollin-assembly", "HCD-001-A")
    question = run.question("3300")
    assert "a thousand times more" in question
    with pytest.raises(JobError):
        run.read("3300")
    run.read("3300", asked=question)
    assert run.state["rail"].status is Status.FAILED
    run.read("3.3", reason="typed mV for V")
    run.act(ev.StepDone(step="rail"))
    events = bench.store.events(kinds=["reading"])
    assert [event.data["typed"] for event in events] == ["3300", "3.3"]
    assert events[0].data["value"] == 3300.0


def test_a_wait_goes_on_while_the_program_is_shut(bench: PlannedBench, clock: Clock) -> None:
    # Row C13 (J-STD-001 process control).
    bench.plans["hollin-assembly"] = plan(step("cure", "wait", seconds=3600.0))
    run = bench.start("hollin-assembly", "HCD-001-A")
    assert run.left_to_wait() is None
    run.start_wait()
    clock.forward(minutes=25)
    found = again(bench).resume(run.job)
    assert found.left_to_wait(step="cure") == 35 * 60
    found.act(ev.Resumed())
    with pytest.raises(JobError, match="this needs a reason"):
        found.end_wait()
    clock.forward(minutes=35)
    found.end_wait()
    found.act(ev.StepDone(step="cure"))
    assert found.state.finished


def test_suspending_takes_one_key_and_twice_is_harmless(bench: PlannedBench) -> None:
    run = bench.start("hollin-assembly", "HCD-001-A")
    run.suspend()
    run.suspend(forced=True)
    assert len(bench.store.events(kinds=["suspended"])) == 1


def test_an_act_entered_later_carries_both_times(bench: PlannedBench) -> None:
    # Row H8 (ALCOA contemporaneous).
    run = bench.start("hollin-assembly", "HCD-001-A")
    run.act(ev.StepDone(step="lay-out"), happened="2031-02-28T20:15:00+01:00")
    event = bench.store.events(kinds=["step-done"])[0]
    assert event.data["happened"] == "2031-02-28T20:15:00+01:00"
    assert event.time == "2031-03-01T09:00:00.000+01:00"


def test_a_called_procedure_is_about_what_the_calling_step_is_about(bench: PlannedBench) -> None:
    bench.plans["caller"] = plan(step("crimp@F1", "call", call="crimp"), step("seat"), id="caller")
    bench.plans["crimp"] = plan(step("strip"), id="crimp")
    run = bench.start("caller", "HCD-001-A")
    called = bench.start("crimp", run.unit, caller=(run.job, "crimp@F1"))
    assert bench.store.events(job=called.job)[0].data["subject"] == "F1"
    assert called.state.caller == run.job


def test_calls_three_deep_know_the_way_back_and_an_old_job_is_named(bench: PlannedBench, clock: Clock) -> None:
    # Rows C18 and C19 (S1000D linking; DOE; NUREG-0700).
    for name, called in (("one", "two"), ("two", "three"), ("three", "four"), ("four", "")):
        bench.plans[name] = plan(
            step("first"), step("go", "call" if called else "do", call=called), id=name, title=name
        )
    run = bench.start("one", "HCD-001-R")
    for called in ("two", "three", "four"):
        run.act(ev.StepDone(step="first"))
        inner = bench.start(called, run.unit, caller=(run.job, "go"))
        run.act(ev.CallOpened(step="go", called=inner.job))
        run = inner
    assert [(number, title) for _, number, title in bench.stack(run)] == [(2, "one"), (2, "two"), (2, "three")]
    while run.state.caller:
        outer = bench.resume(run.state.caller)
        if run.current() == run.plan.step("first"):
            run.act(ev.StepDone(step="first"))
        run.act(ev.StepDone(step="go"))
        run.close()
        outer.act(ev.CallReturned(step="go", called=run.job, result=run.state.closed))
        assert outer.current() == outer.plan.step("go")
        run = outer
    assert not is_stale(bench.open_jobs()[0], clock.now)
    clock.forward(days=15)
    assert is_stale(bench.open_jobs()[0], clock.now)


def test_a_call_is_opened_with_its_job_in_one_stroke_and_found_again_after_a_kill(bench: PlannedBench) -> None:
    # Row H4 (ALCOA enduring): no kill leaves a job that nothing leads back to.
    bench.plans["outer"] = plan(step("go", "call", call="inner"), step("last"), id="outer")
    bench.plans["inner"] = plan(step("only"), id="inner")
    run = bench.start("outer", "HCD-001-R")
    before = bench.store.events()[-1].seq
    inner = bench.call(run, "go")
    written = bench.store.events(after=before)
    assert [event.kind for event in written] == ["job-started", "call-opened"]
    assert len({event.time for event in written}) == 1
    assert bench.call(run, "go") is inner, "it is open already"
    inner.act(ev.StepDone(step="only"))
    inner.close()
    # Killed here: the job that called was never told.
    again = PlannedBench(bench.plans, bench.store, bench.clock)  # type: ignore[arg-type]
    outer = again.resume(run.job)
    called = again.called(outer, "go")
    assert called is not None
    assert called.state.closed == "complete"


def test_a_batch_goes_through_a_call_and_back_with_every_unit(bench: PlannedBench) -> None:
    # Rows C16 and C18: one entry a unit for the call, its return and the step that made it.
    bench.plans["outer"] = plan(step("go", "call", call="inner"), step("last"), id="outer")
    bench.plans["inner"] = plan(step("only"), id="inner")
    batch = Batch.make(bench, "hollin-cue-desk", 3)
    batch.start("outer")
    called = batch.call("go")
    assert called.units == batch.units
    assert called.done("only") == batch.units
    for unit in batch.units[:2]:
        called.runs()[unit].close()
    assert batch.returned("go") == batch.units[:2]
    assert batch.at("last") == batch.units[:2]
    assert batch.at("go") == batch.units[2:]
    assert batch.take_back() == ("go", batch.units[:2])


def test_a_job_that_is_not_there_is_named(bench: PlannedBench) -> None:
    with pytest.raises(JobError, match="there is no job 'JNONE'"):
        bench.resume("JNONE")
    with pytest.raises(JobError, match="there is no job 'JNONE'"):
        record_job(bench.store, "JNONE")


def test_the_command_lists_units_and_jobs_and_prints_one(
    bench: PlannedBench, capsys: pytest.CaptureFixture[str]
) -> None:
    run = bench.start("hollin-assembly", "HCD-001-A")
    run.act(ev.StepDone(step="lay-out"))
    run.act(ev.NoteAdded(step="wipe", text="the cloth [blue] is best"))
    path = str(bench.store.path)
    assert record_main(["--record", path]) == 0
    listed = capsys.readouterr().out
    assert "HCD-001-A" in listed
    assert f"{run.job}" in listed
    assert "1 of 11 steps" in listed
    assert record_main([run.job, f"--record={path}"]) == 0
    printed = capsys.readouterr().out
    assert "   1 done           do lay-out" in printed
    assert "note: the cloth [blue] is best" in printed


def test_a_job_worked_on_at_two_benches_is_the_same_after_merging_either_way(tmp_path: Path, clock: Clock) -> None:
    # Both benches mark the same step: one event has no effect, is named, and is the same one on both.
    workshop, touring = tmp_path / "workshop.sqlite", tmp_path / "touring.sqlite"
    with Store.open(workshop, clock=clock) as store:
        job = PlannedBench({"hollin-assembly": full_plan()}, store, clock).start("hollin-assembly", "HCD-001-R").job
    touring.write_bytes(workshop.read_bytes())
    with Store.open(workshop, clock=clock) as here, Store.open(touring, clock=clock) as there:
        for store, keys in ((here, ["lay-out"]), (there, ["lay-out", "wipe"])):
            run = PlannedBench({}, store, clock).resume(job)
            run.act(ev.Resumed())
            for key in keys:
                run.act(ev.StepDone(step=key))
        from_here, from_there = list(lines(here)), list(lines(there))
        merge(here, from_there)
        merge(there, from_here)
        ours, theirs = record_job(here, job), record_job(there, job)
        assert ours == theirs
        assert ours.state["wipe"].status is Status.DONE
        assert {conflict.kind for conflict in ours.conflicts} <= {"suspended", "resumed", "step-done"}
        assert any("had marked this step done" in conflict.message for conflict in ours.conflicts)
