"""Lead follows from the alloy: neither the flag nor the name alone can silence the warning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchtui.design import load_design
from benchtui.design.leaded import LEADED, LEADED_FOR_SALE, holds_lead, lead_of, uses_over
from benchtui.paths import shipped

DESK = load_design(shipped("procedures") / "hollin-cue-desk" / "design.yaml")


@pytest.mark.parametrize(
    ("alloy", "lead"),
    [
        ("Sn63Pb37", True),
        ("Sn60Pb40", True),
        ("Sn62Pb36Ag2", True),
        ("Sn60/Pb40", True),
        ("Pb60Sn40", True),
        ("Sn99.3Cu0.7", False),
        ("Sn96.5Ag3Cu0.5", False),
        ("SAC305", False),
        ("60/40", None),
        ("the reel in the drawer", None),
        ("", None),
    ],
)
def test_an_alloy_tells_whether_it_holds_lead(alloy: str, lead: bool | None) -> None:
    """Names of solder alloys as in ISO 9453 and J-STD-006 (from memory): the elements, each with its share."""
    assert lead_of(alloy) is lead


@pytest.mark.parametrize(
    ("alloy", "said", "warned"),
    [
        ("Sn63Pb37", False, True),  # the name alone
        ("60/40", True, True),  # what the design says alone
        ("SAC305", True, True),  # they disagree: the check tells, and the warning stays
        ("SAC305", False, False),
    ],
)
def test_either_of_the_two_is_enough_to_warn(alloy: str, said: bool, warned: bool) -> None:
    solder = replace(DESK.file.solder, alloy=alloy, lead=said)
    assert holds_lead(solder) is warned
    for sold in (False, True):
        design = replace(DESK, file=replace(DESK.file, solder=solder, for_sale=sold))
        used = uses_over(design, ("iron",))
        assert (LEADED in used) is warned
        assert (LEADED_FOR_SALE in used) is (warned and sold)
