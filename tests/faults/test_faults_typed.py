"""What the fault dictionary foretells and what typed readings are taken for: the same, for every fault of a design."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model

from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.dictionary import MEASURES, SUPPLY_SHORT, UNPOWERED, answer
from benchtui.faults.events import TestAnswered
from benchtui.faults.from_design import spots
from benchtui.faults.layout import test_fits as fits
from benchtui.faults.on_bench import Case
from benchtui.faults.on_monitor import goes_wrong
from benchtui.faults.points import FEED, REFERENCE, common_wires, judge, point_subject, points_of
from benchtui.faults.target import read_at, target_of
from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.faults.model import Test
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

MONITORED = {"lowest-code": 0.0, "mid-code": 0.5, "highest-code": 1.0}
"""Points on the message monitor, with the place of the control that they are read at."""

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
        subject = test.at or point_subject(design, target, point.point, test.kinds)
        if point.point == FEED:  # each common wire by itself, ground first
            subject = common_wires(design, target.subject)[len(texts)]
        control = read_at(design, target, test.kinds)
        if point.point in MONITORED and control is not None:
            shown = bench.code(spot, control, control, MONITORED[point.point])
            if shown.floating:
                return None  # it shows anything
            texts.append(f"{shown.value:.0f}")
        else:
            found = bench.point(spot, point.point, subject)
            if found is None:
                return None
            texts.append("OL" if found.value == inf else format_value(found.value, point.kind, digits=4))
        said = judge(test, points, texts).outcome
        if said:
            return said
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


@pytest.mark.parametrize("bank", ["A", "B", "C", "D", "E", "L"])
@pytest.mark.parametrize("told", [True, False], ids=["the worst is named", "nobody knows"])
def test_a_true_answer_at_the_control_on_the_screen_never_speaks_against_the_fault(bank: str, told: bool) -> None:
    # F5 to F8 are dead by one open link: read at F1, which is well, the true fault was taken for ruled out.
    design, bench = demo()
    compared = 0
    for spot in spots(design, target_of(design, scope="bank", subject=bank), shipped_model()):
        case = Case(bench, target_of(design, scope="bank", subject=bank), spot)
        bad = [each.id for each in case.controls() if goes_wrong(case, each) > PLAIN]
        worst = bad[0] if bad and told else ""
        target = target_of(design, scope="bank", subject=bank, control=worst)
        state = hunt.start(model_of("bank", bank, worst), design, target=target)
        if spot.id not in state.layout.table.faults:
            continue
        for test in [each for each in state.layout.tests if each.points]:
            if spot.class_id == SUPPLY_SHORT and test.measures not in UNPOWERED:
                continue  # with V+ on GND the port and the regulator decide what is seen, not the circuit
            outcome = typed(target, test, spot)
            before_it = [typed(target, each, spot) for each in state.layout.tests if each.id in test.after]
            if outcome is None or before_it not in ([], ["reaches"]):
                continue  # the middle is asked for only when the ends are right
            after = hunt.advance(state, TestAnswered(test=test.id, outcome=outcome))
            before, now = (next(each.share for each in suspects(at) if each.fault == spot.id) for at in (state, after))
            assert now >= 0.9 * before, (spot.id, worst, test.id, outcome, before, now)
            compared += 1
    assert compared or bank in ("C", "L")


def test_the_screen_names_the_control_of_a_bank() -> None:
    design, _ = demo()
    for control, named in (("F5", "F5"), ("", "F8")):
        target = target_of(design, scope="bank", subject="A", control=control)
        for test in model_of("bank", "A", control).tests:
            if test.id in ("T12", "T14", "T32"):
                assert f"fader {named}" in test.do
                assert test.detail[0].startswith(f"Here the answer is about {named} alone")
                assert all(
                    f"{named} " in point.where or f"{named} " in point.title
                    for point in points_of(design, target, test)
                    if point.point != REFERENCE  # that of the whole bank
                )
