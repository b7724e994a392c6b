"""The course of one hunt as a pure state: what was said, what is believed, what comes next.

`start` opens it, `advance` folds one event in, and nothing else changes it, so that a hunt can always be rebuilt from
its events. Phases:

    look          the next best move is proposed: a test, a repair or the work-around
    again         something was repaired (or worked around): the original symptom is tried again
    neighbours    it is gone: the neighbours are tried, because a repair can break what is next to it
    beside        one of them does not work: the repair is looked at again, or that one gets a hunt of its own
    close         found, done and parts are written down
    closed        over

`benchtui.faults.proposal` says what to propose; this module only keeps the books.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.faults import engine
from benchtui.faults.events import (
    CANNOT_TELL,
    DeadlineSet,
    HuntClosed,
    HuntEvent,
    HuntStarted,
    NeighboursTried,
    NotPossible,
    Opened,
    PatternSeen,
    PowerSaid,
    RepairDone,
    ShortBeside,
    TestAnswered,
    TriedAgain,
    Withdrawn,
    WorkaroundDone,
)
from benchtui.faults.huntstate import HuntState, Phase, last_standing, time_left
from benchtui.faults.layout import lay_out
from benchtui.faults.locks import (
    clock,
    curtain_set,
    lock_tests,
    locked_by,
    measured_again,
    measured_first,
    opening_minutes,
    power_after,
    short_beside,
    without,
)
from benchtui.faults.near_limit import fits, looked, parts_before
from benchtui.faults.table import normal
from benchtui.faults.table import start as opening_position
from benchtui.faults.target import Target, target_of
from benchtui.faults.trying import dropped, neighbours_tried, require, tried_again, without_tools, worked_around
from benchtui.faults.untried import put_off

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Design
    from benchtui.faults.layout import Layout
    from benchtui.faults.model import FaultModel, Outcome

__all__ = ["HuntState", "Phase", "advance", "last_standing", "replay", "start", "time_left"]


def start(
    model: FaultModel,
    design: Design | None = None,
    *,
    scope: str = "control",
    subject: str = "",
    symptom: str = "",
    words: str = "",
    conditions: str = "",
    signs: tuple[str, ...] = (),
    deadline_minutes: float | None = None,
    target: Target | None = None,
    begun: HuntStarted | None = None,
) -> HuntState:
    """Open a hunt.

    Args:
        model: The fault model.
        design: The design of the unit.
        scope: unit, bank, control or kind.
        subject: Id of the control or bank, or the kind.
        symptom: Id of the symptom; empty leaves it open.
        words: What the player says, verbatim.
        conditions: When and where it shows.
        signs: Ids of what was noticed at once.
        deadline_minutes: Minutes to curtain.
        target: What the hunt is about, where there is no design to find it in.
        begun: The event of a hunt that is being rebuilt from the record; stands for all the words above.

    Raises:
        BenchError: The design has no such subject, or the model no such symptom or sign.
    """
    begun = begun or HuntStarted(
        model=model.fault_model,
        revision=model.revision,
        design=design.id if design is not None else "",
        scope=scope,
        subject=subject,
        symptom=symptom,
        words=words,
        conditions=conditions,
        signs=signs,
        deadline=deadline_minutes,
    )
    if target is None:
        if design is None:
            raise JobError("a hunt needs a design, or a target of its own")
        target = target_of(design, scope=begun.scope, subject=begun.subject)
    reported = next((each for each in model.symptoms if each.id == begun.symptom), None)
    if begun.symptom and reported is None:
        raise JobError(f"the fault model {model.fault_model!r} knows no symptom {begun.symptom!r}")
    for id in begun.signs:
        if all(sign.id != id for sign in model.signs):
            raise JobError(f"the fault model {model.fault_model!r} knows no sign {id!r}")
    always = measured_first(model, begun)
    layout = lay_out(model, target, symptom=reported, weights=begun.weights, always=always, signs=begun.signs)
    return _with_time(_opening(model, design, layout, begun))


def _opening(model: FaultModel, design: Design | None, layout: Layout, begun: HuntStarted) -> HuntState:
    """A hunt of which nothing is known but how it began."""
    locks = lock_tests(layout, measured_first(model, begun))
    return HuntState(
        model=model,
        design=design,
        layout=layout,
        events=(begun,),
        position=opening_position(layout.table),
        deadline=begun.deadline,
        locks=locks,
        due=locks,
    )


def advance(state: HuntState, event: HuntEvent) -> HuntState:
    """The state after one more event.

    Raises:
        JobError: The event does not fit the phase, or names something that is not part of this hunt.
    """
    if isinstance(event, HuntStarted):
        raise JobError("this hunt has begun already")
    if isinstance(event, Withdrawn):
        return _withdraw(state, event)
    if state.phase == "closed":
        raise JobError("this hunt is closed", hint="start a new one")
    after = put_off(_apply(state, event), event)
    return _with_time(replace(after, events=(*state.events, event)))


def replay(state: HuntState, events: tuple[HuntEvent, ...]) -> HuntState:
    """Fold several events in, as they come from the record."""
    for event in events:
        state = advance(state, event)
    return state


def _withdraw(state: HuntState, event: Withdrawn) -> HuntState:
    number = last_standing(state) if event.event is None else event.event
    if number is None or number <= 0 or number >= len(state.events) or number in state.withdrawn:
        raise JobError("there is nothing to take back")
    if isinstance(state.events[number], Withdrawn):
        raise JobError("taking back cannot itself be taken back", hint="enter the answer again")
    withdrawn = state.withdrawn | {number}
    opening = _opening(state.model, state.design, state.layout, state.started)
    rebuilt = replace(opening, events=state.events, withdrawn=withdrawn)
    # The event as recorded names its target, so that a later replay takes back the same one.
    events = (*state.events, replace(event, event=number))
    for standing_number, earlier in enumerate(state.events):
        if standing_number in withdrawn or isinstance(earlier, HuntStarted | Withdrawn):
            continue
        rebuilt = put_off(_apply(rebuilt, earlier), earlier)
    return _with_time(replace(rebuilt, events=events))


def _apply(state: HuntState, event: HuntEvent) -> HuntState:
    """Fold in one event that stands, without writing it down."""
    match event:
        case TestAnswered():
            return _answered(state, event)
        case PatternSeen():
            return _pattern(state, event)
        case RepairDone():
            return _repaired(state, event)
        case WorkaroundDone():
            return worked_around(state, event)
        case TriedAgain():
            return tried_again(state, event)
        case NeighboursTried():
            return neighbours_tried(state, event)
        case NotPossible():
            return without_tools(dropped(state, event.move), event.missing)
        case Opened():
            return _opened(state, event)
        case DeadlineSet():
            return curtain_set(state, event)
        case PowerSaid():
            return replace(state, no_power=not event.there, powered=state.powered and event.there)
        case ShortBeside():
            return short_beside(state, event)
        case HuntClosed():
            if state.locks and event.result in ("fixed", "not reproduced"):
                raise JobError(
                    "a short may still be inside, so this is not over",
                    hint="measure V+ to GND first, or close the hunt as open and leave the unit unplugged",
                )
            return replace(state, phase="closed", result=event, elapsed=clock(state, event.minute, 0.0))
        case _:
            return state


def _answered(state: HuntState, event: TestAnswered) -> HuntState:
    require(state, "look")
    index = state.layout.test_index(event.test)
    test = state.layout.tests[index]
    outcomes = [outcome.id for outcome in test.outcomes]
    if event.outcome != CANNOT_TELL and event.outcome not in outcomes:
        raise JobError(
            f"{event.outcome!r} is no answer to {event.test}", hint=f"one of {', '.join([*outcomes, CANNOT_TELL])}"
        )
    chosen = None if event.outcome == CANNOT_TELL else outcomes.index(event.outcome)
    before = state.position
    position = looked(state, event, index, chosen)
    # With the power locked, after a repair: it speaks of the mended unit, and what it means for the belief comes later.
    measured = bool(state.pending) and not event.before and event.test in state.locks
    old = dict(state.answers).get(event.test)
    if measured:
        position = replace(position, weights=before.weights)
    elif test.repeat == "once" and chosen is not None and old in outcomes:  # the same look again: the newer one counts
        position = without(state.layout.table, position, index, fits(outcomes, old or "", parts_before(state, event)))
    spent = 0.0
    if event.before:
        position = replace(position, opened=before.opened)
    else:
        spent = opening_minutes(state, state.layout.table.looks[index].place) + test.minutes
    if test.repeat == "fresh":
        position = replace(position, looks=position.looks | 1 << index)
    if chosen is not None:  # what this answer makes needless is not asked for any more
        needless = test.outcomes[chosen].settles
        for other, each in enumerate(state.layout.tests):
            if each.id in needless:
                position = replace(position, looks=position.looks & ~(1 << other))
    answered = replace(
        state,
        position=position,
        answers=state.answers
        if chosen is None and old is not None
        else (*((id, answer) for id, answer in state.answers if id != event.test), (event.test, event.outcome)),
        elapsed=clock(state, event.minute, spent),
        powered=state.powered if event.before else power_after(state, test.power, position.opened),
    )
    answered = locked_by(answered, event, None if chosen is None else test.outcomes[chosen])
    if measured:
        return answered if chosen is None else measured_again(answered, event, dict(state.answers).get(event.test))
    return answered if chosen is None else _mended(answered, test.outcomes, chosen, before=event.before)


def _mended(state: HuntState, outcomes: Sequence[Outcome], chosen: int, *, before: bool) -> HuntState:
    """What a test that is itself a repair does: it is in place and the symptom is tried again, or it did not help."""
    position = state.position
    for index, repair in enumerate(state.layout.repairs):
        if not outcomes[chosen].finding and any(each.mended == repair.id for each in outcomes):
            position = replace(position, cures=position.cures & ~(1 << index))
    done = outcomes[chosen].mended
    if not done or before or all(repair.id != done for repair in state.layout.repairs):
        return replace(state, position=position)
    return replace(state, position=position, phase="again", pending=done, repaired=(*state.repaired, done))


def _pattern(state: HuntState, event: PatternSeen) -> HuntState:
    """Answers that a line about many controls amounts to, and how well it fits single spots; no time passes."""
    require(state, "look")
    known = {test.id for test in state.layout.tests}
    for test, outcome in event.answers:
        if test in known and test not in dict(state.answers):
            state = _answered(state, TestAnswered(test=test, outcome=outcome, before=True))
    names = state.layout.table.faults
    weights = tuple(
        weight * event.factors.get(name, 1.0) for name, weight in zip(names, state.position.weights, strict=True)
    )
    return replace(state, position=replace(state.position, weights=normal(weights)))


def _repaired(state: HuntState, event: RepairDone) -> HuntState:
    if state.phase == "beside" and event.repair == state.pending:  # looked at again, for what it did to a neighbour
        state = replace(state, phase="look", repaired=tuple(id for id in state.repaired if id != event.repair))
    require(state, "look")
    index = state.layout.repair_index(event.repair)
    if event.before:  # it was done before the hunt began, and the symptom is still there
        position = engine.failed(state.layout.table, state.position, index)
        return replace(state, position=replace(position, opened=state.position.opened))
    place = state.layout.table.cures[index].place
    _, opened = state.layout.table.opening(place, state.position.opened)
    repair = state.layout.repairs[index]
    return replace(
        state,
        position=replace(state.position, opened=opened, cures=state.position.cures & ~(1 << index)),
        # With the power locked the measurement comes before the symptom: trying that would power a short.
        phase="look" if state.locks else "again",
        due=state.locks,
        pending=event.repair,
        repaired=(*state.repaired, event.repair),
        elapsed=clock(state, event.minute, opening_minutes(state, place) + repair.minutes),
        powered=power_after(state, repair.power, opened) and not state.locks,
    )


def _opened(state: HuntState, event: Opened) -> HuntState:
    table = state.layout.table
    index = next((i for i, place in enumerate(table.places) if place.id == event.access), None)
    if index is None:
        raise JobError(f"the fault model knows nothing to open called {event.access!r}")
    _, opened = table.opening(index, state.position.opened)
    minutes = opening_minutes(state, index)
    if event.shut:
        opened = state.position.opened & ~(1 << index)
        minutes = table.shutting(state.position.opened) - table.shutting(opened)
    return replace(
        state,
        position=replace(state.position, opened=opened),
        elapsed=clock(state, event.minute, minutes),
        powered=False,  # both are done with the plug out
    )


def _with_time(state: HuntState) -> HuntState:
    """Bring the time that is left into the position."""
    return replace(state, position=replace(state.position, left=time_left(state)))
