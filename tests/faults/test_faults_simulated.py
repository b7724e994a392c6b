"""The simulated technician: the promise that tests/sim_technician.py prints for many hunts.

Measured over 1000 hunts for each of five seeds, ratio of the medians to the fixed order of the trade notes: 0.49, 0.41,
0.46, 0.44 and 0.53: the last misses the half. Pooled it is 0.47, with a 95 % interval of 0.44 to 0.51 that still holds
the half. Told what the player reports, the fixed order takes 27 minutes, and no seed comes to half of that. 95 hunts of
100 end cured, but the first remedy tried is the right one in 73. Hunts on a ribbon end cured in 83, below the promise,
so the long form does not pass. Forty hunts are only a smoke test: by the seed they give 0.35 to 0.69.
"""

from __future__ import annotations

from statistics import mean, median

import pytest
from sim_technician import by_kind, hunts


@pytest.mark.parametrize(
    ("seeds", "count"), [((1,), 40), pytest.param((1, 2, 3, 4, 5), 1000, marks=pytest.mark.long)], ids=["few", "many"]
)
def test_half_the_minutes_of_the_fixed_order_the_right_remedy_and_the_lid_shut_oftener(
    seeds: tuple[int, ...], count: int
) -> None:
    # The fixed order of the trade notes, section 3.4; faults of the demo desk drawn by weight. One step ahead, without
    # the deepening that runs while a person reads. What counts are the five thousand.
    ours = [course for seed in seeds for course in hunts("any", "program", count, seed)]
    fixed = [course for seed in seeds for course in hunts("any", "fixed order", count, seed)]
    assert median(each.minutes for each in ours) <= 0.5 * median(each.minutes for each in fixed)
    assert mean(each.cured for each in ours) >= 0.9
    assert mean(each.lid for each in ours) < mean(each.lid for each in fixed)
    for kind, courses in by_kind(ours).items():
        if len(courses) >= 100:
            assert mean(each.cured for each in courses) >= 0.9, kind
