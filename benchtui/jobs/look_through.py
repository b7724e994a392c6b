"""What a job will ask for, in one list before it is begun: hold points, readings with limits, cautions, calls.

Everything is taken from the steps of the plan, so that the list cannot say more or less than the work does. Row B9 of
what the open standards ask (the pre-job brief of DOE-STD-1029 practice and of S1000D, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.content.cautions import RANK
from benchtui.jobs.plan import CALL, TEST

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.plan import Caution, Plan, PlanStep


@dataclass(frozen=True, slots=True)
class Ahead:
    """One line of the list: what comes, and at which steps."""

    text: str
    steps: tuple[PlanStep, ...]
    limits: str = ""
    """Limits of a reading in words."""
    duty: str = ""
    """Why it is not left out: "hold point", "critical line" or "required test"; empty where it may be."""
    caution: Caution | None = None

    @property
    def where(self) -> str:
        """The steps by number: "step 4", "steps 4 to 15", "steps 4, 9 and 12", "steps 4, 9 and 10 more"."""
        return steps_said([step.number for step in self.steps])


@dataclass(frozen=True, slots=True, kw_only=True)
class LookThrough:
    """All that comes in a job, by kind."""

    holds: tuple[Ahead, ...] = ()
    """Steps that nothing goes past: hold points, critical lines, and required tests that are no readings.

    A hold point that is a reading stands among the readings too.
    """
    witnessed: tuple[Ahead, ...] = ()
    """Witness points: somebody is asked to look on, and the work goes on without."""
    readings: tuple[Ahead, ...] = ()
    """Readings with their limits; repeats of one step within the same limits are one line."""
    cautions: tuple[Ahead, ...] = ()
    """Each hazard once, the gravest first."""
    calls: tuple[Ahead, ...] = ()
    """Procedures that are gone through in between; each has a list of its own."""


def look_through(plan: Plan) -> LookThrough:
    """The list of a plan."""
    holds = [
        (step.step_id, "", step)
        for step in plan.steps
        # Readings and calls have lists of their own.
        if step.duty and step.duty != CALL and not (step.duty == TEST and step.limits)
    ]
    witnessed = [(step.step_id, "", step) for step in plan.steps if step.witness]
    readings = [(step.step_id, step.limits.text, step) for step in plan.steps if step.limits is not None]
    calls = [(step.call, "", step) for step in plan.steps if step.act == "call"]
    found = {caution.id: caution for step in plan.steps for caution in step.cautions}
    return LookThrough(
        holds=tuple(_ahead(steps) for steps in _together(holds)),
        witnessed=tuple(_ahead(steps) for steps in _together(witnessed)),
        readings=tuple(_ahead(steps) for steps in _together(readings)),
        calls=tuple(Ahead(steps[0].call, steps) for steps in _together(calls)),
        cautions=tuple(
            Ahead(caution.hazard, tuple(_with(plan, caution.id)), caution=caution)
            for caution in sorted(found.values(), key=lambda each: RANK.index(each.signal))
        ),
    )


def look_through_lines(plan: Plan, titles: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """The list as lines under headings, in order; a heading without any is left out.

    Args:
        plan: The plan.
        titles: Title of each procedure by id, for those that are called.
    """
    found = look_through(plan)
    lines = {
        "Nothing goes past these": [f"{each.where}, {each.duty}: {each.text}" for each in found.holds],
        "Witness points: ask somebody to look on": [f"{each.where}: {each.text}" for each in found.witnessed],
        "Readings and their limits": [
            f"{each.where}{f', {each.duty}' if each.duty else ''}: {each.text} {each.limits}" for each in found.readings
        ],
        "Cautions": [
            " ".join(filter(None, (f"{each.caution.signal}: {each.text}", each.caution.avoid, f"({each.where})")))
            for each in found.cautions
            if each.caution is not None
        ],
        "Gone through in between, each with a list of its own": [
            f"{each.where}: {titles.get(each.text, each.text)}" for each in found.calls
        ],
    }
    return {heading: tuple(under) for heading, under in lines.items() if under}


def steps_said(numbers: Iterable[int]) -> str:
    """Numbers of steps as one says them; a run of three or more by its ends."""
    ordered = sorted(numbers)
    runs: list[list[int]] = []
    for number in ordered:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts = [
        part
        for run in runs
        for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run])
    ]
    said = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    return f"step{'s' if len(ordered) > 1 else ''} {said}"


def _with(plan: Plan, caution: str) -> list[PlanStep]:
    return [step for step in plan.steps if any(each.id == caution for each in step.cautions)]


def _together(found: Iterable[tuple[str, str, PlanStep]]) -> list[tuple[PlanStep, ...]]:
    """Steps that are one line: of one id and within the same limits."""
    groups: dict[tuple[str, str], list[PlanStep]] = {}
    for id, limits, step in found:
        groups.setdefault((id, limits), []).append(step)
    return [tuple(steps) for steps in groups.values()]


def _ahead(steps: tuple[PlanStep, ...]) -> Ahead:
    """One line for repeats of a step: its own words for one, and whom it is about for more."""
    first = steps[0]
    text = first.text
    if len(steps) > 1 and first.subject:
        about = [step.subject.id for step in steps if step.subject]
        text = f"{first.text} The same for {', '.join(about[1:])}."
    return Ahead(text, steps, first.limits.text if first.limits else "", first.duty)
