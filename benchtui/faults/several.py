"""More than one fault at once: what sets of faults explain, when no single one does.

Used when the answers of a hunt contradict each other. Sets are small, because three faults at once are rarer than a
slip of the probe.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from benchtui.errors import BenchError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

MOST_SETS = 200_000
"""Sets that are gone through at most: a second or so of work."""


@dataclass(frozen=True, slots=True)
class Sets:
    """Belief over sets of causes.

    Attributes:
        weights: Set of causes to its probability, given the evidence.
        evidence: Probability of the evidence itself.
    """

    weights: Mapping[frozenset[str], float]
    evidence: float

    def chance(self, cause: str) -> float:
        """Probability that a cause is present."""
        return sum(weight for causes, weight in self.weights.items() if cause in causes)


def weigh_sets(
    causes: Sequence[str],
    prior: Callable[[frozenset[str]], float],
    likelihood: Callable[[frozenset[str]], float],
    *,
    most: int | None = None,
) -> Sets:
    """Bayes' rule over sets of causes, by going through them.

    Args:
        causes: Names of the causes.
        prior: Probability of exactly this set being present.
        likelihood: Probability of the evidence under this set.
        most: Largest set considered; all when None.

    Raises:
        BenchError: There are too many sets, or the evidence is impossible.
    """
    weights: dict[frozenset[str], float] = {}
    for count in range((len(causes) if most is None else most) + 1):
        for members in combinations(causes, count):
            causes_present = frozenset(members)
            weights[causes_present] = prior(causes_present) * likelihood(causes_present)
            if len(weights) > MOST_SETS:
                raise BenchError("there are too many sets of faults to go through", hint="narrow the scope")
    evidence = sum(weights.values())
    if evidence <= 0.0:
        raise BenchError("nothing explains the evidence")
    return Sets({causes_present: weight / evidence for causes_present, weight in weights.items()}, evidence)


def independent(chances: Mapping[str, float]) -> Callable[[frozenset[str]], float]:
    """Prior of causes that come independently of each other."""

    def prior(present: frozenset[str]) -> float:
        result = 1.0
        for cause, chance in chances.items():
            result *= chance if cause in present else 1.0 - chance
        return result

    return prior


def either_shows(rates: Iterable[float]) -> float:
    """Chance of a finding when any of several faults may cause it: 1 - prod(1 - p), the noisy or."""
    silent = 1.0
    for rate in rates:
        silent *= 1.0 - rate
    return 1.0 - silent


def smallest_explanations(
    causes: Sequence[str], explains: Callable[[frozenset[str]], bool], *, most: int = 3
) -> tuple[frozenset[str], ...]:
    """Sets that explain everything and of which no part does (minimal diagnoses).

    de Kleer and Williams, Artificial Intelligence 32(1) 1987.

    Args:
        causes: Names of the causes.
        explains: Whether all that was seen can be when just these causes are present.
        most: Largest set considered.
    """
    found: list[frozenset[str]] = []
    for count in range(min(most, len(causes)) + 1):
        for members in combinations(causes, count):
            candidate = frozenset(members)
            if not any(smaller <= candidate for smaller in found) and explains(candidate):
                found.append(candidate)
    return tuple(found)
