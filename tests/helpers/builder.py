"""A builder who does what each step asks, by way of a job's `Run`: for walking procedures without a screen."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from benchtui.jobs import events as ev
from benchtui.ui.kept import fitting
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.jobs.plan import Limits, PlanStep
    from benchtui.jobs.run import Run


def good_value(limits: Limits) -> float:
    """A value well inside the limits."""
    if limits.nominal is not None and limits.low != limits.high:
        return limits.nominal
    if limits.low is not None and limits.high is not None:
        return sqrt(limits.low * limits.high) if limits.low > 0 else (limits.low + limits.high) / 2
    if limits.high is not None:
        return limits.high * 0.5
    return (limits.low or 0.0) * 2


class Builder:
    """Works through jobs.

    Args:
        wait: Lets so many seconds pass.
        value: The value read at a step; the middle of its limits when None.
    """

    def __init__(self, wait: Callable[[float], None], value: Callable[[Run, PlanStep], float] | None = None) -> None:
        self.wait = wait
        self.value = value or (lambda _, step: good_value(step.limits) if step.limits else 0.0)

    def begin(self, run: Run) -> None:
        """Answer the preliminary page, and whatever a break left to be answered."""
        left = run.state.suspended
        if left is not None:
            run.act(ev.Resumed(answers=("found as left",) * len(left.bench)))
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer="yes"))

    def step(self, run: Run) -> None:
        """Do the step in focus, whatever it asks for."""
        step = run.current()
        assert step is not None
        for caution in run.state.unread(step.key):
            run.acknowledge(caution)
        self.prove(run, step)
        run.act(ev.StepDone(step=step.key))

    def prove(self, run: Run, step: PlanStep) -> None:
        """What the step needs before it can be called done."""
        if step.trace:
            origin = {"firmware": "1.2", "lot": "L1", "serial": f"S-{run.unit}", "text": "3.4 kg"}[step.trace]
            run.act_all(fitting(Work(run), origin))
        if step.limits:
            run.act(self.reading(run, step, self.value(run, step)))
            if run.state[step.key].first is not None:
                run.act(self.reading(run, step, self.value(run, step)))
        if step.choices:
            good = next(choice for choice in step.choices if choice.verdict == "pass")
            run.act(ev.ChoiceMade(step=step.key, choice=good.text))
        if step.act == "wait":
            run.start_wait()
            self.wait(step.seconds)
            run.end_wait()
        if step.act == "sign":
            run.act(ev.SignedOff(step=step.key, name="the builder", meaning="did"))
        if step.act == "call":
            called = run.bench.call(run, step.key)
            self.finish(called)
            run.act(ev.CallReturned(step=step.key, called=called.job, result=called.state.closed))

    def reading(self, run: Run, step: PlanStep, value: float) -> ev.ReadingTaken:
        """A reading of this value, as the screen would make it."""
        from benchtui.jobs.readings import doubt, verdict
        from benchtui.units import format_value

        assert step.limits
        return ev.ReadingTaken(
            step=step.key,
            typed=format_value(value, step.limits.kind),
            value=value,
            quantity=step.limits.kind,
            what=step.limits.what,
            low=step.limits.low,
            high=step.limits.high,
            verdict=verdict(step.limits, value),
            asked=doubt(step.limits, value),
            reason="adjusted" if run.state[step.key].asks_why else "",
            twice=bool(step.twice),
            blind=run.state[step.key].first is not None,
        )

    def finish(self, run: Run) -> None:
        """Work through a job to its end and close it."""
        self.begin(run)
        while run.current() is not None:
            self.step(run)
        run.close()
