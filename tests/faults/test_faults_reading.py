"""Mistakes in a fault model and what is said of each; the table doubles as a manual for writing one."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import MODEL

from benchtui.content.nodes import compose
from benchtui.errors import ContentError
from benchtui.faults.reading import load_model, read_model

TEXT = MODEL.read_text(encoding="utf-8")

MISTAKES = [
    ("unknown: 0.05", "unknown: 0.9", "unknown: expected a share above 0 and up to 0.5, got 0.9"),
    ("workmanship: 30", "workmanship: 0.5", "workmanship: hand-made joints are not better than inspected ones"),
    ("F01: always, F02: always", "F99: always, F02: always", "symptom unit-dead: likely: there is no 'F99'"),
    ("F01: always, F02: always", "F01: mostly, F02: always", "symptom unit-dead: likely: F01: expected a likelihood"),
    ("same-as: T33", "same-as: T66", "symptom reversed: same-as: there is no 'T66'"),
    ("first: [T44, T11]", "first: [T44, T99]", "sign browned-out: first: there is no 'T99'"),
    ("first: [T44, T11]", "first: [T32]", "sign browned-out: first: name a test that is made with the power off"),
    ("locks: [T44]", "locks: [T99]", "test T44: outcome low: locks: there is no 'T99'"),
    ("measures: ends", "measures: end", "test T32: measures: there is no 'end'"),
    ("points: {any: [vbus]}", "points: {any: [vbuss]}", "test T09: points: any: there is no 'vbuss'"),
    ("cures: {F37: usually, F52: usually}", "cures: {F52: usually}", "fault F37: no repair cures it"),
    ("prove: [T44, T43, T35]", "prove: [T44, T43, T355]", "repair pull-down: prove: there is no 'T355'"),
    (
        "{id: blips, text: the value blips or the lamp blinks, finding: yes}",
        "{id: blips, text: x, finding: no}",
        "means a finding",
    ),
    ("    uses: [power-on-open-lid]\n    outcomes:\n      - {id: good", "    outcomes:\n      - {id: good", "power on"),
    ("work {each}.", "work {that}.", "the placeholders here are {it}"),
    ("id: F02\n", "id: F01\n", "the id 'F01' is used twice"),
    ("short: 0.07", "short: 0.5", "the shares of its modes must add up to 1"),
]


@pytest.mark.parametrize(("right", "wrong", "message"), MISTAKES, ids=[row[2][:40] for row in MISTAKES])
def test_each_mistake_is_found_with_its_place(right: str, wrong: str, message: str) -> None:
    assert right in TEXT
    node, problems = compose(TEXT.replace(right, wrong, 1), file="model.yaml")
    assert node is not None
    assert problems == []
    _, problems = read_model(node, file="model.yaml")
    found = [problem for problem in problems if message in problem.message]
    assert found, [str(problem) for problem in problems]
    assert found[0].place.file == "model.yaml"
    assert found[0].place.line > 0


def test_the_shipped_model_has_none() -> None:
    assert load_model(MODEL).fault_model == "dead-input"


def test_a_file_with_mistakes_is_refused_with_all_of_them(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "model.yaml"
    path.write_text(
        TEXT.replace("first: [T44, T11]", "first: [T99, T11]").replace("same-as: T33", "same-as: T66"), encoding="utf-8"
    )
    with pytest.raises(ContentError) as caught:
        load_model(path)
    assert len(caught.value.problems) >= 4
