"""Serial numbers read off a unit."""

from __future__ import annotations

import pytest

from benchtui.jobs.serials import make, same_unit, written


@pytest.mark.parametrize(
    ("typed", "serial", "same"),
    [
        ("HCD-001-R", "HCD-001-R", True),
        ("001-R", "HCD-001-R", True),
        ("001r", "HCD-001-R", True),
        ("hcd 001 r", "HCD-001-R", True),
        ("001-R", "HCD-2001-R", False),  # the plate of unit 1 is not the end of that of unit 2001
        ("2001-R", "HCD-2001-R", True),
        ("01-R", "HCD-001-R", False),
        ("CD-001-R", "HCD-001-R", False),
        ("", "HCD-001-R", False),
        ("R", "HCD-001-R", False),
        ("7", "AB-7", False),
        ("1234", "AB-1234", True),
        ("AB-1234", "AB-1234", True),
    ],
)
def test_what_was_read_names_a_unit_only_by_its_whole_number(typed: str, serial: str, same: bool) -> None:
    assert same_unit(typed, serial) is same


def test_no_plate_without_its_letters_passes_for_another_unit() -> None:
    # Row A7 (ISO 9001:2015 8.5.2: identification).
    plates = [make("HCD", number) for number in (*range(1, 60), *range(1000, 1060), *range(2000, 2060))]
    for plate in plates:
        assert [other for other in plates if same_unit(plate.partition("-")[2], other)] == [plate]


@pytest.mark.parametrize("typed", ["AB-7", " AB-7 ", "AB\u00ad-7", "\u2060AB-7", "AB-7\u200b\n"])
def test_marks_that_nobody_sees_make_no_other_number(typed: str) -> None:
    # Unicode 15.0, 23.2: they come in with a paste from a page, and two units would look alike.
    assert written(typed) == "AB-7"
