"""Scores of a model: the published definitions on a published case, and what is known of a small one."""

from __future__ import annotations

import pytest
from helpers.diagnosis_records import record
from helpers.small_fault_model import fault, look, repair, small_model

from benchtui.faults.scores import report, score, score_rows
from benchtui.faults.target import bare_target


def test_five_faults_five_tests() -> None:
    # Definitions: IEEE Std 1522-2004, MIL-HDBK-2165; data of Pattipati and Alexandridis 1990; brute-forced.
    entry = record("testability-6x5")
    weights = {f"s{index}": weight for index, weight in enumerate(entry["model"]["lambda_"], 1)}
    shows = dict(zip(weights, entry["model"]["d_matrix"], strict=True))
    found = score_rows(weights, shows, ["t1", "t2", "t3", "t4", "t5"], search=True)
    expected, tolerance = entry["expected"], entry["tolerance"]
    assert found.detection == pytest.approx(expected["fault_detection"], abs=tolerance)
    assert found.isolation[0] == pytest.approx(expected["isolation_le_1"], abs=tolerance)
    assert found.mean_group == pytest.approx(expected["mean_group"], abs=tolerance)
    assert found.least == expected["min_isolating_tests"]


def test_groups_unseen_faults_and_idle_tests() -> None:
    weights = {"a": 5.0, "b": 3.0, "c": 1.0, "d": 1.0}
    shows = {"a": [1, 0, 1], "b": [1, 0, 1], "c": [0, 1, 0], "d": [0, 0, 0]}
    found = score_rows(weights, shows, ["one", "two", "one again"])
    assert found.detection == pytest.approx(0.9)
    assert found.unseen == ("d",)
    assert found.isolation == pytest.approx((1 / 9, 1.0, 1.0))  # a and b cannot be told apart
    assert found.mean_group == pytest.approx((8 * 2 + 1 * 1) / 9)
    assert set(found.idle) == {"one", "one again"}  # either, not both
    remedy = score_rows(weights, shows, ["one", "two", "one again"], remedy={"a": "x", "b": "x", "c": "y", "d": "z"})
    assert remedy.isolation[0] == pytest.approx(1.0)


def test_a_model_is_scored_against_its_floor() -> None:
    found = score(small_model(), bare_target("control", kind="fader"))
    assert found is not None
    assert found.restore[1] <= found.restore[0] <= found.repairs_only
    assert 0.0 <= found.isolate[1] <= found.isolate[0]
    assert found.by_fault.detection == pytest.approx(1.0)
    assert found.used <= {"T1", "T2", "T3"}
    assert score(small_model(), bare_target("unit")) is None


def test_confusion_in_practice_counts_overlapping_likelihoods() -> None:
    model = small_model(
        faults=(fault("A", 1), fault("B", 1)),
        tests=(look("T1", 1, {"A": "0.60", "B": "0.45"}),),  # differs on paper, hardly in practice
        repairs=(repair("both", 5, {"A": "usually", "B": "usually"}),),
        signs=(),
        symptoms=(),
        patterns=(),
    )
    found = score(model, bare_target("control", kind="fader"))
    assert found is not None
    assert found.practice[0] == 0.0
    assert found.practice_remedy[0] == pytest.approx(1.0)


def test_the_report_names_what_is_missing() -> None:
    text = report(small_model())
    assert "small: Small" in text
    assert "Tests that the engine never proposes" in text
    assert "Faults that no test shows: none." in text
    assert max(map(len, text.splitlines())) <= 104
