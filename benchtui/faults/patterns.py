"""What all controls show, said in one line, and what it says about the faults of a bank.

    F1 to F8 read 0,0,2,2,4,4,6,6      copies: a select line of the multiplexer
    none of them reaches zero          a resistive ground; "... reaches the top" a resistive V+
    moving F3 moves F4                 a bridge, a copy or a doubled number
    F1 to F8 stay at 0                 V+ open; "stay at 127" ground open
    F5 to F8 are dead                  a connector, or whatever these share

A line is read without a model; what it means for one is worked out from the answers it gives to tests of that model,
and, where the design knows which channel of a multiplexer each control has, from the pattern itself.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from benchtui.errors import JobError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

LOWEST, HIGHEST = 3, 124
"""Values of 0 to 127 that count as an end: residual ohms and the last bit. Common practice."""

MOST_CONTROLS: Final = 256
"""More controls than this in one line are a slip of the keys."""

Shape = Literal["readings", "short-low", "short-high", "moves", "stays-low", "stays-high", "dead"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A line as it was understood.

    Attributes:
        shape: What sort of thing was said.
        controls: Controls it is about, in order; empty for "them all".
        values: Value of each control, for readings.
        follower: Control that moves when the first one is moved.
        words: What was understood, to be shown back.
    """

    shape: Shape
    controls: tuple[str, ...] = ()
    values: tuple[int, ...] = ()
    follower: str = ""
    words: str


_ID = r"[A-Za-z]+[-_]?\d+"
_RANGE: Final = re.compile(rf"^\s*({_ID})\s*(?:to|-|–|\.\.)\s*({_ID})\s+", re.I)
_LIST: Final = re.compile(rf"^\s*({_ID}(?:\s*(?:,|and)\s*{_ID})*)\s+", re.I)
_MOVES: Final = re.compile(
    rf"^\s*(?:moving|sweeping|when i move)\s+({_ID})\s*,?\s*(?:also\s+)?moves?\s+({_ID})\b", re.I
)
_NONE: Final = re.compile(
    r"^\s*(?:none|no one|nothing|not one)\b.*\b(zero|0|the bottom|bottom|127|the top|top|full)\b", re.I
)
_READ: Final = re.compile(r"\bread(?:s|ing)?\b|\bshows?\b", re.I)
_STAY: Final = re.compile(
    r"\b(?:stays?|stuck|sits?|all)\b.*?\b(at\s+)?(zero|0|the bottom|bottom|127|the top|top)\b", re.I
)
_DEAD: Final = re.compile(r"\b(dead|silent|nothing)\b", re.I)
_LOW_WORDS: Final = {"zero", "0", "the bottom", "bottom"}


def read_pattern(text: str, known: Sequence[str] = ()) -> Pattern:
    """Understand one line.

    Args:
        text: What the builder says.
        known: Ids of the controls of the design; a name that is not among them is refused.

    Raises:
        JobError: The line is not understood, or names a control that does not exist.
    """
    line = text.strip().rstrip(".")
    if match := _MOVES.match(line):
        mover, follower = (_known(each, known) for each in match.groups())
        return Pattern(
            shape="moves", controls=(mover,), follower=follower, words=f"moving {mover} moves {follower} as well"
        )
    if match := _NONE.match(line):
        low = match[1].lower() in _LOW_WORDS
        return Pattern(
            shape="short-low" if low else "short-high",
            words=f"none of them reaches the {'bottom' if low else 'top'}",
        )
    controls, rest = _controls(line, known)
    if _READ.search(rest):
        return _readings(controls, rest)
    if match := _STAY.search(rest):
        low = match[2].lower() in _LOW_WORDS
        end = "bottom" if low else "top"
        return Pattern(
            shape="stays-low" if low else "stays-high", controls=controls, words=f"{_span(controls)} stay at the {end}"
        )
    if _DEAD.search(rest):
        return Pattern(shape="dead", controls=controls, words=f"{_span(controls)} are dead")
    raise JobError(
        "that line is not understood",
        hint='say it like "F1 to F8 read 0,0,2,2,4,4,6,6", "none of them reaches zero" or "moving F3 moves F4"',
    )


def _controls(line: str, known: Sequence[str]) -> tuple[tuple[str, ...], str]:
    """The controls a line begins with, and the rest of it."""
    if match := _RANGE.match(line):
        first, last = match.groups()
        return _range(first, last, known), line[match.end() :]
    if match := _LIST.match(line):
        names = re.findall(_ID, match[1], re.I)
        return tuple(_known(name, known) for name in names), line[match.end() :]
    if re.match(r"^\s*(?:all|they|every)\b", line, re.I):
        return (), line
    raise JobError("that line names no control", hint='begin it with the controls: "F1 to F8 ..."')


def _range(first: str, last: str, known: Sequence[str]) -> tuple[str, ...]:
    stem, low = re.match(r"(.*?)(\d+)$", first).groups()  # type: ignore[union-attr]  # the pattern of an id ends so
    other, high = re.match(r"(.*?)(\d+)$", last).groups()  # type: ignore[union-attr]
    if stem.lower() != other.lower() or int(low) >= int(high) or int(high) - int(low) >= MOST_CONTROLS:
        raise JobError(f"{first} to {last} is no row of controls", hint='write it like "F1 to F8"')
    width = len(low) if low.startswith("0") else 0
    return tuple(_known(f"{stem}{number:0{width}d}", known) for number in range(int(low), int(high) + 1))


def _known(name: str, known: Sequence[str]) -> str:
    for id in known:
        if id.lower() == name.lower():
            return id
    if known:
        raise JobError(f"there is no control {name}")
    return name


def _readings(controls: tuple[str, ...], rest: str) -> Pattern:
    values = tuple(int(each) for each in re.findall(r"\d{1,5}", rest))
    if not controls or len(values) != len(controls):
        raise JobError(
            f"{len(controls)} controls and {len(values)} values do not go together", hint="give one value for each"
        )
    listed = ", ".join(f"{control} {value}" for control, value in zip(controls, values, strict=True))
    return Pattern(shape="readings", controls=controls, values=values, words=listed)


def _span(controls: Sequence[str]) -> str:
    if not controls:
        return "all of them"
    return controls[0] if len(controls) == 1 else f"{controls[0]} to {controls[-1]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One hypothesis about a multiplexer's select lines.

    Attributes:
        name: "S0 stuck low", "S0 and S1 swapped".
        reads: For each channel, the channel whose value appears there.
        swapped: Whether lines are exchanged, rather than one stuck.
    """

    name: str
    reads: tuple[int, ...]
    swapped: bool = False


def select_lines(channels: int) -> tuple[Line, ...]:
    """What every stuck or exchanged select line makes of the channels (worked out, as in the trade notes 2)."""
    lines = max(channels - 1, 1).bit_length()
    found = []
    for line in range(lines):
        for high in (False, True):
            mask = 1 << line
            reads = tuple((channel | mask) if high else (channel & ~mask) for channel in range(channels))
            found.append(Line(name=f"S{line} stuck {'high' if high else 'low'}", reads=reads))
    for one in range(lines):
        for other in range(one + 1, lines):
            reads = tuple(_exchange(channel, one, other) for channel in range(channels))
            found.append(Line(name=f"S{one} and S{other} exchanged", reads=reads, swapped=True))
    return tuple(found)


def _exchange(channel: int, one: int, other: int) -> int:
    a, b = channel >> one & 1, channel >> other & 1
    channel &= ~(1 << one) & ~(1 << other)
    return channel | a << other | b << one


def lines_that_fit(
    pattern: Pattern, channel_of: Mapping[str, int], channels: int, *, slack: int = 1, values_are_channels: bool = False
) -> tuple[Line, ...]:
    """The select-line faults that fit the readings.

    A stuck line makes equal values where two controls show one channel. Which of the two it is (stuck low or high) can
    only be told when the values are channel numbers, or from the controls' own positions.

    Args:
        pattern: Readings.
        channel_of: Channel of each control.
        channels: Channels of the multiplexer.
        slack: How far two values may differ and still be copies.
        values_are_channels: Whether the values name the channel that is seen, as in "0,0,2,2,4,4,6,6".
    """
    shown = {
        channel_of[control]: value
        for control, value in zip(pattern.controls, pattern.values, strict=True)
        if control in channel_of
    }
    if len(shown) < 2:
        return ()
    if values_are_channels:
        return tuple(
            line for line in select_lines(channels) if all(line.reads[at] == value for at, value in shown.items())
        )
    found = []
    for line in select_lines(channels):
        if line.swapped:
            continue
        groups: dict[int, list[int]] = {}
        for at, value in shown.items():
            groups.setdefault(line.reads[at], []).append(value)
        same = all(max(values) - min(values) <= slack for values in groups.values())
        apart = all(abs(a - b) > slack for a, b in pairwise(sorted(values[0] for values in groups.values())))
        if same and apart and len(groups) < len(shown):
            found.append(line)
    return tuple(found)


def looks_like_channels(pattern: Pattern, channels: int) -> bool:
    """Whether the values of a line are channel numbers rather than positions: small, and one for each channel."""
    return len(pattern.values) == channels and all(value < channels for value in pattern.values)
