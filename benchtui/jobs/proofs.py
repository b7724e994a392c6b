"""What of a unit is still proven: tests passed, and how often each joint was heated.

Inside one job, rework opens its steps again by itself. This looks over all jobs of a unit in the order of the record,
for a repair in one of them makes void what another had proven (`jobs.disturbed`).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from benchtui.jobs.disturbed import Disturbed, about_of, disturbances
from benchtui.jobs.knowing import Knowing
from benchtui.jobs.lineage import procedure_of, step_of
from benchtui.jobs.named import joint_name, names_of
from benchtui.jobs.order import order_of
from benchtui.jobs.parts import exchanged
from benchtui.jobs.quality import is_voided, tests_work_of
from benchtui.jobs.quality_events import borne
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from benchtui.jobs.events import Recorded
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A required test that was passed, and the order of what it was passed by: its reading or answer, not its mark."""

    job: str
    step: PlanStep
    order: int
    of: tuple[str, str]
    """(id of the procedure, key there) of the test, also where another job makes it again."""
    stands: frozenset[tuple[str, str]] = frozenset()
    """(id of a procedure, key) of the places it stands at: its own, and that of each step it was called from."""

    def covers(self, earlier: Proof) -> bool:
        """Whether this one takes the place of an earlier one: the same test, or one elsewhere that asks the same."""
        if self.of == earlier.of:
            return True
        if self.of[0] == earlier.of[0]:
            return False
        point = self.step.limits.point if self.step.limits else ""
        same = (self.step.limits, self.step.subject) == (earlier.step.limits, earlier.step.subject)
        return (bool(point) and same) or _same_words(self.step, earlier.step)


def _same_words(one: PlanStep, other: PlanStep) -> bool:
    """The same test word for word: one that a job of an older program made again, without saying of which it is."""
    return _words(one) == _words(other)


def _words(step: PlanStep) -> tuple[object, ...]:
    return (step.step_id, step.text, step.act, step.subject, step.detail, step.accept, step.limits, step.choices)


def void(jobs: Sequence[JobState], events: Sequence[Recorded], *, knowing: Knowing | None = None) -> tuple[Proof, ...]:
    """Required tests passed before something that touched their subject, and not passed again since.

    Args:
        jobs: States of the unit's jobs.
        events: Every event of the unit in the record's order.
        knowing: What benches knew of each other's entries; nothing when None.
    """
    knowing = knowing or Knowing()
    states = {job.job: job for job in jobs}
    by_subject: dict[str, list[Proof]] = defaultdict(list)
    for proof in _proofs(states, events):
        beside = by_subject[proof.step.subject.id if proof.step.subject else ""]
        earlier = [each for each in beside if proof.covers(each)]
        for each in earlier:
            beside.remove(each)
        beside.append(replace(proof, stands=proof.stands.union(*(each.stands for each in earlier))))
    proofs = sorted((each for some in by_subject.values() for each in some), key=lambda proof: proof.order)
    disturbed = _Disturbances(disturbances(states, events))
    return tuple(
        proof
        for proof in proofs
        if any(
            not _made_after(each, proof, events, knowing) and _voids(each, proof, states)
            for each in disturbed.near(proof)
        )
    )


class _Disturbances:
    """Disturbances by what they can be about: a unit's life has thousands of steps done, and few are near one test."""

    def __init__(self, every: Iterable[Disturbed]) -> None:
        self._others: list[Disturbed] = []
        self._done: dict[tuple[str, str], list[Disturbed]] = defaultdict(list)
        for each in every:
            if each.done is None:
                self._others.append(each)
                continue
            root, step = each.done
            if step.about == "nothing":
                continue
            about = set(step.touches) if step.subject is not None and step.subject.kind == "wires" else set()
            # Of the unit as a whole: what is about nothing by name, and whatever tools were used on.
            whole = {""} if step.subject is None or step.uses or step.about else set()
            for id in about | whole | ({step.subject.id} if step.subject is not None else set()):
                self._done[root, id].append(each)

    def near(self, proof: Proof) -> Iterator[Disturbed]:
        """Those that may make a test void."""
        yield from self._others
        for root in {root for root, _ in proof.stands}:
            for id in proof.step.touches or ("",):
                yield from self._done.get((root, id), ())


def _made_after(by: Disturbed, proof: Proof, events: Sequence[Recorded], knowing: Knowing) -> bool:
    """Whether a test was passed after what may have changed what it proves.

    A bench that had the entry of that work in its record made its test after it, whatever its clock says. Where it had
    not, the order of a merged record tells nothing; but a unit is at one place at a time, so that the clocks have to
    say the same, and where they do not the test is made again.
    """
    if by.order > proof.order:
        return False
    if by.order == proof.order:
        return True
    passed, done = events[proof.order], events[by.order]
    if knowing.knew(passed, done):
        return True
    return datetime.fromisoformat(passed.time) > datetime.fromisoformat(done.time)


def _proofs(states: Mapping[str, JobState], events: Sequence[Recorded]) -> Iterator[Proof]:
    """The tests that were passed, in the order of what they were passed by."""
    found = []
    for (job, key), order in order_of(states.values(), events).proved.items():
        state = states[job]
        step, known = state.step(key), state.known(key)
        if step is None or not step.required or known is None or known.status is not Status.DONE:
            continue
        if step.act == "call":  # what it calls has tests of its own
            continue
        of = step_of(state, key, states)
        found.append(Proof(job=job, step=step, order=order, of=of, stands=frozenset({of, *_callers(state, states)})))
    yield from sorted(found, key=lambda proof: proof.order)


def _callers(state: JobState, states: Mapping[str, JobState]) -> Iterator[tuple[str, str]]:
    while state.caller in states:
        step, state = state.caller_step, states[state.caller]
        yield procedure_of(state, states), step


def _voids(by: Disturbed, proof: Proof, states: Mapping[str, JobState]) -> bool:
    if proof.job in by.family and proof.order > by.start:
        return False
    if proof.step.about in by.about and not proof.step.touches:
        return True
    if by.done is not None:
        return tests_work_of(proof.step, by.done[1]) and _after(by.done, proof, states)
    if by.steps is not None:
        return proof.step.step_id in by.steps
    return is_voided(proof.step, by.touched)


def _after(done: tuple[str, PlanStep], proof: Proof, states: Mapping[str, JobState]) -> bool:
    """Whether a test stands after a step that was done, by a text of its procedure that has both."""
    root, by = done
    # A step about nothing by name is tested in its own procedure, and not in each one that is called after it.
    places = proof.stands if by.subject else {proof.of}
    keys = {key for id, key in places if id == root}
    return bool(keys) and any(
        state.plan.has(by.key)
        and any(state.plan.has(key) and state.plan.places[key] > state.plan.places[by.key] for key in keys)
        for state in states.values()
        if procedure_of(state, states) == root
    )


def joints(jobs: Sequence[JobState], events: Sequence[Recorded]) -> Mapping[str, tuple[int, int]]:
    """Each joint that was heated again, with how often and how often its part bears to be soldered (0: not known).

    A part that went in in place of another has joints that were never heated again.
    """
    names = names_of(*jobs)
    exchanges = exchanged(events)
    total: dict[str, tuple[int, int]] = {}
    for order, event in enumerate(events):
        if event.kind == "rework-started" and str(event.data.get("joint", "")).strip():
            joint = joint_name(str(event.data["joint"]), names)
            times, known = total.get(joint, (0, 0))
            figures = (int(event.data.get(name, 0)) for name in ("attempts", "limit"))
            total[joint] = (times + 1, borne(*figures) or known)
        elif order in exchanges:
            about = about_of(str(event.data.get("place", "")), names)
            total = {joint: count for joint, count in total.items() if joint.partition(" ")[0] not in about}
    return total
