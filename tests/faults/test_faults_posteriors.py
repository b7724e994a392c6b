"""Exact belief against two outside libraries: pyAgrum 3.3.1 and pgmpy 1.1.2 (reference/posteriors.json)."""

from __future__ import annotations

from operator import mul
from typing import Any

import pytest
from helpers.diagnosis_records import posteriors

from benchtui.faults import engine
from benchtui.faults.table import Cure, Look, Position, Table, start

FILE = posteriors()
MODEL = FILE["model"]
TOLERANCE = FILE["tolerance"]
TESTS = {test["id"]: index for index, test in enumerate(MODEL["tests"])}
ACTIONS = {action["id"]: index for index, action in enumerate(MODEL["actions"])}


def table() -> Table:
    faults = [fault["id"] for fault in MODEL["faults"]]
    return Table(
        faults=tuple(faults),
        prior=tuple(fault["prior"] for fault in MODEL["faults"]),
        looks=tuple(Look(test["id"], test["cost"], tuple(zip(*test["cpt"], strict=True))) for test in MODEL["tests"]),
        cures=tuple(Cure(action["id"], 5.0, fixes_of(action)) for action in MODEL["actions"]),
        fallback=100.0,
    )


def fixes_of(action: dict[str, Any]) -> tuple[tuple[int, float], ...]:
    """The chance of curing each fault: the first outcome of a repair's check is that it works again."""
    works = action["outcomes"].index("fixed") if "fixed" in action["outcomes"] else 0
    return tuple((index, row[works]) for index, row in enumerate(action["cpt"]) if row[works])


def fold(numbers: Table, position: Position, evidence: dict[str, Any]) -> tuple[Position, float]:
    """The position after one piece of evidence, and the probability of that evidence."""
    node = evidence["node"]
    if "likelihood" in evidence:
        forecast = engine.forecast(numbers, position, TESTS[node])
        chance = sum(map(mul, forecast, evidence["likelihood"]))
        return engine.answer_unsure(numbers, position, TESTS[node], evidence["likelihood"]), chance
    if node in TESTS:
        outcome = MODEL["tests"][TESTS[node]]["outcomes"].index(evidence["outcome"])
        chance = engine.forecast(numbers, position, TESTS[node])[outcome]
        return engine.answer(numbers, position, TESTS[node], outcome), chance
    chance = 1.0 - engine.chance_of_cure(numbers, position, ACTIONS[node])
    return engine.failed(numbers, position, ACTIONS[node]), chance


@pytest.mark.parametrize("sequence", FILE["sequences"], ids=lambda sequence: sequence["id"])
def test_every_step_agrees(sequence: dict[str, Any]) -> None:
    numbers = table()
    position = start(numbers)
    evidence_chance = 1.0
    for step in sequence["steps"]:
        if step["evidence"]:
            position, chance = fold(numbers, position, step["evidence"])
            evidence_chance *= chance
        assert evidence_chance == pytest.approx(step["p_all_evidence"], abs=TOLERANCE)
        assert dict(zip(numbers.faults, position.weights, strict=True)) == pytest.approx(
            step["posterior"], abs=TOLERANCE
        )
        for id, printed in step["next_test"].items():
            index = TESTS[id]
            assert engine.forecast(numbers, position, index) == pytest.approx(printed["p_outcome"], abs=TOLERANCE)
            bits = engine.information(numbers, position, index)
            assert bits == pytest.approx(printed["info_bits"], abs=TOLERANCE)
            assert bits / numbers.looks[index].minutes == pytest.approx(printed["info_per_minute"], abs=TOLERANCE)
        for id, chance in step["p_action_fixes"].items():
            assert engine.chance_of_cure(numbers, position, ACTIONS[id]) == pytest.approx(chance, abs=TOLERANCE)
