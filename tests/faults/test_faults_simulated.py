"""The simulated technician: the promise that tests/sim_technician.py prints for many hunts.

Measured over 200 hunts for each of the seeds 21 to 25, which nobody had looked at before. Minutes to restore as the
trade notes 3.4 count them (the lid once, each test, each remedy): 15.5 to 37.0, a ratio of 0.42 (0.41 to 0.44 with 95 %
confidence; by seed 0.42, 0.43, 0.45, 0.42, 0.43). By the program's own clock, which counts for both orders what is
measured before power after a repair, the tries and the shutting of the lid as well: 21.5 to 43.0, a ratio of 0.50 (by
seed 0.49, 0.53, 0.49, 0.50, 0.50). 94 of 100 hunts end with the right remedy (the fixed order: 95). The first one tried
is right in 74, most of the others being a lead, a port or twenty sweeps tried first; the first one behind the lid in
89. A lid is opened in 62 of 100, against 86. Forty hunts are only a smoke test.
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
