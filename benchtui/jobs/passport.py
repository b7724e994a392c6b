"""A unit as a page of text, from its record alone: the passport that goes with it, and its history.

Nothing here looks at the clock or the files, so the same record always gives the same page.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from benchtui.jobs.missing import Needs, missing
from benchtui.jobs.passport_rows import NOT_AGAIN, READING_COLUMNS, At, reading_rows
from benchtui.jobs.passport_rows import when as when
from benchtui.jobs.plan import UNPROVEN
from benchtui.jobs.tally import tally
from benchtui.jobs.twice import covered
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from benchtui.jobs.hunted import HuntTold
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.units import UnitView
    from benchtui.record.event import Event


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What the record tells of a unit beside what follows from its own events."""

    hunts: tuple[HuntTold, ...] = ()
    benches: Mapping[At, str] = field(default_factory=dict)
    """Bench of each reading, where more than one measured."""
    broken: tuple[str, ...] = ()
    """What of its record does not verify."""


def passport(view: UnitView, beside: Beside | None = None) -> list[str]:
    """The passport of a unit in Markdown: what it is, how it was built and tested, what is in it, what is open.

    Args:
        view: The unit.
        beside: What the record tells beside; nothing where only the unit's own events are at hand.
    """
    beside = beside or Beside()
    return [
        *_head(view),
        *_broken(beside.broken),
        *_section("Verdict", _verdict(view, beside)),
        *_section("How it was built and tested", _jobs(view)),
        *_section("Readings", _readings(view.jobs, beside)),
        *_section_of("Written down", text_lines(view.jobs)),
        *_section_of("Witness points", witness_lines(view.jobs)),
        *_section("Faults that were hunted", hunt_lines(beside.hunts)),
        *_section("Defects and what became of them", (f"- {line}" for line in defect_lines(view.jobs))),
        *_section("Parts with a lot or serial number", (f"- {line}" for line in part_lines(view))),
        *_section("Agreed departures from the design", (f"- {line}" for line in view.concessions)),
        *_section("Decisions where two benches disagreed", (f"- {line}" for line in view.decisions)),
        *_section("Steps whose text was changed by hand for this unit", (f"- {line}" for line in redlines(view.jobs))),
        *_section("Open", _open(view)),
    ]


def _broken(lines: Sequence[str]) -> Iterator[str]:
    """A record that does not verify proves nothing: it says so before anything else."""
    if lines:
        yield ""
        yield "**The record of this unit does not verify. What stands below is no proof until it is known why:**"
        yield ""
        yield from (f"- {line}" for line in lines)


def _verdict(view: UnitView, beside: Beside) -> Iterator[str]:
    """The unit in a few lines: its readings, texts that are not proven, faults that still stand, what is open."""
    read = [
        (known, reading)
        for job in view.jobs
        for step, known in job.every()
        if step.limits and (reading := known.reading)
    ]
    counted = Counter(NOT_AGAIN if known.to_read else reading.verdict for known, reading in read)
    words = {"pass": "inside the limits", "near limit": "near a limit", "fail": "outside the limits"}
    told = [f"{counted[word]} {means}" for word, means in {**words, NOT_AGAIN: NOT_AGAIN}.items() if counted[word]]
    yield f"- readings: {', '.join(told) or 'none'}"
    if nameless := sum(not reading.meter for _, reading in read):
        yield f"- readings without the name of a meter: {nameless}"
    unproven = dict.fromkeys(f"{job.plan.title}, {job.edition}" for job in view.jobs if UNPROVEN[job.plan.proven])
    for title in unproven:
        yield f"- worked by a text that is not released: {title}"
    yield from (f"- a fault still stands: {hunt.title}" for hunt in beside.hunts if hunt.still_there)
    open_items = len(missing(view, Needs()))
    yield f"- open: {open_items or 'nothing by this record'}" + (", listed below" if open_items else "")


def hunt_lines(hunts: Iterable[HuntTold]) -> Iterator[str]:
    """Each hunt with whether its trouble stands, and what was measured, done and found in it, below."""
    for hunt in hunts:
        yield f"- {hunt.title}, begun {when(hunt.begun)}, job {hunt.job}: {hunt.stands}"
        yield from (f"  - {line}" for line in hunt.lines)


def defect_lines(jobs: Iterable[JobState]) -> Iterator[str]:
    """Each defect with what was decided about it and how it stands."""
    for job in jobs:
        for defect in job.defects.values():
            where = f" at {defect.subject}" if defect.subject else ""
            decision = f"; {defect.decision}" if defect.decision else ""
            yield f"{defect.id}{where}, {job.plan.title}: {defect.text}: {defect.status}{decision}"


def _head(view: UnitView) -> Iterator[str]:
    yield f"# Unit {view.unit}"
    yield ""
    if view.design:
        yield f"- design: {view.design}"
    if view.made and view.made.hardware:
        yield f"- hardware: {view.made.hardware}"
    if view.made and view.made.options:
        yield f"- options: {', '.join(view.made.options)}"
    if view.made and view.made.batch:
        yield f"- batch: {view.made.batch}"
    for line in view.numbers:
        yield f"- number: {line}"
    yield f"- state: {view.state or 'not known'}"
    if view.last_state and view.last_state.by:
        yield f"- set by: {view.last_state.by}"
        if view.last_state.evidence:
            yield f"- evidence: {view.last_state.evidence}"
    if view.last_state and view.last_state.reason:
        yield f"- because: {view.last_state.reason}"
    for line in first_unit_lines(view):
        yield f"- {line}"
    if view.firmware:
        yield f"- firmware: {view.firmware.name} {view.firmware.version} {view.firmware.digest[:12]}".rstrip()


def first_unit_lines(view: UnitView) -> Iterator[str]:
    """The first-unit record of its design that was signed last for this unit, in a line; nothing where none was."""
    for signed in view.first_unit[-1:]:
        because = f", due since {'; '.join(signed.because)}" if signed.because else ""
        yield f"first-unit record signed by {signed.by} on {when(view.first_signed)}{because}; {signed.told}"


def _jobs(view: UnitView) -> Iterator[str]:
    for job in view.jobs:
        state = f"{job.closed or 'open'}, {tally(job)}"
        yield f"- {job.plan.title}, {job.edition}, job {job.job}: {state}, begun {when(job.started)}"


def text_lines(jobs: Iterable[JobState]) -> Iterator[str]:
    """Each text that a step asked for, with what it is of; the last one is the one that counts."""
    for job in jobs:
        for step, known in job.every():
            if step.trace == "text" and known.fitted:
                again = f"; first {known.fitted[0]}" if len(known.fitted) > 1 else ""
                where = f"{job.plan.title}, step {step.number}{f', {when(known.done)}' if known.done else ''}"
                yield f"{step.part}: {known.fitted[-1]}{again} ({where})"


def witness_lines(jobs: Iterable[JobState]) -> Iterator[str]:
    """Each witness point that was gone past, and who looked on."""
    for job in jobs:
        for step, known in job.every():
            if step.witness and (known.witnessed or known.settled):
                who = " and ".join(known.witnessed) or "nobody"
                yield f"{job.plan.title}, step {step.number}, {step.text} {who} looked on"


def _readings(jobs: Iterable[JobState], beside: Beside) -> Iterator[str]:
    rows = list(reading_rows(jobs, beside.benches))
    if rows:
        yield f"| {' | '.join(READING_COLUMNS)} |"
        yield "|---" * len(READING_COLUMNS) + "|"
    for row in rows:
        yield f"| {' | '.join(_cell(text) for text in row)} |"


def part_lines(view: UnitView) -> Iterator[str]:
    """Each part with where it is, where it came from, and when it went in and out."""
    for part in view.parts:
        came = f", written down {when(part.time)}{_after(part.order, view.released)}"
        gone = f", taken out {when(part.removed)}{_after(part.out, view.released)}" if part.out is not None else ""
        yield f"{part.place}: {part.named}{came}{gone}"


def _after(order: int | None, released: int | None) -> str:
    """Said of what happened after the release, whatever the clock said: the rest is as built."""
    return " (after its release)" if order is not None and released is not None and order > released else ""


def redlines(jobs: Iterable[JobState]) -> Iterator[str]:
    """Each step whose text was changed by hand, with both texts and the reason."""
    for job in jobs:
        for step, known in job.every():
            if known.redline:
                yield (
                    f"{job.plan.title}, step {step.number}: {known.redline} (written was: {step.text}; "
                    f"because {known.redlined})"
                )


def _open(view: UnitView) -> Iterator[str]:
    # The same lines as the gate before a release, as far as the record alone has them.
    yield from (f"- {line}" for line in missing(view, Needs()))
    if view.state not in ("accepted", "released"):
        # The gate asks the files for this, and the page is made from the record alone: it says so.
        yield "- whether each assembly procedure of its design was gone through is not looked at here"


def _section(title: str, lines: Iterable[str]) -> list[str]:
    """A section with its heading; "none" is an answer, an empty section is not."""
    return ["", f"## {title}", "", *(list(lines) or ["none"])]


def _section_of(title: str, told: Iterable[str]) -> list[str]:
    """A section of what only some procedures ask for; none where it was not asked for."""
    lines = [f"- {line}" for line in told]
    return _section(title, lines) if lines else []


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


# -- history ---------------------------------------------------------------------------------------------------------

_WORDS: Final[Mapping[str, str]] = {
    "job-closed": "closed: {result}",
    "step-done": "done: {step}",
    "step-skipped": "skipped {step}: {reason}",
    "step-not-applicable": "not applicable, {step}: {reason}",
    "step-failed": "failed {step}: {reason}",
    "step-held": "held {step}: {reason}",
    "step-reopened": "opened again: {step}",
    "caution-acknowledged": "read the caution {caution}",
    "choice": "answered {step}: {choice}",
    "note": "note: {text}",
    "text": "{what}: {text}",
    "place-kept": "{step} kept as {name}",
    "witnessed": "{name} looked on at {step}",
    "defect": "defect {defect}: {text}",
    "disposition": "defect {defect}: {disposition}, {reason}",
    "rework-started": "rework of defect {defect} began",
    "rework-done": "rework of defect {defect} is done",
    "part-fitted": "part for {place}: {part}, {lot} {serial}",
    "condition-answered": "{condition}: {answer}",
    "started-short": "begun without {missing}: {reason}",
    "redline": "text of {step} changed by hand: {text} ({reason})",
    "revision-moved": "goes on by revision {revision}: {reason}",
    "file-attached": "file {name} kept with {step}",
    "suspended": "put aside",
    "resumed": "taken up again {checklist}",
    "bench-said": "on, hot or loose at the bench: {bench}",
    "unit-made": "serial number given",
    "unit-fixed": "found out of it later: {hardware} {options}",
    "unit-state": "{state}",
    "intake": "taken in: {condition}",
    "firmware-loaded": "firmware {name} {version}",
    "conflict-decided": "two benches disagreed, {about}; decided by {by}: {reason}",
    "unit-parted": "two units had this number, and one of them is {serial} from now on; by {by}: {reason}",
    "unit-renumbered": "it was {was}, as another unit was, and is {serial} from now on; by {by}: {reason}",
    "first-unit": "first-unit record signed by {by}: {told}",
    "decision-withdrawn": "decision withdrawn, {about}; by {by}: {reason}",
    "copy-put-back": "an older copy of the record was put back",
    "copy-decided": "{about}: {reason} (decided by {by})",
    "work-around": "temporary: {text}",
    "work-around-undone": "temporary state put right",
    "concession": "left as it is: {item} ({reason}; signed {by})",
    "sum": "sum kept: {text}",
    "hunt-started": "began: {title}",
    "hunt-closed": "fault finding ended: {result}",
}
"""Kind of event to its line; kinds that are not here are too small for a history."""


_PUT_RIGHT: Final = "what is fixed of it put right: {hardware} {options}; by {by}: {reason}"


def history(events: Iterable[Event]) -> list[str]:
    """Events as lines, in the order given: time, and what happened in words."""
    return [f"{when(event.time)}  {line}" for event in covered(events) if (line := said(event.kind, event.data))]


def said(kind: str, data: Mapping[str, Any]) -> str:
    """An event in words; empty for one too small to tell."""
    if kind == "reading" and "verdict" not in data:
        return f"read {data.get('what') or data.get('step')}: {data.get('text')}"
    if kind == "reading":
        value = data.get("value")
        shown = "over range" if value is None else format_value(float(value), str(data.get("quantity", "number")))
        return f"read {data.get('what') or data.get('step')}: {shown}, {data.get('verdict')}"
    if kind == "job-started":
        return f"began: {data.get('title')}{UNPROVEN.get(str(data.get('proven')), '')}"
    if kind == "disposition" and data.get("name"):
        return f"defect {data.get('defect')}: {data.get('disposition')}, by {data['name']}, {data.get('reason')}"
    template = _PUT_RIGHT if kind == "unit-fixed" and data.get("reason") else _WORDS.get(kind, "")
    words = {name: ", ".join(map(str, value)) if isinstance(value, list) else value for name, value in data.items()}
    return template.format_map(_Blank(words)).rstrip(": ,")


class _Blank(dict[str, Any]):
    """Fields of an event, empty where it has none."""

    def __missing__(self, key: str) -> str:
        return ""
