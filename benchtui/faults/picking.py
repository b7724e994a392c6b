"""Which of the ranked moves is proposed: the best by minutes, tempered by what minutes alone do not know.

The likelihoods behind the minutes are estimates, and work inside can do harm. So of nearly equal moves the gentler one
is proposed, and no iron is taken to a guess while a test that costs little more could still tell which repair is the
right one. `tests/faults/test_faults_random.py` says what this costs where the likelihoods are true: under 1 % of the
minutes on average.
"""

from __future__ import annotations

from operator import mul
from typing import TYPE_CHECKING, Final

from benchtui.faults import engine
from benchtui.faults.allowed import position_now, safety_first, table_now
from benchtui.faults.huntstate import workaround_now
from benchtui.faults.moves import clock_minutes
from benchtui.faults.table import bits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.deepen import Ranking
    from benchtui.faults.engine import Option
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.table import Position, Table

SURE_ENOUGH: Final = 0.85
"""Chance of curing from which on work inside is proposed without a further test. Our own choice.

It is also the belief at which the fixed order of the trade notes, section 3.4, stops testing.
"""

DEARER: Final = 2.0
"""Expected minutes more that a test before such work may cost. Our own choice."""

TELLING: Final = 0.1
"""By how much such a test must raise the chance that the next repair is the right one. Our own choice."""


WORTH_A_TRY: Final = 0.05
"""Chance of curing under which no repair is begun for want of a work-around that fits, or of power. Our own choice."""

HOPE: Final = 0.3
"""Chance of curing below which no repair is begun that would overrun the last minute if it took twice as long."""


def pick(state: HuntState, ranking: Ranking, elapsed: float | None = None) -> Option:
    """The move to propose.

    Args:
        state: Where the hunt stands.
        ranking: Moves that fit now, best first.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    first = safety_first(state, elapsed)
    if first is not None:
        return first
    position = position_now(state, elapsed)
    table = table_now(state, elapsed)
    options = [option for option in ranking.options if not _last_minute(state, table, position, option, elapsed)]
    # A share of real minutes, not of what a work-around loses.
    slack = engine.NEAR * clock_minutes(state, position, options[0])
    return tempered(table, position, options, slack=slack)


def _last_minute(state: HuntState, table: Table, position: Position, option: Option, elapsed: float | None) -> bool:
    """Whether a move is a mere hope so near to curtain that it may cost the work-around as well.

    By minutes alone it would pay while it just fits. But minutes are estimates, and one that is off by its own length
    is no rarity; the work-around would then be begun too late.
    """
    if state.deadline is None or option.kind != "cure" or workaround_now(state, elapsed) is None:
        return False
    spare = position.left - option.spends
    return spare < option.spends and engine.chance_of_cure(table, position, option.index) < HOPE


def tempered(table: Table, position: Position, ranked: Sequence[Option], *, slack: float | None = None) -> Option:
    """The move to propose, from numbers alone.

    Args:
        table: The numbers.
        position: Where the hunt stands.
        ranked: Moves that fit now, best first.
        slack: Minutes within which moves count as equally good; the usual share of the best when None.
    """
    option = engine.choose(ranked, slack=slack)
    if option.kind == "cure" and table.cures[option.index].place >= 0:
        return test_before(table, position, option, ranked) or option
    return option


def test_before(
    table: Table, position: Position, repair: Option, ranked: Sequence[Option], *, dearer: float = DEARER
) -> Option | None:
    """A test to make before work inside that would be a guess; None when it is none, or no test tells enough.

    Args:
        table: The numbers.
        position: Where the hunt stands.
        repair: The work inside.
        ranked: Moves that fit now, best first.
        dearer: Expected minutes more that the test may cost.
    """
    if sure_enough(table, position, repair):
        return None
    now = engine.chance_of_cure(table, position, repair.index)
    found = [
        (chance_of_right_repair(table, position, option.index) - now, option)
        for option in ranked
        if option.kind == "look" and option.minutes <= ranked[0].minutes + dearer
    ]
    telling = [(gain / max(option.spends, 0.1), option) for gain, option in found if gain >= TELLING]
    return max(telling, key=lambda each: (each[0], -each[1].index))[1] if telling else None


def sure_enough(table: Table, position: Position, repair: Option) -> bool:
    """Whether a repair is no guess: it cures nearly all of what is known by name."""
    known = 1.0 - position.weights[-1] / sum(position.weights)
    return engine.chance_of_cure(table, position, repair.index) >= SURE_ENOUGH * known


def worth_a_try(state: HuntState, option: Option) -> bool:
    """Whether a move is a repair that is no mere hope."""
    return (
        option.kind == "cure" and engine.chance_of_cure(state.layout.table, state.position, option.index) >= WORTH_A_TRY
    )


def chance_of_right_repair(table: Table, position: Position, look: int) -> float:
    """Chance that the repair which is likeliest after a test is the one that cures."""
    found = 0.0
    for row in table.looks[look].rows:
        after = tuple(map(mul, position.weights, row))
        found += max(
            (sum(after[fault] * sure for fault, sure in table.cures[cure].fixes) for cure in bits(position.cures)),
            default=0.0,
        )
    return found / sum(position.weights)
