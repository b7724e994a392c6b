"""How many clean tries, or hours, make it believable that a fault is gone.

Formulas: success-run theorem (as in MIL-HDBK-338B); NIST/SEMATECH e-Handbook of Statistical Methods, section 8.3.1.5,
for hours; Bayes' rule for the rest. The choice of risk is ours.
"""

from __future__ import annotations

from math import ceil, exp, log
from typing import Final

from benchtui.errors import CalcError

RISK = 0.05
"""Chance that we accept of calling something fixed that is not. Our own choice."""

_SLACK = 1e-9
"""Keeps a count that comes out whole from being raised by the last bit."""


def tries_for_reliability(reliability: float, confidence: float) -> int:
    """Clean tries that show a reliability at a confidence: n = ceil(ln(1 - C) / ln R).

    Args:
        reliability: Chance that a single try is clean, to be shown; between 0 and 1.
        confidence: Between 0 and 1.

    Raises:
        CalcError: A value lies outside.
    """
    _inside(reliability, "reliability")
    _inside(confidence, "confidence")
    return max(ceil(log(1.0 - confidence) / log(reliability) - _SLACK), 0)


def tries_for_intermittent(shows: float, confidence: float) -> int:
    """Clean tries after which a fault that showed in this share of tries would have shown, at a confidence.

    Raises:
        CalcError: A value lies outside 0 to 1.
    """
    _inside(confidence, "confidence")
    if shows >= 1.0:
        return 1
    _inside(shows, "share of tries in which it showed")
    return max(ceil(log(1.0 - confidence) / log(1.0 - shows) - _SLACK), 1)


def doubt(belief: float, shows: float, clean: int) -> float:
    """Chance that the fault is still there after clean tries.

    Args:
        belief: Chance that the repair was the right one, before trying.
        shows: Share of tries in which the fault showed before the repair.
        clean: Clean tries made since.
    """
    missed = (1.0 - belief) * (1.0 - min(shows, 1.0)) ** clean
    return missed / (belief + missed) if belief + missed > 0.0 else 1.0


MOST: Final = 200
"""Clean tries beyond which nobody gets in one sitting. Our own choice."""


def tries_to_believe(belief: float, shows: float, *, risk: float = RISK, most: int = MOST) -> int:
    """Clean tries that bring the doubt under a risk; at least 1, and 0 where `most` of them do not.

    Args:
        belief: Chance that the repair was the right one, before trying.
        shows: Share of tries in which the fault showed before the repair.
        risk: Doubt that is accepted.
        most: Tries beyond which nobody gets.
    """
    return next((clean for clean in range(1, most + 1) if doubt(belief, shows, clean) <= risk + _SLACK), 0)


def clean_hours(between_failures: float, confidence: float) -> float:
    """Hours without failure that show a mean time between failures: T = -MTBF ln(1 - C).

    Args:
        between_failures: Hours, to be shown.
        confidence: Between 0 and 1.
    """
    _inside(confidence, "confidence")
    return -between_failures * log(1.0 - confidence)


def hours_with_failures(allowed: int, confidence: float) -> float:
    """Test length in units of the mean time between failures when some failures are allowed.

    Solves Poisson cdf(allowed; x) = 1 - confidence by halving.
    """
    _inside(confidence, "confidence")
    low, high = 0.0, 10.0 * (allowed + 5)
    for _ in range(200):
        middle = (low + high) / 2.0
        if _poisson_cdf(allowed, middle) > 1.0 - confidence:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _poisson_cdf(count: int, mean: float) -> float:
    term = total = exp(-mean)
    for k in range(1, count + 1):
        term *= mean / k
        total += term
    return total


def _inside(value: float, what: str) -> None:
    if not 0.0 < value < 1.0:
        raise CalcError(f"the {what} must lie between 0 and 1, got {value:g}")
