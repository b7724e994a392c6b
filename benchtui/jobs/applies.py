"""Which steps are for which unit: by hardware revision, fitted option and serial range.

What is fixed about a unit is kept apart from what a procedure says of it (S1000D: attributes and applicability). The
words shown for a step that is left out are made from its rule, so the two cannot disagree.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.serials import number_of

if TYPE_CHECKING:
    from benchtui.content.procedure import Applies


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFacts:
    """What is fixed about a unit from when it was made."""

    serial: str = ""
    hardware: str = ""
    """Revision of the hardware; empty when nobody said."""
    options: tuple[str, ...] | None = None
    """Options fitted; None when nobody said."""


def not_for(rule: Applies, unit: UnitFacts) -> str:
    """Why a step is not for this unit, in words; empty when it is.

    A rule about something that is not known of the unit leaves the step in: doing it needlessly is seen, leaving it out
    is not.

    Raises:
        JobError: The range of serial numbers cannot be read.
    """
    if rule.hardware and unit.hardware and unit.hardware not in rule.hardware:
        return f"it is for hardware {_or(rule.hardware)}, and this unit is {unit.hardware}"
    if rule.options and unit.options is not None and not set(rule.options) & set(unit.options):
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


def _or(words: tuple[str, ...]) -> str:
    return " or ".join(words)
