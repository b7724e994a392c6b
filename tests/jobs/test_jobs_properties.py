"""Whatever is tried in whatever order, a job never reaches a state that its rules do not allow."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta, timezone
from itertools import pairwise
from random import Random
from typing import TYPE_CHECKING, Any, Final

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.random_acts import next_act, plans, started

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.events import EVENTS, read_event
from benchtui.jobs.fold import fold
from benchtui.jobs.glance import summarise, summary_of
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.run_list import record_job, record_jobs
from benchtui.jobs.state import advance, begin
from benchtui.jobs.steps import Status
from benchtui.jobs.units import MOVES
from benchtui.record import views
from benchtui.record.event import text_digest
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep

ACTS: Final = 140
"""Acts of one walk, the refused ones among them."""

PLANNED: Final = {"hollin-assembly": plans("any")[0]}
UNIT: Final = "HCD-001-R"

LEAST: Final[Mapping[str, float]] = {
    "step-done": 10.0,
    "step-begun": 1.0,
    "caution-acknowledged": 1.0,
    "reading": 1.0,
    "choice": 0.2,
    "step-skipped": 0.1,
    "step-not-applicable": 0.2,
    "step-failed": 0.2,
    "step-held": 0.1,
    "step-reopened": 1.0,
    "timer-started": 0.1,
    "timer-ended": 0.1,
    "signed-off": 0.5,
    "call-opened": 0.3,
    "call-returned": 0.3,
    "part-fitted": 0.5,
    "defect": 1.0,
    "disposition": 0.5,
    "rework-started": 0.5,
    "rework-done": 0.5,
    "revision-moved": 0.5,
    "redline": 0.1,
    "suspended": 0.5,
    "resumed": 0.5,
    "unit-identified": 0.2,
    "started-short": 0.1,
    "job-closed": 0.05,
}
"""How often at least each kind of act is accepted in a walk, on average: a test that reaches little proves little."""


class Shadow:
    """What each step was proven by since it was opened the last time, kept apart from the state that is tested."""

    def __init__(self) -> None:
        self.given: dict[str, set[str]] = {}
        self.first: dict[str, Any] = {}
        self.readings = 0

    def follow(self, before: JobState, event: ev.JobEvent, after: JobState) -> None:
        """Take in an act that was accepted."""
        key = getattr(event, "step", "")
        if isinstance(event, ev.ReadingTaken):
            self.readings += 1
            self.first.setdefault(key, event.typed)
        if key and event.KIND in ("reading", "choice", "signed-off", "call-returned", "timer-ended", "part-fitted"):
            self.given.setdefault(key, set()).add(event.KIND)
        for opened in newly(before, after, Status.REOPENED):
            self.given[opened] = set()

    def wants(self, step: PlanStep) -> set[str]:
        """What a step has to be proven by before it is done."""
        acts = {"sign": "signed-off", "wait": "timer-ended", "call": "call-returned"}
        wanted = {acts[step.act]} if step.act in acts else set()
        wanted |= {"reading"} if step.limits else set()
        wanted |= {"choice"} if step.choices else set()
        return wanted | ({"part-fitted"} if step.trace else set())


def newly(before: JobState, after: JobState, status: Status) -> list[str]:
    """Keys of the steps that came to stand at a mark."""
    return [
        key
        for key, known in after.steps.items()
        if known.status is status and (key not in before.steps or before.steps[key].status is not status)
    ]


def check(state: JobState, shadow: Shadow) -> None:
    """What must be true of every state that can be reached."""
    assert set(state.steps) == {step.key for step in state.plan.steps}
    assert state.current == "" or state.plan.has(state.current)
    assert not set(state.gone) & set(state.steps)
    for step, known in state.every():
        if known.status in (Status.SKIPPED, Status.NOT_APPLICABLE):
            assert not step.must or step.key in state.gone
        if known.status in (Status.SKIPPED, Status.NOT_APPLICABLE, Status.HELD):
            assert known.reason.strip()
        if known.status is Status.DONE:
            assert not known.fresh
            assert not step.twice or not known.to_read, "measured twice, and close enough"
            assert shadow.wants(step) <= shadow.given.get(step.key, set()), f"{step.key} is done and not proven"
            assert known.reading is None or known.reading.verdict != "fail"
            assert not step.choices or known.choice == "all lit"
        if known.readings:
            assert known.readings[0].typed == shadow.first[step.key], "the first reading stays"
    assert sum(len(known.in_sight) for _, known in state.every()) == shadow.readings, "no reading is ever lost"
    if state.closed == "complete":
        assert state.open_items() == ()
    if state.closed == "closed with open items":
        assert state.decision.strip()
    if any(known.begun or known.done for known in state.steps.values()):
        assert state.gate == ()


def check_act(before: JobState, event: ev.JobEvent, after: JobState) -> None:
    """What must be true of every act that was accepted."""
    opened = newly(before, after, Status.REOPENED)
    if opened:
        first = min(after.plan.step(key).number for key in opened)
        stands = [s.key for s in after.plan.steps if s.act == "sign" and s.number > first]
        assert not [key for key in stands if after[key].status is Status.DONE], "a signature stood for an open step"
    if isinstance(event, ev.RevisionMoved):
        return
    for key in newly(before, after, Status.DONE):
        assert not before.not_so
        here = after.plan.step(key).number
        for earlier in after.plan.steps[: here - 1]:
            # Going on in order, no step after an unpassed hold point is ever marked anew.
            assert not earlier.hold or before.passable(earlier.key)
    if isinstance(event, ev.StepDone):
        by = after.plan.step(event.step)
        for step in after.plan.steps[by.number :]:
            if by.act == "do" and by.subject and step.required and by.subject.id in step.touches:
                assert after[step.key].status is not Status.DONE, "a test stood that was made before what it tests"
    if isinstance(event, ev.ReworkDone):
        assert after.defects[event.defect].status == "reworked"
        own = before.defects[event.defect].subject
        for step in after.plan.steps:
            about = not step.touches and step.required
            if step.proves and (about or (own and own in step.touches)):
                stands = after[step.key].status is Status.DONE
                waits = after[step.key].status is Status.HELD and after[step.key].given
                assert not stands and not waits, "a test stood after a rework of what it is about"


def walk(seed: int, order: str, accepted: Counter[str]) -> None:
    """One random walk, and the same job rebuilt from its events."""
    rng, shadow, editions = Random(seed), Shadow(), plans(order)
    first = started(editions[0])
    state = begin(editions[0], first, job="JTEST", unit="HCD-001-R", time=_time(0))
    kept = [_Kept(0, first)]
    for number in range(1, ACTS):
        event, moved_to = next_act(state, editions, rng)
        try:
            after = advance(state, event, time=_time(number), plan=moved_to)
        except JobError as error:
            assert error.message
            continue
        accepted[event.KIND] += 1
        kept.append(_Kept(number, event))
        shadow.follow(state, event, after)
        check(after, shadow)
        check_act(state, event, after)
        state = after
    by_digest = {text_digest(plan_text(edition)): edition for edition in editions}
    folded = fold(kept, lambda digest: by_digest[digest])  # type: ignore[arg-type]
    assert folded.state == state
    assert folded.conflicts == ()


@pytest.mark.parametrize("order", ["strict", "free", "any"])
def test_random_acts_never_reach_an_illegal_state_and_are_rebuilt_exactly(order: str) -> None:
    _walks(order, range(20))


@pytest.mark.long
@pytest.mark.parametrize("order", ["strict", "free", "any"])
def test_many_random_walks_reach_no_illegal_state(order: str) -> None:
    _walks(order, range(1000, 3000))


def _walks(order: str, seeds: range) -> None:
    accepted: Counter[str] = Counter()
    for seed in seeds:
        try:
            walk(seed, order, accepted)
        except AssertionError as error:
            raise AssertionError(f"order {order}, seed {seed}: {error}") from error
    count = len(seeds)
    short = {kind: accepted[kind] / count for kind, least in LEAST.items() if accepted[kind] < least * count}
    assert not short, f"these acts were hardly reached: {short}"


def _on_the_record(bench: PlannedBench, job: str, seed: int, acts: int) -> None:
    """A walk through the program's own way: each act written, and the unit put into other states between them."""
    rng, editions = Random(seed), plans("any")
    run = bench.resume(job)
    for _ in range(acts):
        event, moved_to = next_act(run.state, editions, rng)
        before = run.state
        try:
            if rng.random() < 0.05:
                state = rng.choice([state for state in MOVES if state not in ("", "scrapped", "released")])
                bench.units.set_state(run.unit, state, reason="because")
            run.act(event, plan=moved_to)
        except JobError:
            assert run.state == before
        bench.clock.forward(minutes=7)  # type: ignore[attr-defined]


@pytest.mark.parametrize("seed", [*range(4), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(4, 100))])
def test_views_kept_equal_views_rebuilt_and_two_benches_come_to_the_same(tmp_path: Path, seed: int) -> None:
    # Rows H4 and H15: whatever was done on two benches, after taking in each other's record both tell the same.
    files, clock = (tmp_path / "workshop.sqlite", tmp_path / "touring.sqlite"), Clock()
    with Store.open(files[0], clock=clock) as store:
        bench = PlannedBench(PLANNED, store, clock)
        job = bench.start("hollin-assembly", UNIT).job
        _on_the_record(bench, job, seed, 40)
        again, ours = PlannedBench(PLANNED, store, clock).resume(job).state, bench.resume(job).state
        assert (again.steps, again.defects, again.gone) == (ours.steps, ours.defects, ours.gone)
        _legal(store)
    files[1].write_bytes(files[0].read_bytes())
    with Store.open(files[0], clock=clock) as here, Store.open(files[1], clock=clock) as there:
        for place, store in enumerate((here, there)):
            _on_the_record(PlannedBench(PLANNED, store, clock), job, 1000 * seed + place, 30)
            _legal(store)
        exports = [list(lines(store)) for store in (here, there)]
        merge(here, exports[1])
        merge(there, exports[0])
        assert record_job(here, job) == record_job(there, job)
        units = [PlannedBench(PLANNED, store, clock).units for store in (here, there)]
        assert units[0].view(UNIT) == units[1].view(UNIT)
        assert units[0].missing(UNIT) == units[1].missing(UNIT)
        for store in (here, there):
            _rebuilt(store)


def _rebuilt(store: Store) -> None:
    """The lists of a record tell the same when they are made anew from its events, and what the events tell."""
    kept = (store.jobs(), store.units())
    views.rebuild(store.connection)
    rebuilt = (store.jobs(), store.units())
    assert rebuilt[1] == kept[1]
    for rows in (kept[0], rebuilt[0]):
        for row in rows:
            state = record_job(store, row.job).state
            shown = summary_of(row, lambda job: record_job(store, job).state)
            assert (shown.settled, shown.closed) == (summarise(state).settled, state.closed)
    assert len(record_jobs(store)) == 1


def _legal(store: Store) -> None:
    """Every move of the unit on one bench is a legal one."""
    states = ["", *(str(event.data["state"]) for event in store.events(kinds=["unit-state"]))]
    for now, then in pairwise(states):
        assert then in MOVES[now], f"from {now!r} to {then!r}"


def test_every_event_goes_through_the_record_and_back() -> None:
    for kind, cls in EVENTS.items():
        values: dict[str, Any] = {
            name: _sample(str(field.type)) for name, field in cls.__dataclass_fields__.items() if not name.isupper()
        }
        event = cls(**values)
        assert read_event(kind, event.to_data()) == event


def _sample(kind: str) -> Any:
    if kind.startswith("tuple"):
        return ("a", "b")
    return {"str": "text", "int": 3, "bool": True, "float": 2.5, "float | None": 1.5}[kind]


class _Kept:
    """An event as the record would give it back."""

    def __init__(self, number: int, event: ev.JobEvent) -> None:
        self.seq, self.id, self.time = number + 1, f"x:{number}", _time(number)
        self.kind, self.unit, self.job, self.data = event.KIND, "HCD-001-R", "JTEST", event.to_data()


def _time(number: int) -> str:
    start = datetime(2031, 3, 1, 9, 0, tzinfo=timezone(timedelta(hours=1)))
    return (start + timedelta(minutes=7 * number)).isoformat()
