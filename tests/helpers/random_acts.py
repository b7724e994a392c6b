"""Acts for random walks over a job: most of them such as the state allows, mixed with wild ones that it should refuse.

A walk of wild acts alone is refused at nearly every act and reaches little; a walk of allowed ones alone tries no
refusal. Every act depends on the state and the random numbers only, so a walk is found again by its seed.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from helpers.jobs import full_plan, page, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Plan
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.steps import Status
from benchtui.record.event import text_digest

if TYPE_CHECKING:
    from random import Random

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep

Act = tuple[ev.JobEvent, Plan | None]
"""An act, and the plan it moves the job to."""

CONDITION: Final = "the strap is tested"
REASONS: Final = ("because", "because", "because", "probe slipped", "")
WORDS: Final = (("F1",), ("f2", "lug", "1"), ("F11",), ("bank-a",), ("all",), ())
BUILDER, FRIEND = "the builder", "a friend"


def _steps() -> list[PlanStep]:
    """The plan with one of everything, and a call, a part with its lot and a step that makes another void beside it."""
    steps = list(full_plan().steps)
    steps[4:4] = [
        step("fit@F1", section="Wire", trace="lot"),
        step("crimp", "call", section="Wire", call="crimp"),
        step("check", "sign", section="Wire"),
    ]
    steps[9:9] = [step("file", section="Test", voids=("bank",))]
    others = {"bank": {"tries": 4}, "rail": {"twice": "2 %", "apart": 0.02}}
    return [replace(each, **others.get(each.key, {})) for each in steps]


def plans(order: str) -> tuple[Plan, ...]:
    """Revisions of one procedure: as it is, with other limits, with steps taken out, with a step more."""
    steps = _steps()
    bank = next(each for each in steps if each.key == "bank")
    assert bank.limits is not None
    tighter = replace(bank, limits=replace(bank.limits, high=2600.0))
    editions = (
        steps,
        [tighter if each.key == "bank" else each for each in steps],
        [each for each in steps if each.key not in ("bank", "lamps", "wipe", "check")],
        [steps[0], step("tape", section="Prepare"), *steps[1:]],
    )
    return tuple(
        plan(*edition, revision=number, order=order, before=page(CONDITION))
        for number, edition in enumerate(editions, start=1)
    )


def started(first: Plan) -> ev.JobStarted:
    """The event a walk begins with."""
    return ev.JobStarted(plan=text_digest(plan_text(first)), procedure=first.id, title=first.title)


def next_act(state: JobState, editions: tuple[Plan, ...], rng: Random) -> Act:
    """An act: two in three such as the builder would do next, one in three anything at all."""
    if rng.random() < 0.3:
        return wild(state, editions, rng)
    return likely(state, editions, rng)


def likely(state: JobState, editions: tuple[Plan, ...], rng: Random) -> Act:
    """What a builder might well do here."""
    if state.suspended is not None:
        return ev.Resumed(answers=("off",) * len(state.suspended.bench), identify=rng.random() < 0.3), None
    if state.identify:
        return ev.UnitIdentified(serial=state.unit), None
    if state.gate:
        return ev.ConditionAnswered(condition=CONDITION, answer=ev.NO if rng.random() < 0.3 else "yes"), None
    if state.not_so:
        return ev.StartedShort(missing=state.not_so, reason="because"), None
    aside = _aside(state, editions, rng) if rng.random() < 0.3 else None
    if aside is not None:
        return aside, _plan_of(aside, editions)
    if not state.current:
        stuck = [key for key, known in state.steps.items() if known.status in (Status.FAILED, Status.HELD)]
        if stuck:
            return ev.StepReopened(step=rng.choice(stuck), reason="another try"), None
        if rng.random() < 0.3:
            open_items = state.open_items()
            return ev.JobClosed(result="closed with open items" if open_items else "complete", decision="late"), None
        return ev.StepReopened(step=rng.choice(list(state.steps)), reason="taken back"), None
    return _forward(state, state.plan.step(state.current), rng), None


def _forward(state: JobState, here: PlanStep, rng: Random) -> ev.JobEvent:
    """The next thing the step in focus asks for."""
    key, known = here.key, state[here.key]
    unread = state.unread(key)
    if unread:
        return ev.CautionAcknowledged(step=key, caution=unread[0].id, digest=unread[0].digest)
    if known.status is Status.FAILED:
        return ev.StepReopened(step=key, reason="another try")
    why = "because" if known.asks_why else ""
    if here.limits and (known.to_read or rng.random() < 0.2):
        return reading(key, rng, reason=why)
    if here.choices and (known.fresh or not known.choice):
        return ev.ChoiceMade(step=key, choice="one is dark" if rng.random() < 0.2 else "all lit", reason=why)
    if here.trace and not known.fitted:
        return ev.PartFitted(step=key, part="fader", place="F1", lot="L7")
    if here.act == "sign" and not known.signed:
        return ev.SignedOff(step=key, name=BUILDER, meaning="did")
    if here.act == "wait" and known.timer is None:
        return ev.TimerStarted(step=key, seconds=600.0)
    if here.act == "wait" and known.timer is not None and not known.timer.ended:
        return ev.TimerEnded(step=key, reason="the van is here")
    if here.act == "call" and not known.returned:
        back = ev.CallReturned(step=key, called=known.called, result="complete")
        return back if known.called else ev.CallOpened(step=key, called="J2")
    return ev.StepBegun(step=key) if known.status is Status.OPEN and rng.random() < 0.2 else ev.StepDone(step=key)


def _aside(state: JobState, editions: tuple[Plan, ...], rng: Random) -> ev.JobEvent | None:
    """Something beside the way: a defect and what follows from it, a mark taken back, a break, an edit."""
    for defect in state.defects.values():
        if defect.status == "found":
            choice = rng.choice(("rework", "repair", "use as is"))
            return ev.DispositionGiven(defect=defect.id, disposition=choice, reason="because")
        if defect.status == "decided" and defect.disposition in ("rework", "repair"):
            return ev.ReworkStarted(defect=defect.id, joint=rng.choice(("F1 lug 2", "f1 lug 2", "")), attempts=3)
        if defect.status == "in rework":
            return ev.ReworkDone(defect=defect.id, touched=rng.choice(WORDS))
    settled = [key for key, known in state.steps.items() if known.settled]
    number = rng.randrange(7)
    if number == 0:
        subject = rng.choice(("F1", "F2", ""))
        return ev.DefectFound(
            defect=f"D{len(state.defects) + 1}", text="cold joint", step=state.current, subject=subject
        )
    if number == 1 and settled:
        return ev.StepReopened(step=rng.choice(settled), reason="taken back")
    if number == 2:
        return ev.Suspended(bench=rng.choice(((), ("power on",))))
    if number == 3:
        return _moved(rng.choice(editions))
    if number == 4:
        return ev.PartFitted(part="fader", place=rng.choice(("F1", "f2", "board")), replaces="fader", reason="worn")
    if number == 5 and state.current:
        return rng.choice((ev.StepSkipped, ev.StepNotApplicable, ev.StepFailed, ev.StepHeld))(
            step=state.current, reason="because"
        )
    gone = [key for key, each in state.gone.items() if each.open]
    return ev.StepNotApplicable(step=rng.choice(gone), reason="not needed") if gone else ev.NoteAdded(text="stiff")


def wild(state: JobState, editions: tuple[Plan, ...], rng: Random) -> Act:
    """Anything, at any step, with or without what it needs."""
    keys = sorted({each.key for edition in editions for each in edition.steps})
    cautions = [caution for each in editions[0].steps for caution in each.cautions]
    key, why, defect = rng.choice(keys), rng.choice(REASONS), rng.choice(("D1", "D2", "D9"))
    caution = rng.choice(cautions)
    event: Any = rng.choice(
        (
            ev.StepDone(step=key),
            ev.StepDone(step=key),
            ev.StepBegun(step=key),
            ev.CautionAcknowledged(step=key, caution=caution.id, digest=caution.digest),
            reading(rng.choice(("bank", "rail", "wipe")), rng, reason=why),
            ev.ChoiceMade(step="lamps", choice=rng.choice(("all lit", "one is dark", "most")), reason=why),
            ev.StepSkipped(step=key, reason=why),
            ev.StepNotApplicable(step=key, reason=why),
            ev.StepFailed(step=key, reason=why),
            ev.StepHeld(step=key, reason=why),
            ev.StepReopened(step=key, reason=why),
            ev.MovedTo(step=key),
            ev.TimerStarted(step="soak", seconds=1800.0),
            ev.TimerEnded(step="soak", reason=why),
            ev.SignedOff(step=rng.choice(("release", "check")), name=rng.choice((BUILDER, FRIEND, "")), meaning="did"),
            ev.SignedOff(step="release", name=BUILDER, meaning="independent check"),
            ev.Suspended(),
            ev.Resumed(identify=True),
            ev.UnitIdentified(serial="HCD-002-M"),
            ev.ConditionAnswered(condition=CONDITION, answer=rng.choice(("yes", ev.NO, ""))),
            ev.DefectFound(defect=defect, text="cold joint", step=key),
            ev.DispositionGiven(defect=defect, disposition=rng.choice(("rework", "use as is")), reason=why),
            ev.ReworkStarted(defect=defect, joint="F1 lug 2", attempts=1),
            ev.ReworkDone(defect=defect, touched=rng.choice(WORDS)),
            ev.PartFitted(step=key, part="fader", place="F1", lot="L8"),
            ev.CallOpened(step=key, called="J3"),
            ev.CallReturned(step=key, called="J3", result="complete"),
            ev.Redlined(step=key, text="otherwise", reason=why, until=rng.choice(("", "2031-03-01"))),
            _moved(rng.choice(editions)),
            ev.JobClosed(decision=why),
        )
    )
    return event, _plan_of(event, editions)


def reading(key: str, rng: Random, *, reason: str) -> ev.ReadingTaken:
    """A reading of the bank, or of the rail: three in four pass, and two of the rail may be apart."""
    good = rng.random() < 0.75
    value = (2500.0 if key == "bank" else rng.choice((3.3, 3.3, 3.2))) if good else 9.0
    return ev.ReadingTaken(
        step=key, typed=str(value), value=value, verdict="pass" if good else "fail", reason=reason, asked="so?"
    )


def _moved(to: Plan) -> ev.RevisionMoved:
    return ev.RevisionMoved(plan=text_digest(plan_text(to)), revision=to.revision, reason="edited")


def _plan_of(event: ev.JobEvent, editions: tuple[Plan, ...]) -> Plan | None:
    return editions[event.revision - 1] if isinstance(event, ev.RevisionMoved) else None
