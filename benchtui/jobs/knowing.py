"""Whether the bench that wrote an entry knew of another bench's entry, by what each told of how far others had come."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.events import Recorded


class Knowing:
    """What each bench knew of the others, and since when.

    Args:
        told: The entries of kind "knows" (`record.known`), of any benches and in any order.
    """

    def __init__(self, told: Iterable[Recorded] = ()) -> None:
        found: dict[str, list[tuple[int, Mapping[str, Any]]]] = defaultdict(list)
        for event in told:
            origin, number = _place(event)
            found[origin].append((number, dict(event.data.get("heads", {}))))
        self._told = {origin: sorted(each, key=lambda one: one[0]) for origin, each in found.items()}

    def knew(self, event: Recorded, other: Recorded) -> bool:
        """Whether the other entry was in the record of the bench that wrote this one, when it did."""
        origin, number = _place(event)
        where, place = _place(other)
        if origin == where:
            return number > place
        told = self._told.get(origin, [])
        before = bisect_left(told, number, key=lambda one: one[0])
        return before > 0 and int(told[before - 1][1].get(where, 0)) >= place


def _place(event: Recorded) -> tuple[str, int]:
    origin, _, number = event.id.rpartition(":")
    return origin, int(number)
