"""What is on, hot or loose at the bench: by the steps that were gone through, and by what was said of it.

Nothing that was said ends by itself: it stands at every screen of the job, and comes marked on the page that puts the
work aside, until somebody says that it is so no longer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Limits

POWER_ON: Final = "power on"
"""The state of the bench that a reading on a dead circuit must not meet: it gives nonsense, or harms the meter."""

BENCH_STATES: Final[Sequence[str]] = (POWER_ON, "iron hot", "something clamped or curing", "a part or screw loose")
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


def power_was_said_on(state: JobState) -> bool:
    """Whether the builder said that the power is on, and has not said since that it is off."""
    return any(what.strip().lower() == POWER_ON for what in state.left)


def wants_it_off(state: JobState, limits: Limits | None) -> bool:
    """Whether a reading is taken with the power off, and the power was said to be on."""
    return limits is not None and limits.power == "off" and power_was_said_on(state)


def without_power(state: JobState) -> tuple[str, ...]:
    """What is left on, hot or loose once the power was switched off."""
    return tuple(what for what in state.left if what.strip().lower() != POWER_ON)
