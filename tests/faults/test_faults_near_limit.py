"""A reading near its limit speaks for both sides of it; one well inside or outside speaks for one."""

from __future__ import annotations

from itertools import pairwise

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.faults import hunt
from benchtui.faults.belief import suspects
from benchtui.faults.events import TestAnswered, Withdrawn, from_data, kind_of, to_data
from benchtui.faults.near_limit import NEAR, parts_of
from benchtui.faults.points import points_of
from benchtui.faults.target import target_of


def test_shares_go_from_one_half_at_the_limit_to_one_further_off() -> None:
    design, _ = demo()
    target = target_of(design, scope="control", subject="F3")
    test = next(each for each in model_of("control", "F3").tests if each.id == "T16")
    points = points_of(design, target, test)
    low, high = points[0].low, points[0].high
    assert low is not None
    assert high is not None
    window = high - low
    shares = []
    for far in (0.001, 0.25, 0.5, 0.99):
        parts = parts_of(test, points, (f"{(high + far * NEAR * window):.3f} ohm",), "high")
        assert sum(parts.values()) == pytest.approx(1.0)
        assert parts["high"] == pytest.approx(0.5 + 0.5 * far, abs=0.01)
        shares.append(parts["high"])
    assert all(nearer < further for nearer, further in pairwise(shares))
    assert parts_of(test, points, (f"{high + 2 * NEAR * window:.3f} ohm",), "high") == {}
    assert parts_of(test, points, ("OL",), "high") == {}
    assert parts_of(test, points, (f"{(low + high) / 2:.3f} ohm",), "good") == {}
    assert parts_of(test, points, (f"{high:.3f} ohm",), "low") == {}  # the person knows better than the reading


def test_what_is_believed_lies_between_the_two_and_can_be_taken_back_and_given_again() -> None:
    design, _ = demo()
    model = model_of("control", "F3")
    state = hunt.start(model, design, scope="control", subject="F3", symptom="wrong-range")
    near = TestAnswered(test="T16", outcome="high", parts={"high": 0.6, "good": 0.4})

    def share(at: hunt.HuntState) -> float:
        return next(each.share for each in suspects(at) if each.fault == "F49@F3.high")

    sure, fine = (hunt.advance(state, TestAnswered(test="T16", outcome=each)) for each in ("high", "good"))
    after = hunt.advance(state, near)
    assert share(fine) < share(after) < share(sure)
    again = hunt.advance(after, TestAnswered(test="T16", outcome="good"))
    assert again.position.weights == pytest.approx(fine.position.weights)
    assert hunt.advance(again, Withdrawn()).position.weights == pytest.approx(after.position.weights)
    assert from_data(kind_of(near), to_data(near)) == near
