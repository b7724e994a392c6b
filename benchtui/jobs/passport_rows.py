"""Rows of a passport about what was measured: each reading with its meter, date, reason, and what came before it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Final

from benchtui.jobs.plan import UNPROVEN
from benchtui.jobs.readings import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.steps import Reading, StepState

READING_COLUMNS: Final = ("what", "where", "reading", "limits", "verdict", "taken", "meter", "before it")

NOT_AGAIN: Final = "not taken again yet"
"""Said of a reading whose step was opened again: it stays to be seen, and proves nothing."""

At = tuple[str, str, str]
"""(job, key of the step, time) of a reading."""


def reading_rows(jobs: Iterable[JobState], benches: Mapping[At, str]) -> Iterator[tuple[str, ...]]:
    """A row for each step with a reading, in the columns of `READING_COLUMNS`.

    Args:
        jobs: Jobs of the unit, oldest first.
        benches: Bench of a reading, where several benches measured; empty where one did.
    """
    for job in jobs:
        for step, known in job.every():
            if step.limits and known.reading:
                yield _row(job, step, known, benches)


def _row(job: JobState, step: PlanStep, known: StepState, benches: Mapping[At, str]) -> tuple[str, ...]:
    assert step.limits is not None
    *before, last = known.readings
    verdict = f"{known.verdict_text}; {NOT_AGAIN}" if known.to_read else known.verdict_text
    again = f"again because: {last.reason}" if last.reason and before else ""
    earlier = [
        ", ".join(
            filter(
                None,
                (
                    f"{'first' if place == 0 else 'then'} {shown(step.limits, each.typed)}",
                    each.verdict,
                    when(each.time),
                    meter_text(each),
                    benches.get((job.job, step.key, each.time), ""),
                ),
            )
        )
        for place, each in enumerate(before)
    ]
    bench = benches.get((job.job, step.key, last.time), "")
    return (
        f"{step.limits.what}{UNPROVEN[job.plan.proven]}",
        step.subject.id if step.subject else "",
        shown(step.limits, last.typed),
        step.limits.text,
        verdict,
        ", ".join(filter(None, (when(last.time), bench))),
        meter_text(last) or "not named",
        "; ".join(filter(None, (*earlier, again))),
    )


def when(time: str) -> str:
    """A time of the record as people write it, in the zone it was written in."""
    return datetime.fromisoformat(time).strftime("%Y-%m-%d %H:%M") if time else ""


def meter_text(reading: Reading) -> str:
    """The meter of a reading, its calibration date, and why it was used past that; empty where none is named."""
    if not reading.meter:
        return ""
    due = f" (calibrated until {reading.due})" if reading.due else ""
    past = f", past that because: {reading.override}" if reading.override else ""
    return f"{reading.meter}{due}{past}"
