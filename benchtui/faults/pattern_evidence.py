"""A line about many controls as evidence of a hunt: the test answers it amounts to, and the spots it points to."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from benchtui.design.wiring import wires
from benchtui.faults.events import PatternSeen
from benchtui.faults.patterns import (
    HIGHEST,
    LOWEST,
    Pattern,
    lines_that_fit,
    looks_like_channels,
    read_pattern,
)
from benchtui.faults.spots import feeds
from benchtui.faults.words import listed

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.faults.hunt import HuntState

MISFIT = 0.02
"""What a spot keeps of its weight when a pattern of its kind was seen that it cannot make. Our own choice."""

BY_CHANCE = 0.1
"""What a fault of another sort keeps: it would have to make just this pattern by chance. Our own choice."""


def pattern_event(state: HuntState, text: str) -> PatternSeen:
    """The event of a line, worked out against the model and the design of a hunt.

    Args:
        state: Where the hunt stands.
        text: What the builder says.

    Raises:
        JobError: The line is not understood, or names a control that does not exist.
    """
    design = state.design
    pattern = read_pattern(text, [control.id for control in design.controls] if design else ())
    shapes = _shapes(pattern)
    answers = tuple((rule.test, rule.outcome) for rule in state.model.patterns if rule.shape in shapes)
    words, factors = pattern.words, {}
    if pattern.shape == "readings" and design is not None:
        lines = _lines(design, pattern)
        if lines:
            words += f": that is {listed(lines, last='or')}"
            factors = _line_factors(state, lines)
    elif pattern.controls and design is not None:
        factors = _link_factors(state, design, pattern)
    return PatternSeen(text=text, words=words, answers=answers, factors=factors)


def _shapes(pattern: Pattern) -> tuple[str, ...]:
    """The shapes of the model's rules that a pattern has."""
    if pattern.shape != "readings":
        return (pattern.shape,)
    values = sorted(pattern.values)
    if values[-1] <= LOWEST:
        return ("stays-low",)
    if values[0] >= HIGHEST:
        return ("stays-high",)
    return ("copies",) if any(b - a <= 0 for a, b in pairwise(values)) else ("own",)


def _lines(design: Design, pattern: Pattern) -> list[str]:
    """Names of the select-line faults that the readings fit, on the multiplexer that the controls share."""
    channel_of = {control.id: control.channel for control in design.controls if control.multiplexer}
    through = {control.multiplexer for control in design.controls if control.id in pattern.controls}
    if len(through) != 1 or "" in through:
        return []
    channels = design.multiplexer(through.pop()).channels
    named = looks_like_channels(pattern, channels)
    return [line.name for line in lines_that_fit(pattern, channel_of, channels, values_are_channels=named)]


def _link_factors(state: HuntState, design: Design, pattern: Pattern) -> dict[str, float]:
    """The link of a chain beyond which just these controls hang keeps its weight; the other links nearly lose it."""
    classes = {"stays-low": ("F11",), "stays-high": ("F12",), "dead": ("F11", "F12", "F17", "F51")}
    runs = {run.id: run for run in wires(design)}
    factors = {}
    for fault in state.layout.faults:
        own, _, place = fault.id.partition("@")
        if own in classes.get(pattern.shape, ()) and place in runs:
            beyond = set(feeds(design, runs[place]))
            factors[fault.id] = 1.0 if beyond == set(pattern.controls) else MISFIT
    return _with_others(state, factors)


def _line_factors(state: HuntState, lines: list[str]) -> dict[str, float]:
    """Spots of a select line that the pattern fits keep their weight, the other spots of such lines nearly lose it."""
    spots = [fault.id for fault in state.layout.faults if fault.id.startswith("F15@")]
    fitting = {line.replace(" ", "-") for line in lines}
    return _with_others(state, {spot: 1.0 if spot.partition("@")[2] in fitting else MISFIT for spot in spots})


def _with_others(state: HuntState, factors: dict[str, float]) -> dict[str, float]:
    """Faults that make no pattern of their own seldom make just this one; nothing when no spot fits it."""
    if 1.0 not in factors.values():
        return {}
    return {fault: factors.get(fault, BY_CHANCE) for fault in state.layout.table.faults}
