"""The order of repairs against every other order, and its price against walking it."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest

from benchtui.faults import engine
from benchtui.faults.deepen import Exact
from benchtui.faults.repair_order import repair_plan
from benchtui.faults.table import Cure, Place, Table, start


def walk(table: Table, order: tuple[int, ...], *, most: int | None = None) -> float:
    """Expected minutes of trying repairs in this order and then giving up, by following every fault."""
    total = 0.0
    for fault, weight in enumerate(table.prior):
        still, opened, minutes = 1.0, 0, 0.0
        for cure in order[:most]:
            case = table.cures[cure]
            opening, opened = table.opening(case.place, opened)
            minutes += still * (opening + case.minutes)
            still *= 1.0 - dict(case.fixes).get(fault, 0.0)
        total += weight * (minutes + still * table.fallback)
    return total / sum(table.prior)


def random_table(rng: Random, *, places: tuple[Place, ...], shared: bool) -> Table:
    count = 5
    fixes = []
    for index in range(count):
        pairs = {index: round(rng.uniform(0.6, 1.0), 2)}
        if shared and rng.random() < 0.5:
            pairs[rng.randrange(count)] = 0.5
        fixes.append(tuple(sorted(pairs.items())))
    return Table(
        faults=(*(f"f{index}" for index in range(count)), "unknown"),
        prior=(*(rng.random() + 0.02 for _ in range(count)), 0.1),
        looks=(),
        cures=tuple(
            Cure(f"r{index}", round(rng.uniform(1, 9), 1), fixes[index], rng.randrange(-1, len(places)))
            for index in range(count)
        ),
        fallback=round(rng.uniform(8, 40), 1),
        places=places,
    )


LID = (Place("lid", 4.0),)
NESTED = (Place("lid", 3.0), Place("shield", 2.0, inside=0))


@pytest.mark.parametrize("places", [(), LID, NESTED], ids=["open", "lid", "nested"])
def test_no_order_and_no_point_of_giving_up_is_cheaper(places: tuple[Place, ...]) -> None:
    # Optimal for repairs that do not overlap: Kadane and Simon 1977; with places, Ottosen and Jensen 2010.
    rng = Random(7)
    for _ in range(40):
        table = random_table(rng, places=places, shared=False)
        plan = repair_plan(table, start(table))
        assert plan.minutes == pytest.approx(walk(table, plan.order))
        best = min(walk(table, order, most=most) for order in permutations(range(5)) for most in range(6))
        assert plan.minutes == pytest.approx(best, abs=1e-9)
        assert Exact(table).value(start(table)) == pytest.approx(best, abs=1e-9)


def test_overlapping_repairs_are_priced_as_they_really_cost() -> None:
    rng = Random(8)
    for _ in range(30):
        table = random_table(rng, places=LID, shared=True)
        plan = repair_plan(table, start(table))
        assert plan.minutes == pytest.approx(walk(table, plan.order))
        assert plan.minutes >= Exact(table).value(start(table)) - 1e-9


def test_time_that_is_left_is_kept() -> None:
    rng = Random(9)
    for _ in range(30):
        table = random_table(rng, places=LID, shared=True)
        left = rng.uniform(3, 20)
        plan = repair_plan(table, start(table, left=left))
        spent, opened = 0.0, 0
        for cure in plan.order:
            opening, opened = table.opening(table.cures[cure].place, opened)
            spent += opening + table.cures[cure].minutes
        assert spent <= left
        for option in engine.options(table, start(table, left=left)):
            assert option.spends <= left


def test_a_place_stands_after_the_one_around_it() -> None:
    with pytest.raises(Exception, match="must stand after"):
        Table(("f",), (1.0,), (), (), 1.0, (Place("inner", 1.0, inside=1), Place("outer", 1.0)))
