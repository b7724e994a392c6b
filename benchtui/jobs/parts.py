"""Parts of a unit: what went in where, what came out for it, and what was in it when it was released.

By the order of the record alone, never by its times: a clock that was set back does not put a part into a unit that
had left the bench by then.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from benchtui.jobs.quality_events import PartFitted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from benchtui.jobs.event_base import Recorded

AT_LARGE: Final = frozenset({"", "unit", "panel", "lid", "bottom"})
"""Places that bear many parts at once: what goes in there takes the place only of a part of the very same name, and
makes no test void by itself, for it may be the lot of some feet typed again."""

BOARD: Final = frozenset({"board", "unit"})
"""Words for the part that holds the firmware, and for the whole unit."""

_WORD: Final = re.compile(r"[^\W\d_]{3,}")

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
    """Another one was in its place before."""

    @property
    def origin(self) -> str:
        """Where it came from, as far as it is known: "lot L7, serial 42"; empty when nothing is."""
        lot, serial = f"lot {self.lot}" if self.lot else "", f"serial {self.serial}" if self.serial else ""
        return ", ".join(filter(None, (lot, serial)))


def parts_of(events: Iterable[Recorded]) -> tuple[Fitted, ...]:
    """Every part ever fitted to a unit, in order.

    Args:
        events: Every event of the unit in the record's order.
    """
    parts: list[Fitted] = []
    for order, event in enumerate(events):
        if event.kind != PartFitted.KIND:
            continue
        gone = taken_out(parts, event.data)
        new = Fitted(
            part=str(event.data.get("part", "")),
            place=str(event.data.get("place", "")),
            lot=str(event.data.get("lot", "")),
            serial=str(event.data.get("serial", "")),
            time=event.time,
            order=order,
            exchange=bool(event.data.get("replaces")) or any(_takes_place(old, event.data) for old in gone),
        )
        parts = [replace(old, removed=event.time, out=order) if old in gone else old for old in parts]
        parts.append(new)
    return tuple(parts)


def taken_out(parts: Sequence[Fitted], data: Mapping[str, Any]) -> tuple[Fitted, ...]:
    """The parts whose place a new one takes.

    What is said to have come out is believed. Where nothing is said, a part of the same kind that is in the same place
    had to come out for it: one place does not hold two faders.

    Args:
        parts: Those fitted before.
        data: Data of the event that fits the new one.
    """
    place, part, said = (str(data.get(name, "")) for name in ("place", "part", "replaces"))
    here = [old for old in parts if old.out is None and _plain(old.place) == _plain(place)]
    if _plain(place) in AT_LARGE:
        return tuple(old for old in here if _plain(old.part) == _plain(part) or (said and _alike(old.part, said)))
    alike = [old for old in here if _alike(old.part, part) or (said and _alike(old.part, said))]
    return tuple(here if said and not alike else alike)


def other_in_place(parts: Sequence[Fitted], fitted: PartFitted) -> Fitted | None:
    """The part that a new one takes the place of though nothing was said to have come out; None for none.

    Args:
        parts: Those fitted before.
        fitted: The new one.
    """
    data = fitted.to_data()
    return next((old for old in taken_out(parts, data) if not fitted.replaces and _takes_place(old, data)), None)


def exchanged(events: Iterable[Recorded]) -> Mapping[int, Fitted]:
    """The parts that were fitted in place of another, by the order of their events; arguments as for `parts_of`."""
    return {part.order: part for part in parts_of(events) if part.exchange}


def without_firmware(events: Iterable[Recorded]) -> frozenset[int]:
    """Orders of the events by which the firmware of a unit left it: another board went in, or another whole unit.

    A repair in a hunt is known by its id alone, such as "replace-board".
    """
    told = list(events)
    parts = (
        order for order, part in exchanged(told).items() if BOARD & _words(part.part) or "board" in _words(part.place)
    )
    repairs = (
        order
        for order, event in enumerate(told)
        if event.kind == "hunt-repair" and BOARD & _words(str(event.data.get("repair", "")))
    )
    return frozenset((*parts, *repairs))


def _takes_place(old: Fitted, data: Mapping[str, Any]) -> bool:
    """Another piece by its lot or serial number; the same ones written down twice are one piece."""
    other = (old.lot, old.serial) != (str(data.get("lot", "")), str(data.get("serial", "")))
    return other and (_plain(old.place) not in AT_LARGE or bool(BOARD & _words(old.part)))


def _alike(one: str, other: str) -> bool:
    """Two names of one kind of part: the same, or with a word in common, such as "fader" and "fader 60 mm"."""
    return _plain(one) == _plain(other) or bool(_words(one) & _words(other))


def _words(text: str) -> frozenset[str]:
    return frozenset(_WORD.findall(text.casefold())) - _EMPTY


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
