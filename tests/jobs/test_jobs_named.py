"""What a builder names when saying what was touched: single things, several, and ranges of them."""

from __future__ import annotations

import pytest
from helpers.jobs import plan, started, step

from benchtui.jobs.named import names_of, touched, unknown_words

EIGHT = plan(*(step(f"mount@F{number}") for number in range(1, 9)), step("mount@J1"), design_id="hollin-cue-desk")


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("F1 to F4", "F1 F2 F3 F4"),
        ("f1-F4", "F1 F2 F3 F4"),
        ("F1 - F4", "F1 F2 F3 F4"),
        ("F1..F4", "F1 F2 F3 F4"),
        ("F1 … F4", "F1 F2 F3 F4"),
        ("F1–F4, F8", "F1 F2 F3 F4 F8"),  # as a telephone puts it in
        ("from F4 up to F2", "F2 F3 F4"),
        ("F1 to 3", "F1 F2 F3"),
        ("F1-3", "F1 F2 F3"),
        ("F1, F2 till 4", "F1 F2 F3 F4"),
        ("F1 lug 2 to F3 lug 2", "F1 F2 F3"),
        ("fader F1 to the fader F3", "F1 F2 F3"),
        ("F1 to J1", "F1 J1"),
        ("lugs 1 to 3 of F2", "F2"),
        ("F1 lug 1-3 and F5 pins 2, 4", "F1 F5"),
        ("F1/F2", "F1 F2"),
        ("F1: lug 2", "F1"),
        ("fader F1", "F1"),
    ],
)
def test_a_range_names_all_that_is_within_it(said: str, found: str) -> None:
    # Row I4 (J-STD-001): the tests of F2 and F3 do not stand because only the ends were typed.
    names = names_of(started(EIGHT))
    assert unknown_words((said,), names) == ()
    assert touched((said,), names) == set(found.split())
    words = tuple(said.replace(",", " ").split())  # as the question about a defect takes it
    assert touched(words, names) == set(found.split())


@pytest.mark.parametrize(
    ("said", "strange"),
    [("F1 and 2", "2"), ("F3 2", "2"), ("F1 to F9", "F9"), ("F1 to 9", "9"), ("F1 to", ""), ("2 to F4", "2")],
)
def test_a_bare_number_names_nothing(said: str, strange: str) -> None:
    names = names_of(started(EIGHT))
    assert unknown_words((said,), names) == tuple(filter(None, (strange,)))
    assert touched((said,), names) == (frozenset() if strange else {"F1"}), "in a record it stands for everything"
