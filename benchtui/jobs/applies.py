"""Which steps are for which unit: by hardware revision, fitted option and serial range.

What is fixed about a unit is kept apart from what a procedure says of it (S1000D: attributes and applicability). The
words shown for a step that is left out are made from its rule, so the two cannot disagree.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.events import read_event
from benchtui.jobs.serials import number_of
from benchtui.jobs.unit_events import UNIT_EVENTS, UnitFixed, UnitMade

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.content.procedure import Applies
    from benchtui.jobs.event_base import Recorded


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFacts:
    """What is fixed about a unit from when it was made."""

    serial: str = ""
    hardware: str = ""
    """Revision of the hardware; empty when nobody said."""
    options: tuple[str, ...] = ()
    """Options that are known to be fitted."""
    asked: tuple[str, ...] = ()
    """Options that were asked about; of any other it is not known whether it is fitted."""


def facts_of(unit: str, events: Iterable[Recorded]) -> UnitFacts:
    """What is fixed about a unit.

    A unit that came into the record with its first job was never asked, and an older program did not write down what it
    had asked about: there an option that is not fitted is not known.

    Args:
        unit: Serial number.
        events: Its events, in the record's order.
    """
    made: UnitMade | None = None
    for event in events:
        match read_event(event.kind, event.data, kinds=UNIT_EVENTS):
            case UnitMade() as first if made is None:
                made = first
            case UnitFixed() as later if made is not None:
                made = with_fixed(made, later)
    if made is None:
        return UnitFacts(serial=unit)
    return UnitFacts(serial=unit, hardware=made.hardware, options=made.options, asked=made.asked)


def with_fixed(made: UnitMade, later: UnitFixed) -> UnitMade:
    """What is fixed about a unit, with what was found out later; what was known first stands."""
    return replace(
        made,
        hardware=made.hardware or later.hardware,
        options=tuple(dict.fromkeys((*made.options, *later.options))),
        asked=tuple(dict.fromkeys((*made.asked, *later.asked))),
    )


def told_otherwise(made: UnitMade, later: UnitFixed) -> str:
    """In what two answers about one unit differ, as words; empty where they agree. Only two benches can differ so."""
    if made.hardware and later.hardware and _plain(made.hardware) != _plain(later.hardware):
        return f"its hardware is {made.hardware} at one bench and {later.hardware} at the other"
    both = set(made.asked) & set(later.asked)
    differ = [name for name in sorted(both) if (name in made.options) != (name in later.options)]
    return f"one bench says that it has {_or(tuple(differ))}, another that it has not" if differ else ""


def not_for(rule: Applies, unit: UnitFacts) -> str:
    """Why a step is not for this unit, in words; empty when it is.

    A rule about something that is not known of the unit leaves the step in: doing it needlessly is seen, leaving it out
    is not.

    Raises:
        JobError: The range of serial numbers cannot be read.
    """
    if rule.hardware and unit.hardware and not any(_is_revision(unit.hardware, name) for name in rule.hardware):
        return f"it is for hardware {_or(rule.hardware)}, and this unit is {unit.hardware}"
    wanted, fitted = set(map(_plain, rule.options)), set(map(_plain, unit.options))
    if wanted and not wanted & fitted and wanted <= set(map(_plain, unit.asked)):
        return f"it is for units with {_or(rule.options)}, and this unit has {_or(unit.options) or 'no option'}"
    number = number_of(unit.serial)
    if rule.serials and number is not None:
        first, last = serial_range(rule.serials)
        if not first <= number <= last:
            return f"it is for numbers {first} to {last}, and this unit is number {number}"
    return ""


def serial_range(text: str) -> tuple[int, int]:
    """First and last number of a range such as "4 to 9".

    Raises:
        JobError: It is none.
    """
    found = re.fullmatch(r"(\d+) to (\d+)", text)
    if not found:
        raise JobError(f"{text!r} is no range of unit numbers", hint="write it as: 4 to 9")
    return int(found[1]), int(found[2])


def _is_revision(told: str, name: str) -> bool:
    """Whether a revision as it was written down is a known one; an older program took "rev B" for B as well."""
    return _plain(name) in (_plain(told), *_plain(told).split())


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _or(words: tuple[str, ...]) -> str:
    return " or ".join(words)
