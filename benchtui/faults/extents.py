"""What the moves of a hunt touch on its design, so that the record can tell which tests are void after them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.design.reach import reached
from benchtui.faults.events import HuntClosed, RepairDone

if TYPE_CHECKING:
    from benchtui.content.procedure import Extent
    from benchtui.faults.hunt import HuntState


def repair_with_touched(state: HuntState, event: RepairDone) -> RepairDone:
    """A repair with what it touches and which tests it names; everything where the model does not know it."""
    known = state.layout.repair(event.repair)
    if known is None:
        return replace(event, touched=_reached(state, ("unit",)))
    return replace(event, touched=_reached(state, known.touches, at=known.at), voids=known.voids)


def close_with_touched(state: HuntState, event: HuntClosed) -> HuntClosed:
    """The end of a hunt by a work-around of the model, with what that touched where the model says so.

    What was done instead, in the builder's own words, may have touched anything that was hunted on.
    """
    known = state.stands_in
    if known is None or not known.touches or event.result != "work-around":
        return event
    return replace(event, touched=_reached(state, known.touches), voids=known.voids)


def _reached(state: HuntState, extents: tuple[Extent, ...], *, at: str = "") -> tuple[str, ...]:
    target = state.target
    about = target.subject if target.scope in ("control", "bank") else ""
    return reached(state.design, extents, at or about)
