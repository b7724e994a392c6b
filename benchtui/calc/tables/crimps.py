"""What a crimp has to hold when it is pulled to its end, by wire size, and what it is tugged with when it is kept."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from benchtui.units.conductor import awg_area

PULL: Final = {28: 8.9, 26: 13.4, 24: 22.3, 22: 35.6, 20: 57.8, 18: 89.0, 16: 133.5, 14: 222.5, 12: 311.5, 10: 356.0}
"""Least pull-out force in N by AWG number."""
SOURCE: Final = (
    "commercial crimp pull values as in UL 486A, by wire size (two makers' instruction sheets agree; 20 AWG is printed "
    "57.7 to 57.9 N)"
)

_LIGHT, _FIRM = 5.0, 10.0
_FIRM_FROM: Final = 24
TUG_SOURCE: Final = "estimate: 5 N up to 26 AWG and 10 N from 24 AWG, at most 80 % of the least pull-out force"


def least_pull(area: float) -> float:
    """Least pull-out force of a crimp in N.

    Between two sizes of the table it goes with the cross-section; beyond its ends it is scaled from the last size,
    which for thinner wire is an estimate.

    Args:
        area: Cross-section of the conductor in m².
    """
    sizes = sorted((awg_area(number), force) for number, force in PULL.items())
    for (thin, weak), (thick, strong) in pairwise(sizes):
        if thin <= area <= thick:
            # A size of the table, however it was rounded on its way here, gives the table's own figure.
            if area < thin * 1.001:
                return weak
            if area > thick * 0.999:
                return strong
            return weak + (strong - weak) * (area - thin) / (thick - thin)
    near, force = sizes[0] if area < sizes[0][0] else sizes[-1]
    return force * area / near if not 0.999 < area / near < 1.001 else force


def pull_source(area: float) -> str:
    """Where the least pull-out force of a size is from: the table, between two of its rows, or beyond its ends.

    Args:
        area: Cross-section of the conductor in m².
    """
    sizes = {number: awg_area(number) for number in PULL}
    if any(0.999 < area / size < 1.001 for size in sizes.values()):
        return SOURCE
    if not min(sizes.values()) < area < max(sizes.values()):
        return f"scaled with the cross-section from the last size of its table (estimate): {SOURCE}"
    thin = max((number for number, size in sizes.items() if size < area), key=lambda number: sizes[number])
    thick = min((number for number, size in sizes.items() if size > area), key=lambda number: sizes[number])
    return f"interpolated with the cross-section between {thin} and {thick} AWG (estimate): {SOURCE}"


def tug(area: float) -> float:
    """Force in N that a crimp to be kept is tugged with, well under what it has to hold.

    Args:
        area: Cross-section of the conductor in m².
    """
    force = _FIRM if area > awg_area(_FIRM_FROM) * 0.999 else _LIGHT
    return min(force, 0.8 * least_pull(area))
