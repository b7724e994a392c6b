"""A simulated technician: draws a fault, follows a policy to a working input, and counts minutes, remedies and lids.

Run it by hand: python tests/sim_technician.py [hunts] [seeds] [--by-class] [--kinds]

Two policies on the same desks: the program's own moves, and the fixed order of the trade notes 3.4 (tests by number,
those that do not fit skipped, the remedy chosen when one holds 85 % of the belief), as it stands there, told what the
player reports, and ending when a test clears the trouble. A repair that does not cure is evidence in all. What a test
answers follows from the design's circuit with the fault put in, its parts somewhere in their tolerance and the meter
somewhere in its error, typed in and judged by the program; where no circuit can tell, from tables of the trade that
know nothing of the program's numbers.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from random import Random
from statistics import mean, median
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).parent))
from helpers.fault_worlds import KIND_SHARES, World, draw_world

from benchtui.faults import allowed, hunt
from benchtui.faults.belief import groups
from benchtui.faults.events import NeighboursTried, RepairDone, TestAnswered, TriedAgain
from benchtui.faults.hunt import HuntState
from benchtui.faults.pattern_evidence import pattern_event
from benchtui.faults.picking import pick

if TYPE_CHECKING:
    from collections.abc import Iterable

SURE = 0.85
"""Belief in one remedy at which the fixed order stops testing; as in the trade notes 3.4."""


@dataclass(frozen=True, slots=True)
class Course:
    """One hunt as it went."""

    world: World
    minutes: float
    cured: bool
    first_right: bool
    lid: bool
    """Whether it was opened, be it shut again or not."""
    moves: tuple[str, ...]

    @property
    def by_the_notes(self) -> float:
        """Minutes to restore as the trade notes 3.4 count: the lid once, each test, each remedy, and nothing else.

        The clock of the program (`minutes`) counts more, and the same for every order: shutting the lid, what is
        measured before power, and trying the input again.
        """
        minutes = sum(access.minutes for access in self.world.model.access) if self.lid else 0.0
        repairs = {repair.id: repair.minutes for repair in self.world.model.repairs}
        tests = {test.id: test for test in self.world.model.tests}
        done = ""
        for move in self.moves:
            if move.startswith("!"):
                minutes += 0.0 if move[1:] == done else repairs[move[1:]]
                continue
            id, _, outcome = move.partition("=")
            minutes += tests[id].minutes
            # A test that was itself the repair takes its minutes once.
            done = next((each.mended for each in tests[id].outcomes if each.id == outcome), "")
        return minutes

    @property
    def inside_right(self) -> bool | None:
        """Whether the first repair behind the lid was a remedy for the fault; None when there was none."""
        inside = {repair.id for repair in self.world.model.repairs if repair.access}
        made = [move[1:] for move in self.moves if move.startswith("!") and move[1:] in inside]
        return self.world.right(made[0]) if made else None

    @property
    def wrong_repairs(self) -> int:
        """Repairs made that are no remedy for the fault."""
        return sum(move.startswith("!") and not self.world.right(move[1:]) for move in self.moves)


def program_move(state: HuntState) -> tuple[str, str]:
    """The program's own next move, as `benchtui.faults.proposal.propose` picks it: its kind and id."""
    option = pick(state, allowed.rank(state))
    if option.kind == "look":
        return "test", state.layout.tests[option.index].id
    if option.kind == "cure":
        return "repair", state.layout.repairs[option.index].id
    return "stop", ""


def fixed_move(state: HuntState) -> tuple[str, str]:
    """The fixed order: the next test by number, until one remedy that is left is sure or the tests are used up."""
    # The notes know one test of a diode, that of the button itself.
    left = [
        test.id for index, test in enumerate(state.layout.tests) if state.position.looks >> index & 1 and not test.at
    ]
    tried = set(state.repaired)
    candidates = [group for group in groups(state) if group.remedy and group.remedy not in tried]
    if not candidates:
        return "stop", ""
    if candidates[0].share >= SURE or not left:
        return "repair", candidates[0].remedy
    return "test", min(left)


POLICIES = {
    "program": (program_move, True, True),
    "fixed order": (fixed_move, False, False),
    "fixed, told": (fixed_move, True, False),
    "fixed, stops": (fixed_move, False, True),
}
"""Name to the policy, whether it weighs what the player reports, and whether a test that clears the trouble ends it.

The fixed order of the notes does neither: it tests until one remedy is sure, then does that remedy.
"""


def run(world: World, policy: str) -> Course:
    """One hunt to its end."""
    move, told, ends = POLICIES[policy]
    state = world.start(told=told, ends=ends)
    person = world.technician()
    first_right: bool | None = None
    moves: list[str] = []
    lid = False
    while True:
        lid |= state.position.opened > 0
        kind, id = move(state)
        if kind == "stop":
            return Course(world, state.elapsed, False, bool(first_right), lid, tuple(moves))
        if kind == "test":
            test = next(each for each in state.layout.tests if each.id == id)
            outcome = person.answer(test)
            moves.append(f"{id}={outcome}")
            state = hunt.advance(state, TestAnswered(test=id, outcome=outcome))
            if told and (line := person.line(test, outcome)):
                state = hunt.advance(state, pattern_event(state, line))
            if state.phase == "look":
                continue
            id = state.pending  # the test was itself the repair
        else:
            state = hunt.advance(state, RepairDone(repair=id))
        moves.append(f"!{id}")
        if first_right is None:
            first_right = world.right(id)
        cured = world.cured(id)
        while state.phase == "look" and state.due:  # a short was feared: measured before any power
            test = next(each for each in state.layout.tests if each.id == state.due[0])
            healthy = next(outcome.id for outcome in test.outcomes if not outcome.finding)
            outcome = healthy if cured else person.answer(test)
            moves.append(f"{test.id}={outcome}")
            state = hunt.advance(state, TestAnswered(test=test.id, outcome=outcome))
        if state.phase != "again":
            continue
        state = hunt.advance(state, TriedAgain(gone=cured))
        if cured:
            lid |= state.position.opened > 0
            # The trouble is tried for in the same way, whether or not the order of tests went by it.
            unsaid = 0.0 if told else world.clean_minutes() - world.model.try_again
            state = hunt.advance(state, NeighboursTried(well=True))
            return Course(world, state.elapsed + unsaid, True, bool(first_right), lid, tuple(moves))


def hunts(scope: str, policy: str, count: int, seed: int | str, *, by_class: bool = False) -> list[Course]:
    """Several hunts; a seed gives every policy the same desks."""
    return [
        run(draw_world(scope, Random(f"{seed} {scope} {number}"), by_class=by_class), policy) for number in range(count)
    ]


def summary(courses: list[Course]) -> str:
    """One line of figures."""
    minutes = sorted(course.minutes for course in courses)
    noted = median(course.by_the_notes for course in courses)
    inside = [float(each) for each in (course.inside_right for course in courses) if each is not None]
    return (
        f"{noted:7.1f}{median(minutes):7.1f}{minutes[int(0.9 * len(minutes))]:8.1f}{mean(minutes):8.1f}"
        f"{mean(sum('=' in move for move in course.moves) for course in courses):7.1f}"
        f"{mean(course.cured for course in courses):9.1%}{mean(course.first_right for course in courses):9.1%}"
        f"{mean(inside or [0.0]):8.1%}"
        f"{mean(course.wrong_repairs for course in courses):8.2f}{mean(course.lid for course in courses):8.1%}"
    )


def ratio(ours: Iterable[Course], theirs: Iterable[Course]) -> float:
    """Ratio of the median minutes to restore, as the trade notes count them."""
    return median(each.by_the_notes for each in ours) / median(each.by_the_notes for each in theirs)


def interval(ours: list[Course], theirs: list[Course], rng: Random, rounds: int = 400) -> tuple[float, float]:
    """95 % confidence interval of that ratio, by drawing the same hunts again and again."""
    pairs = list(zip(ours, theirs, strict=True))
    ratios = []
    for _ in range(rounds):
        drawn = rng.choices(pairs, k=len(pairs))
        ratios.append(ratio((a for a, _ in drawn), (b for _, b in drawn)))
    ratios.sort()
    return ratios[int(0.025 * rounds)], ratios[int(0.975 * rounds)]


def by_kind(courses: list[Course]) -> dict[str, list[Course]]:
    """Hunts by extent and kind of control."""
    found: dict[str, list[Course]] = defaultdict(list)
    for course in courses:
        target = course.world.target
        found[f"{target.scope} {'/'.join(target.kinds)}".strip()].append(course)
    return dict(sorted(found.items()))


def main(arguments: list[str]) -> None:
    """Print the tables."""
    numbers = [int(each) for each in arguments if each.isdecimal()]
    count, seeds = (*numbers, *(300, 1)[len(numbers) :])[:2]
    by_class = "--by-class" in arguments
    print(f"{count} hunts a line; kinds of control as {KIND_SHARES}")
    print("faults drawn by " + ("the trade notes' classes" if by_class else "the weights of the desk's own places"))
    print("seed scope    policy         notes  clock    90 %    mean  tests remedied  at once  inside   wrong     lid")
    for seed in range(1, seeds + 1):
        for scope in ("unit", "bank", "control", "any") if seeds == 1 else ("any",):
            found = {policy: hunts(scope, policy, count, seed, by_class=by_class) for policy in POLICIES}
            for policy, courses in found.items():
                note = ""
                if policy != "program":
                    low, high = interval(found["program"], courses, Random(seed))
                    clock = median(c.minutes for c in found["program"]) / median(c.minutes for c in courses)
                    note = f"   {ratio(found['program'], courses):.3f} ({low:.3f} to {high:.3f}), clock {clock:.3f}"
                print(f"{seed:<5}{scope:<9}{policy:<13}{summary(courses)}{note}")
            if "--kinds" in arguments:
                for kind, courses in by_kind(found["program"]).items():
                    print(f"     {kind:<24} {len(courses):4}{summary(courses)}")


if __name__ == "__main__":
    main(sys.argv[1:])
