"""What the circuit of a design shows under a spot: the bench a test is made on, and readings as probabilities."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import erf, inf, sqrt
from typing import TYPE_CHECKING

from benchtui.errors import DesignError
from benchtui.faults.target import read_at

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design
    from benchtui.faults.probing import Bench, Shown
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

Answer = dict[str, float]
"""Outcome to probability; those left out are 0."""


@dataclass(frozen=True, slots=True)
class Case:
    """One spot of one target on the bench, for a test that suits some kinds of control."""

    bench: Bench
    target: Target
    spot: Spot
    kinds: tuple[str, ...] = ()

    @property
    def design(self) -> Design:
        """The design on the bench."""
        return self.bench.design

    def control(self) -> Control:
        """The control that a test of one control is made on; raises DesignError for a whole unit."""
        found = read_at(self.design, self.target, self.kinds)
        if found is None:
            raise DesignError("a whole unit has no one control to read")
        return found

    def controls(self) -> tuple[Control, ...]:
        """The controls to look at when all are tried: the one hunted on, or every one of a bank."""
        if self.target.scope == "control":
            return (self.design.control(self.target.subject),)
        return self.design.members(self.target.subject)


def below(shown: Shown, limit: float) -> float:
    """Chance that a reading lies below a limit."""
    if shown.value == inf or limit == inf:
        return 0.0 if limit < inf else float(shown.value < inf)
    if shown.spread <= 0.0:
        return float(shown.value < limit)
    return 0.5 * (1.0 + erf((limit - shown.value) / (shown.spread * sqrt(2.0))))


def inside(shown: Shown, low: float | None, high: float | None) -> float:
    """Chance that a reading lies within limits; None is no limit, nor is 0: only the meter's error reads below it."""
    over = 1.0 if not low or low <= 0.0 else 1.0 - below(shown, low)
    under = 1.0 if high is None else below(shown, high)
    return max(over + under - 1.0, 0.0)


def of_one(case: Case, work: Callable[[Case, Control], Answer | None]) -> Answer | None:
    """What the control shows that the test is made on; None where the circuit cannot tell."""
    try:
        return work(case, case.control())
    except DesignError:
        return None
