"""Parts of a unit: what went in where, what came out for it, and what was in it when it was released.

By the order of the record alone, never by its times: a clock that was set back does not put a part into a unit that
had left the bench by then.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from benchtui.jobs.named import NOTHING
from benchtui.jobs.quality_events import PartFitted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from benchtui.jobs.event_base import Recorded

AT_LARGE: Final = frozenset({"", "unit", "panel", "lid", "bottom"})
"""Places that bear many parts at once: what goes in there takes the place only of a part of the very same name, and
makes no test void by itself, for it may be the lot of some feet typed again."""

NOT_MARKED: Final = "not marked"
"""Lot or serial number of a part that bears none: an answer too, and found by these words."""

BOARD: Final = frozenset({"board", "unit"})
"""Words for the part that holds the firmware, and for the whole unit."""

_FASTENERS: Final = frozenset({"screw", "nut", "washer", "post", "spacer", "label", "tape"})
"""What bears no signal: another lot of it, of which nobody said that it came out, makes no test void."""

_SMALL: Final = _FASTENERS | {"socket", "header"}
"""What stands at the place of the board and is not the board."""

_WORD: Final = re.compile(r"[^\W\d_]{3,}")

_JOINS: Final = frozenset({"with", "without", "for", "from"})
"""Words between what a part is and what it comes with or goes to."""

_EMPTY: Final = frozenset({"the", "and", "for", "with", "from", "new", "old", "other"})
"""Words that tell nothing of what a part is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A part in the unit, now or once."""

    part: str
    place: str
    lot: str = ""
    serial: str = ""
    time: str = ""
    removed: str = ""
    """When it was taken out; empty while it is in."""
    order: int = 0
    """Place of its event among those of the unit, from 0."""
    out: int | None = None
    """Place of the event that took it out; None while it is in."""
    exchange: bool = False
    """Another one was in its place before, and what was tested there was tested with that."""

    @property
    def origin(self) -> str:
        """Where it came from, as far as it is known: "lot L7, serial 42"; empty when nothing is."""
        lot, serial = f"lot {self.lot}" if self.lot else "", f"serial {self.serial}" if self.serial else ""
        return ", ".join(filter(None, (lot, serial)))

    @property
    def named(self) -> str:
        """Its name with where it came from: "fader, lot L1"."""
        return ", ".join(filter(None, (self.part, self.origin)))


def parts_of(events: Iterable[Recorded]) -> tuple[Fitted, ...]:
    """Every part ever fitted to a unit, in order.

    Args:
        events: Every event of the unit in the record's order.
    """
    parts: list[Fitted] = []
    for order, event in enumerate(events):
        if event.kind != PartFitted.KIND:
            continue
        if event.data.get("corrects") and (mistyped := _last_like(parts, event.data)):
            lot, serial = str(event.data.get("lot", "")), str(event.data.get("serial", ""))
            parts = [replace(old, lot=lot, serial=serial) if old is mistyped else old for old in parts]
            continue
        gone = taken_out(parts, event.data)
        new = Fitted(
            part=str(event.data.get("part", "")),
            place=str(event.data.get("place", "")),
            lot=str(event.data.get("lot", "")),
            serial=str(event.data.get("serial", "")),
            time=event.time,
            order=order,
            exchange=tuple(event.data.get("touched", ())) != NOTHING
            and (bool(event.data.get("replaces")) or any(_takes_place(old, event.data) for old in gone)),
        )
        parts = [replace(old, removed=event.time, out=order) if old in gone else old for old in parts]
        parts.append(new)
    return tuple(parts)


def _last_like(parts: Sequence[Fitted], data: Mapping[str, Any]) -> Fitted | None:
    part = _plain(str(data.get("part", "")))
    here = [old for old in _here(parts, str(data.get("place", ""))) if _plain(old.part) == part]
    return here[-1] if here else None


def taken_out(parts: Sequence[Fitted], data: Mapping[str, Any]) -> tuple[Fitted, ...]:
    """The parts whose place a new one takes.

    What is said to have come out is believed, and so is that nothing did. Where nobody was asked, a part of the very
    same name that is in the same place had to come out for it: one place does not hold two faders, but a fader and its
    knob.

    Args:
        parts: Those fitted before.
        data: Data of the event that fits the new one.
    """
    if data.get("beside"):
        return ()
    part, said = _plain(str(data.get("part", ""))), str(data.get("replaces", ""))
    here = _here(parts, str(data.get("place", "")))
    if not said:
        return tuple(old for old in here if _plain(old.part) == part)
    named = [old for old in here if _plain(said) in (_plain(old.part), _plain(old.named))]
    named = named or [old for old in here if _alike(old.part, said)]
    named = named or [old for old in here if _alike(old.part, str(data.get("part", "")))]
    # Words that name nothing there stand for all of it, where a place is no more than one control.
    return tuple(named or ([] if _plain(str(data.get("place", ""))) in AT_LARGE else here))


def _here(parts: Sequence[Fitted], place: str) -> list[Fitted]:
    return [old for old in parts if old.out is None and _plain(old.place) == _plain(place)]


def other_in_place(parts: Sequence[Fitted], fitted: PartFitted) -> Fitted | None:
    """The part that a new one takes the place of though nothing was said to have come out; None for none.

    Args:
        parts: Those fitted before.
        fitted: The new one.
    """
    data = fitted.to_data()
    return next((old for old in taken_out(parts, data) if not fitted.replaces and _takes_place(old, data)), None)


def may_come_out(parts: Sequence[Fitted], fitted: PartFitted) -> Fitted | None:
    """The part that a new one may go in place of, by its name, so that it has to be asked; None for none.

    Args:
        parts: Those fitted before.
        fitted: The new one, of which nobody has said whether something comes out for it.
    """
    data = fitted.to_data()
    alike = [old for old in _here(parts, fitted.place) if _alike(old.part, fitted.part)]
    alike.sort(key=lambda old: _plain(old.part) != _plain(fitted.part))
    return next((old for old in alike if _takes_place(old, data)), None)


def in_its_place(parts: Sequence[Fitted], fitted: PartFitted) -> Fitted | None:
    """The part of the same kind that is where a new one goes, whatever its lot; None for none.

    Args:
        parts: Those fitted before.
        fitted: The new one, of which it is known that something of its kind comes out for it.
    """
    alike = [old for old in _here(parts, fitted.place) if _alike(old.part, fitted.part)]
    return min(alike, key=lambda old: _plain(old.part) != _plain(fitted.part), default=None)


def exchanged(events: Iterable[Recorded]) -> Mapping[int, Fitted]:
    """The parts that were fitted in place of another, by the order of their events; arguments as for `parts_of`."""
    return {part.order: part for part in parts_of(events) if part.exchange}


def without_firmware(events: Iterable[Recorded]) -> frozenset[int]:
    """Orders of the events by which the firmware of a unit left it: another board went in, or another whole unit.

    Screws of a board, or its carrier, hold no firmware. A repair in a hunt is known by its id alone, such as
    "replace-board".
    """
    told = list(events)
    parts = (order for order, part in exchanged(told).items() if is_board(part.part, part.place))
    repairs = (
        order
        for order, event in enumerate(told)
        if event.kind == "hunt-repair" and BOARD & _words(str(event.data.get("repair", "")))
    )
    return frozenset((*parts, *repairs))


def is_board(part: str, place: str) -> bool:
    """Whether a part is the board that holds the firmware, or the whole unit, and not what only belongs to it.

    Args:
        part: Its name: the noun at its end tells what it is.
        place: Where it is.
    """
    words = _head(part)
    if not words or "carrier" in words:
        return False
    return words[-1] in BOARD or (_plain(place) == "board" and BOARD.isdisjoint(words) and _noun(part) not in _SMALL)


def is_carrier(part: str) -> bool:
    """Whether a part is the carrier that the board sits in, such as "carrier board", and not what belongs to it.

    Args:
        part: Its name.
    """
    return "carrier" in _head(part) and _noun(part) not in _SMALL


def _takes_place(old: Fitted, data: Mapping[str, Any]) -> bool:
    """Another piece by its lot or serial number; the same ones written down twice are one piece."""
    other = (old.lot, old.serial) != (str(data.get("lot", "")), str(data.get("serial", "")))
    return (
        other
        and _noun(old.part) not in _FASTENERS
        and (_plain(old.place) not in AT_LARGE or is_board(old.part, old.place))
    )


def _alike(one: str, other: str) -> bool:
    """Two names of one kind of part: the same, or with a word in common, such as "fader" and "fader 60 mm"."""
    return _plain(one) == _plain(other) or bool(_words(one) & _words(other))


def _noun(part: str) -> str:
    """The noun at the end of a name, of one or many: "screw" of "board screws M2.5"; empty for none."""
    words = _head(part)
    return words[-1].removesuffix("s") if words else ""


def _head(part: str) -> list[str]:
    """The words of a name that say what it is, without what it comes with: "carrier board" of one "with headers"."""
    words = _WORD.findall(part.casefold())
    end = next((place for place, word in enumerate(words) if place and word in _JOINS), len(words))
    return [word for word in words[:end] if word not in _EMPTY]


def _words(text: str) -> frozenset[str]:
    return frozenset(_WORD.findall(text.casefold())) - _EMPTY


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
