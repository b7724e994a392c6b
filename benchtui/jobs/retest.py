"""Tests that work on a unit has made void, as one job that makes them again."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError

if TYPE_CHECKING:
    from benchtui.jobs.plan import Plan
    from benchtui.jobs.units import UnitView


def retest_plan(view: UnitView) -> Plan:
    """A plan of the tests of a unit that were made void, to be opened as a job.

    Two procedures may bear a step of one id. Each is tested by itself: its key has the procedure's id before it.

    Raises:
        JobError: There are none.
    """
    if not view.void:
        raise JobError(f"nothing has to be tested again on {view.unit}")
    plans = {job.job: job.plan for job in view.jobs}
    plan = plans[view.void[-1].job]
    origins = [proof.of for proof in view.void]
    times = Counter(key for _, key in origins)
    steps = tuple(
        replace(
            proof.step,
            key=key if times[key] == 1 else f"{procedure}:{key}",
            number=number,
            again=(procedure, key),
        )
        for number, (proof, (procedure, key)) in enumerate(zip(view.void, origins, strict=True), start=1)
    )
    title = f"Test again after rework: {plan.title.removeprefix('Test again after rework: ')}"
    id = f"{plan.id.removesuffix('-again')}-again"
    return replace(plan, id=id, title=title, procedure_kind="service", steps=steps, subject="")
