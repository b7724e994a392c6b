"""Several units built together: the sums, the matrix of units and stages, the spread of each reading.

Nothing here is kept: all of it is worked out from the units and their jobs whenever it is looked at.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean, median
from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import SETTLED, Status
from benchtui.jobs.units import MOVES

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Limits, PlanStep
    from benchtui.jobs.steps import Reading
    from benchtui.jobs.units import UnitView

STUCK: Final = (Status.FAILED, Status.HELD)
"""Marks of a step at which a unit waits for its builder, and the others go on."""

STATES: Final = tuple(state for state in MOVES if state)
"""Every state of a unit, in the order of its life."""

OUTLIER: Final = 3.5
"""Modified z-score from which on a value is marked as odd (Iglewicz and Hoaglin 1993, as in the NIST/SEMATECH handbook
1.3.5.17)."""


# -- sums ------------------------------------------------------------------------------------------------------------


def sums(views: Iterable[UnitView]) -> Mapping[str, int]:
    """How many units of a batch stand in each state; the counts add up to the units of the batch."""
    counted = dict.fromkeys(STATES, 0)
    for view in views:
        counted[view.state or "planned"] += 1
    return counted


# -- matrix ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """How far one unit is in one stage."""

    settled: int
    of: int
    status: Status
    """Worst mark in the stage: failed and held before begun, begun before open, and done when all is settled."""


_WORST: Final = (Status.FAILED, Status.HELD, Status.REOPENED, Status.BEGUN, Status.OPEN, Status.SKIPPED)


def matrix(jobs: Mapping[str, JobState]) -> Mapping[str, Mapping[str, Cell]]:
    """Units against the stages of their job: serial number to stage to cell. Stages are the sections of the plan."""
    return {unit: _stages(state) for unit, state in jobs.items()}


def _stages(state: JobState) -> Mapping[str, Cell]:
    found: dict[str, list[Status]] = {}
    for step in state.plan.steps:
        found.setdefault(step.section, []).append(state[step.key].status)
    return {section: _cell(marks) for section, marks in found.items()}


def _cell(marks: Sequence[Status]) -> Cell:
    settled = sum(mark in SETTLED for mark in marks)
    worst = next((mark for mark in _WORST if mark in marks), Status.DONE)
    if worst is Status.OPEN and settled:
        worst = Status.BEGUN
    return Cell(settled=settled, of=len(marks), status=worst)


# -- spread ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """The reading of one unit that counts, among those of its batch."""

    unit: str
    value: float
    verdict: str
    odd: bool
    """Far from the others, by the rule of `OUTLIER`; it may be within its limits all the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """One measurement over a batch."""

    key: str
    number: int
    """Number of the step it is taken at."""
    subject: str
    """The control, bank or connector it is about; empty for the whole unit."""
    what: str
    kind: str
    limits: Limits
    values: tuple[Value, ...]
    median: float
    lowest: float
    highest: float


def spread(jobs: Mapping[str, JobState]) -> tuple[Spread, ...]:
    """Every measurement of the jobs over their units, in the order of the plan.

    Readings over the range are left out, and those that no longer count, since their step was opened again.
    """
    found = []
    plans = {key: step for state in jobs.values() for key, step in ((s.key, s) for s in state.plan.steps)}
    for key, step in plans.items():
        if step.limits is None:
            continue
        readings: list[tuple[str, Reading]] = []
        for unit, state in jobs.items():
            known = state.steps.get(key)
            reading = known.reading if known is not None and not known.to_read else None
            if reading is not None and reading.value is not None:
                readings.append((unit, reading))
        if readings:
            found.append(_spread(step, step.limits, readings))
    return tuple(found)


def _spread(step: PlanStep, limits: Limits, readings: Sequence[tuple[str, Reading]]) -> Spread:
    numbers = [reading.value for _, reading in readings if reading.value is not None]
    odd = odd_ones(numbers)
    return Spread(
        key=step.key,
        number=step.number,
        subject=step.subject.id if step.subject else "",
        what=limits.what,
        kind=limits.kind,
        limits=limits,
        values=tuple(
            Value(unit=unit, value=number, verdict=reading.verdict, odd=strange)
            for (unit, reading), number, strange in zip(readings, numbers, odd, strict=True)
        ),
        median=median(numbers),
        lowest=min(numbers),
        highest=max(numbers),
    )


def odd_ones(numbers: Sequence[float]) -> tuple[bool, ...]:
    """Which numbers lie far from the others; none of fewer than four, for then there is no "the others".

    The score is 0.6745 times the distance from the median over the median of the distances; where more than half of the
    numbers are equal, the mean of the distances stands in, with its own factor.
    """
    if len(numbers) < 4:
        return (False,) * len(numbers)
    middle = median(numbers)
    distances = [abs(number - middle) for number in numbers]
    scale = median(distances) / 0.6745 or fmean(distances) * 1.253314
    # Equal readings that differ in the last binary digit are equal.
    if scale <= abs(middle) * 1e-12:
        return (False,) * len(numbers)
    return tuple(distance / scale > OUTLIER for distance in distances)
