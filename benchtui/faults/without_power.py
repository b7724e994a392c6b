"""What is proposed where the builder has said that there is no power: what needs none, and else to wait for it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.huntstate import workaround_now
from benchtui.faults.model import Workaround
from benchtui.faults.picking import WORTH_A_TRY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.engine import Option
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.views import Proposal


def instead_of_stopping(
    state: HuntState, option: Option, ranked: Sequence[Option], elapsed: float | None = None
) -> Option:
    """The best move that needs no power, where giving up by a work-around would need it; else the move as it was.

    Args:
        state: Where the hunt stands.
        option: The move picked.
        ranked: Moves that can be made now.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    way = workaround_now(state, elapsed)
    if not state.no_power or option.kind != "stop" or (way is not None and way.power != "on"):
        return option
    table = state.layout.table
    left = [
        each
        for each in ranked
        if each.kind == "look"
        or (each.kind == "cure" and engine.chance_of_cure(table, state.position, each.index) >= WORTH_A_TRY)
    ]
    return min(left, key=engine.option_order, default=option)


def without_power(state: HuntState, proposal: Proposal) -> Proposal:
    """A proposal that needs power, where there is none: it waits, and says for what."""
    if not state.no_power:
        return proposal
    if proposal.kind in ("try again", "neighbours"):
        waits = (
            "There is no power here, as you said. What needs it waits: put this hunt aside until there is, and say so."
        )
        return replace(proposal, detail=(waits, *proposal.detail))
    way = proposal.move
    stands_in = proposal.kind == "work-around" and isinstance(way, Workaround) and way.power == "on"
    if not stands_in and (proposal.kind != "close" or state.locks):
        return proposal
    return replace(
        proposal,
        kind="close",
        move=None,
        title="Nothing more can be done without power",
        do="Put this hunt aside. Where there is power, say so: it goes on from here.",
        detail=(),
        why="What is left to try needs power, as does the work-around." if stands_in else "What is left needs power.",
        minutes=0.0,
        outcomes=(),
        hazards=(),
    )
