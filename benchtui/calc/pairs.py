"""Picking a divider's two resistors from a preferred series."""

from __future__ import annotations

from typing import Final

from benchtui.calc.tables.series import between, next_down, next_up
from benchtui.errors import CalcError

SMALLEST, LARGEST = 100.0, 10e6
"""Range in ohm that pairs are looked for in."""

SOURCE_LIMIT: Final = 10e3
"""Largest source resistance, in ohm, that converter data sheets advise (makers' data sheets of 8-bit controllers)."""


def parallel(first: float, second: float | None) -> float:
    """Two resistances side by side; the second may be missing."""
    return first if second is None else first * second / (first + second)


def bottom_for(ratio: float, top: float, load: float | None) -> float:
    """The bottom resistor that gives a ratio exactly.

    Raises:
        CalcError: The load alone already pulls the output below the target.
    """
    whole = top * ratio / (1 - ratio)
    if load is None:
        return whole
    if whole >= load:
        raise CalcError("no bottom resistor gives the target: the load alone pulls the output below it", key="load")
    return whole * load / (load - whole)


def top_for(ratio: float, bottom: float, load: float | None) -> float:
    """The top resistor that gives a ratio exactly."""
    return parallel(bottom, load) * (1 - ratio) / ratio


def best_pair(ratio: float, series: str, *, load: float | None, source_limit: float) -> tuple[float, float]:
    """The pair of a series that comes nearest to a ratio; of equally near ones, the one that draws least current.

    Args:
        ratio: Output over supply, with the load connected.
        series: E-series of both resistors.
        load: From output to ground, in ohm; None for none.
        source_limit: Pairs with a larger source resistance, in ohm, are passed over.

    Raises:
        CalcError: No pair comes near.
    """
    best: tuple[float, float, float, float] | None = None
    for top in between(SMALLEST, LARGEST, series):
        try:
            exact = bottom_for(ratio, top, load)
        except CalcError:
            continue
        if not SMALLEST / 10 <= exact <= LARGEST * 10:
            continue
        for bottom in {next_up(exact, series), next_down(exact, series)}:
            if parallel(top, bottom) > source_limit:
                continue
            below = parallel(bottom, load)
            error = abs(below / (top + below) - ratio)
            rank = (round(error, 12), -(top + below), top, bottom)
            if best is None or rank < best:
                best = rank
    if best is None:
        raise CalcError(
            "no pair of this series comes near the target", key="target", hint="allow more source resistance"
        )
    return best[2], best[3]
