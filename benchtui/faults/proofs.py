"""What proves a repair besides the symptom: measured before any power, or made again once the unit is on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults.points import points_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.layout import Layout
    from benchtui.faults.model import Repair, Test

UNHEALTHY: Final = "unhealthy:"
"""Stands before the id of a test in the answer that it came out bad, so that the unit was not plugged in."""


def cold(repair: Repair, tests: Iterable[Test]) -> tuple[Test, ...]:
    """Tests that prove a repair with the power off, so before the unit is plugged in, in the order of the repair."""
    known = {test.id: test for test in tests if test.power == "off"}
    return tuple(known[id] for id in repair.prove if id in known)


def again_minutes(test: Test) -> float:
    """Minutes that a test takes when it proves a repair: the meter is in hand, and its places are known."""
    return test.minutes_again or test.minutes


def proof_minutes(repair: Repair, tests: Iterable[Test]) -> float:
    """Minutes that are measured after a repair before the unit may be plugged in."""
    return sum(again_minutes(test) for test in cold(repair, tests))


def pending_proofs(state: HuntState) -> tuple[Test, ...]:
    """What has to be measured before the symptom is tried again.

    What was measured since the repair is not among it, and nothing is where the unit is on already: a test that mended
    it has plugged it in.
    """
    if state.powered or state.repair is None:
        return ()
    measured = {id for id, _ in state.overturned}
    waited = filter(None, map(state.layout.repair, state.untried))  # for power, and is tried with it
    found = {test.id: test for each in (*waited, state.repair) for test in cold(each, state.layout.tests)}
    return tuple(test for id, test in found.items() if id not in measured)


def proofs_of(state: HuntState, repair: str) -> tuple[str, ...]:
    """Ids of the tests that prove a repair before any power, by its id."""
    known = state.layout.repair(repair)
    return tuple(test.id for test in cold(known, state.layout.tests)) if known else ()


def pending_minutes(state: HuntState) -> float:
    """Minutes that those take."""
    return sum(again_minutes(test) for test in pending_proofs(state))


def said(state: HuntState, test: Test) -> str:
    """A proof for reading, with what a healthy unit reads: '"Contact ohms" (healthy: under 1 Ω)'."""
    points = points_of(state.design, state.target, test)
    healthy = f" (healthy: {points[0].text})" if len(points) == 1 else ""
    return f'"{test.title}"{healthy}'


def locked_through(layout: Layout, test: str) -> tuple[str, ...]:
    """Ids of the measurements that a bad answer to a test asks for before any power; empty for a test of no short."""
    own = layout.test(test)
    wanted = {id for each in own.outcomes if each.finding for id in each.locks} if own else set()
    return tuple(each.id for each in layout.tests if each.id in wanted)
