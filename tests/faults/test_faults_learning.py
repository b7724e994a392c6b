"""Weights after confirmed repairs: Dirichlet counts, worked by hand."""

from __future__ import annotations

import pytest
from helpers.small_fault_model import fault, small_model

from benchtui.faults.learning import Confirmed, class_of, learn, sample_words, weights


def test_without_repairs_the_weights_are_the_models_own() -> None:
    learnt = learn(small_model(), [])
    assert weights(learnt) == pytest.approx({"A": 3 / 6, "B": 2 / 6, "C": 1 / 6})
    assert sample_words(learnt) == "estimates only: no confirmed repair yet"


def test_each_repair_adds_one_to_twenty() -> None:
    # (20 × 1/6 + 1) / (20 + 1) for C, (20 × 1/2) / 21 for A; by hand.
    learnt = learn(small_model(), [Confirmed(fault="C", design="d")], design="d")
    assert weights(learnt)["C"] == pytest.approx((20 / 6 + 1) / 21)
    assert weights(learnt)["A"] == pytest.approx(10 / 21)
    assert sum(weights(learnt).values()) == pytest.approx(1.0)
    assert sample_words(learnt).startswith("estimates and 1 confirmed repair on this design")


def test_repairs_elsewhere_count_half() -> None:
    learnt = learn(small_model(), [Confirmed(fault="C", design="other")], design="d")
    assert weights(learnt)["C"] == pytest.approx((20 / 6 + 0.5) / 20.5)
    assert "0 confirmed repairs on this design and 1 on others" in sample_words(learnt)


def test_spots_of_one_class_learn_together_and_unknown_faults_are_passed_over() -> None:
    model = small_model(faults=(fault("F20@one", 1), fault("F20@two", 3), fault("B", 4)))
    learnt = weights(learn(model, [Confirmed(fault="F20"), Confirmed(fault="Z9")]))
    assert learnt["F20@two"] == pytest.approx(3 * learnt["F20@one"])
    assert learnt["F20@one"] + learnt["F20@two"] == pytest.approx((20 / 2 + 1) / 21)
    assert class_of("F20@one") == "F20"


def test_twenty_own_repairs_weigh_as_much_as_the_model() -> None:
    learnt = learn(small_model(), [Confirmed(fault="C")] * 20)
    assert weights(learnt)["C"] == pytest.approx((1 / 6 + 1) / 2)
