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
    groups: dict[str, list[Row]] = {title: [] for title in KINDS.values()}
    for entry in everything:
        if entry.kind not in ("procedure", "checklist"):
            continue
        kind = "checklist" if entry.kind == "checklist" else entry.procedure_kind
        design = designs.get(entry.design, "any design" if entry.design == "any" else entry.design)
        title = KINDS.get(kind, KINDS["service"])
        groups[title].append(Row(id=f"start:{entry.id}", text=entry.title, right=design))
    for title, members in groups.items():
        if members:
            rows += [Row(text=title), *members]
    return rows


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
