"""Spares kits: chances by the published formulas, the kit against every other kit of a small case."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import exp, inf

import pytest
from helpers.fault_worlds import demo, shipped_model

from benchtui.errors import CalcError
from benchtui.faults.spares import Item, chance_enough, chance_enough_unsure, kit
from benchtui.faults.spares_of_design import items_of


def test_smallest_number_that_is_enough() -> None:
    # MIL-HDBK-338B example 5.3.8.1: 0.001 per hour, 500 hours; 2 spares give 0.986.
    lamp = Item(id="lamp", title="lamp", count=1, rate=0.001)
    for item, confidence, spares in ((lamp, 0.98, 2), (lamp, 0.99, 3), (replace(lamp, rate=0.0), 0.999, 0)):
        assert kit((item,), hours=500, confidence=confidence).lines[0].spares == spares
    with pytest.raises(CalcError, match="between 0 and 1"):
        kit((lamp,), hours=500, confidence=1.0)


def test_wear_adds_to_chance() -> None:
    # 200 moves a show-hour on a fader of 15 000 cycles wears it out once in 75 hours (trade notes 1.1).
    fader = Item(id="fader", title="fader", count=8, cycles=200, life=15_000)
    assert fader.expected(75) == pytest.approx(8.0)


def test_an_uncertain_rate_asks_for_more_than_a_known_one() -> None:
    # No failure seen in 1000 hours: with the rate at its mean, half a failure in 1000 hours.
    known = chance_enough(0.5 / 1000 * 500, 0)
    unsure = chance_enough_unsure(0, 1000, 500, 0)
    assert known == pytest.approx(exp(-0.25))
    assert unsure == pytest.approx((1000 / 1500) ** 0.5)  # gamma prior of shape 1/2, by hand
    assert chance_enough_unsure(0, 1000, 500, 40) == pytest.approx(1.0)


ITEMS = (
    Item(id="lead", title="lead", count=1, rate=2e-3, price=8, mass=0.1),
    Item(id="fader", title="fader", count=8, rate=2e-4, price=4, mass=0.04),
    Item(id="board", title="board", count=1, rate=1e-4, price=30, mass=0.02),
)


def test_no_kit_of_the_same_mass_or_less_is_better() -> None:
    chosen = kit(ITEMS, hours=200, confidence=0.97, by="mass")
    assert chosen.reached
    assert chosen.enough >= 0.97
    for counts in product(range(4), range(5), range(4)):
        mass = sum(count * item.mass for count, item in zip(counts, ITEMS, strict=True))
        if mass <= chosen.mass - 1e-12:
            enough = 1.0
            for count, item in zip(counts, ITEMS, strict=True):
                enough *= chance_enough(item.expected(200), count)
            assert enough < chosen.enough


def test_a_limit_is_kept_and_said() -> None:
    tight = kit(ITEMS, hours=200, confidence=0.999, limit=20, by="price")
    assert tight.price <= 20
    assert not tight.reached
    assert tight.enough < 0.999
    free = kit(ITEMS, hours=200, confidence=0.999, limit=inf, by="price")
    assert free.reached


def test_a_kit_for_the_demo_desk_on_a_tour() -> None:
    design, _ = demo()
    items = items_of(design, shipped_model())
    assert {design.board.part, design.file.power.lead} <= {each.id for each in items}
    faders = next(each for each in items if each.id.startswith("fader"))
    assert faders.count == 8
    # 8 faders, 70 moves an hour, 60 hours, 15 000 cycles: 2.24 wear out, and chance adds little.
    assert faders.expected(60) == pytest.approx(8 * 70 * 60 / 15_000, rel=0.01)
    chosen = kit(items, hours=60, confidence=0.95)
    assert chosen.reached
    assert next(line.spares for line in chosen.lines if line.item is faders) >= 4
    assert all(line.item.source for line in chosen.lines)


def test_what_the_bill_has_can_be_carried() -> None:
    # Counted by hand from the demo desk: 16 diodes and one multiplexer, six plugs of two sorts.
    design, _ = demo()
    counts = {each.id: each.count for each in items_of(design, shipped_model(), units=2)}
    assert (counts["diode"], counts["mux-16"], counts["plug-10"], counts["plug-12"]) == (32, 2, 10, 2)
    assert counts["crimp"] == 2 * sum(bool(run.connector) for run in design.harness)
    assert {"r-220", "r-270", "r-10k", "r-100k", "wire-24", "wire-26"} <= set(counts)
    assert "panel" not in counts


def test_two_leads_are_carried_as_the_habit_says_unless_the_limit_forbids_it() -> None:
    design, _ = demo()
    items = items_of(design, shipped_model())
    lead = design.file.power.lead
    assert next(line.spares for line in kit(items, hours=1, confidence=0.5).lines if line.item.id == lead) == 2
    tight = kit(items, hours=1, confidence=0.5, limit=0.1)
    assert next(line.spares for line in tight.lines if line.item.id == lead) == 1


def test_wear_counts_also_where_the_rate_is_unsure() -> None:
    worn = Item(id="fader", title="fader", count=8, cycles=70, life=15_000, known=0, seen_hours=1e9)
    chosen = kit((worn,), hours=60, confidence=0.95)
    # Next to no failures by chance, 2.24 by wear: as many as the Poisson table says.
    assert chosen.lines[0].enough == pytest.approx(chance_enough(2.24, chosen.lines[0].spares), abs=1e-3)
    assert chance_enough(2.24, chosen.lines[0].spares - 1) < 0.95 <= chance_enough(2.24, chosen.lines[0].spares)
