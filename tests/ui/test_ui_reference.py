"""What is looked at beside a step, made from the shipped design: wires, test points, the bill, the checks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.ui.view.reference import bill_table, check_lines, point_lines, reference_rows, wiring_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.subjects import subject_rows
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from benchtui.design.model import Design


@pytest.fixture(scope="module")
def design() -> Design:
    return load_design(Library.open().path_of("design", "hollin-cue-desk"))


def test_the_wires_of_a_control_name_both_ends(design: Design) -> None:
    lines = wiring_lines(design, "F3", 80)
    text = plain(lines)
    assert "F3 lug 2" in text
    assert "J1 pin" in text
    assert all(width_of(row) <= 80 for row in lines)


def test_the_test_points_of_a_control_say_where_and_what(design: Design) -> None:
    text = plain(point_lines(design, "F3", 80))
    assert "lug" in text
    assert "kΩ" in text


def test_bill_and_checks_fit_the_width(design: Design) -> None:
    for lines in (bill_table(design, 80), check_lines(design, 80, UNICODE)):
        assert lines
        assert all(width_of(row) <= 80 for row in lines)


def test_what_is_in_hand_comes_first(design: Design) -> None:
    assert reference_rows(design, "F3")[1].id == "wires:F3"
    assert not any("F3" in row.id for row in reference_rows(design, ""))


def test_a_hunt_can_be_about_every_control_bank_and_kind(design: Design) -> None:
    ids = {row.id for row in subject_rows(design)}
    assert "unit:" in ids
    assert {f"control:{control.id}" for control in design.controls} <= ids
