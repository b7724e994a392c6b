"""The simulated technician: the promise that tests/sim_technician.py prints for many hunts."""

from __future__ import annotations

from statistics import mean, median

import pytest
from sim_technician import by_kind, hunts


@pytest.mark.parametrize(
    ("seed", "count"), [(1, 40), *(pytest.param(seed, 1000, marks=pytest.mark.long) for seed in range(1, 6))]
)
def test_half_the_minutes_of_the_fixed_order_the_right_remedy_and_the_lid_shut_oftener(seed: int, count: int) -> None:
    # The fixed order of the trade notes, section 3.4; faults of the demo desk drawn by weight. One step ahead, without
    # the deepening that runs while a person reads.
    ours, fixed = hunts("any", "program", count, seed), hunts("any", "fixed order", count, seed)
    assert median(each.minutes for each in ours) <= 0.5 * median(each.minutes for each in fixed)
    assert mean(each.cured for each in ours) >= 0.9
    assert mean(each.lid for each in ours) < mean(each.lid for each in fixed)
    if count >= 1000:
        for kind, courses in by_kind(ours).items():
            if len(courses) >= 50:
                assert mean(each.cured for each in courses) >= 0.9, kind
