"""Power ratings resistors are sold in, and how much of one to use."""

from __future__ import annotations

from typing import Final

RATINGS: Final = (0.063, 0.1, 0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 25.0, 50.0)
"""In W; trade sizes (common practice)."""

SHARE: Final = 0.5
"""Share of its rating a resistor is run at, so that it stays cool and lives long (common practice)."""

SOURCE: Final = "resistor ratings and running them at half: common practice"


def rating_for(power: float) -> float | None:
    """The smallest trade rating that the power, in W, uses at most half of; None when no listed one is enough."""
    return next((rating for rating in RATINGS if power <= SHARE * rating * (1 + 1e-12)), None)
