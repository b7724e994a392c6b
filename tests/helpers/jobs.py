"""Small plans and a job in hand, for tests of jobs that need neither content files nor a record."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before, Caution, Choice, Limits, Plan, PlanStep, Subject
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.state import advance, begin
from benchtui.record.event import text_digest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.jobstate import JobState

IRON = Caution(id="iron-burn", signal="CAUTION", hazard="The iron burns", avoid="Use its stand", person=True)
POWER = Caution(id="power-on", signal="WARNING", hazard="The unit is live", person=True, spans=True)
SHOCK = Caution(id="mains", signal="DANGER", hazard="Mains inside", person=True)
PLASTIC = Caution(id="no-alcohol", signal="NOTICE", hazard="Alcohol crazes the panel")
RAIL = Limits(what="rail", kind="voltage", low=3.135, nominal=3.3, high=3.465, text="3.14 V to 3.47 V", power="on")
BANK = Limits(what="bank", kind="resistance", low=2000.0, nominal=2500.0, high=3000.0, text="2.0 kΩ to 3.0 kΩ")


def step(key: str, act: str = "do", **fields: Any) -> PlanStep:
    """A plan step from its key; what the key says of the subject is filled in."""
    step_id, _, subject = key.partition("@")
    known: dict[str, Any] = {"text": f"{act} {key}", "number": 0, "act": act, "step_id": step_id, "key": key}
    if subject:
        known["subject"] = Subject(id=subject, kind="fader", title=f"fader {subject}")
        known["touches"] = (subject, "bank-a")
    return PlanStep(**{**known, **fields})


def plan(*steps: PlanStep, **fields: Any) -> Plan:
    """A plan of these steps in order."""
    known: dict[str, Any] = {"kind": "procedure", "id": "hollin-assembly", "title": "Build one Hollin cue desk"}
    known |= {"revision": 1, "digest": "0" * 64, "procedure_kind": "assembly"}
    numbered = tuple(replace(each, number=place) for place, each in enumerate(steps, start=1))
    return Plan(**{**known, "steps": numbered, **fields})


def full_plan(**fields: Any) -> Plan:
    """A plan with one of everything."""
    return plan(
        step("lay-out", section="Prepare"),
        step("wipe", section="Prepare", cautions=(PLASTIC,)),
        step("solder@F1", section="Wire", cautions=(IRON,)),
        step("solder@F2", section="Wire", cautions=(IRON,)),
        step("bank", "measure", section="Test", limits=BANK, required=True, touches=("bank-a", "F1", "F2")),
        step("power-up", section="Test", cautions=(POWER,), begins="power-on", hold=True),
        step("rail", "measure", section="Test", limits=RAIL, required=True),
        step(
            "lamps",
            "choose",
            section="Test",
            choices=(Choice(text="all lit"), Choice(text="one is dark", verdict="fail")),
        ),
        step("power-down", section="Test", ends="power-on"),
        step("soak", "wait", section="Close", seconds=1800.0),
        step("release", "sign", section="Close"),
        **fields,
    )


def started(the_plan: Plan, *, unit: str = "HCD-001-A", conditions: bool = True) -> JobState:
    """A job that has just begun, its conditions answered."""
    event = ev.JobStarted(plan=text_digest(plan_text(the_plan)), procedure=the_plan.id, title=the_plan.title)
    state = begin(the_plan, event, job="JTEST", unit=unit, time=at(0))
    if conditions:
        for line in the_plan.before.conditions:
            state = advance(state, ev.ConditionAnswered(condition=line, answer="yes"), time=at(0))
    return state


def at(minutes: float) -> str:
    """Time of an event, in minutes from the start."""
    whole = int(minutes * 60)
    return f"2031-03-01T{9 + whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}.000+01:00"


def after(state: JobState, *events: ev.JobEvent, minutes: float = 1) -> JobState:
    """The state after several events."""
    for event in events:
        state = advance(state, event, time=at(minutes))
    return state


def read(key: str, typed: str, value: float, verdict: str, **fields: Any) -> ev.ReadingTaken:
    """A reading, as `take` would make it."""
    return ev.ReadingTaken(step=key, typed=typed, value=value, verdict=verdict, **fields)


def acknowledge(state: JobState, key: str) -> JobState:
    """The state after every caution of a step was read."""
    for caution in state.unread(key):
        event = ev.CautionAcknowledged(step=key, caution=caution.id, digest=caution.digest)
        state = advance(state, event, time=at(1))
    return state


def walked(state: JobState, *, until: str = "", readings: Sequence[float] = (2500.0, 3.3)) -> JobState:
    """Everything done up to a step, or to the end."""
    values = {"bank": readings[0], "rail": readings[1]}
    while state.current and state.current != until:
        here = state.plan.step(state.current)
        state = acknowledge(state, here.key)
        if here.limits:
            state = after(state, read(here.key, str(values[here.key]), values[here.key], "pass"))
        if here.choices:
            state = after(state, ev.ChoiceMade(step=here.key, choice=here.choices[0].text))
        if here.act == "wait":
            state = after(state, ev.TimerStarted(step=here.key, seconds=here.seconds))
            state = after(state, ev.TimerEnded(step=here.key), minutes=60)
        if here.act == "sign":
            state = after(state, ev.SignedOff(step=here.key, name="the builder", meaning="did"))
        state = after(state, ev.StepDone(step=here.key))
    return state


def page(*conditions: str, tools: tuple[str, ...] = ()) -> Before:
    """A preliminary page with these conditions."""
    return Before(conditions=conditions, tools=tools)
