"""A line about many controls as evidence of a hunt: the test answers it amounts to, and the spots it points to."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from benchtui.design.wiring import wires
from benchtui.errors import JobError
from benchtui.faults.events import PatternSeen
from benchtui.faults.one_by_one import diodes_that_fit, shorted_diode
from benchtui.faults.patterns import Pattern, first_of_chain, read_pattern
from benchtui.faults.select_lines import lines_that_fit, looks_like_channels, select_lines
from benchtui.faults.spots import feeds
from benchtui.faults.words import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Design
    from benchtui.faults.hunt import HuntState

MISFIT = 0.02
"""What a spot keeps of its weight when a pattern of its kind was seen that it cannot make. Our own choice."""

MANY = 3
"""Readings from which on equal ones are copies, and not two controls that happen to stand alike. Our own choice."""

BY_CHANCE = 0.1
"""The most that a fault of another sort keeps: it would have to make just this pattern by chance. Our own choice."""


def pattern_event(state: HuntState, text: str) -> PatternSeen:
    """The event of a line, worked out against the model and the design of a hunt.

    Args:
        state: Where the hunt stands.
        text: What the builder says.

    Raises:
        JobError: The line is not understood, is about other controls, names an unknown one, or was said before.
    """
    design = state.design
    pattern = _read(text, design)
    _about_this(state, design, pattern)
    if any(isinstance(event, PatternSeen) and _said(event.words) == pattern.words for _, event in state.standing):
        raise JobError("that is known already", hint="say what else they show")
    words, factors = pattern.words, {}
    if pattern.shape == "held" and design is not None:
        corners = diodes_that_fit(design, pattern.controls, pattern.follower)
        known = {fault.id for fault in state.layout.faults}
        diodes = tuple(each for each in corners if shorted_diode(each) in known)
        if corners and not diodes:
            told = f"that is the diode of {listed(corners, last='or')}"
            raise JobError(
                f"{told}, and a hunt on {state.target.title} knows of none",
                hint=f"begin a hunt on {pattern.follower}, or on its bank",
            )
        if not diodes:
            raise JobError(
                f"the ones held are no three corners of a rectangle with {pattern.follower}",
                hint="name all that are held: two in its row and its column, and the one at the corner opposite",
            )
        words += f"{AS}that is the diode of {listed(diodes, last='or')}"
        factors = _diode_factors(state, diodes)
    elif pattern.shape in ("readings", "moves", "same") and design is not None:
        lines = _lines(design, pattern)
        if lines:
            words += f"{AS}that is {listed(lines, last='or')}"
            factors = _line_factors(state, lines)
    elif pattern.controls and design is not None:
        factors = _link_factors(state, design, pattern)
    # The chain rule: the answer says how likely such a line is, the factors which of its kind it then is.
    shapes = _shapes(pattern, state.target.subject if state.target.scope == "control" else "")
    answers = tuple((rule.test, rule.outcome) for rule in state.model.patterns if rule.shape in shapes)
    return PatternSeen(text=text, words=words, answers=answers, factors=factors)


def _read(text: str, design: Design | None) -> Pattern:
    """A line as it is understood; one that names the first of a chain is about all that hang on the chain from there.

    Which chain that is depends on what they show: at the bottom, or short of the top, it is that of the supply.
    """
    known = [control.id for control in design.controls] if design else []
    first = first_of_chain(text)
    if design is None or first is None:
        return read_pattern(text, known)
    id = next((each for each in known if each.lower() == first[0].lower()), "")
    if not id:
        raise JobError(f"there is no control {first[0]}")
    bank = design.bank(design.control(id).bank)
    shape = read_pattern(f"{id} {first[1]}", known).shape
    buses = (bank.supply, bank.ground) if shape in ("stays-low", "short-high") else (bank.ground, bank.supply)
    runs = [run for bus in buses if bus for run in wires(design, bus) if run.control == id]
    beyond = feeds(design, runs[0]) if runs else (id,)
    return read_pattern(f"{', '.join(beyond)} {first[1]}", known)


AS: Final = ": "
"""What stands between the line as it was understood and what it points to."""


def of_a_bank(state: HuntState, event: PatternSeen) -> str:
    """Said after a line that points to a fault of a bank, where the hunt knows none of those; empty otherwise.

    Args:
        state: Where the hunt stands.
        event: The line, as `pattern_event` understood it.
    """
    shown, points_to, _ = event.words.partition(AS)
    if not points_to or event.factors or state.target.scope not in ("control", "unit") or state.design is None:
        return ""
    banks = dict.fromkeys(each.bank for each in state.design.controls if re.search(rf"\b{each.id}\b", shown))
    return f". That is a fault of bank {listed(list(banks))}, not of {state.target.title}: begin a hunt there"


def _said(words: str) -> str:
    """The words of an earlier line without what it points to."""
    return words.partition(AS)[0]


def _about_this(state: HuntState, design: Design | None, pattern: Pattern) -> None:
    """Refuse a line that says nothing of what is hunted on."""
    named = {*pattern.controls, *filter(None, (pattern.follower,))}
    if design is None or not named:
        return
    if pattern.shape in ALIKE:
        _about_all_of_it(state, design, pattern)
    if state.target.scope == "unit":
        return
    own = {state.target.subject} if state.target.scope == "control" else set(state.target.neighbours)
    if pattern.shape == "held" and state.target.control:  # any of them may show what lies in one matrix
        own |= {each.id for each in design.members(design.control(state.target.control).bank)}
    if not named & own:
        raise JobError(
            f"that line says nothing of {state.target.title}", hint="begin a hunt on those controls, or on their bank"
        )


ALIKE: Final = ("short-low", "short-high", "stays-low", "stays-high", "wanders", "dead")
"""Shapes that say the same of each control that is named."""


def _about_all_of_it(state: HuntState, design: Design, pattern: Pattern) -> None:
    """Refuse a line of a few controls as one of the whole unit, and one of several as one of a single control."""
    banks = list(dict.fromkeys(design.control(id).bank for id in pattern.controls))
    where = f"bank {banks[0]}" if len(banks) == 1 and banks[0] else "the whole unit"
    if state.target.scope == "unit" and len(set(pattern.controls)) < sum(
        each.kind != "lamp" for each in design.controls
    ):
        place = where if len(pattern.controls) > 1 else pattern.controls[0]
        place = "each bank" if place == "the whole unit" else place
        raise JobError("that line is not about the whole unit", hint=f"begin a hunt on {place}")
    if state.target.scope == "control" and len(pattern.controls) > 1 and state.target.subject in pattern.controls:
        raise JobError(
            f"others show the same, so that is hardly a fault of {state.target.title} alone",
            hint=f"begin a hunt on {where}",
        )


def _shapes(pattern: Pattern, subject: str) -> tuple[str, ...]:
    """The shapes of the model's rules that a pattern has; readings of parked controls say nothing of their ends."""
    if pattern.shape == "held":
        if subject in ("", pattern.follower):
            return ("held-own",)
        return ("held-other",) if subject in pattern.controls else ()  # a rectangle that it does not belong to
    if pattern.shape == "same":
        return ("moves",)
    if pattern.shape != "readings":
        return (pattern.shape,)
    if len(pattern.values) < MANY:
        return ()
    return ("copies",) if any(b - a <= 0 for a, b in pairwise(sorted(pattern.values))) else ("own",)


def _lines(design: Design, pattern: Pattern) -> list[str]:
    """Names of the select-line faults that the readings fit, on the multiplexer that the controls share."""
    channel_of = {control.id: control.channel for control in design.controls if control.multiplexer}
    through = {control.multiplexer for control in design.controls if control.id in pattern.controls}
    if len(through) != 1 or "" in through:
        return []
    channels = design.multiplexer(through.pop()).channels
    if pattern.shape in ("moves", "same"):
        one, other = (channel_of.get(each) for each in (*pattern.controls, pattern.follower)[:2])
        return [] if one is None or other is None else _lines_by_moving(channels, one, other, same=not pattern.follower)
    named = looks_like_channels(pattern, channels)
    return [line.name for line in lines_that_fit(pattern, channel_of, channels, values_are_channels=named)]


def _lines_by_moving(channels: int, mover: int, follower: int, *, same: bool) -> list[str]:
    """The stuck lines that make one channel show another: low when the lower channel moves both, high when the upper.

    Args:
        channels: Channels of the multiplexer.
        mover: Channel of the control that is moved.
        follower: Channel of the one that moves with it.
        same: Whether nobody said which of the two was moved.
    """
    return [
        line.name
        for line in select_lines(channels)
        if not line.swapped and line.reads[follower] == line.reads[mover] and (same or line.reads[follower] == mover)
    ]


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


def _diode_factors(state: HuntState, diodes: Sequence[str]) -> dict[str, float]:
    """The diodes that the corners point to keep their weight, those of other buttons nearly lose it."""
    fitting = {shorted_diode(each) for each in diodes}
    known = [fault.id for fault in state.layout.faults if fault.id.startswith("F34@")]
    return _with_others(state, {id: 1.0 if id in fitting else MISFIT for id in known})


def _with_others(state: HuntState, factors: dict[str, float]) -> dict[str, float]:
    """Faults that make no pattern of their own seldom make just this one; nothing when no spot fits it.

    The answer to the test that the line amounts to says already how likely any such pattern is under them. It is this
    one among as many as there are spots of its kind.
    """
    if 1.0 not in factors.values():
        return {}
    chance = min(BY_CHANCE, 1.0 / len(factors))
    return {fault: factors.get(fault, chance) for fault in state.layout.table.faults}
