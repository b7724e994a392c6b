"""What is on, hot or loose at the bench: by the steps that were gone through, and by what was said of it.

Nothing that was said ends by itself: it stands at every screen of the job, and comes marked on the page that puts the
work aside, until somebody says that it is so no longer.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep

POWER_ON: Final = "power on"
"""The state of the bench that a reading on a dead circuit must not meet: it gives nonsense, or harms the meter."""

IRON_HOT: Final = "iron hot"

POWER_HAZARD: Final = "power-on"
"""Id of the hazard that stands from the step that switches the power on to the one that switches it off."""

BENCH_STATES: Final[Sequence[str]] = (POWER_ON, IRON_HOT, "something clamped or curing", "a part or screw loose")
"""What may be left behind at the bench and matters at the return; each keeps its number wherever it is asked."""


def numbered(bench: Sequence[str]) -> tuple[tuple[int, str], ...]:
    """States with the number each is answered by, the same when leaving and when coming back; others follow."""
    others = [what for what in bench if what not in BENCH_STATES]
    every = (*BENCH_STATES, *others)
    return tuple((every.index(what) + 1, what) for what in bench)


STILL: Final = "still so"
OVER: Final = "no longer so"
"""What can be said of each of them at the return."""

_ENDS: Final = (OVER, "off")
"""Answers that end a state; records of older versions have the second."""


def left_after(bench: Sequence[str], answers: Sequence[str]) -> tuple[str, ...]:
    """What still stands of the states that were left, once each was answered for."""
    return tuple(what for what, answer in zip(bench, answers, strict=False) if answer.strip().lower() not in _ENDS)


def power_by_steps(state: JobState) -> bool:
    """Whether a step has switched the power on, and none has switched it off since."""
    return POWER_HAZARD in state.standing


def power_stands(state: JobState) -> bool:
    """Whether the power is on, by the steps or by what the builder said."""
    return power_by_steps(state) or power_was_said_on(state)


def power_was_said_on(state: JobState) -> bool:
    """Whether the builder said that the power is on, and has not said since that it is off."""
    return _among(state.left, POWER_ON)


def without_power(state: JobState) -> tuple[str, ...]:
    """What is left on, hot or loose once the power was switched off."""
    return _without(state.left, POWER_ON)


def _among(left: Sequence[str], what: str) -> bool:
    """Whether one of the states of the bench is among what was said, in whatever letters."""
    return any(each.strip().lower() == what for each in left)


def _without(left: Sequence[str], what: str) -> tuple[str, ...]:
    return tuple(each for each in left if each.strip().lower() != what)


# -- the iron, by the steps that switch it ---------------------------------------------------------------------------

_SWITCHED: Final = re.compile(r"\bswitch the iron (on|off)\b", re.IGNORECASE)
"""How a step says it. A procedure in other words says nothing of the iron, and nothing is made of it."""


def _switches(step: PlanStep) -> str:
    """Whether a step switches the iron "on" or "off"; empty for any other step."""
    found = _SWITCHED.search(step.text) if "iron" in step.text else None
    return found[1].lower() if found else ""


def with_iron(left: tuple[str, ...], word: str) -> tuple[str, ...]:
    """What is on, hot or loose once the iron was switched "on" or "off"; the same where the word is neither."""
    if word not in ("on", "off"):
        return left
    others = _without(left, IRON_HOT)
    return (*others, IRON_HOT) if word == "on" else others


def after_done(left: tuple[str, ...], step: PlanStep) -> tuple[str, ...]:
    """What is on, hot or loose once a step is done: the step that switches it says so as plainly as a word."""
    left = tuple(what for what in left if what != step.ends.replace("-", " ")) if step.ends else left
    return with_iron(left, _switches(step))


def iron_on_at(state: JobState) -> PlanStep | None:
    """The last step that was gone through and switched the iron, where it switched it on; None for any other end."""
    last = _last_switch(state)
    return last if last is not None and _switches(last) == "on" else None


def iron_word(state: JobState) -> str:
    """How a job leaves the iron, by its steps and by what was said: "on", "off", or empty where it does not say."""
    if _among(state.left, IRON_HOT):
        return "on"
    return "off" if _last_switch(state) is not None else ""


def _last_switch(state: JobState) -> PlanStep | None:
    done = (step for step in reversed(state.plan.steps) if state.steps[step.key].status is Status.DONE)
    return next((step for step in done if _switches(step)), None)
