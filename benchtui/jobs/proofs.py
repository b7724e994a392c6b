"""What of a unit is still proven: tests passed, what was disturbed after them, and how often each joint was heated.

Inside one job, rework opens its steps again by itself. This looks over all jobs of a unit in the order of the record,
for a repair in one of them makes void what another had proven.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from benchtui.jobs.named import Names, joint_name, names_of, touched
from benchtui.jobs.parts import exchanged
from benchtui.jobs.quality import voided
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A required test that was passed, and the order of the event it was passed by."""

    job: str
    step: PlanStep
    order: int

    @property
    def about(self) -> tuple[str, str]:
        """What was proven: test point or step, and subject."""
        step = self.step
        point = step.limits.point if step.limits else ""
        return (point or step.step_id, step.subject.id if step.subject else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Disturbed:
    """Something was done that may have changed what had been proven before."""

    order: int
    touched: frozenset[str] = frozenset()
    """Ids of what was touched; empty for everything."""
    steps: frozenset[str] | None = None
    """Ids of the steps whose proof it makes void, where it names them instead."""
    family: frozenset[str] = frozenset()
    """The rework job that was it, and all it called: the tests at their end were made after the work, and hold."""
    start: int = 0
    """Order of the event that job began with."""


def void(jobs: Sequence[JobState], events: Sequence[Recorded]) -> tuple[Proof, ...]:
    """Required tests passed before something that touched their subject, and not passed again since.

    Args:
        jobs: States of the unit's jobs.
        events: Every event of the unit in the record's order.
    """
    states = {job.job: job for job in jobs}
    proofs: dict[tuple[str, str], Proof] = {}
    for order, event in enumerate(events):
        state = states.get(event.job)
        if state is None or event.kind != "step-done":
            continue
        key = str(event.data.get("step", ""))
        step = state.step(key)
        if step is not None and step.required and _status(state, key) is Status.DONE:
            proof = Proof(job=event.job, step=step, order=order)
            proofs[proof.about] = proof
    disturbed = tuple(_disturbed(states, events))
    return tuple(proof for proof in proofs.values() if any(_voids(each, proof, states) for each in disturbed))


def _voids(by: Disturbed, proof: Proof, states: Mapping[str, JobState]) -> bool:
    if by.order <= proof.order or (proof.job in by.family and proof.order > by.start):
        return False
    if by.steps is not None:
        return proof.step.step_id in by.steps
    return bool(voided(replace(states[proof.job].plan, steps=(proof.step,)), by.touched))


def _status(state: JobState, key: str) -> Status:
    return state.steps[key].status if key in state.steps else state.gone[key].known.status


def _disturbed(states: Mapping[str, JobState], events: Sequence[Recorded]) -> Iterator[Disturbed]:
    names = names_of(*states.values())
    exchanges = exchanged(events)
    starts: dict[str, int] = {}
    hunts: dict[str, frozenset[str]] = {}
    repaired: set[str] = set()
    for order, event in enumerate(events):
        starts.setdefault(event.job, order)
        state, data = states.get(event.job), event.data
        match event.kind:
            case "rework-done":
                yield Disturbed(order=order, touched=_reworked(state, data, names))
            case "part-fitted" if order in exchanges:
                yield Disturbed(order=order, touched=_about(str(data.get("place", "")), names))
            case "step-done" if state is not None:
                step = state.step(str(data.get("step", "")))
                if step is not None and step.voids:
                    yield Disturbed(order=order, steps=frozenset(step.voids))
            case "job-closed" if state is not None:
                if state.plan.procedure_kind == "rework":
                    about = _about(state.plan.subject, names)
                    family = _family(event.job, states)
                    yield Disturbed(order=order, touched=about, family=family, start=starts[event.job])
                for defect in state.defects.values():
                    # Rework that was begun and never ended: what it touched was never said.
                    if defect.status == "in rework":
                        yield Disturbed(order=order, touched=_about(defect.subject, names))
            case "hunt-started":
                hunts[event.job] = _about(str(data.get("subject", "")), names)
            case "hunt-repair":
                repaired.add(event.job)
                yield Disturbed(order=order, touched=hunts.get(event.job, frozenset()))
            case "hunt-closed" if data.get("result") == "fixed" and event.job not in repaired:
                yield Disturbed(order=order, touched=hunts.get(event.job, frozenset()))


def _about(text: str, names: Names) -> frozenset[str]:
    return touched((text,), names) if text else frozenset()


def _reworked(state: JobState | None, data: Mapping[str, Any], names: Names) -> frozenset[str]:
    defect = state.defects.get(str(data.get("defect", ""))) if state is not None else None
    return touched(map(str, data.get("touched", ())), names, own=defect.subject if defect else "")


def _family(job: str, states: Mapping[str, JobState]) -> frozenset[str]:
    """A job and every job it called, and those called by them."""
    found = {job}
    while more := {state.job for state in states.values() if state.caller in found} - found:
        found |= more
    return frozenset(found)


def joints(jobs: Sequence[JobState], events: Sequence[Recorded]) -> Mapping[str, tuple[int, int]]:
    """Each joint that was heated again, with how often and how often its part bears it (0: its sheet does not say).

    A part that went in in place of another has joints that were never heated again.
    """
    names = names_of(*jobs)
    exchanges = exchanged(events)
    total: dict[str, tuple[int, int]] = {}
    for order, event in enumerate(events):
        if event.kind == "rework-started" and str(event.data.get("joint", "")).strip():
            joint = joint_name(str(event.data["joint"]), names)
            times, known = total.get(joint, (0, 0))
            total[joint] = (times + 1, int(event.data.get("limit", 0)) or known)
        elif order in exchanges:
            about = _about(str(event.data.get("place", "")), names)
            total = {joint: count for joint, count in total.items() if joint.partition(" ")[0] not in about}
    return total
