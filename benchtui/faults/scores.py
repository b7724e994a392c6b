"""How good a fault model is: what its tests detect, how far they isolate, and how long a hunt takes against a bound.

Definitions after IEEE Std 1522-2004 and MIL-HDBK-2165, in our own words; L is the weight of a fault:

    detection            share of L of the faults that change at least one test
    isolation to N       share of detected L in groups of at most N that no test tells apart
    at remedy level      the same when faults with one remedy count as one, which is what matters to the player
    minutes to isolate   expected minutes of tests until one remedy holds 85 % of the belief
    minutes to restore   expected minutes to a working input, against a plan that knows the fault from the start

A test "shows" a fault here when a finding is likelier than not, and two faults are one group when every test shows
the same of them. Tests err, so faults with different rows may still be hard to tell apart: "in practice" counts two
faults as one group when their likelihoods overlap too much.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, prod, sqrt
from operator import mul
from typing import TYPE_CHECKING

from benchtui.faults.deepen import best_step, policy_minutes
from benchtui.faults.isolation import isolation_bound
from benchtui.faults.layout import Layout, fault_fits, lay_out, outcome_column
from benchtui.faults.model import FEATURES, KINDS, FaultModel
from benchtui.faults.repair_order import repair_plan
from benchtui.faults.table import Position, Table, start
from benchtui.faults.target import Target, bare_target, target_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from benchtui.design.model import Design
    from benchtui.faults.engine import Option

SURE = 0.85
"""Belief in one remedy at which it counts as isolated; the level of the study in the trade notes. Common practice."""

CUTOFF = 2e-3
"""Histories of outcomes less likely than this are not followed further."""

OVERLAP = 0.5
"""Bhattacharyya coefficient over all tests above which two faults are one group in practice. Our own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Testability:
    """Scores that follow from which test shows which fault.

    Attributes:
        detection: Share of the weight that some test shows.
        isolation: Share of detected weight in groups of at most 1, 2 and 3.
        mean_group: Mean size of the group a fault falls into, by weight.
        unseen: Faults that no test shows.
        idle: Tests that tell nothing which the others do not.
        least: Fewest tests that isolate as far as all of them; None when that is not searched for.
    """

    detection: float
    isolation: tuple[float, float, float]
    mean_group: float
    unseen: tuple[str, ...]
    idle: tuple[str, ...]
    least: int | None = None

    __test__ = False  # keeps pytest from taking it for a class of tests


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntScore:
    """Scores of one kind of hunt.

    Attributes:
        title: Which hunt.
        faults: How many faults bear on it.
        tests: How many tests.
        weight: Its share of the weight of the model, for averaging.
        by_fault: Scores with every fault a group of its own.
        by_remedy: Scores with faults of one remedy taken as one.
        practice: Isolation to 1, 2 and 3 faults when likelihoods that overlap too much make a group.
        practice_remedy: The same with faults of one remedy taken as one.
        used: Tests that the engine proposes in some history of this hunt.
        isolate: Expected minutes of tests until one remedy is sure, and what no order of the tests can beat.
        restore: Expected minutes to a working input (loss of a work-around included), and what no plan can beat.
        repairs_only: The same when repairs are tried without any test.
    """

    title: str
    faults: int
    tests: int
    weight: float
    by_fault: Testability
    by_remedy: Testability
    practice: tuple[float, float, float]
    practice_remedy: tuple[float, float, float]
    used: frozenset[str]
    isolate: tuple[float, float]
    restore: tuple[float, float]
    repairs_only: float


def score_rows(
    weights: Mapping[str, float],
    shows: Mapping[str, Sequence[object]],
    tests: Sequence[str],
    *,
    remedy: Mapping[str, str] | None = None,
    search: bool = False,
) -> Testability:
    """Detection and isolation from a table of which test shows which fault.

    Args:
        weights: Weight of each fault.
        shows: For each fault the outcome of each test; the first value of a test's outcomes, 0 or False, means that
            the test does not show it.
        tests: Names of the tests, in the order of the rows.
        remedy: Remedy of each fault, when faults of one remedy count as one.
        search: Whether the fewest tests that isolate as far are to be searched for (slow beyond a dozen tests).
    """
    label = remedy or {fault: fault for fault in weights}
    total = sum(weights.values())
    unseen = tuple(fault for fault in weights if not any(shows[fault]))
    detected = {fault: weight for fault, weight in weights.items() if fault not in unseen}
    groups = _groups(detected, {fault: tuple(shows[fault]) for fault in detected})
    sizes = {fault: len({label[each] for each in group}) for group in groups for fault in group}
    known = sum(detected.values())
    isolation = tuple(
        sum(weight for fault, weight in detected.items() if sizes[fault] <= most) / known if known else 0.0
        for most in (1, 2, 3)
    )
    idle = tuple(
        name
        for index, name in enumerate(tests)
        if _same_grouping(groups, detected, {f: (*shows[f][:index], *shows[f][index + 1 :]) for f in detected})
    )
    return Testability(
        detection=known / total if total else 0.0,
        isolation=(isolation[0], isolation[1], isolation[2]),
        mean_group=sum(weight * sizes[fault] for fault, weight in detected.items()) / known if known else 0.0,
        unseen=unseen,
        idle=idle,
        least=_fewest(groups, detected, shows, len(tests)) if search else None,
    )


def _groups(faults: Iterable[str], rows: Mapping[str, tuple[object, ...]]) -> list[list[str]]:
    found: dict[tuple[object, ...], list[str]] = {}
    for fault in faults:
        found.setdefault(rows[fault], []).append(fault)
    return list(found.values())


def _same_grouping(groups: list[list[str]], faults: Iterable[str], rows: Mapping[str, tuple[object, ...]]) -> bool:
    kept = _groups(faults, rows)
    return len(kept) == len(groups) and all(any(rows[fault]) for fault in faults)


def _fewest(
    groups: list[list[str]], faults: Mapping[str, float], shows: Mapping[str, Sequence[object]], count: int
) -> int:
    from itertools import combinations

    for size in range(count + 1):
        for chosen in combinations(range(count), size):
            if _same_grouping(groups, faults, {f: tuple(shows[f][index] for index in chosen) for f in faults}):
                return size
    return count


def hunts(model: FaultModel, design: Design | None = None) -> Iterator[Target]:
    """Every kind of hunt that a model serves: the unit, then each kind of control for a bank and for one."""
    if design is None:
        features = frozenset(FEATURES) - {"hold-mode"}
        yield bare_target("unit", features=features)
        for kind in KINDS:
            yield bare_target("bank", kind=kind, features=features)
            yield bare_target("control", kind=kind, features=features)
        return
    yield target_of(design, scope="unit")
    seen: set[tuple[str, ...]] = set()
    for control in design.controls:
        if control.bank:
            target = target_of(design, scope="bank", subject=control.bank)
            if (shape := ("bank", *target.kinds, *sorted(target.features))) not in seen:
                seen.add(shape)
                yield target
        target = target_of(design, scope="control", subject=control.id)
        if (shape := ("control", *target.kinds, *sorted(target.features))) not in seen:
            seen.add(shape)
            yield target


def score(model: FaultModel, target: Target) -> HuntScore | None:
    """Scores of one kind of hunt; None when the model says nothing about it."""
    if not any(fault_fits(fault, target) for fault in model.faults):
        return None
    layout = lay_out(model, target)
    weights = {fault.id: fault.weight for fault in layout.faults}
    shows = {
        fault.id: [
            _outcome_shown(outcome_column(model, test, fault.id, target), [o.finding for o in test.outcomes])
            for test in layout.tests
        ]
        for fault in layout.faults
    }
    names = [test.id for test in layout.tests]
    remedy = {fault.id: layout.remedies.get(fault.id, fault.id) for fault in layout.faults}
    table, here = layout.table, start(layout.table)
    used: set[str] = set()

    def visit(option: Option) -> None:
        if option.kind == "look":
            used.add(table.looks[option.index].id)

    restore = policy_minutes(table, here, depth="one step", cutoff=CUTOFF, visit=visit)
    return HuntScore(
        title=target.title,
        faults=len(layout.faults),
        tests=len(layout.tests),
        weight=sum(weights.values()),
        by_fault=score_rows(weights, shows, names),
        by_remedy=score_rows(weights, shows, names, remedy=remedy),
        practice=_in_practice(layout, {fault: fault for fault in weights}),
        practice_remedy=_in_practice(layout, remedy),
        used=frozenset(used),
        isolate=(_minutes_to_isolate(layout, remedy), _isolation_floor(layout, remedy)),
        restore=(restore, _restore_floor(table)),
        repairs_only=repair_plan(table, here).minutes,
    )


def _outcome_shown(column: Sequence[float], findings: Sequence[bool]) -> int:
    """0 when the test does not show the fault, else one more than the likeliest finding."""
    found = [chance if finding else 0.0 for chance, finding in zip(column, findings, strict=True)]
    return found.index(max(found)) + 1 if sum(found) > 0.5 else 0


def _in_practice(layout: Layout, label: Mapping[str, str]) -> tuple[float, float, float]:
    """Share of the weight that is confused with at most 0, 1 and 2 other labels."""
    columns = {
        fault.id: [tuple(row[index] for row in look.rows) for look in layout.table.looks]
        for index, fault in enumerate(layout.faults)
    }
    sizes = {
        fault: len({label[other] for other in columns if _overlap(columns[fault], columns[other]) > OVERLAP})
        for fault in columns
    }
    total = sum(fault.weight for fault in layout.faults)
    one, two, three = (
        sum(fault.weight for fault in layout.faults if sizes[fault.id] <= most) / total for most in (1, 2, 3)
    )
    return one, two, three


def _overlap(one: Sequence[Sequence[float]], other: Sequence[Sequence[float]]) -> float:
    return prod(sum(sqrt(p * q) for p, q in zip(a, b, strict=True)) for a, b in zip(one, other, strict=True))


def _group_weights(layout: Layout, remedy: Mapping[str, str]) -> list[float]:
    found: dict[str, float] = {}
    for fault, weight in zip(layout.faults, layout.table.prior, strict=False):
        found[remedy[fault.id]] = found.get(remedy[fault.id], 0.0) + weight
    return list(found.values())


def _isolation_floor(layout: Layout, remedy: Mapping[str, str]) -> float:
    """No order of tests that never err isolates the remedies in fewer minutes; opening is left out."""
    if any(len(look.rows) > 2 for look in layout.table.looks):
        # More outcomes than two tell more than one bit at once: count them as that many yes-or-no tests.
        most = max(len(look.rows) for look in layout.table.looks)
        costs = [look.minutes / (most - 1).bit_length() for look in layout.table.looks for _ in range(most - 1)]
    else:
        costs = [look.minutes for look in layout.table.looks]
    return isolation_bound(_group_weights(layout, remedy), costs)


def _restore_floor(table: Table) -> float:
    """Minutes of a plan that knows the fault from the start: the cheapest of its cures, or the work-around."""
    total = 0.0
    for index, weight in enumerate(table.prior):
        best = table.fallback
        for cure in table.cures:
            if any(fault == index for fault, _ in cure.fixes):
                best = min(best, table.opening(cure.place, 0)[0] + cure.minutes)
        total += weight * best
    return total / sum(table.prior)


def _minutes_to_isolate(layout: Layout, remedy: Mapping[str, str]) -> float:
    """Expected minutes of tests, opening included, until one remedy is sure or the engine would rather repair."""
    table = layout.table
    members: dict[str, list[int]] = {}
    for index, fault in enumerate(layout.faults):
        members.setdefault(remedy[fault.id], []).append(index)

    def walk(here: Position) -> float:
        total = sum(here.weights)
        sure = max(sum(here.weights[index] for index in group) for group in members.values())
        if total <= CUTOFF or sure >= SURE * total:
            return 0.0
        option, _ = best_step(table, here)
        if option.kind != "look":
            return 0.0
        look = table.looks[option.index]
        _, opened = table.opening(look.place, here.opened)
        rest = here.looks & ~(1 << option.index)
        return option.spends * total + sum(
            walk(Position(tuple(map(mul, here.weights, row)), opened, rest, here.cures, inf)) for row in look.rows
        )

    return walk(start(table))


def score_all(model: FaultModel, design: Design | None = None) -> tuple[HuntScore, ...]:
    """Scores of every kind of hunt that a model serves; over a design with the faults of its circuit put in."""
    if design is None:
        found = [score(model, target) for target in hunts(model)]
    else:
        from benchtui.faults.from_design import model_for
        from benchtui.faults.probing import Bench

        bench = Bench(design)
        found = [score(model_for(model, design, target, bench=bench), target) for target in hunts(model, design)]
    return tuple(each for each in found if each is not None)


def report(model: FaultModel, design: Design | None = None) -> str:
    """The scores as text of at most 100 columns, for `benchtui check --scores`.

    Args:
        model: The fault model.
        design: The design it is used on; every kind of control when None.
    """
    found = score_all(model, design)
    lines = [f"{model.fault_model}: {model.title}", f"weights, minutes and likelihoods: {model.source}", ""]
    lines.append(
        f"{'hunt':<22}{'faults':>7}{'tests':>6}{'seen':>6} {'to 1/2/3 faults':>16} {'remedies':>14}"
        f"{'isolate':>8}{'floor':>6}{'restore':>8}{'floor':>6}"
    )
    for each in found:
        lines.append(
            f"{each.title[:21]:<22}{each.faults:>7}{each.tests:>6}{each.by_fault.detection:>6.0%}"
            f" {_percents(each.practice):>16} {_percents(each.practice_remedy):>14}"
            f"{each.isolate[0]:>8.1f}{each.isolate[1]:>6.1f}{each.restore[0]:>8.1f}{each.restore[1]:>6.1f}"
        )
    lines += ["", *_in_words(model, found)]
    return "\n".join(lines)


def _percents(shares: tuple[float, float, float]) -> str:
    return "/".join(f"{share * 100:.0f}" for share in shares) + " %"


def _in_words(model: FaultModel, found: Sequence[HuntScore]) -> list[str]:
    total = sum(each.weight for each in found)
    restore = sum(each.weight * each.restore[0] for each in found) / total
    floor = sum(each.weight * each.restore[1] for each in found) / total
    blind = sum(each.weight * each.repairs_only for each in found) / total
    unseen = sorted({fault for each in found for fault in each.by_fault.unseen})
    idle = sorted({test.id for test in model.tests} - {test for each in found for test in each.used})
    never = ", ".join(idle) or "none"
    return [
        "seen: share of faults, by weight, that some test shows",
        "to 1/2/3: share of them that is confused in practice with at most 0, 1 or 2 other faults (remedies)",
        "isolate: minutes of tests until one remedy holds 85 % of the belief; floor, what no order can beat",
        "restore: minutes until it works, the loss of a work-around included; floor, for one who knows the fault",
        "",
        f"All hunts together: {restore:.1f} minutes to restore, {floor:.1f} at least, {blind:.1f} without any test.",
        f"Tests that the engine never proposes: {never}.",
        f"Faults that no test shows: {', '.join(unseen) or 'none'}.",
    ]
