"""The fault model in the developers' page is one that the program takes, and names the keys that a builder needs."""

from __future__ import annotations

import re
from pathlib import Path

from benchtui.faults.reading import load_model

PAGE = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


def test_the_fault_model_of_the_page_has_no_mistake(tmp_path: Path) -> None:
    section = PAGE.read_text(encoding="utf-8").split("### A fault model")[1].split("\n### ")[0]
    example = re.search(r"```yaml\n(.*?)```", section, re.S)
    assert example is not None
    file = tmp_path / "small-desk.yaml"
    file.write_text(example[1], encoding="utf-8")
    model = load_model(file)
    assert model.fault_model == "small-desk"
    assert any(symptom.passing for symptom in model.symptoms)
    assert any(test.flexes for test in model.tests)
    assert any(outcome.mended for test in model.tests for outcome in test.outcomes)
    assert any(test.undo for test in model.tests)
    assert "takes" in section
