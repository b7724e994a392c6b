"""The first screen: work that is open, most recent first, then what can be started, by kind."""

from __future__ import annotations

from datetime import timedelta
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from benchtui.jobs.glance import is_stale
from benchtui.jobs.timers import Moment
from benchtui.ui.view.ages import ago
from benchtui.ui.view.head import EMERGENCY
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import Span, cut, line, spread

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from benchtui.content.library import Entry
    from benchtui.jobs.glance import JobSummary
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

KINDS: Final[Mapping[str, str]] = {
    "assembly": "Build",
    "rework": "Put right",
    "service": "Service",
    "checklist": "Check before going on",
}
"""Kinds of procedure, and the headings they stand under."""

NONE_OUT: Final[Mapping[str, str]] = MappingProxyType({})

FEW: Final = 3
"""Procedures for any design that are still listed one by one; more stand behind one line."""


def bench_head(
    width: int, *, notice: str, meter: str, work: Sequence[JobSummary], shapes: Shapes, place: str = ""
) -> list[Line]:
    """The two lines at the top of the bench: what is still on or hot, whichever job has left it so, stands there.

    Args:
        width: Cells.
        notice: Why nothing can be written, when that is so.
        meter: The meter of this sitting.
        work: What is open.
        shapes: Characters of this terminal.
        place: What this bench is called; empty where that was not said.
    """
    first = spread(line((f"The bench: {place}" if place else "The bench", "title")), line(EMERGENCY), width)
    left_on = list(dict.fromkeys(what.upper() for job in work for what in job.left_on))
    if not left_on:
        return [first, spread(line((notice, "quiet")), line((meter, "quiet")), width)]
    hazards = [Span(f" {shapes.stands} LEFT: {', '.join(left_on)} ", "stands")]
    if notice:
        return [first, cut((*hazards, Span(" "), *line((notice, "quiet"))), width)]
    return [first, spread(tuple(hazards), line((meter, "quiet")), width)]


def bench_rows(
    work: Sequence[JobSummary],
    entries: Iterable[Entry],
    *,
    now: datetime,
    shapes: Shapes,
    moment: Moment | None = None,
    out: Mapping[str, str] = NONE_OUT,
) -> list[Row]:
    """The rows of the first screen.

    Args:
        work: What is open, the one touched last first.
        entries: Everything the library holds.
        now: For telling how long ago.
        shapes: Characters of this terminal.
        moment: For telling when a wait is over; by the clock alone when None.
        out: Units that a pass over their batch goes past, such as held ones, with their state.
    """
    everything = list(entries)
    designs = {entry.id: entry.title for entry in everything if entry.kind == "design"}
    rows = [Row(text="Open work" if work else "No work is open")]
    for job in by_batch(work):
        if isinstance(job, tuple):
            rows.append(batch_row(job, now, shapes, out))
            continue
        unit = f", unit {job.unit}" if job.unit else ""
        left_on = f"{shapes.stands} {', '.join(what.upper() for what in job.left_on)}  " if job.left_on else ""
        under = f"{left_on}{waiting(job, moment or Moment(now))}{where(job)}"
        rows.append(Row(id=f"open:{job.job}", text=f"{job.title}{unit}", right=aged(job, now, shapes), under=under))
    rows.append(Row(text="At any time"))
    rows.append(Row(id="find", text="Find a fault: an input is dead or wrong", right="f"))
    rows.append(Row(id="sums", text="Do a sum: divider, LED, pull-up, wire, torque and more", right="c"))
    rows.append(Row(id="units", text="See where a unit stands, and release it", right="u"))
    rows.append(Row(id="design", text="Look at a design: panel, wires, pins, readings, bill", right="d"))
    rows.append(Row(id="ask", text="Ask where a lot or part went, or what a meter measured", right="w"))
    rows.append(Row(id="look", text="Look something up: steps, cautions, units, past work", right="/"))
    for kind, title in KINDS.items():
        members = of_kind(everything, kind)
        own = [entry for entry in members if entry.design != "any"]
        common = [entry for entry in members if entry.design == "any"]
        if members:
            rows.append(Row(text=title))
        rows += start_rows(own, designs)
        if kind == "assembly" and members:
            rows.append(Row(id="batches", text="A batch: one step for all its units", right="b"))
        if kind == "checklist" or len(common) <= FEW:
            rows += start_rows(common, designs)
        else:
            rows.append(Row(id=f"more:{kind}", text=f"{len(common)} more, for any design", right=shapes.arrow))
    return rows


def by_batch(work: Sequence[JobSummary]) -> list[JobSummary | tuple[JobSummary, ...]]:
    """Open work with the jobs of each batch, and what they have called, together where the first of them stands."""
    name: dict[str, str] = {job.job: job.batch for job in work if job.batch}
    while more := {job.job: name[job.caller] for job in work if job.job not in name and job.caller in name}:
        name |= more
    found: list[JobSummary | tuple[JobSummary, ...]] = []
    for batch, job in dict.fromkeys((name.get(job.job, ""), "" if job.job in name else job.job) for job in work):
        if batch:
            found.append(tuple(one for one in work if name.get(one.job) == batch))
        else:
            found.append(next(one for one in work if one.job == job))
    return found


def aged(last: JobSummary, now: datetime, shapes: Shapes) -> str:
    """How long ago work was touched last, and whether it may have been forgotten."""
    mark = f"  {shapes.failed} " if shapes.failed else ", "
    return f"{ago(last.last, now)}{f'{mark}forgotten?' if is_stale(last, now) else ''}"


def batch_row(jobs: Sequence[JobSummary], now: datetime, shapes: Shapes, out: Mapping[str, str] = NONE_OUT) -> Row:
    """The one row of a batch: how many units are open, and where the one stands that is furthest behind.

    A unit that is held stays where it is while the others go on: it is counted, and where it stands is not said. One
    that was scrapped is none of them.

    Args:
        jobs: Its open jobs, and what they have called.
        now: For telling how long ago.
        shapes: Characters of this terminal.
        out: Units that a pass goes past, with their state.
    """
    every = [job for job in jobs if job.batch]
    own = [job for job in every if out.get(job.unit) != "scrapped"] or every
    gone = {job.unit for job in own if job.unit in out}
    behind = min(own, key=lambda job: (job.unit in gone, job.number or job.of + 1))
    aside = f"; {len(gone)} not in the pass" if gone else ""
    units = len({job.unit for job in own})
    left_on = _left_on_at(jobs)
    stands = f"{shapes.stands} {', '.join(left_on)}  " if left_on else ""
    failed = len({job.unit for job in own if job.failed and job.unit not in gone})
    return Row(
        id=f"batch:{behind.batch}",
        text=f"Batch {behind.batch}, {units} unit{'s' if units > 1 else ''}: {behind.title}",
        right=aged(max(jobs, key=lambda job: job.last), now, shapes),
        under=f"{stands}{where(behind, failed=_failed_on(failed, units - len(gone)))}{aside}",
    )


def _left_on_at(jobs: Sequence[JobSummary]) -> list[str]:
    """What is left on by the units of a batch, and at which of them where it is not all of them."""
    units = {job.unit for job in jobs}
    found: dict[str, set[str]] = {}
    for job in jobs:
        for what in job.left_on:
            found.setdefault(what.upper(), set()).add(job.unit)
    return [what if at == units else f"{what} ({', '.join(sorted(at))})" for what, at in found.items()]


def _failed_on(failed: int, of: int) -> str:
    """On how many units of a batch a step failed; empty where on none."""
    return f"failed on {failed} of {of} unit{'s' if of > 1 else ''}" if failed else ""


def of_kind(entries: Iterable[Entry], kind: str) -> list[Entry]:
    """The procedures of a kind, or the checklists, by title."""
    found = [
        entry
        for entry in entries
        if (entry.kind == "procedure" and entry.procedure_kind == kind) or entry.kind == kind == "checklist"
    ]
    return sorted(found, key=lambda entry: entry.title.lower())


def start_rows(entries: Iterable[Entry], designs: Mapping[str, str]) -> list[Row]:
    """What can be started, each with the design it is for."""
    return [
        Row(
            id=f"start:{entry.id}",
            text=entry.title,
            right=designs.get(entry.design, "any design" if entry.design == "any" else entry.design),
        )
        for entry in entries
    ]


def waiting(job: JobSummary, now: Moment) -> str:
    """When the waits of a job are over, in words that stay true while they are on the screen."""
    texts = []
    for wait in job.waits:
        left = wait.left(now)
        ends = now.clock + timedelta(seconds=left)
        day = "" if ends.date() == now.clock.date() else f"{ends:%Y-%m-%d} "
        texts.append(f"wait of step {wait.number} until {day}{ends:%H:%M}; " if left else "the wait is over; ")
    return "".join(texts)


def where(job: JobSummary, *, failed: str | None = None) -> str:
    """Where a job stands, in a line; `failed` stands for its own failed steps where several units are meant."""
    if job.procedure_kind == "fault finding":
        return job.text or "fault finding, not closed"
    if not job.number:
        left = f", {job.open_items} still open" if job.open_items else ""
        return f"{job.tally or 'every step gone through'}{left}; not closed"
    if failed is None:
        failed = f"{job.failed} failed" if job.failed else ""
    text = f"next you meant to: {job.next_act}" if job.next_act else job.text
    return f"step {job.number} of {job.of}{', ' if failed else ''}{failed}: {text}"
