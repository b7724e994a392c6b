"""A checklist with one mistake in it, and exactly what is said about it."""

from __future__ import annotations

import pytest

from benchtui.content.checklist import Checklist, read_checklist
from benchtui.content.hazards import checklist_hazards
from benchtui.content.nodes import compose
from benchtui.errors import Problem

GOOD = """\
checklist: load-in
title: Load-in
revision: 1
design: any
style: read-do
when: When the case stands in the venue
items:
  - id: case
    text: The case
    response: closed, no dent
  - id: wait
    text: An hour in the warm
    response: passed
"""

ROWS = {
    "style": (
        ("style: read-do", "style: read-and-do"),
        ["f:5:8: style: expected one of read-do, do-confirm; found 'read-and-do'; did you mean 'read-do'?"],
    ),
    "no items": (("""items:
  - id: case
    text: The case
    response: closed, no dent
  - id: wait
    text: An hour in the warm
    response: passed
""", "items: []\n"), ["f:7:8: items: the list is empty; write its entries"]),
    "id used twice": (("id: wait", "id: case"), ["f:11:5: the item id 'case' is used twice; ids are never reused"]),
    "figure without a source": (
        ("response: passed", "response: 60 min have passed"),
        [
            "f:11:5: item 'wait': '60 min' has no source; "
            "add `source:`, or say it is common practice or an estimate"
        ],
    ),
    "id that cannot be typed": (
        ("id: case", "id: the case"),
        ["f:8:5: the id 'the case' is not in small letters, digits and hyphens; write it like solder-lugs"],
    ),
    "an item without a text": (("    text: The case\n", ""), ["f:8:5: items[case]: key 'text' is missing"]),
}  # fmt: skip


def read(change: tuple[str, str]) -> tuple[Checklist | None, list[Problem]]:
    assert GOOD.count(change[0]) == 1
    node, problems = compose(GOOD.replace(*change), file="f")
    assert node is not None and not problems
    return read_checklist(node, file="f")


def test_the_checklist_of_these_tests_is_good() -> None:
    assert read(("Load-in", "Load-in"))[1] == []


@pytest.mark.parametrize(("change", "expected"), ROWS.values(), ids=ROWS)
def test_mistakes(change: tuple[str, str], expected: list[str]) -> None:
    assert [str(problem) for problem in read(change)[1]] == expected


def test_a_use_nobody_knows() -> None:
    checklist, _ = read(("    response: passed", "    response: passed\n    uses: [dog]"))
    assert checklist is not None
    assert [str(problem) for problem in checklist_hazards(checklist, {})] == [
        "f:11:5: item 'wait': no caution knows the use 'dog'"
    ]
