"""The simulated technician: the promise that tests/sim_technician.py prints for many hunts.

Measured over 500 hunts for each of the seeds 6 to 10, which nobody had looked at before: ratio of the medians to the
fixed order of the trade notes 0.49, 0.45, 0.50, 0.45 and 0.51 (19 minutes to 39); pooled 0.49, with a 95 % interval of
0.45 to 0.51 that still holds the half. 95 or 96 hunts of 100 end with the right remedy. The first one tried is right in
75, the first one behind the lid in 88: nine in ten is not reached there. A lid is opened in 61 of 100, against 86.
Of single toggles 85 in 100 end cured, below what is asked here of every kind. Forty hunts are only a smoke test.

Those figures leave out what is measured before power after a repair. The clock counts it since, for both orders, and
a try at the venue takes its eleven minutes for both. So counted, 100 hunts for each of the seeds 11 to 15 gave 22.5
minutes to 38.0, a ratio of 0.59 (0.53 on the same desks before): the half is not reached there, and the long form has
still to be run.
"""

from __future__ import annotations

from statistics import mean, median

import pytest
from sim_technician import by_kind, hunts, ratio


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
    assert ratio(ours, fixed) <= 0.5
    assert median(each.minutes for each in ours) < median(each.minutes for each in fixed)
    assert mean(each.cured for each in ours) >= 0.9
    assert mean(each.lid for each in ours) < mean(each.lid for each in fixed)
    for kind, courses in by_kind(ours).items():
        if len(courses) >= 100:
            assert mean(each.cured for each in courses) >= 0.9, kind
