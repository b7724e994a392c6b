"""The first-unit record of a design: each thing that one unit was measured for, with its limits and what it read.

It shows once, on the first unit, that the design and its procedures give what they promise; it is made anew when
something changed that may make a difference. What it holds and when it is due is that of a first article inspection
(AS9102, from memory).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from benchtui.jobs.lineage import step_of
from benchtui.jobs.passages import Passage, with_called
from benchtui.jobs.readings import shown

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan, PlanStep
    from benchtui.jobs.unit_events import FirstUnitSigned
    from benchtui.jobs.units import UnitView

LAPSE: Final = timedelta(days=730)
"""Time without a unit built after which a first unit is recorded anew (AS9102B 4.6, from memory: two years)."""

NOT_MEASURED: Final = "not measured"
"""Verdict on what has no reading and no answer yet."""

_AGAIN: Final = "to be taken again"


# -- when it is due --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """How a unit is built, as far as a change calls for a new first-unit record; what is empty is not known."""

    design_revision: str = ""
    procedures: Mapping[str, int] = field(default_factory=dict)
    """Id of each procedure it was built by to the revision."""
    hardware: str = ""
    place: str = ""
    time: str = ""
    """When its build began; of an earlier record, when the last unit was built before."""


def first_unit_due(now: Circumstances, before: Circumstances | None) -> tuple[str, ...]:
    """Why a unit needs a first-unit record; empty when the last one still holds (AS9102B 4.6, from memory).

    Args:
        now: How the unit is built.
        before: The same of the unit that was recorded last; None where none was.
    """
    if before is None:
        return ("no unit of this design has one",)
    reasons = []
    if now.design_revision and before.design_revision and now.design_revision != before.design_revision:
        reasons.append(f"the design went from revision {before.design_revision} to {now.design_revision}")
    for id, revision in now.procedures.items():
        was = before.procedures.get(id, revision)
        if was != revision:
            reasons.append(f"the procedure {id} went from revision {was} to {revision}")
    if _plain(now.hardware) != _plain(before.hardware):
        reasons.append(f"the hardware went from {before.hardware or 'none'} to {now.hardware or 'none'}")
    if now.place and before.place and _plain(now.place) != _plain(before.place):
        reasons.append(f"the bench moved from {before.place} to {now.place}")
    if now.time and before.time:
        gap = datetime.fromisoformat(now.time) - datetime.fromisoformat(before.time)
        if gap > LAPSE:
            reasons.append(f"no unit was built for {gap.days // 365} years")
    return tuple(reasons)


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def circumstances_of(view: UnitView, *, place: str) -> Circumstances:
    """How a unit is built, by its record.

    Args:
        view: The unit.
        place: Where the bench stands now; empty where nobody said so.
    """
    builds = [each.job for each in passages_of(view) if each.job is not None]
    return Circumstances(
        design_revision=builds[0].plan.design_revision if builds else "",
        procedures={job.plan.id: job.plan.revision for job in builds},
        hardware=view.made.hardware if view.made else "",
        place=place,
        time=builds[0].started if builds else "",
    )


def as_signed(event: FirstUnitSigned, *, built: str = "") -> Circumstances:
    """How the unit was built that a record was signed for.

    Args:
        event: The signature.
        built: When a unit of the design was built last.
    """
    named = (each.rpartition(" ") for each in event.procedures)
    return Circumstances(
        design_revision=event.design_revision,
        procedures={id: int(revision) for id, _, revision in named if revision.isdecimal()},
        hardware=event.hardware,
        place=event.place,
        time=built,
    )


# -- what it holds ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Characteristic:
    """One line of a first-unit record."""

    number: int
    what: str
    """What is measured or looked at."""
    about: str
    """The control, bank or connector; empty for the whole unit."""
    at: str
    """Where it is measured or looked at: the procedure, its step, and the test point."""
    requirement: str
    """The limits, or the answer that passes."""
    result: str
    """The reading or answer that counts; empty while there is none."""
    verdict: str
    """The verdict in words: how it came to it, that it was left out and why, or that it has to be taken again."""
    stands: str = ""
    """The verdict alone: pass, near limit, fail; empty where nothing counts."""
    meter: str = ""
    time: str = ""


def passages_of(view: UnitView, plan_of: Callable[[str], Plan | None] = lambda _: None) -> tuple[Passage, ...]:
    """What a unit was built by, in the order it is gone through; arguments as for `characteristics`."""
    builds = (job for job in view.jobs if job.plan.procedure_kind == "assembly" and not job.caller)
    tops = {job.plan.id: job for job in builds if not job.slipped}
    first = (Passage(plan=job.plan, job=job) for job in tops.values())
    return tuple(each for top in first for each in with_called(top, view.jobs, plan_of))


def characteristics(
    view: UnitView, plan_of: Callable[[str], Plan | None] = lambda _: None, begin: Sequence[Plan] = ()
) -> tuple[Characteristic, ...]:
    """Every reading and required answer that the build of a unit asks for, with what counts of it, in order.

    A test that was made again in another job counts as it came out there.

    Args:
        view: The unit.
        plan_of: Gives the plan of a procedure that is called and was not begun, by its id; None to leave it out.
        begin: Plans that a unit is built by on which no build was begun yet.
    """
    passages = passages_of(view, plan_of) or [
        each for plan in begin for each in with_called(Passage(plan=plan), view.jobs, plan_of)
    ]
    states = {job.job: job for job in view.jobs}
    again = _made_again(view, passages, states)
    void = {(proof.job, proof.step.key) for proof in view.void}
    found: list[Characteristic] = []
    for passage in passages:
        for step in passage.plan.steps:
            if step.limits is None and not (step.required and step.choices):
                continue
            job, key = passage.job, step.key
            if job is not None:
                other = again.get(step_of(job, key, states))
                own = view.order.proved.get((job.job, key), -1)
                if other and view.order.proved.get((other[0].job, other[1]), own) >= own:
                    job, key = other
            found.append(
                _line(len(found) + 1, passage, step, job, key, void=job is not None and (job.job, key) in void)
            )
    return tuple(found)


def _made_again(
    view: UnitView, passages: Sequence[Passage], states: Mapping[str, JobState]
) -> Mapping[tuple[str, str], tuple[JobState, str]]:
    """(id of a procedure, key there) of a step to the last job beside the build that did it again and its key"""
    built = {passage.job.job for passage in passages if passage.job}
    found = {}
    for job in view.jobs:
        if job.job not in built:
            for step, known in job.every():
                if (known.choice and not known.fresh) if step.limits is None else not known.to_read:
                    found[step_of(job, step.key, states)] = (job, step.key)
    return found


def _line(
    number: int, passage: Passage, step: PlanStep, job: JobState | None, key: str, *, void: bool
) -> Characteristic:
    limits = step.limits
    known = job.known(key) if job else None
    result, verdict, stands, meter, time = "", (known.left_out if known else "") or NOT_MEASURED, "", "", ""
    if known is not None:
        reading = known.reading
        if limits is not None and reading is not None and not known.to_read:
            result, verdict, stands = shown(limits, reading.typed), known.verdict_text, reading.verdict
            meter, time = reading.meter, reading.time
        elif limits is None and known.choice and not known.fresh:
            answer = next((choice for choice in step.choices if choice.text == known.choice), None)
            result, time = known.choice, known.done
            verdict = stands = (answer.verdict if answer else "") or "pass"
    if void and stands:
        verdict, stands = f"{verdict}; {_AGAIN} after later work", ""
    where = f", {limits.where}" if limits is not None and limits.where else ""
    return Characteristic(
        number=number,
        what=limits.what if limits is not None else step.text,
        about=step.subject.id if step.subject else "",
        at=f"{passage.plan.title}, step {step.number}{where}",
        requirement=limits.text if limits is not None else step.choices[0].text,
        result=result,
        verdict=verdict,
        stands=stands,
        meter=meter,
        time=time,
    )


def summed_up(lines: Sequence[Characteristic]) -> str:
    """How many characteristics there are, and how they stand, in words."""
    if not lines:
        return "no characteristic is measured yet"
    count = Counter(line.stands or (_AGAIN if line.result else NOT_MEASURED) for line in lines)
    number = "1 characteristic" if len(lines) == 1 else f"{len(lines)} characteristics"
    order = ("pass", "near limit", "fail", _AGAIN, NOT_MEASURED)
    told = [f"{count[word]} {word}" for word in order if count[word]]
    return f"{number}: {', '.join(told)}"


def materials(view: UnitView) -> Iterator[str]:
    """What is in the unit with a lot or serial number, and its firmware, a line each (AS9102 form 2, from memory)."""
    for part in view.parts_now():
        yield f"{part.place}: {part.named}"
    if view.firmware:
        yield f"firmware {view.firmware.name} {view.firmware.version}".rstrip()
