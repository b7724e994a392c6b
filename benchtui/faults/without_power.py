"""What is proposed where the builder has said that there is no power: what needs none, and else to wait for it."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.huntstate import too_late, workaround_now
from benchtui.faults.meanings import IDLE, chance_of_little
from benchtui.faults.model import Workaround
from benchtui.faults.picking import sure_enough, test_before, worth_a_try

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.engine import Option
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.table import Position
    from benchtui.faults.views import Proposal


def without_a_trial(
    state: HuntState,
    position: Position,
    option: Option,
    ranked: Sequence[Option],
    *,
    waits: bool,
    elapsed: float | None = None,
) -> Option:
    """The move where there is no power: a test before a repair that is a guess, for no trial would prove it now.

    Args:
        state: Where the hunt stands.
        position: What may be done now.
        option: The move picked.
        ranked: Moves that can be made now.
        waits: A repair was made already and waits for its trial: no other one is proposed then.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    if not state.no_power:
        return option
    option = _instead_of_stopping(state, option, ranked, elapsed)
    if option.kind != "cure":
        return option
    table = state.layout.table
    if not waits and sure_enough(table, position, option):
        return option
    test = test_before(table, position, option, ranked, dearer=inf) or _most_telling(state, position, ranked)
    if test is not None:
        return test
    hopes = [each for each in ranked if not waits and worth_a_try(state, each)]
    stop = next((each for each in ranked if each.kind == "stop"), option)
    return option if option in hopes else min(hopes, key=engine.option_order, default=stop)


def _most_telling(state: HuntState, position: Position, ranked: Sequence[Option]) -> Option | None:
    """The test that tells most about the fault per minute; None where each of them most likely tells little."""
    table = state.layout.table
    looks = [each for each in ranked if each.kind == "look"]
    looks.sort(key=lambda each: -engine.information(table, position, each.index) / max(each.spends, 0.1))
    return next((each for each in looks if chance_of_little(state, each.index) < IDLE), None)


def _instead_of_stopping(state: HuntState, option: Option, ranked: Sequence[Option], elapsed: float | None) -> Option:
    """The best move that needs no power, where giving up by a work-around would need it; else the move as it was."""
    way = workaround_now(state, elapsed)
    if option.kind != "stop" or (way is not None and way.power != "on"):
        return option
    left = [each for each in ranked if each.kind == "look" or worth_a_try(state, each)]
    return min(left, key=engine.option_order, default=option)


def without_power(
    state: HuntState, proposal: Proposal, *, some: bool = False, elapsed: float | None = None
) -> Proposal:
    """A proposal that needs power, where there is none: it waits, and says for what.

    Args:
        state: Where the hunt stands.
        proposal: What would be proposed.
        some: Whether moves that need no power are left, though none that is worth its time.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    if not state.no_power:
        return proposal
    if state.phase != "look":
        return _wait(proposal) if proposal.kind in ("try again", "neighbours") else proposal
    way = proposal.move
    stands_in = isinstance(way, Workaround) and (way.power == "on" or bool(state.untried))
    if state.locks or not (stands_in or proposal.kind == "close"):
        return proposal
    if too_late(state, elapsed) and not state.untried:
        return proposal
    title = "Nothing more can be done without power"
    do = "Put this hunt aside. Where there is power, say so: it goes on from here."
    why = "What is left to try needs power, as does the work-around." if stands_in else "What is left needs power."
    if state.untried:
        title = "Wait for power, then try the symptom"
        do = "Put this hunt aside. Where there is power, say so: then the original symptom is tried."
        why = "Whether a repair has helped, only the symptom says, and that needs power."
    elif some:
        title = "Little more is worth doing without power"
        why = "What needs no power helps too seldom for the time it takes."
    if some:
        do = f"{do} What can be done without it stands in the list of all moves."
    return replace(
        proposal,
        kind="close",
        move=None,
        title=title,
        do=do,
        detail=(),
        why=why,
        minutes=0.0,
        outcomes=(),
        hazards=(),
    )


def _wait(proposal: Proposal) -> Proposal:
    """What is to be tried, put off until there is power: no answer to it can be given before."""
    return replace(
        proposal,
        kind="close",
        title=f"Wait for power: {proposal.title[:1].lower()}{proposal.title[1:]}",
        do="Put this hunt aside. Where there is power, say so: then this is tried.",
        detail=(),
        why="There is no power here, as you said, and without it this cannot be tried.",
        minutes=0.0,
        outcomes=(),
        uses=(),
        workaround=None,
        tries=1,
    )
