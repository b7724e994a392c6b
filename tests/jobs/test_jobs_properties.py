"""Whatever is tried in whatever order, a job never reaches a state that its rules do not allow."""

from __future__ import annotations

import os
from datetime import datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any

from helpers.jobs import full_plan, page, walked
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.events import EVENTS, read_event
from benchtui.jobs.fold import fold
from benchtui.jobs.glance import summarise, summary_of
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.run_list import record_job, record_jobs
from benchtui.jobs.state import advance, begin
from benchtui.jobs.steps import Status
from benchtui.record import views
from benchtui.record.event import Draft, text_digest
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

PLANS = {order: full_plan(order=order, before=page("the strap is tested")) for order in ("strict", "free", "any")}
KEYS = [step.key for step in PLANS["strict"].steps]
CAUTIONS = [(c.id, c.digest) for step in PLANS["strict"].steps for c in step.cautions]
WORDS = st.sampled_from(["", "because", "probe slipped"])
COUNT = int(os.environ.get("BENCHTUI_EXAMPLES", "60"))


def _events() -> st.SearchStrategy[ev.JobEvent]:
    key = st.sampled_from(KEYS)
    reading = st.builds(
        lambda step, pair, reason, asked: ev.ReadingTaken(
            step=step, typed=pair[0], value=pair[1], verdict=pair[2], reason=reason, asked=asked
        ),
        st.sampled_from(["bank", "rail", "wipe"]),
        st.sampled_from([("2.5k", 2500.0, "pass"), ("9", 9.0, "fail"), ("3.3", 3.3, "pass"), ("OL", None, "fail")]),
        WORDS,
        st.sampled_from(["", "where is the decimal point?"]),
    )
    caution = st.builds(
        lambda step, pair: ev.CautionAcknowledged(step=step, caution=pair[0], digest=pair[1]),
        key,
        st.sampled_from(CAUTIONS),
    )
    defect = st.sampled_from(["D1", "D2"])
    return st.one_of(
        st.just(ev.ConditionAnswered(condition="the strap is tested", answer="yes")),
        st.builds(lambda k: ev.StepDone(step=k), key),
        st.builds(lambda k: ev.StepDone(step=k), key),
        st.builds(lambda k: ev.StepBegun(step=k), key),
        caution,
        caution,
        reading,
        reading,
        st.builds(lambda w: ev.ChoiceMade(step="lamps", choice="all lit", reason=w), WORDS),
        st.builds(lambda w: ev.ChoiceMade(step="lamps", choice="one is dark", reason=w), WORDS),
        st.builds(lambda k, w: ev.StepSkipped(step=k, reason=w), key, WORDS),
        st.builds(lambda k, w: ev.StepNotApplicable(step=k, reason=w), key, WORDS),
        st.builds(lambda k, w: ev.StepFailed(step=k, reason=w), key, WORDS),
        st.builds(lambda k, w: ev.StepHeld(step=k, reason=w), key, WORDS),
        st.builds(lambda k: ev.StepReopened(step=k, reason=""), key),
        st.builds(lambda k: ev.MovedTo(step=k), key),
        st.builds(lambda k: ev.TimerStarted(step=k, seconds=1800.0), st.sampled_from(["soak", "wipe"])),
        st.builds(lambda w: ev.TimerEnded(step="soak", reason=w), WORDS),
        st.just(ev.SignedOff(step="release", name="the builder", meaning="did")),
        st.builds(lambda b: ev.Suspended(bench=b), st.sampled_from([(), ("power on",)])),
        st.builds(lambda a, i: ev.Resumed(answers=a, identify=i), st.sampled_from([(), ("off",)]), st.booleans()),
        st.builds(lambda s: ev.UnitIdentified(serial=s), st.sampled_from(["HCD-001-A", "HCD-002-C"])),
        st.builds(lambda d, k: ev.DefectFound(defect=d, text="cold joint", step=k), defect, key),
        st.builds(
            lambda d, w, k: ev.DispositionGiven(defect=d, disposition=k, reason=w),
            defect,
            WORDS,
            st.sampled_from(["rework", "use as is"]),
        ),
        st.builds(lambda d: ev.ReworkStarted(defect=d, joint="F1 lug 2", limit=1), defect),
        st.builds(lambda d: ev.ReworkDone(defect=d, touched=("F1",)), defect),
        st.builds(lambda w: ev.JobClosed(decision=w), WORDS),
        st.builds(lambda w: ev.JobClosed(result="closed with open items", decision=w), WORDS),
    )


def check(state: JobState) -> None:
    """What must be true of every state that can be reached."""
    plan = state.plan
    assert set(state.steps) == {step.key for step in plan.steps}
    assert state.current == "" or plan.has(state.current)
    for step in plan.steps:
        known = state[step.key]
        if step.must:
            assert known.status not in (Status.SKIPPED, Status.NOT_APPLICABLE)
        if known.status is Status.DONE:
            if step.limits:
                assert known.reading is not None
                assert known.reading.verdict != "fail"
            if step.choices:
                assert known.choice == "all lit"
            if step.act == "sign":
                assert known.signed
            if step.act == "wait":
                assert known.timer is not None
                assert known.timer.ended
        if known.status in (Status.SKIPPED, Status.NOT_APPLICABLE, Status.HELD):
            assert known.reason.strip()
    if state.closed == "complete":
        assert state.open_items() == ()
    if state.closed == "closed with open items":
        assert state.decision.strip()
    if any(known.begun or known.done for known in state.steps.values()):
        assert state.gate == ()


@settings(max_examples=COUNT, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(PLANS)), st.sampled_from(["", *KEYS]), st.lists(_events(), max_size=60))
def test_random_acts_never_reach_an_illegal_state(order: str, until: str, acts: list[ev.JobEvent]) -> None:
    state = _start(order)
    if until:  # begin in the middle, where there is more to go wrong
        state = walked(advance(state, ev.ConditionAnswered(condition="the strap is tested", answer="yes")), until=until)
    for number, act in enumerate(acts):
        before = state
        try:
            state = advance(state, act, time=_time(number))
        except JobError as error:
            assert error.message
            assert state is before
        check(state)
        # Going on in order, no step after an unpassed hold point is ever marked anew.
        _holds(before, state)


def _holds(before: JobState, after: JobState) -> None:
    for step in after.plan.steps:
        newly = after[step.key].status is Status.DONE and before[step.key].status is not Status.DONE
        if newly:
            for earlier in after.plan.steps[: step.number - 1]:
                assert not earlier.hold or before.passable(earlier.key)


@settings(max_examples=COUNT, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(_events(), max_size=40))
def test_a_state_is_rebuilt_from_its_events_exactly(acts: list[ev.JobEvent]) -> None:
    state = _start("free")
    kept = [_recorded(0, _started("free"))]
    for number, act in enumerate(acts):
        try:
            state = advance(state, act, time=_time(number))
        except JobError:
            continue
        kept.append(_recorded(number, act))
    folded = fold(kept, lambda _: PLANS["free"])  # type: ignore[arg-type]
    assert folded.state == state
    assert folded.conflicts == ()


@settings(max_examples=max(COUNT // 3, 10), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(_events(), max_size=12), min_size=1, max_size=4))
def test_lists_kept_equal_lists_rebuilt(tmp_path: Path, jobs: list[list[ev.JobEvent]]) -> None:
    file = tmp_path / f"{len(list(tmp_path.iterdir()))}.sqlite"
    plan = PLANS["any"]
    with Store.open(file) as store:
        for number, acts in enumerate(jobs):
            unit, job = f"HCD-00{number}-A", f"J{number}"
            store.append("job-started", unit=unit, job=job, data=_started("any").to_data(), texts=[plan_text(plan)])
            store.append_all([Draft(kind=act.KIND, unit=unit, job=job, data=act.to_data()) for act in acts])
        kept = (store.jobs(), store.units())
        views.rebuild(store.connection)
        assert (store.jobs(), store.units()) == kept
        for row in store.jobs():
            state = record_job(store, row.job).state
            shown = summary_of(row, lambda job: record_job(store, job).state)
            assert (shown.settled, shown.closed) == (summarise(state).settled, state.closed)
        assert len(record_jobs(store)) == len(jobs)


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
        self.kind, self.unit, self.job, self.data = event.KIND, "HCD-001-A", "JTEST", event.to_data()


def _recorded(number: int, event: ev.JobEvent) -> _Kept:
    return _Kept(number, event)


def _started(order: str) -> ev.JobStarted:
    plan = PLANS[order]
    return ev.JobStarted(plan=text_digest(plan_text(plan)), procedure=plan.id, title=plan.title)


def _start(order: str) -> JobState:
    return begin(PLANS[order], _started(order), job="JTEST", unit="HCD-001-A", time=_time(0))


def _time(number: int) -> str:
    start = datetime(2031, 3, 1, 9, 0, tzinfo=timezone(timedelta(hours=1)))
    return (start + timedelta(minutes=7 * number)).isoformat()
