"""A simulated technician: draws a fault, follows a policy to a working input, and counts minutes, remedies and lids.

Run it by hand: python tests/sim_technician.py [hunts] [seed]

Two policies on the same faults: the program's own moves, and the fixed order of the trade notes (tests by number, those
that do not fit skipped, the remedy chosen when one holds 85 % of the belief), as it stands there and also told what the
player reports. A repair that does not cure is evidence in all. What a test answers is drawn from the model's table, or,
where the design's circuit can tell, from the circuit with part tolerances and meter error.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from random import Random
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).parent))
from helpers.fault_worlds import KIND_SHARES, World, draw_world

from benchtui.faults import allowed, engine, hunt
from benchtui.faults.belief import groups
from benchtui.faults.events import NeighboursTried, RepairDone, TestAnswered, TriedAgain
from benchtui.faults.hunt import HuntState

SURE = 0.85
"""Belief in one remedy at which the fixed order stops testing; as in the trade notes 3.4."""


@dataclass(frozen=True, slots=True)
class Course:
    """One hunt as it went."""

    minutes: float
    cured: bool
    first_right: bool
    lid: bool
    tests: int
    wrong_repairs: int


def program_move(state: HuntState) -> tuple[str, str]:
    """The program's own next move: its kind and id."""
    position = allowed.position_now(state)
    option = allowed.safety_first(state) or engine.choose(engine.options(state.layout.table, position))
    if option.kind == "look":
        return "test", state.layout.tests[option.index].id
    if option.kind == "cure":
        return "repair", state.layout.repairs[option.index].id
    return "stop", ""


def fixed_move(state: HuntState) -> tuple[str, str]:
    """The fixed order: the next test by number, until one remedy that is left is sure or the tests are used up."""
    left = [test.id for index, test in enumerate(state.layout.tests) if state.position.looks >> index & 1]
    tried = set(state.repaired)
    candidates = [group for group in groups(state) if group.remedy and group.remedy not in tried]
    if not candidates:
        return "stop", ""
    if candidates[0].share >= SURE or not left:
        return "repair", candidates[0].remedy
    return "test", min(left)


POLICIES = {"program": (program_move, True), "fixed order": (fixed_move, False), "fixed, told": (fixed_move, True)}
"""Name to the policy, and whether it weighs what the player reports; the fixed order of the notes does not."""


def run(world: World, policy: str, rng: Random) -> Course:
    """One hunt to its end."""
    move, told = POLICIES[policy]
    state = world.start(told=told)
    remedy = state.layout.remedies.get(world.fault, "")
    first_right: bool | None = None
    tests = wrong = 0
    while True:
        kind, id = move(state)
        if kind == "stop":
            return Course(state.elapsed, False, bool(first_right), state.position.opened > 0, tests, wrong)
        if kind == "test":
            tests += 1
            state = hunt.advance(state, TestAnswered(test=id, outcome=world.answer(id, rng)))
            continue
        if first_right is None:
            first_right = id == remedy
        state = hunt.advance(state, RepairDone(repair=id))
        cured = world.cured(id, rng)
        state = hunt.advance(state, TriedAgain(gone=cured))
        if cured:
            state = hunt.advance(state, NeighboursTried(well=True))
            return Course(state.elapsed, True, bool(first_right), state.position.opened > 0, tests, wrong)
        wrong += id != remedy


def summary(courses: list[Course]) -> str:
    """One line of figures."""
    minutes = sorted(course.minutes for course in courses)
    return (
        f"{median(minutes):7.1f}{minutes[int(0.9 * len(minutes))]:8.1f}{mean(minutes):8.1f}"
        f"{mean(course.tests for course in courses):7.1f}"
        f"{mean(course.cured for course in courses):9.0%}{mean(course.first_right for course in courses):9.0%}"
        f"{mean(course.wrong_repairs for course in courses):8.2f}{mean(course.lid for course in courses):7.0%}"
    )


def main(count: int = 300, seed: int = 1) -> None:
    """Print the table."""
    print(f"{count} hunts a line, seed {seed}; faults drawn by weight, kinds of control as {KIND_SHARES}")
    print("scope    policy        median    90 %    mean  tests remedied  at once   wrong    lid")
    for scope in ("unit", "bank", "control", "any"):
        for policy in POLICIES:
            courses = []
            for number in range(count):
                rng = Random(f"{seed} {scope} {number}")  # the same faults for both policies
                courses.append(run(draw_world(scope, rng), policy, rng))
            print(f"{scope:<9}{policy:<13}{summary(courses)}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
