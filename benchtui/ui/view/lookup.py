"""Everything that can be looked up, as one list: procedures, checklists, cautions, symptoms, sums, units and jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.jobs.passport import said, when
from benchtui.jobs.twice import covered_of
from benchtui.record.search import look
from benchtui.ui.view.ages import ago
from benchtui.ui.view.bench import where
from benchtui.ui.view.rows import Row

SPARES: Final = "spares-for-a-tour"
"""Id of the row of the spares kit."""

_LETTERS: Final = 2
"""Letters that the record is searched from: F3 is a word."""

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from benchtui.calc.calculator import Calculator
    from benchtui.content.library import Library
    from benchtui.jobs.glance import JobSummary
    from benchtui.record.store import Store
    from benchtui.record.views import UnitRow


def content_rows(library: Library) -> list[Row]:
    """Procedures and checklists by every word of their steps, cautions by theirs; a damaged file is named."""
    rows: list[Row] = []
    for entry in library.entries():
        if entry.kind not in ("procedure", "checklist"):
            continue
        try:
            if entry.kind == "procedure":
                procedure = library.procedure(entry.id)
                steps = procedure.steps
                words = " ".join((procedure.purpose, *(" ".join((step.text, *step.detail)) for step in steps)))
            else:
                words = " ".join(f"{item.text} {item.response}" for item in library.checklist(entry.id).items)
        except BenchError as error:
            rows.append(Row(id=f"problem:{entry.id}", text=entry.title, right="has mistakes", under=str(error)))
            continue
        rows.append(Row(id=f"start:{entry.id}", text=entry.title, right=entry.kind, words=words))
    for caution in library.cautions().values():
        words = f"{caution.avoid} {caution.consequence} {caution.first_aid}"
        rows.append(Row(id=f"caution:{caution.id}", text=caution.hazard, right=caution.signal, words=words))
    return rows


def design_rows(library: Library) -> list[Row]:
    """What can be looked at of each design, found by its words or by the id or legend of a control."""
    from benchtui.design import load_design
    from benchtui.ui.view.reference import reference_rows

    rows: list[Row] = []
    for entry in library.entries("design"):
        try:
            design = load_design(library.path_of("design", entry.id))
        except BenchError as error:
            rows.append(Row(id=f"problem:{entry.id}", text=entry.title, right="has mistakes", under=str(error)))
            continue
        rows += [
            Row(
                id=f"design:{entry.id}/{row.id}",
                text=row.text,
                right=entry.title,
                words=f"{row.right} {row.words}",
            )
            for row in reference_rows(design)
            if row.id
        ]
    return rows


def record_rows(jobs: Iterable[JobSummary], units: Iterable[UnitRow], *, now: datetime) -> list[Row]:
    """Jobs, open or closed, and units."""
    rows = [
        Row(
            id=f"open:{job.job}" if not job.closed else f"closed:{job.job}",
            text=f"{job.title}, unit {job.unit or 'none'}",
            right=f"{job.closed or 'open'}, {ago(job.last, now)}",
            words=f"{job.job} {where(job)}",
        )
        for job in jobs
    ]
    rows += [
        Row(id=f"unit:{unit.unit}", text=f"Unit {unit.unit}", right=f"{unit.state} {ago(unit.last_time, now)}".strip())
        for unit in units
    ]
    return rows


def spares_rows() -> list[Row]:
    """The spares kit of a tour."""
    return [
        Row(text="A whole design"),
        Row(id=SPARES, text="Spares for a tour", right="spares", words="carry kit touring flight case confidence mass"),
    ]


def sums_rows(calculators: Iterable[Calculator]) -> list[Row]:
    """Sums by every word of their inputs and outputs."""
    return [
        Row(
            id=f"sum:{one.name}",
            text=one.title,
            right="sum",
            words=" ".join(
                (one.summary, one.also, *(entry.help for entry in one.inputs), *(out.help for out in one.outputs))
            ),
        )
        for one in calculators
    ]


def past_rows(store: Store, typed: str, *, limit: int = 20) -> list[Row]:
    """What was written down in the record with these words: notes, defects, readings, reasons; nothing for none."""
    # One letter begins half of all words, and everything is looked up anew at each letter typed.
    if max(map(len, typed.split()), default=0) < _LETTERS:
        return []
    closed = {row.job for row in store.jobs() if row.closed}
    found = look(store, typed, limit=limit)
    rows = [
        Row(
            id=f"{'closed' if event.job in closed else 'open'}:{event.job}" if event.job else f"unit:{event.unit}",
            text=said(event.kind, event.data),
            right=f"{event.unit} {when(event.time)}".strip(),
        )
        for event in covered_of(store, found.events)
        if said(event.kind, event.data) and (event.job or event.unit)
    ]
    head = f"Written down before; {found.more}" if found.more else "Written down before"
    return [Row(text=head), *rows] if rows else []
