"""Plug, lid and clock in the books of a hunt: what forbids power, what sets it free, what is open, what time it is."""

from __future__ import annotations

from dataclasses import replace
from operator import mul
from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.table import normal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.events import DeadlineSet, HuntStarted, ShortBeside, TestAnswered
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.layout import Layout
    from benchtui.faults.model import FaultModel, Outcome, Power
    from benchtui.faults.table import Position, Table

LEAST = 1e-6
"""No likelihood counts as less when one answer takes the place of another."""


def measured_first(model: FaultModel, begun: HuntStarted) -> list[str]:
    """Ids of the tests that come before all others: those of the signs, or of every sign where a short was left."""
    signs = [sign for sign in model.signs if sign.id in begun.signs or begun.locked]
    return list(dict.fromkeys(id for sign in signs for id in sign.first))


def measured_for_any(state: HuntState) -> tuple[str, ...]:
    """Ids of the tests of this hunt that come before all others where a short is left, whatever was noticed."""
    return lock_tests(state.layout, measured_first(state.model, replace(state.started, locked=True)))


def lock_tests(layout: Layout, wanted: Sequence[str]) -> tuple[str, ...]:
    """Those of the tests that are part of a hunt, in the order wanted."""
    fit = {test.id for test in layout.tests}
    return tuple(dict.fromkeys(id for id in wanted if id in fit))


def locked_by(state: HuntState, event: TestAnswered, outcome: Outcome | None) -> HuntState:
    """What an answer means for the power: it may forbid it, or be the healthy measurement that sets it free."""
    locks, due, lent = state.locks, tuple(id for id in state.due if id != event.test), state.lent
    if outcome is not None and outcome.finding and event.test in state.due:
        due = ()  # one is enough to know; all of them are made again after a repair
    if outcome is not None and outcome.locks:
        wanted = lock_tests(state.layout, outcome.locks)
        locks, lent = tuple(dict.fromkeys((*locks, *wanted))), ()
        due = tuple(dict.fromkeys((*due, *(id for id in wanted if id != event.test))))
    elif event.before:  # measured before what was noticed now: it sets nothing free
        due = state.due
    elif outcome is not None and not outcome.finding:
        locks = tuple(id for id in locks if id != event.test)
    return replace(state, locks=locks, due=due, lent=lent if locks else ())


def short_beside(state: HuntState, event: ShortBeside) -> HuntState:
    """What another hunt on this unit found: no power before it is measured here too, or no more need of that.

    A hunt that only waits to be closed is let alone: nothing of it powers the unit any more.
    """
    if state.phase in ("close", "closed"):
        return state
    repair = state.pending if state.pending in state.repaired else ""
    if event.found:
        wanted = measured_for_any(state)
        lent = (*(job for job in state.lent if job != event.job), event.job) if state.lent or not state.locks else ()
        locks = tuple(dict.fromkeys((*state.locks, *wanted)))
        # What was repaired is tried once the measurement is healthy; a work-around has to be put in place anew.
        return replace(state, locks=locks, due=locks, lent=lent if locks else (), phase="look", pending=repair)
    if event.job not in state.lent:
        return state
    lent = tuple(job for job in state.lent if job != event.job)
    if lent:
        return replace(state, lent=lent)
    return replace(state, locks=(), due=(), lent=(), phase="again" if repair else "look")


def measured_again(state: HuntState, event: TestAnswered, old: str | None) -> HuntState:
    """What a measurement that was due after a repair means: the short is still there, or the symptom may be tried."""
    if event.test in state.locks:
        index = state.layout.repair_index(state.pending)
        position = engine.failed(state.layout.table, state.position, index)
        state = replace(state, position=replace(position, opened=state.position.opened), pending="")
        return counted_instead(state, event.test, old)
    overturned = (*state.overturned, (event.test, old or ""))
    return replace(state, overturned=overturned, phase="look" if state.locks else "again")


def counted_instead(state: HuntState, test: str, old: str | None) -> HuntState:
    """Let the standing answer to a test count, in place of an older one."""
    index = state.layout.test_index(test)
    rows = state.layout.table.looks[index].rows
    ids = [outcome.id for outcome in state.layout.tests[index].outcomes]
    new = dict(state.answers).get(test)
    weights = state.position.weights
    if new in ids:
        weights = tuple(weight * max(rate, LEAST) for weight, rate in zip(weights, rows[ids.index(new)], strict=True))
    if old in ids:
        weights = tuple(weight / max(rate, LEAST) for weight, rate in zip(weights, rows[ids.index(old)], strict=True))
    return replace(state, position=replace(state.position, weights=normal(weights)))


def without(table: Table, position: Position, test: int, parts: Sequence[float]) -> Position:
    """The position as if a test had not come out so: it was made again, and its newer answer stands alone."""
    row = [sum(map(mul, parts, column)) for column in zip(*table.looks[test].rows, strict=True)]
    weights = tuple(weight / max(rate, LEAST) for weight, rate in zip(position.weights, row, strict=True))
    return replace(position, weights=normal(weights))


def opening_minutes(state: HuntState, place: int) -> float:
    """Minutes by the clock to get into a place; shutting it comes later."""
    table, before = state.layout.table, state.position.opened
    minutes, opened = table.opening(place, before)
    return minutes - table.shutting(opened) + table.shutting(before)


def curtain_set(state: HuntState, event: DeadlineSet) -> HuntState:
    """Another curtain time. From the first one on the hunt goes by the clock, whatever the model estimated before."""
    elapsed = state.elapsed if event.minute is None or state.deadline is not None else event.minute
    return replace(state, deadline=event.minutes, elapsed=elapsed)


def power_after(state: HuntState, power: Power, opened: int) -> bool:
    """Whether the unit is plugged in after a move; opening anything unplugs it."""
    return power == "on" or (power == "either" and state.powered and opened == state.position.opened)


def shut_again(state: HuntState, minute: float | None, minutes: float) -> HuntState:
    """Everything that is open is shut, and some minutes more have passed."""
    spent = state.layout.table.shutting(state.position.opened) + minutes
    return replace(state, position=replace(state.position, opened=0), elapsed=clock(state, minute, spent))


def clock(state: HuntState, minute: float | None, estimate: float) -> float:
    """Elapsed minutes: from the clock where it was kept, else by the model's estimate; never backwards."""
    return state.elapsed + estimate if minute is None else max(minute, state.elapsed)
