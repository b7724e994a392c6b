"""How long it takes: a step done for a batch at once is divided by its units, and a wait that runs has its rest to go.

The figures follow from the times that are given; common practice.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest
from helpers.demo_plan import plain_plan
from helpers.jobs import started

from benchtui.errors import JobError
from benchtui.jobs import timers
from benchtui.jobs.pace import minutes_left, minutes_to_stop, past_minutes
from benchtui.jobs.steps import Status, Timer
from benchtui.jobs.timers import Moment, by_clock_alone
from benchtui.jobs.waits import ending
from benchtui.record.event import Event

START = datetime(2026, 3, 2, 9, 0, tzinfo=timezone(timedelta(hours=1)))


def event(kind: str, job: str, minute: float, step: str = "solder@F1") -> Event:
    time = (START + timedelta(minutes=minute)).isoformat()
    rest = {"seq": 1, "origin": "here", "number": 1, "clock": 1, "previous": "", "digest": ""}
    return Event(**rest, job=job, kind=kind, time=time, data={"step": step})  # type: ignore[arg-type]


def batch(begin: float, *ends: float) -> list[Event]:
    begun = [event("step-begun", f"J{n}", begin + n / 1000) for n in range(len(ends))]
    return [*begun, *(event("step-done", f"J{n}", end) for n, end in enumerate(ends))]


def test_a_step_done_for_six_units_together_took_a_sixth_for_each() -> None:
    events = [each for day in range(3) for each in batch(day * 1440.0, *[day * 1440.0 + 60.0] * 6)]
    assert past_minutes(events) == {"solder": pytest.approx(10.0, rel=1e-3)}


def test_readings_taken_unit_by_unit_are_divided_alike() -> None:
    events = [each for day in range(3) for each in batch(day * 1440.0, *[day * 1440.0 + n for n in range(1, 7)])]
    assert past_minutes(events) == {"solder": pytest.approx(1.0, rel=1e-2)}


def test_one_pass_over_a_batch_is_timed_once() -> None:
    assert past_minutes(batch(0.0, *[60.0] * 6)) == {}


def test_units_one_after_the_other_count_each_for_itself() -> None:
    pairs = [(event("step-begun", f"J{n}", n * 10), event("step-done", f"J{n}", n * 10 + 10)) for n in range(3)]
    events = [each for pair in pairs for each in pair]
    assert past_minutes(events) == {"solder": 10.0}


def test_a_wait_that_runs_has_only_its_rest_to_go() -> None:
    state = started(plain_plan())
    began = START.isoformat()
    key = "soak"
    steps = {**state.steps}
    for name in ("lay-out", "wipe", "solder@F1", "solder@F2", "bank-ohms", "lever", "first-power"):
        steps[name] = replace(steps[name], status=Status.DONE)
    steps[key] = replace(steps[key], status=Status.BEGUN, timer=Timer(seconds=1800.0, started=began))
    state = replace(state, steps=steps, current=key)
    whole = minutes_to_stop(state, {})
    assert whole is not None
    now = Moment(START + timedelta(minutes=29))
    assert minutes_to_stop(state, {}, now) == pytest.approx(whole - 29)
    assert minutes_left(state, {}, now) == pytest.approx(minutes_left(state, {}) - 29)


# -- a machine without a name for each of its starts -------------------------------------------------------------------


def moment(minutes: float, counted: float, monkeypatch: pytest.MonkeyPatch) -> Moment:
    monkeypatch.setattr(timers, "_boot_id", lambda: "")
    monkeypatch.setattr(timers, "_counts_without_id", lambda: True)
    monkeypatch.setattr(timers, "_boot_seconds", lambda: 1000.0 + counted * 60)
    return timers.moment(lambda: START + timedelta(minutes=minutes))


@pytest.mark.parametrize(("clock", "counted"), [(180.0, 1.0), (31.0, 2.0), (40.0, -10.0)])
def test_a_clock_put_forward_does_not_end_a_cure_unasked(
    clock: float, counted: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    began = moment(0.0, 0.0, monkeypatch)
    timer = Timer(seconds=1800.0, started=began.clock.isoformat(), boot_seconds=began.boot_seconds)
    now = moment(clock, counted, monkeypatch)
    assert by_clock_alone(timer, now)
    with pytest.raises(JobError, match="only its clock says"):
        ending("soak", timer, now)
    assert ending("soak", timer, now, "the lacquer is hard").known_by == "the lacquer is hard"


def test_a_wait_that_clock_and_count_agree_on_ends_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    began = moment(0.0, 0.0, monkeypatch)
    timer = Timer(seconds=1800.0, started=began.clock.isoformat(), boot_seconds=began.boot_seconds)
    assert ending("soak", timer, moment(31.0, 30.9, monkeypatch)).reason == ""


def test_a_wait_of_an_older_program_has_no_count_to_go_by(monkeypatch: pytest.MonkeyPatch) -> None:
    timer = Timer(seconds=1800.0, started=START.isoformat())
    assert not by_clock_alone(timer, moment(31.0, 2.0, monkeypatch))
