"""The states of a unit, and what becomes of a state that does not follow from the one before it.

One bench never writes such a state. Two benches that went on apart can: one scraps what the other releases.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

MOVES: Final[Mapping[str, frozenset[str]]] = {
    "": frozenset({"planned", "in work", "returned"}),
    "planned": frozenset({"in work", "scrapped"}),
    "in work": frozenset({"held", "temporary", "accepted", "scrapped"}),
    "held": frozenset({"in work", "scrapped"}),
    "temporary": frozenset({"in work", "held", "returned", "scrapped"}),
    "accepted": frozenset({"released", "in work", "held", "scrapped"}),
    "released": frozenset({"in work", "held", "temporary", "returned", "scrapped"}),
    "returned": frozenset({"in work", "held", "scrapped"}),
    "scrapped": frozenset(),
}
"""State of a unit to those it may go to (ISO 9001:2015 8.5.2, 8.6, 8.7); the empty state is a unit not yet known."""


def following(before: str, wanted: str, *, decided: bool = False) -> tuple[str, bool]:
    """The state after an event that sets `wanted`, and whether that event fits the state before.

    Where two benches disagree the more careful state stands: scrapped, then held, then what was there before. A unit
    that only one of them had scrapped is held once somebody has looked at it and decided.
    """
    if wanted not in MOVES:
        return before, False
    if decided and wanted == "held":
        return wanted, True
    # A record that holds only a part of what happened may begin with any state.
    if not before or wanted == before or wanted in MOVES[before]:
        return wanted, True
    return (wanted if wanted == "held" and before != "scrapped" else before), False
