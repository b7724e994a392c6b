"""Every move of a hunt as a list: what is on offer, best first, and what is not, with the reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.allowed import kept_shut, position_now, rank, table_now, unsafe, waits_for, wants_power
from benchtui.faults.deepen import Ranking
from benchtui.faults.events import RepairDone, TestAnswered
from benchtui.faults.huntstate import workaround_now
from benchtui.faults.views import MoveView

if TYPE_CHECKING:
    from benchtui.faults.engine import Option
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.model import Access, Repair, Test, Workaround
    from benchtui.faults.table import Position, Table


NO_POWER = "no power while a short may be inside"
NONE_HERE = "it needs power, and there is none here"

BEFORE = "before this hunt"
"""Said of what was tried before the hunt began, and taken in then."""


def all_moves(
    state: HuntState, *, ranking: Ranking | None = None, elapsed: float | None = None
) -> tuple[MoveView, ...]:
    """Every move of this hunt: those on offer first, best first, then the rest with the reason."""
    ranking = ranking or rank(state, elapsed)
    position = position_now(state, elapsed)
    offered = [move_view(state, position, option, elapsed) for option in ranking.options]
    named = {view.id for view in offered}
    rest: list[MoveView] = []
    shut = kept_shut(state, elapsed)
    answers, before = dict(state.answers), _tried_before(state)
    given = [
        (test, outcome)
        for test in state.layout.tests
        for outcome in test.outcomes
        if answers.get(test.id) == outcome.id
    ]
    settled = {other for _, outcome in given for other in outcome.settles}
    helpless = {each.mended for test, outcome in given if not outcome.finding for each in test.outcomes}
    for index, test in enumerate(state.layout.tests):
        if test.id in named:
            continue
        if test.id in state.due:
            note = "safety asks for it now"
        elif test.id in answers:
            note = f"known {BEFORE}" if test.id in before else "answered"
        elif test.id in state.dropped:
            note = "cannot be made here"
        elif test.id in settled:
            note = "an answer says it already"
        elif first := waits_for(state, test):
            note = f'"{state.layout.tests[state.layout.test_index(first)].title}" comes before it'
        elif test.access in shut:
            note = "too near to curtain to open that"
        elif unsafe(state, test):
            note = NO_POWER
        elif wants_power(state, test):
            note = NONE_HERE
        elif state.layout.table.noise and state.position.looks >> index & 1:
            note = "tells little now"
        else:
            note = "no time left for it"
        rest.append(MoveView(kind="test", id=test.id, title=test.title, minutes=test.minutes, expected=None, note=note))
    for repair in state.layout.repairs:
        if repair.id in named:
            continue
        note = "no time left for it"
        if repair.id in before:
            note = f"tried {BEFORE}, did not help"
        elif repair.id in state.repaired:
            note = "done, did not help"
        elif repair.id in state.dropped:
            note = "cannot be made here"
        elif repair.id in helpless:
            note = "its own test says that it does not help"
        elif unsafe(state, repair):
            note = NO_POWER
        elif wants_power(state, repair):
            note = NONE_HERE
        elif repair.access in shut:
            note = "too near to curtain to open that"
        rest.append(
            MoveView(kind="repair", id=repair.id, title=repair.title, minutes=repair.minutes, expected=None, note=note)
        )
    return (*offered, *rest)


def _tried_before(state: HuntState) -> frozenset[str]:
    """Ids of the tests and repairs that were taken in as made before the hunt, and not made again in it."""
    found: set[str] = set()
    for _, event in state.standing:
        if isinstance(event, TestAnswered):
            found = found | {event.test} if event.before else found - {event.test}
        elif isinstance(event, RepairDone):
            found = found | {event.repair} if event.before else found - {event.repair}
    return frozenset(found)


def clock_minutes(state: HuntState, position: Position, option: Option, elapsed: float | None = None) -> float:
    """Expected minutes by the clock when a move comes first: without the price put on what a work-around loses.

    How often a plan ends with the work-around is known for the plan that looks one step ahead. What looking further
    saves is taken off both parts alike, or the price of a work-around that is chosen less often would be taken off
    the minutes instead.
    """
    table, workaround = table_now(state, elapsed), workaround_now(state, elapsed)
    worth = table.fallback - (workaround.minutes if workaround else 0.0)
    plan = _one_step(table, position, option)
    by_clock = plan - worth * engine.chance_of_giving_up(table, position, option)
    return max(option.minutes * by_clock / plan if plan > 0.0 else 0.0, option.spends)


def _one_step(table: Table, position: Position, option: Option) -> float:
    """Expected minutes, losses counted, of the plan behind a move that looks one step ahead."""
    if option.kind == "stop":
        return option.minutes
    seen = engine.look_option if option.kind == "look" else engine.cure_option
    return seen(table, position, option.index).minutes / sum(position.weights)


def own_minutes(state: HuntState, option: Option) -> float:
    """Minutes of a move by itself, opening included; what it opens is shut later."""
    table, opened = state.layout.table, state.position.opened
    if option.kind == "stop":
        return option.spends
    place = (table.looks if option.kind == "look" else table.cures)[option.index].place
    _, after = table.opening(place, opened)
    return option.spends - table.shutting(after) + table.shutting(opened)


def move_view(state: HuntState, position: Position, option: Option, elapsed: float | None = None) -> MoveView:
    """A move for a list."""
    expected = clock_minutes(state, position, option, elapsed)
    if option.kind != "stop":
        look = option.kind == "look"
        move = state.layout.tests[option.index] if look else state.layout.repairs[option.index]
        return MoveView(
            kind="test" if look else "repair",
            id=move.id,
            title=move.title,
            minutes=own_minutes(state, option),
            expected=expected,
            note=f"opens {opens_title(state, move)}" if option.opens else "",
            counted=option.minutes,
        )
    workaround = workaround_now(state, elapsed)
    return MoveView(
        kind="work-around",
        id=workaround.id if workaround else "",
        title=workaround.title if workaround else "Leave it open",
        minutes=workaround.minutes if workaround else 0.0,
        expected=expected,
        note=f"loses: {workaround.loses}" if workaround else "",
        counted=option.minutes,
    )


def opened_by(state: HuntState, move: Test | Repair | Workaround | None) -> Access | None:
    """What a move needs open; None when nothing."""
    wanted = getattr(move, "access", "")
    return next((access for access in state.model.access if access.id == wanted), None)


def opens_title(state: HuntState, move: Test | Repair) -> str:
    """What a move needs open, for reading."""
    access = opened_by(state, move)
    return access.title if access else ""
