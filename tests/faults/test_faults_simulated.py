"""The simulated technician on a few hunts: the promise that tests/sim_technician.py prints for many."""

from __future__ import annotations

from random import Random
from statistics import mean, median

import pytest
from helpers.fault_worlds import draw_world
from sim_technician import Course, run


def courses(policy: str, count: int) -> list[Course]:
    found = []
    for number in range(count):
        rng = Random(f"test {number}")
        found.append(run(draw_world("any", rng), policy, rng))
    return found


@pytest.mark.parametrize("count", [60, pytest.param(400, marks=pytest.mark.long)])
def test_far_fewer_minutes_than_the_fixed_order_the_right_remedy_and_the_lid_shut_oftener(count: int) -> None:
    # The fixed order of the trade notes, section 3.4; faults of the demo desk drawn by weight. The aim is half its
    # median; one step ahead, without the deepening that runs while a person reads, gives 0.45 to 0.6 by the draw.
    ours, fixed = courses("program", count), courses("fixed order", count)
    assert median(each.minutes for each in ours) <= 0.65 * median(each.minutes for each in fixed)
    assert mean(each.cured for each in ours) >= 0.9
    assert mean(each.lid for each in ours) < mean(each.lid for each in fixed)
