"""Tests that work on a unit has made void, as one job that makes them again."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs.left_open import around
from benchtui.jobs.lineage import procedure_of
from benchtui.jobs.plan import Before, PlanStep

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from benchtui.jobs.plan import Plan
    from benchtui.jobs.proofs import Proof
    from benchtui.jobs.units import UnitView

_TITLE: Final = "Test again: "
_OLD_TITLE: Final = "Test again after rework: "


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """The void tests of one procedure, and the text of it that they stand in."""

    procedure: str
    plan: Plan
    tests: tuple[Proof, ...]


def retest_plan(view: UnitView) -> Plan:
    """A plan of the tests of a unit that were made void, to be opened as a job.

    The tests of each procedure stand together, with what switches the power on and off around them and with the waits
    they come after. What has to be so before the first procedure is asked before the job, and before each of the others
    by a step of its own, for it comes to be so in this job. Two procedures may bear a step of one id. Each is gone
    through by itself: its key has the procedure's id before it.

    Raises:
        JobError: There are none.
    """
    if not view.void:
        raise JobError(f"nothing has to be tested again on {view.unit}")
    parts = tuple(_parts(view))
    found = [(part.procedure, key, step) for part in parts for key, step in _steps(part, first=part is parts[0])]
    times = Counter(key for _, key, _ in found)
    steps = tuple(
        replace(step, key=key if times[key] == 1 else f"{procedure}:{key}", number=number)
        for number, (procedure, key, step) in enumerate(found, start=1)
    )
    last = next(job.plan for job in view.jobs if job.job == view.void[-1].job)
    plans = [part.plan for part in parts]
    return replace(
        last,
        id=f"{last.id.removesuffix('-again')}-again",
        title=f"{_TITLE}{last.title.removeprefix(_OLD_TITLE).removeprefix(_TITLE)}",
        procedure_kind="service",
        purpose="What work has touched is tested once more.",
        order="strict",
        minutes=sum(step.minutes for step in steps),
        before=Before(
            conditions=plans[0].before.conditions,
            tools=_once(plan.before.tools for plan in plans),
            materials=_once(plan.before.materials for plan in plans),
        ),
        after=_once(plan.after for plan in plans),
        steps=steps,
        hidden=(),
        subject="",
        touched=(),
    )


def _parts(view: UnitView) -> Iterator[_Part]:
    """The void tests by procedure, in the order in which they were made: ohms stand before power."""
    jobs = {job.job: job for job in view.jobs}
    for procedure in dict.fromkeys(proof.of[0] for proof in view.void):
        tests = tuple(proof for proof in view.void if proof.of[0] == procedure)
        own = [job.plan for job in view.jobs if procedure_of(job, jobs) == procedure]
        # A job that takes up what another left open has only some of the steps of its procedure.
        whole = [plan for plan in own if plan.id == procedure and any(plan.has(proof.of[1]) for proof in tests)]
        yield _Part(procedure=procedure, plan=(whole or own or [jobs[tests[-1].job].plan])[-1], tests=tests)


def _steps(part: _Part, *, first: bool) -> Iterator[tuple[str, PlanStep]]:
    """The steps of one procedure, each with its key there, in the order of its text."""
    tests = {proof.of[1]: proof for proof in part.tests}
    support = around(part.plan.steps, frozenset(tests)) | _waited_for(part.plan.steps, frozenset(tests))
    if part.plan.before.conditions and not first:
        key = f"before-{part.procedure}"
        yield (
            key,
            PlanStep(
                key=key,
                step_id="before",
                number=0,
                act="observe",
                section=part.plan.title,
                text=f"Before {part.plan.title}: look at each line below.",
                detail=part.plan.before.conditions,
                accept="each of them is so",
            ),
        )
    for step in part.plan.steps:
        if proof := tests.pop(step.key, None):
            yield step.key, replace(proof.step, again=proof.of)
        elif step.key in support:
            yield step.key, replace(step, again=(part.procedure, step.key))
    for key, proof in tests.items():
        yield key, replace(proof.step, again=proof.of)


def _waited_for(steps: Sequence[PlanStep], wanted: frozenset[str]) -> frozenset[str]:
    """Keys of the waits that stand before a wanted test under the same hazard, and of what is done before such a wait.

    A log says nothing before its day has passed, and a day is nothing where the log was not started.
    """
    found: set[str] = set()
    since: list[PlanStep] = []
    standing = ""
    for step in steps:
        if step.begins:
            standing, since = step.begins, []
        elif standing and step.key in wanted:
            last = max((place for place, each in enumerate(since) if each.act == "wait"), default=-1)
            found |= {each.key for each in since[: last + 1] if each.act in ("do", "wait")}
        elif standing:
            since.append(step)
        if step.ends == standing:
            standing = ""
    return frozenset(found)


def _once(lists: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(line for lines in lists for line in lines))
