"""Windows against random draws: units whose parts lie anywhere in their tolerances read inside them, on any bus.

The units are solved at once (see `helpers/many_draws.py`), and that solver is held against the one of
`helpers/outside_solver.py`, a unit at a time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from design.test_design_shared_buses import VARIANTS, variant
from helpers.many_draws import draw, read_many
from helpers.outside_solver import every_reading, read_outside, solve_outside

from benchtui.design import load_design
from benchtui.design.circuit.readings import Total
from benchtui.design.circuit.window import window
from benchtui.paths import shipped

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Design

FOOT_SWITCH = load_design(shipped("procedures") / "foot-switch" / "design.yaml")
UNITS = 10_000
AT_ENDS = 1_000
"""Units besides whose every part is at one end of its tolerance or the other."""


def design_of(name: str) -> Design:
    return FOOT_SWITCH if name == "foot-switch" else variant(name)


def kinds_of_point(design: Design) -> list[tuple[str, Reading]]:
    """Each kind of test point on each kind of subject, on the last one there is: it is the furthest along its bus."""
    found: dict[tuple[str, str], tuple[str, Reading]] = {}
    for name, reading in every_reading(design):
        point, _, id = name.partition(" ")
        found[point, design.subject(id).kind if id else ""] = (name, reading)
    return list(found.values())


def draws_lie_inside(readings: Iterable[tuple[str, Reading]], units: int, at_ends: int) -> int:
    """Units outside a window fail; how many readings were looked at."""
    chance = np.random.default_rng(11)
    looked_at = 0
    for name, reading in readings:
        found = window(reading)
        # A contact of gigaohms moves a pin by nanovolts, in either direction as rounding has it; no meter reads them.
        slack = 1e-7 + 1e-9 * (found.high - found.low)
        values = draw(reading, units + at_ends, chance)
        for quantity, each in reading.quantities.items():
            ends = chance.integers(0, 2, at_ends)
            values[quantity][units:] = np.where(ends, each.high, each.low)
        shown = read_many(reading, values)
        assert shown.shape == (units + at_ends,), name
        assert found.low - slack <= shown.min() and shown.max() <= found.high + slack, name
        looked_at += 1
    return looked_at


@pytest.mark.parametrize("name", ["foot-switch", "chain"])
def test_windows_contain_random_draws(name: str) -> None:
    """The short form: a hundred units at each kind of test point of the shipped designs."""
    assert draws_lie_inside(kinds_of_point(design_of(name)), 80, 20) > 10


@pytest.mark.long
@pytest.mark.parametrize("name", ["foot-switch", *VARIANTS])
def test_windows_contain_ten_thousand_draws(name: str) -> None:
    """At each kind of test point of each way to run the buses."""
    assert draws_lie_inside(kinds_of_point(design_of(name)), UNITS, AT_ENDS) > 10


@pytest.mark.long
@pytest.mark.parametrize("name", ["foot-switch", "chain", "all on one star", "all on one ring"])
def test_windows_of_every_test_point_contain_ten_thousand_draws(name: str) -> None:
    """At every test point of the shipped designs, and of the two desks whose banks share the most."""
    assert draws_lie_inside(every_reading(design_of(name)), UNITS, 0) > 10


@pytest.mark.parametrize("name", ["foot-switch", "ring"])
def test_many_units_at_once_read_as_one_by_one_outside(name: str) -> None:
    chance = np.random.default_rng(5)
    for point, reading in kinds_of_point(design_of(name)):
        if isinstance(reading, Total) and name != "foot-switch":
            continue  # the whole unit is solved in the long forms of `test_design_circuit.py`
        values = draw(reading, 2, chance)
        one = {quantity: float(drawn[1]) for quantity, drawn in values.items()}
        outside = read_outside(reading, one, solve_outside)
        assert read_many(reading, values)[1] == pytest.approx(outside, rel=1e-3, abs=1e-6), point
