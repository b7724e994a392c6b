"""What the circuit of a design shows under a spot: the bench a test is made on, and readings as probabilities."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import erf, inf, sqrt
from typing import TYPE_CHECKING, Final

from benchtui.errors import DesignError

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design
    from benchtui.faults.probing import Bench, Shown
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

PLAIN: Final = 0.02
"""Chance of a healthy reading below which a control shows its fault plainly."""

Answer = dict[str, float]
"""Outcome to probability; those left out are 0."""


@dataclass(frozen=True, slots=True)
class Case:
    """One spot of one target on the bench."""

    bench: Bench
    target: Target
    spot: Spot

    @property
    def design(self) -> Design:
        """The design on the bench."""
        return self.bench.design

    def controls(self) -> tuple[Control, ...]:
        """The controls to look at: the one hunted on, or of a bank those at the spot, the last and the first."""
        if self.target.scope == "control":
            return (self.design.control(self.target.subject),)
        members = self.design.members(self.target.subject)
        named = {getattr(change, "element", "").partition(".")[0] for change in self.spot.changes}
        shifted = [each for each in members if self.bench.seen_instead(self.spot, each) is not each][:2]
        chosen = [*(each for each in members if each.id in named), *shifted, members[-1], members[0]]
        return tuple({each.id: each for each in chosen}.values())


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


def worst_of(case: Case, work: Callable[[Case, Control], Answer | None], healthy: str) -> Answer | None:
    """Of several controls, the one that shows most; a person who looks at a bank reports that one."""
    worst: Answer | None = None
    for control in case.controls():
        try:
            found = work(case, control)
        except DesignError:
            found = None
        if found is not None and (worst is None or found.get(healthy, 0.0) < worst.get(healthy, 0.0)):
            worst = found
        if worst is not None and worst.get(healthy, 0.0) < PLAIN:
            break  # no other shows it more plainly
    return worst
