"""What the test points of a move would read if one of the leading suspects were the fault, by solving the circuit.

Beside the healthy limits this lets one see at a glance which reading would settle it. Only faults that the design's
circuit knows can be foretold; for dirt, firmware or leads the words of the answers stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, Final

from benchtui.design.testpoints import POINTS
from benchtui.errors import BenchError
from benchtui.faults.belief import suspects
from benchtui.faults.dictionary import SUPPLY_SHORT
from benchtui.faults.from_design import spots
from benchtui.faults.model import KINDS
from benchtui.faults.points import FEED, common_wires, point_subject
from benchtui.faults.words import percent
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from benchtui.design.testpoints import Expected
    from benchtui.faults.belief import Suspect
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.probing import Bench, Shown
    from benchtui.faults.spots import Spot

HEALTHY: Final = "as healthy"
"""A reading inside the limits."""

MOST: Final = 3
"""How many suspects are foretold; more would not be read."""

LEAST: Final = 0.03
"""Share below which a suspect is not worth a line. Our own choice."""

_COUNT: Final = {"voltage": 1e-3, "resistance": 0.1}
"""One count of an ordinary hand-held meter in its low range; what is less reads 0. Common practice."""

_PLACES: Final = {"lowest-code": 0.0, "mid-code": 0.5, "highest-code": 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """What one reading would be.

    Attributes:
        reading: In words: "3.3 V", "OL", "as healthy", "anything".
        suspects: Which suspects would give it, likeliest first, each with its share.
        parked: Id of the control that has to stand at its middle for that; empty for none.
    """

    reading: str
    suspects: tuple[str, ...]
    parked: str = ""

    @property
    def text(self) -> str:
        """The two in one: "OL if broken wire at F3 lug 2 (40 %)"."""
        return f"{self.reading} if {' or '.join(self.suspects)}"


def telling(point: Sequence[Foretold]) -> tuple[str, ...]:
    """What is worth saying of one point: the readings that differ, or else that none of them does."""
    differ = tuple(each.text for each in point if each.reading != HEALTHY)
    return differ if differ or not point else ("as healthy under each of the leading suspects",)


def parked(found: Sequence[Sequence[Foretold]]) -> tuple[str, ...]:
    """Ids of the controls that have to stand at their middle for what was foretold to be read, in order."""
    return tuple(dict.fromkeys(each.parked for point in found for each in point if each.parked))


def foretell(
    state: HuntState, bench: Bench, points: Sequence[Expected], *, at: str = ""
) -> tuple[tuple[Foretold, ...], ...]:
    """For each test point, what it would read under the leading suspects; suspects that read alike stand together.

    Args:
        state: Where the hunt stands.
        bench: The design's circuits.
        points: Test points of the move in sight.
        at: Id of the control that the move is made on, where that is not the one hunted on; else empty.
    """
    if state.design is None or not points:
        return tuple(() for _ in points)
    known = {spot.id: spot for spot in spots(state.design, state.target, state.model)}
    leading = [each for each in suspects(state) if each.fault in known and each.share >= LEAST][:MOST]
    buses = iter(common_wires(state.design, state.target.subject) if state.target.scope == "bank" else ())
    found = []
    for point in points:
        subject = next(buses, None) if point.point == FEED else at or _subject(state, point)
        readings = ((_reading(state, bench, known[each.fault], point, subject), each) for each in leading)
        found.append(_grouped(readings))
    return tuple(found)


def _subject(state: HuntState, point: Expected) -> str | None:
    assert state.design is not None
    kinds = POINTS[point.point].applies_to if point.point in POINTS else ()
    return point_subject(state.design, state.target, point.point, tuple(kind for kind in kinds if kind in KINDS))


def _grouped(found: Iterable[tuple[tuple[str, str], Suspect]]) -> tuple[Foretold, ...]:
    readings: dict[tuple[str, str], list[str]] = {}
    for reading, suspect in found:
        if reading[0]:
            readings.setdefault(reading, []).append(f"{suspect.short} ({percent(suspect.share)})")
    return tuple(
        Foretold(reading=reading, suspects=tuple(those), parked=parked) for (reading, parked), those in readings.items()
    )


def _reading(state: HuntState, bench: Bench, spot: Spot, point: Expected, subject: str | None) -> tuple[str, str]:
    """What a point reads under a fault, and which control has to stand at its middle for that.

    Both are empty where the circuit cannot tell.
    """
    assert state.design is not None
    if spot.class_id == SUPPLY_SHORT and point.power == "on":
        return "", ""
    try:
        if point.point in _PLACES and subject is not None:
            control = state.design.control(subject)
            shown = bench.code(spot, control, control, _PLACES[point.point])
            scale = max(point.high or 0.0, 127.0) / 127.0 if (point.high or 0.0) > 127.0 else 1.0
            words = _words(shown, point, round(shown.value * scale))
            seen = bench.seen_instead(spot, control)
            if seen is not None and seen is not control and not shown.floating:
                return f"{shown.value * scale:.0f}, with {seen.id} at the middle,", seen.id
            return words, ""
        found = bench.point(spot, point.point, subject)
    except BenchError:
        return "", ""
    return "" if found is None else _words(found, point, found.value), ""


def _words(shown: Shown, point: Expected, value: float) -> str:
    if shown.floating:
        return "anything"
    if value == inf:
        return "OL"
    low, high = point.low or 0.0, inf if point.high is None else point.high
    if low <= value <= high:
        return HEALTHY
    if abs(value) < _COUNT.get(point.kind, 0.0):
        value = 0.0
    return f"{value:.0f}" if point.kind == "count" else format_value(value, point.kind, digits=2)
