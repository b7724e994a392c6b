"""What is good is stated at each look and each reading that ships: row C22 (IEC/IEEE 82079-1, from memory)."""

from __future__ import annotations

import pytest

from benchtui.content.library import Library

LIBRARY = Library.open()


@pytest.mark.parametrize("id", [entry.id for entry in LIBRARY.entries("procedure")])
def test_every_look_and_reading_says_what_is_good(id: str) -> None:
    for step in LIBRARY.procedure(id).steps:
        if step.act == "observe":
            assert step.accept, step.id
        if step.act == "measure":
            assert step.reading is not None, step.id
            assert step.reading.point or step.reading.low or step.reading.high, step.id
        if step.act == "choose":
            assert any(choice.verdict == "pass" for choice in step.choices), step.id
