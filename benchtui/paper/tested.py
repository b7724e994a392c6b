"""The test sheet of a unit: every reading and required test, those that stand in the record filled in, the rest blank.

A procedure that is called twice is tested twice, so each time it is gone through has a table of its own.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from benchtui.jobs.passages import Passage, with_called
from benchtui.jobs.passport import defect_lines, part_lines, text_lines, when
from benchtui.jobs.passport_rows import meter_text
from benchtui.jobs.plan import UNPROVEN
from benchtui.jobs.readings import shown
from benchtui.jobs.twice import apart_text
from benchtui.paper.document import TICK, Blanks, Document, GuardedTable, Heading, Lines, Paragraph, Table
from benchtui.paper.steps import NOTHING, VERDICTS, warnings

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Mapping, Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.passport import Beside
    from benchtui.jobs.passport_rows import At
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.steps import Reading, StepState
    from benchtui.jobs.units import UnitView
    from benchtui.paper.document import Block
    from benchtui.paper.source import Source

NO_VERDICT = f"{TICK} pass  {TICK} fail"

_AGAIN = "void since, again:"
"""Behind what a step was proven by before it was opened again; the new value goes there."""


def passages(source: Source, id: str, jobs: Sequence[JobState] = ()) -> tuple[Passage, ...]:
    """A procedure and everything it calls, in the order it is gone through; one called twice comes twice.

    Args:
        source: The design and its procedures.
        id: Id of the procedure.
        jobs: Jobs of the unit, oldest first; the last job of the procedure counts, if it was not begun by a slip.
    """
    runs = (job for job in reversed(jobs) if job.plan.id == id and not job.caller)
    first = next((job for job in runs if not job.slipped), None)
    top = Passage(plan=first.plan if first else source.procedure(id), job=first)
    return tuple(with_called(top, jobs, lambda call: source.procedure(call) if source.serves(call) else None))


def test_sheet(
    source: Source,
    *,
    unit: str = "",
    jobs: Sequence[JobState] = (),
    state: str = "",
    missing: Sequence[str] = (),
    view: UnitView | None = None,
    beside: Beside | None = None,
) -> Document:
    """Every reading and required test of the assembly of this design, with limits, and what the record holds of them.

    Args:
        source: The design and its procedures.
        unit: Serial number of the unit; a blank when empty.
        jobs: Its jobs in the record, oldest first; none for a sheet to be filled in by hand.
        state: The state of the unit in the record, such as "temporary"; empty where it is not known.
        missing: What stands between the unit and its release by the record, a line each.
        view: The unit by the record, for its parts and departures; None for a sheet to be filled in by hand.
        beside: Its hunts, which bench measured, and what does not verify; None as before.
    """
    benches = beside.benches if beside else {}
    procedures = source.ids("procedure", "assembly")[:1]
    gone = [each for id in procedures for each in passages(source, id, jobs)]
    meters = {reading.meter: reading.due for job in jobs for reading in _readings(job) if reading.meter}
    past = {reading.meter for job in jobs for reading in _readings(job) if reading.override}
    last = (f"the {len(missing)} open by the record, listed above, are seen to",) if missing else ("nothing is open",)
    blocks: list[Block] = [
        Blanks(
            (
                ("Unit", unit),
                ("Date", ""),
                ("Tested by", ""),
                ("Meter", ", ".join(meters)),
                ("Meter checked until", _until(meters, past)),
            )
        ),
        *_broken(beside),
        *_record(unit, jobs),
        *_open(state, missing),
        *passage_blocks(gone, level=2, benches=benches),
        *_others(gone, jobs, benches),
        *_of_unit(view, beside),
        Heading("Verdict", 2),
        # What the record knows to be open is not left to a tick.
        Lines((*("every reading is within its limits", "every required test is passed"), *last), ticks=True),
        Blanks((("Name", ""), ("Date", ""))),
    ]
    return Document("Test sheet", f"{source.design.title}, revision {source.design.revision}", tuple(blocks))


def _until(meters: Mapping[str, str], past: Container[str]) -> str:
    """Until when the calibration of each meter runs, as it was known at its last reading, and which had run out."""
    said = {
        meter: f"{due}{', run out when it was used' if meter in past else ''}" for meter, due in meters.items() if due
    }
    if len(meters) == 1:
        return next(iter(said.values()), "")
    return ", ".join(f"{meter}: {due}" for meter, due in said.items())


def _broken(beside: Beside | None) -> Iterator[Block]:
    """A record that does not verify proves nothing, and the sheet says so before anything else."""
    if beside and beside.broken:
        words = "The record of this unit does not verify. What stands below is no proof until it is known why."
        yield Paragraph(words, with_next=True)
        yield Lines(beside.broken)


def _of_unit(view: UnitView | None, beside: Beside | None) -> Iterator[Block]:
    """What the record tells of the unit beside its tests: faults, defects, departures from its design, its parts."""
    hunts = [
        f"{hunt.title}, begun {when(hunt.begun)}: {hunt.stands}. {'; '.join(hunt.lines)}".rstrip(". ")
        for hunt in (beside.hunts if beside else ())
    ]
    jobs = view.jobs if view else ()
    for title, lines in (
        ("Written down", list(text_lines(jobs))),
        ("Faults that were hunted", hunts),
        ("Defects and what became of them", list(defect_lines(jobs))),
        ("Agreed departures from the design", list(view.concessions) if view else []),
        ("Parts with a lot or serial number", list(part_lines(view)) if view else []),
    ):
        if lines:
            yield Heading(title, 2)
            yield Lines(tuple(lines))


def _open(state: str, missing: Sequence[str]) -> Iterator[Block]:
    """In which state the unit is, and what is open on it."""
    if state:
        yield Paragraph(f"By the record this unit is {state}.", with_next=bool(missing))
    if missing:
        yield Heading("Open by the record", 2)
        yield Lines(tuple(missing))


def _record(unit: str, jobs: Sequence[JobState]) -> Iterator[Block]:
    """What the record says of the unit as a whole."""
    if not jobs:
        if unit:
            yield Paragraph(f"The record holds no work on {unit}: every field is still to be filled in.")
        return
    last = max(job.last for job in jobs)
    taken = sum(1 for job in jobs for _ in _readings(job))
    stand = "1 reading stands" if taken == 1 else f"{taken} readings stand"
    yield Paragraph(
        f"{stand} in the record, as of {when(last)}: printed with meter, date and verdict. "
        "An empty field is still to be filled in."
    )
    short = [
        f"{job.plan.title}: begun without {item}, because {why}" for job in jobs for item, why in job.short.items()
    ]
    if short:
        yield Lines(tuple(short))


def _others(gone: Sequence[Passage], jobs: Sequence[JobState], benches: Mapping[At, str]) -> Iterator[Block]:
    """Readings from work that is not the assembly: rework, service, tests made again."""
    listed = {passage.job.job for passage in gone if passage.job}
    others = [job for job in jobs if job.job not in listed and any(_readings(job))]
    if not others:
        return
    yield Heading("From other work on this unit", 2)
    for job in others:
        yield Heading(f"{job.plan.title}{UNPROVEN[job.plan.proven]}, begun {when(job.started)}", 3)
        tested = [step for step in job.plan.steps if job[step.key].readings]
        yield _table(Passage(plan=job.plan, job=job), tested, benches)


def passage_blocks(gone: Sequence[Passage], *, level: int, benches: Mapping[At, str] | None = None) -> Iterator[Block]:
    """Tables of all readings and required answers, one for each time a procedure is gone through, cautions first."""
    times = Counter(passage.plan.id for passage in gone)
    seen: Counter[str] = Counter()
    for passage in gone:
        plan = passage.plan
        seen[plan.id] += 1
        tested = [step for step in plan.steps if step.limits is not None or (step.required and step.choices)]
        if not tested:
            continue
        again = f", {seen[plan.id]} of {times[plan.id]}" if times[plan.id] > 1 else ""
        yield Heading(f"{plan.title}{UNPROVEN[plan.proven]}{again}", level)
        if again and passage.called:
            yield Paragraph(f"For {passage.called}.", with_next=True)
        cautions = {caution.id: caution for step in tested for caution in step.cautions}
        yield GuardedTable(warnings(cautions.values(), set()), _table(passage, tested, benches or {}))


def _table(passage: Passage, steps: Sequence[PlanStep], benches: Mapping[At, str]) -> Table:
    job = passage.job
    rows = tuple(_row(step, job[step.key] if job else None, job.job if job else "", benches) for step in steps)
    return Table(("No.", "At", "Test", "Limits", "Reading", "Verdict"), rows, (5, 7, 35, 16, 18, 19), dense=True)


def _row(step: PlanStep, known: StepState | None, job: str, benches: Mapping[At, str]) -> tuple[str, ...]:
    about = step.subject.id if step.subject else NOTHING
    left_out = known.left_out if known else ""
    if step.limits is None:
        test = str(step.number), about, step.text, step.choices[0].text
        answer = next((choice for choice in step.choices if known and choice.text == known.choice), None)
        if known is None or answer is None:
            return *test, left_out, NO_VERDICT
        said = f"{answer.text} ({when(known.done)})" if known.done else answer.text
        return (*test, f"{said}; {left_out or _AGAIN}", NO_VERDICT) if known.fresh else (*test, said, answer.verdict)
    limits = step.limits
    what = f"{limits.what}: {limits.where}" if limits.where else limits.what
    what += f" (power {limits.power})" if limits.power else ""
    test = str(step.number), about, what, limits.text
    if known is None or not known.readings:
        return *test, left_out, VERDICTS
    several = len(known.readings) > 1
    every = [
        _said(step, reading, first=several, bench=benches.get((job, step.key, reading.time), ""))
        for reading in known.readings
    ]
    if known.to_read:
        why = f"{apart_text(step)}, again:" if known.differ else _AGAIN
        return *test, "; ".join((*every, left_out or why)), VERDICTS
    return *test, "; ".join(every), known.verdict_text


def _said(step: PlanStep, reading: Reading, *, first: bool, bench: str) -> str:
    """A reading as it stands in the record; with its own verdict where there are several."""
    verdict = f" {reading.verdict}" if first else ""
    about = ", ".join(filter(None, (meter_text(reading), when(reading.time), bench, reading.reason)))
    return f"{shown(step.limits, reading.typed)}{verdict}{f' ({about})' if about else ''}"


def _readings(job: JobState) -> Iterator[Reading]:
    return (reading for known in job.steps.values() for reading in known.readings)
