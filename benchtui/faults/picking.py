"""Which of the ranked moves is proposed: the best by minutes, tempered by what minutes alone do not know.

The likelihoods behind the minutes are estimates, and tests of one fault are less independent than they are taken for.
So a test must save clearly more than it merely costs, and no iron is taken to a guess while a test that costs little
more could still tell. Both were tried on simulated desks (tests/sim_technician.py): fewer minutes, fewer wrong repairs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults import engine
from benchtui.faults.allowed import position_now, safety_first
from benchtui.faults.moves import clock_minutes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.deepen import Ranking
    from benchtui.faults.engine import Option
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.table import Position

WORTH: Final = 1.0
"""Share of its own minutes that a test must save beyond them. Our own choice, from the simulated desks."""

SURE_ENOUGH: Final = 0.7
"""Chance of curing from which on work inside is proposed without a further test. Our own choice, as above."""

DEARER: Final = 2.0
"""Expected minutes more that a test before such work may cost. Our own choice, as above."""

TELLING: Final = 0.1
"""Bits that such a test must bring. Our own choice."""


def pick(state: HuntState, ranking: Ranking, elapsed: float | None = None) -> Option:
    """The move to propose.

    Args:
        state: Where the hunt stands.
        ranking: Moves that fit now, best first.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    first = safety_first(state)
    if first is not None:
        return first
    position = position_now(state, elapsed)
    offered = worth_their_time(ranking.options)
    # A share of real minutes, not of what a work-around loses.
    option = engine.choose(offered, slack=engine.NEAR * clock_minutes(state, position, offered[0]))
    if option.kind == "cure" and state.layout.repairs[option.index].access:
        return _test_before(state, position, option, ranking.options) or option
    return option


def worth_their_time(ranked: Sequence[Option]) -> list[Option]:
    """The moves without the tests that save too little for their time."""
    repair = min(option.minutes for option in ranked if option.kind != "look")
    return [
        option
        for option in ranked
        if option.kind != "look" or max(option.saves, repair - option.minutes) >= WORTH * option.spends
    ]


def _test_before(state: HuntState, position: Position, repair: Option, ranked: Sequence[Option]) -> Option | None:
    """A test to make before work inside that would be a guess; None when it is none, or no test tells enough."""
    table = state.layout.table
    known = 1.0 - position.weights[-1] / sum(position.weights)
    if engine.chance_of_cure(table, position, repair.index) >= SURE_ENOUGH * known:
        return None
    found = [
        (engine.information(table, position, option.index), option)
        for option in ranked
        if option.kind == "look" and option.minutes <= ranked[0].minutes + DEARER
    ]
    telling = [(bits / max(option.spends, 0.1), option) for bits, option in found if bits >= TELLING]
    return max(telling, key=lambda each: (each[0], -each[1].index))[1] if telling else None
