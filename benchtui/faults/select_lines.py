"""Select lines of a multiplexer: what each fault of one makes of the channels, and which of them fit readings."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.faults.patterns import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One hypothesis about a multiplexer's select lines.

    Attributes:
        name: "S0 stuck low", "S0 and S1 swapped".
        reads: For each channel, the channel whose value appears there.
        swapped: Whether lines are exchanged, rather than one stuck.
        shorted: Whether two lines are joined.
    """

    name: str
    reads: tuple[int, ...]
    swapped: bool = False
    shorted: bool = False


def select_lines(channels: int) -> tuple[Line, ...]:
    """What every stuck, exchanged or shorted select line makes of the channels (worked out, as in the trade notes 2).

    Two lines that are joined are both low as soon as one of them is driven low: an output sinks more than it gives
    (common practice).
    """
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
            both = 1 << one | 1 << other
            reads = tuple(channel if channel & both == both else channel & ~both for channel in range(channels))
            found.append(Line(name=f"S{one} and S{other} shorted", reads=reads, shorted=True))
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
