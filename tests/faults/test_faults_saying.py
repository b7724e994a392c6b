"""A line about many controls is asked for where it tells most, with an example that the hunt understands."""

from __future__ import annotations

import pytest
from helpers.hunts_seen import page, real_hunt

from benchtui.faults.saying import line_to_say
from benchtui.ui.view.hunt import HuntSight, hunt_page
from benchtui.ui.view.hunt_said import proposal_said
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain


@pytest.mark.parametrize(
    ("scope", "subject", "symptom", "wanted"),
    [
        ("bank", "A", "bank-dead", "F1 to F8 stay at 127"),
        ("bank", "E", "bank-dead", "R1 and R2 stay at 127"),
        ("control", "B1", "phantom-presses", "B1, B2 and B5 held, B6 shows"),
        ("control", "F6", "control-dead", ""),
        ("unit", "", "unit-dead", ""),
    ],
)
def test_the_example_is_of_the_design_and_is_understood(scope: str, subject: str, symptom: str, wanted: str) -> None:
    one = real_hunt(subject, symptom, scope=scope)
    one.settle()
    assert one.line_to_say == wanted
    if wanted:
        assert not one.pattern(wanted).problem
        assert not one.line_to_say, "it was said"


def test_the_line_names_the_break_of_a_bank_and_the_diode_at_once() -> None:
    # Measured by a builder who worked with the README alone: one line in place of three to nine tests.
    for one, fault in ((real_hunt("A", "bank-dead", scope="bank"), 0.8), (real_hunt("B1", "phantom-presses"), 0.75)):
        one.settle()
        one.pattern(one.line_to_say)
        assert one.proposal.suspects[0].share > fault


def test_three_corners_name_the_key_and_what_can_be_said() -> None:
    one = real_hunt("B1", "phantom-presses")
    one.pick("T21")
    example = line_to_say(one.run.state, "corners")
    assert example == one.line_to_say == "B1, B2 and B5 held, B6 shows"
    lines, _ = hunt_page(one.proposal, HuntSight(line=example), width=80, height=24, shapes=UNICODE)
    assert f"s says   what many of them show, in one line: {example}" in plain(lines)
    assert f"say LINE tells what many of them show, such as: say {example}" in proposal_said(
        one.proposal, HuntSight(line=example)
    )
    assert example in one.reading("1").text  # there is nothing to measure, but something to say
    assert "s says" not in page(one)
