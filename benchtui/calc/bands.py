"""How far the outputs can lie from the answer when the inputs lie anywhere inside their tolerances.

Worst case: every corner is tried, and where an output is not monotone in an input the extreme inside the tolerance is
searched too, so that no combination of inputs can leave the band. Root sum square: what independent, equally spread
inputs would mostly do; always inside the worst case, and never a limit.
"""

from __future__ import annotations

from itertools import product
from math import sqrt
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.calc.calculator import Function, Point

_NUDGE: Final = 1e-6
"""Share of a tolerance by which a slope at its end is felt out."""
_GOLDEN: Final = (sqrt(5) - 1) / 2


def worst_case(
    function: Function,
    at: Point,
    spans: Mapping[str, tuple[float, float]],
    *,
    bends: Sequence[str] = (),
    texts: dict[str, list[str]] | None = None,
) -> dict[str, tuple[float, float]]:
    """Lowest and highest value of each numeric output.

    Args:
        function: The calculator's.
        at: The nominal point; it counts as one of the tries.
        spans: Lowest and highest value of each input that has a tolerance.
        bends: Inputs in which an output may have an extreme inside the span. One such input at a time is moved off its
            ends while the others stand at theirs, which finds every extreme of functions that bend in one input for
            any setting of the others.
        texts: Filled with the different texts that each text output takes.
    """
    found: dict[str, tuple[float, float]] = {}

    def note(values: Mapping[str, float | str]) -> None:
        for key, value in values.items():
            if isinstance(value, str):
                if texts is not None and value not in texts.setdefault(key, []):
                    texts[key].append(value)
                continue
            low, high = found.get(key, (value, value))
            found[key] = (min(low, value), max(high, value))

    note(function(at))
    keys = list(spans)
    for corner in product(*(spans[key] for key in keys)):
        note(function(at.moved(dict(zip(keys, corner, strict=True)))))
    for bend in bends:
        if bend not in spans:
            continue
        others = [key for key in keys if key != bend]
        for corner in product(*(spans[key] for key in others)):
            fixed = at.moved(dict(zip(others, corner, strict=True)))
            for values in _inside(function, fixed, bend, spans[bend]):
                note(values)
    return found


def root_sum_square(function: Function, at: Point, spans: Mapping[str, tuple[float, float]], key: str) -> float:
    """Half the likely width of one output: the root of the sum of the squares of what each input does alone."""
    total = 0.0
    for name, (low, high) in spans.items():
        ends = [function(at.moved({name: end})).get(key) for end in (low, high)]
        if isinstance(ends[0], float) and isinstance(ends[1], float):
            total += ((ends[1] - ends[0]) / 2) ** 2
    return sqrt(total)


def _inside(function: Function, at: Point, key: str, span: tuple[float, float]) -> list[Mapping[str, float | str]]:
    """The function where an output turns inside a span: its slope points up at one end and down at the other."""
    low, high = span
    step = (high - low) * _NUDGE
    ends = [function(at.moved({key: place})) for place in (low, low + step, high - step, high)]
    turned: list[Mapping[str, float | str]] = []
    for name in ends[0]:
        first, second, third, fourth = (values.get(name) for values in ends)
        if not (
            isinstance(first, float)
            and isinstance(second, float)
            and isinstance(third, float)
            and isinstance(fourth, float)
        ):
            continue
        rise_at_low, rise_at_high = second - first, fourth - third
        if rise_at_low * rise_at_high < 0:
            turned.append(_golden(function, at, key, span, name, sign=1.0 if rise_at_low > 0 else -1.0))
    return turned


def _golden(
    function: Function, at: Point, key: str, span: tuple[float, float], name: str, *, sign: float
) -> Mapping[str, float | str]:
    """Golden-section search for the highest (sign 1) or lowest (sign -1) value of one output along one input."""

    def height(place: float) -> float:
        value = function(at.moved({key: place}))[name]
        assert not isinstance(value, str)
        return sign * value

    low, high = span
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = height(left), height(right)
    for _ in range(60):
        if at_left >= at_right:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = height(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = height(right)
    return function(at.moved({key: (low + high) / 2}))
