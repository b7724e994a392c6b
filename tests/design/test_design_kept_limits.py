"""Limits that practice or a sheet states stand as they are; the meter's error makes a near band inside them."""

from __future__ import annotations

import pytest

from benchtui.design import load_design
from benchtui.design.testpoints import expected
from benchtui.jobs.plan import Limits
from benchtui.jobs.readings import verdict
from benchtui.paths import shipped


@pytest.mark.parametrize(
    ("id", "point", "subject", "most", "near"),
    [
        ("hollin-cue-desk", "strap", None, 0.5, 0.25),
        ("foot-switch", "strap", None, 0.5, 0.25),
        ("hollin-cue-desk", "contact-new", "B1", 0.2, 0.1),
        ("hollin-cue-desk", "contact-new", "T1", 0.2, 0.1),
        ("foot-switch", "contact-new", "B2", 0.2, 0.1),
        ("hollin-cue-desk", "contact-new", "E1", 3.0, 0.324),  # its sheet says 3 Ω; 0.8 %, 2 counts of 0.1 Ω, 0.1 Ω
        ("hollin-cue-desk", "board-current", None, 0.0585, 0.00217),  # 45 mA and 30 %; 2 % and 1 mA
        ("foot-switch", "board-current", None, 0.039, 0.00178),  # 30 mA and 30 %
    ],
)
def test_a_limit_of_practice_is_not_widened_by_the_meter(
    id: str, point: str, subject: str | None, most: float, near: float
) -> None:
    """0.5 Ω of a bond, 0.2 Ω of a new contact (common practice): what the meter may be off only makes a near band."""
    found = expected(load_design(shipped("procedures") / id / "design.yaml"), point, subject)
    assert (found.low, found.high) == (None, pytest.approx(most))
    assert found.near == pytest.approx(near, rel=0.01)
    limits = Limits(what=found.title, kind=found.kind, high=found.high, near=found.near)
    assert verdict(limits, most * 1.001) == "fail"
    assert verdict(limits, most) == "near limit"
    assert verdict(limits, most - near * 1.1) == "pass"
    assert "within" in " ".join(found.working)
