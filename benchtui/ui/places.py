"""Where a part can go: a control, a connector, a bank or a chip of the design, one of their joints, or the unit itself.

A place that is nowhere is asked about before it is kept, with the nearest that there is: what stands in the record of
a unit is looked for years later by that name.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final

from benchtui.design.joints import joints_at
from benchtui.faults.words import listed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.model import Design

WHOLE: Final = ("unit", "board", "panel", "lid", "bottom")
"""Places that every unit has."""


def places_of(design: Design | None, known: Iterable[str] = ()) -> tuple[str, ...]:
    """Every thing a part can go to.

    Args:
        design: The design; None where the job is about none, or its file cannot be read.
        known: Ids that the steps of the job speak of.
    """
    found = [*WHOLE, *known]
    if design is not None:
        for things in (design.controls, design.connectors, design.multiplexers, design.banks):
            found += [thing.id for thing in things]
    return tuple(dict.fromkeys(found))


def each_place(typed: str) -> tuple[str, ...]:
    """The places that a text names: "F1 to F8" and "F1-F3, K2" are several, "F3 lug 2" is one.

    Args:
        typed: What was typed.

    Returns:
        Each place, as it was typed; the whole text where it names no row of things.
    """
    places: list[str] = []
    for part in (each.strip() for each in _BETWEEN.split(typed)):
        row = _ROW.fullmatch(part)
        if row is None:
            places += [part] if part else []
            continue
        stem, low, worded, dashed, high = row.groups()
        other = worded or dashed
        first, last = int(low), int(high)
        if (other and other.casefold() != stem.casefold()) or not 0 < last - first < MOST_PLACES:
            return (typed.strip(),)
        places += [f"{stem}{number}" for number in range(first, last + 1)]
    return tuple(dict.fromkeys(places))


def place_doubt(design: Design | None, typed: str, *, known: Iterable[str] = ()) -> str:
    """What is wrong with a place, and the nearest there is, as a sentence; empty when it is one.

    Args:
        design: The design; None takes every place, for there is nothing to hold it against.
        typed: The place, such as "F3", "J2 pin 4" or "lid".
        known: Ids that the steps of the job speak of.
    """
    if design is None:
        return ""
    places = places_of(design, known)
    doubts = (_doubt_of(design, each, places) for each in each_place(typed))
    return next((doubt for doubt in doubts if doubt), "")


def _doubt_of(design: Design, typed: str, places: Iterable[str]) -> str:
    """What is wrong with one place."""
    words = typed.split()
    if not words:
        return ""
    ids = {place.casefold(): place for place in places}
    here = ids.get(words[0].casefold())
    if here is None:
        near = get_close_matches(words[0].casefold(), ids, n=3, cutoff=0.5)
        nearest = f": the nearest {'is' if len(near) == 1 else 'are'} {listed([ids[one] for one in near])}"
        return f"there is no such place as {words[0]}{nearest if near else ''}"
    rest = " ".join(words[1:])
    if not rest:
        return ""
    joints = [joint.partition(" ")[2] for joint in joints_at(design, here)]
    if rest.casefold() in (joint.casefold() for joint in joints):
        return ""
    has = f": it has {listed(joints)}" if 0 < len(joints) <= MOST else f": type {here} alone"
    return f"{here} has no place {rest}{has}"


MOST: Final = 8
"""Joints that are named; more would not be read."""

MOST_PLACES: Final = 100
"""Things in a row that is typed as one; more is a slip."""

_BETWEEN: Final = re.compile(r"\s*(?:,|;|\band\b)\s*")
_ROW: Final = re.compile(r"([A-Za-z]+)(\d+)(?:\s+to\s+([A-Za-z]*)|\s*[-–]\s*([A-Za-z]+))(\d+)")
