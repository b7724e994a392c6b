"""What a hunt makes of trying: the symptom after a repair, what stands in for it, the neighbours."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.faults import engine
from benchtui.faults.events import NeighboursTried, TriedAgain, WorkaroundDone
from benchtui.faults.huntstate import HuntState, Phase
from benchtui.faults.locks import clock, counted_instead, shut_again
from benchtui.faults.proofs import locked_through, pending_minutes, pending_proofs, proofs_of
from benchtui.faults.soaked import try_minutes
from benchtui.faults.untried import not_helped, taken_up

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.model import Repair, Test, Workaround


def tried_again(state: HuntState, event: TriedAgain) -> HuntState:
    """The symptom was tried again, or a proof of the repair came out before that.

    Raises:
        JobError: Nothing waits to be tried, or that is no proof of the repair.
    """
    state = taken_up(state)  # as it was kept before a trial waited for power
    require(state, "again")
    if event.unhealthy:
        return _unproven(state, event)
    # The soak is for clean tries: trouble that is still there shows at the first look, and nobody waits for more of it.
    tried = try_minutes(state, event.tries) if event.gone else state.model.try_again
    elapsed = clock(state, event.minute, pending_minutes(state) + tried)
    others = tuple(each for each in state.untried if each != state.pending)
    state = replace(state, powered=True, untried=())
    repair = state.pending in state.repaired
    if event.gone:
        return replace(state, phase="neighbours" if repair else "close", elapsed=elapsed)
    if not repair:
        return replace(dropped(state, state.pending), phase="look", pending="", elapsed=elapsed)
    index = state.layout.repair_index(state.pending)
    position = replace(state.position, cures=state.position.cures & ~(1 << index))
    if event.gone is False:
        position = not_helped(state, engine.failed(state.layout.table, state.position, index), others)
    after = replace(state, position=position, phase="look", pending="", elapsed=elapsed, overturned=())
    for test, old in state.overturned:  # the unit reads healthy now, so what it read before the repair counts no more
        after = counted_instead(after, test, old)
    return after


def _unproven(state: HuntState, event: TriedAgain) -> HuntState:
    """A proof of the repair came out bad before the unit was plugged in.

    Where that may mean a short, nothing powers the unit before it is measured away, and the repair counts as one that
    did not help. Any other bad proof says that the repair is to be made again.
    """
    proofs = [test.id for test in pending_proofs(state)]
    if event.unhealthy not in proofs:
        raise JobError(f"{event.unhealthy!r} is no proof of this repair", hint=f"one of {', '.join(proofs) or 'none'}")
    made = state.untried or (state.pending,)
    bad = next((id for id in reversed(made) if event.unhealthy in proofs_of(state, id)), state.pending)
    index = state.layout.repair_index(bad)
    locks = locked_through(state.layout, event.unhealthy)
    elapsed = clock(state, event.minute, pending_minutes(state))
    after = replace(state, phase="look", pending="", powered=False, elapsed=elapsed, overturned=(), untried=())
    if not locks:
        position = replace(state.position, cures=state.position.cures | 1 << index)
        return replace(after, position=position, repaired=tuple(id for id in state.repaired if id != bad))
    position = engine.failed(state.layout.table, state.position, index)
    return replace(after, position=replace(position, opened=state.position.opened), locks=locks, due=locks)


def worked_around(state: HuntState, event: WorkaroundDone) -> HuntState:
    """A work-around is in place, and what was open is shut; a unit that stays out has no symptom to be tried."""
    require(state, "look")
    found = next((each for each in state.model.workarounds if each.id == event.workaround), None)
    if found is None:
        raise JobError(f"the fault model knows no work-around {event.workaround!r}")
    if state.locks and found.power == "on":
        raise JobError("a short may be inside, so this unit must not play on", hint="pull its plug and leave it out")
    if state.locks:
        spent = clock(state, event.minute, found.minutes)
        return replace(state, phase="close", pending=event.workaround, powered=False, elapsed=spent)
    after = shut_again(state, event.minute, found.minutes)
    return replace(after, phase="again", pending=event.workaround, powered=found.power == "on")


def neighbours_tried(state: HuntState, event: NeighboursTried) -> HuntState:
    """The lid is on again and the neighbours were tried; one that does not work is not passed over."""
    if state.phase == "beside" and event.left:
        return replace(state, phase="close")
    require(state, "neighbours")
    after = shut_again(state, event.minute, state.model.try_again)
    return replace(after, phase="close" if event.well or event.left else "beside", beside=event.which, powered=True)


def dropped(state: HuntState, move: str) -> HuntState:
    """The hunt without a move that cannot be made here."""
    position = state.position
    for index, test in enumerate(state.layout.tests):
        if test.id == move:
            position = replace(position, looks=position.looks & ~(1 << index))
    for index, repair in enumerate(state.layout.repairs):
        if repair.id == move:
            position = replace(position, cures=position.cures & ~(1 << index))
    due = tuple(id for id in state.due if id != move)
    return replace(state, position=position, dropped=state.dropped | {move}, due=due)


def without_tools(state: HuntState, missing: Sequence[str]) -> HuntState:
    """The hunt without the moves that want a tool which is not at hand."""
    moves: list[Test | Repair | Workaround] = [*state.layout.tests, *state.layout.repairs, *state.model.workarounds]
    for move in moves:
        if set(move.tools) & set(missing):
            state = dropped(state, move.id)
    return state


def require(state: HuntState, phase: Phase) -> None:
    """Refuse an event that does not fit the phase.

    Raises:
        JobError: The hunt waits for something else.
    """
    if state.phase != phase:
        waits = {
            "look": "a test or a repair",
            "again": "the symptom to be tried again",
            "neighbours": "the neighbours to be tried",
            "beside": "what is to become of the neighbour that does not work",
            "close": "the hunt to be closed",
            "closed": "nothing more",
        }
        raise JobError(f"this hunt waits for {waits[state.phase]}")
