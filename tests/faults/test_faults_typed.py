"""What the fault dictionary foretells and what typed readings are taken for: the same, for every fault of a design."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import demo, shipped_model

from benchtui.faults.dictionary import MEASURES, answer
from benchtui.faults.from_design import spots
from benchtui.faults.layout import test_fits as fits
from benchtui.faults.points import judge, point_subject, points_of
from benchtui.faults.target import target_of
from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.faults.model import Test
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

PLAIN = 0.8
"""Chance from which on the dictionary foretells one outcome plainly."""

BY_EYE = {
    "T11": "it moves while a control is swept: seen, not typed",
    "T15": "each wire is measured and the worst is typed; the point is that of the signal",
    "T32": "message values; the monitor's readings have a test of their own",
    "T34": "the same",
    "T41": "both ways round; the point is one of them",
}


def typed(target: Target, test: Test, spot: Spot) -> str | None:
    """The outcome that is taken from the readings of a desk of ordinary parts with the fault in it."""
    design, bench = demo()
    points = points_of(design, target, test)
    texts: list[str] = []
    for point in points:
        shown = bench.point(spot, point.point, point_subject(design, target, point.point))
        if shown is None:
            return None
        texts.append("OL" if shown.value == inf else format_value(shown.value, point.kind, digits=4))
        found = judge(test, points, texts).outcome
        if found:
            return found
    return None


@pytest.mark.parametrize("kind", ["pot", "fader", "ribbon", "button-matrix", "toggle", "encoder"])
def test_a_typed_reading_becomes_the_outcome_that_the_dictionary_foretells(kind: str) -> None:
    design, bench = demo()
    compared = 0
    for control in [each for each in design.controls if each.kind == kind]:
        target = target_of(design, scope="control", subject=control.id)
        tests = [each for each in shipped_model().tests if each.measures in MEASURES and fits(each, target)]
        for spot in [each for each in spots(design, target, shipped_model()) if not each.loose]:
            for test in [each for each in tests if each.id not in BY_EYE]:
                foretold = answer(bench, target, spot, test.measures)
                outcome = typed(target, test, spot)
                if foretold is None or outcome is None:
                    continue
                best = max(foretold, key=lambda each: foretold[each])
                if foretold[best] >= PLAIN:
                    assert outcome == best, (control.id, spot.id, test.id)
                    compared += 1
    assert compared >= 5
