"""Which steps are for which unit: by hardware revision, fitted option and serial range.

What is fixed about a unit is kept apart from what a procedure says of it (S1000D: attributes and applicability). The
words shown for a step that is left out are made from its rule, so the two cannot disagree.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs.events import read_event
from benchtui.jobs.knowing import Knowing
from benchtui.jobs.serials import number_of
from benchtui.jobs.unit_events import UNIT_EVENTS, UnitFixed, UnitMade

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """What is fixed about a unit as its entries tell it together."""

    made: UnitMade
    disputed: tuple[tuple[Recorded, str], ...] = ()
    """Entries that say otherwise than one which was not known at their bench, with what is to be decided, in words."""

    def facts(self, serial: str) -> UnitFacts:
        """The same as the facts that steps depend on."""
        return UnitFacts(serial=serial, hardware=self.made.hardware, options=self.made.options, asked=self.made.asked)


def facts_of(unit: str, events: Iterable[Recorded], *, knowing: Knowing | None = None) -> UnitFacts:
    """What is fixed about a unit.

    A unit that came into the record with its first job was never asked, and an older program did not write down what it
    had asked about: there an option that is not fitted is not known.

    Args:
        unit: Serial number.
        events: Its events, in the record's order.
        knowing: What benches knew of each other's entries; nothing when None.
    """
    return fixed_of(events, knowing=knowing).facts(unit)


def fixed_of(events: Iterable[Recorded], *, knowing: Knowing | None = None, design: str = "") -> Fixed:
    """What is fixed about a unit, with what two benches tell otherwise.

    A later entry counts where its bench knew of the one before, as it does when a slip is put right. Where it had not,
    the first hardware revision stands, and an option counts as fitted: doing a step needlessly is seen.

    Args:
        events: Its events, in the record's order.
        knowing: What benches knew of each other's entries; nothing when None.
        design: Its design, where no entry gave it its number.
    """
    knowing = knowing or Knowing()
    made: UnitMade | None = None
    said: dict[str, Recorded] = {}
    disputed: list[tuple[Recorded, dict[str, str]]] = []
    for event in events:
        if event.kind not in (UnitMade.KIND, UnitFixed.KIND):
            continue
        told = read_event(event.kind, event.data, kinds=UNIT_EVENTS)
        if isinstance(told, UnitMade):
            made = made or told
            told = UnitFixed(hardware=told.hardware, options=told.options, asked=told.asked) if made is told else None
        if not isinstance(told, UnitFixed):
            continue
        made = made or UnitMade(design=design)
        if told.reason:
            # Who puts it right has looked at the unit, and settles what was told otherwise so far as that was known.
            disputed = [
                (each, {fact: text for fact, text in why.items() if fact not in _facts(told) or not knows})
                for each, why in disputed
                for knows in (knowing.knew(event, each),)
            ]
        otherwise = {
            fact: text for fact, text in _otherwise(made, told) if not _knew(event, told, fact, made, said, knowing)
        }
        if otherwise:
            disputed.append((event, otherwise))
        made = _with(made, told, otherwise)
        said |= {fact: event for fact in _facts(told) if fact not in otherwise or told.reason}
    texts = ((event, "; ".join(why.values())) for event, why in disputed if why)
    return Fixed(made=made or UnitMade(design=design), disputed=tuple(texts))


_HARDWARE: Final = "hardware"


def _facts(told: UnitFixed) -> set[str]:
    """What an entry says something of: the hardware, and options by name."""
    options = {f"option {name}" for name in (*told.asked, *told.options)}
    return options | ({_HARDWARE} if told.hardware else set())


def _otherwise(made: UnitMade, told: UnitFixed) -> Iterator[tuple[str, str]]:
    """In what an entry differs from what is known: what it is about, and both in words."""
    if made.hardware and told.hardware and _plain(made.hardware) != _plain(told.hardware):
        text = f"its hardware is {made.hardware} at one bench and {told.hardware} at the other"
        yield _HARDWARE, text
    for name in sorted(set(made.asked) & set(told.asked)):
        if (name in made.options) != (name in told.options):
            yield f"option {name}", f"one bench says that it has {name}, another that it has not"


def _knew(
    event: Recorded, told: UnitFixed, fact: str, made: UnitMade, said: Mapping[str, Recorded], knowing: Knowing
) -> bool:
    """Whether the bench that wrote an entry knew what it says otherwise: by the record, or since it names it itself."""
    if fact in said and knowing.knew(event, said[fact]):
        return True
    if not told.reason:
        return False
    if fact == _HARDWARE:
        return _plain(told.was_hardware) == _plain(made.hardware)
    name = fact.removeprefix("option ")
    return (name in told.was_options) == (name in made.options)


def _with(made: UnitMade, told: UnitFixed, otherwise: Mapping[str, str]) -> UnitMade:
    """What is fixed with what an entry says; what two benches tell otherwise counts only where it puts a slip right."""
    hardware = made.hardware or told.hardware
    if told.hardware and (told.reason or _HARDWARE not in otherwise):
        hardware = told.hardware
    gone = {name for name in told.asked if told.reason or (name in made.asked and f"option {name}" not in otherwise)}
    kept = (name for name in made.options if name not in gone or name in told.options)
    return replace(
        made,
        hardware=hardware,
        options=tuple(dict.fromkeys((*kept, *told.options))),
        asked=tuple(dict.fromkeys((*made.asked, *told.asked))),
    )


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


def is_for(because: str, unit: UnitFacts) -> bool:
    """Whether a step that was left out is for this unit by what is known now.

    Args:
        because: Why it was left out, as `not_for` gave it.
        unit: What is fixed about the unit now.
    """
    if found := _OF_HARDWARE.fullmatch(because):
        return any(_is_revision(unit.hardware, name) for name in found[1].split(" or ")) or not unit.hardware
    if found := _OF_OPTIONS.fullmatch(because):
        return bool(set(map(_plain, found[1].split(" or "))) & set(map(_plain, unit.options)))
    return False


_OF_HARDWARE: Final = re.compile(r"it is for hardware (.+), and this unit is .*")
_OF_OPTIONS: Final = re.compile(r"it is for units with (.+), and this unit has .*")


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
