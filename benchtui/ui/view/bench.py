"""The first screen: work that is open, most recent first, then what can be started, by kind."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui.view.ages import ago, stale
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from benchtui.content.library import Entry
    from benchtui.jobs.glance import JobSummary
    from benchtui.ui.view.shapes import Shapes

KINDS: Final[Mapping[str, str]] = {
    "assembly": "Build",
    "rework": "Put right",
    "service": "Service",
    "checklist": "Check before going on",
}
"""Kinds of procedure, and the headings they stand under."""

FEW: Final = 3
"""Procedures for any design that are still listed one by one; more stand behind one line."""


def bench_rows(work: Sequence[JobSummary], entries: Iterable[Entry], *, now: datetime, shapes: Shapes) -> list[Row]:
    """The rows of the first screen.

    Args:
        work: What is open, the one touched last first.
        entries: Everything the library holds.
        now: For telling how long ago.
        shapes: Characters of this terminal.
    """
    everything = list(entries)
    designs = {entry.id: entry.title for entry in everything if entry.kind == "design"}
    rows = [Row(text="Open work" if work else "No work is open")]
    for job in work:
        old = f"  {shapes.failed} forgotten?" if stale(job.last, now) else ""
        unit = f", unit {job.unit}" if job.unit else ""
        age = f"{ago(job.last, now)}{old}"
        rows.append(Row(id=f"open:{job.job}", text=f"{job.title}{unit}", right=age, under=where(job)))
    rows.append(Row(text="At any time"))
    rows.append(Row(id="find", text="Find a fault: an input is dead or wrong", right="f"))
    rows.append(Row(id="sums", text="Do a sum: divider, LED, pull-up, wire, torque and more", right="c"))
    rows.append(Row(id="units", text="See where a unit stands, and release it", right="u"))
    rows.append(Row(id="design", text="Look at a design: panel, wires, pins, readings, bill", right="d"))
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


def where(job: JobSummary) -> str:
    """Where a job stands, in a line."""
    if job.procedure_kind == "fault finding":
        return job.text or "fault finding, not closed"
    if not job.number:
        left = f", {job.open_items} left open" if job.open_items else ""
        return f"every step gone through{left}; not closed"
    failed = f", {job.failed} failed" if job.failed else ""
    text = f"next you meant to: {job.next_act}" if job.next_act else job.text
    return f"step {job.number} of {job.of}{failed}: {text}"
