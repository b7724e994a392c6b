"""A checklist with one mistake in it, and exactly what is said about it."""

from __future__ import annotations

import pytest

from benchtui.content.checklist import EMPTY_ANSWERS, Checklist, read_checklist
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
aim: It works here
items:
  - id: case
    text: The case
    response: closed, no dent
  - id: wait
    text: An hour in the warm
    response: passed
"""

MORE = """\
  - id: line-{}
    text: A lead
    response: out
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
""", "items: []\n"), ["f:8:8: items: the list is empty; write its entries"]),
    "id used twice": (("id: wait", "id: case"), ["f:12:5: the item id 'case' is used twice; ids are never reused"]),
    "figure without a source": (
        ("response: passed", "response: 60 min have passed"),
        [
            "f:12:5: item 'wait': '60 min' has no source; "
            "add `source:`, or say it is common practice or an estimate"
        ],
    ),
    "id that cannot be typed": (
        ("id: case", "id: the case"),
        ["f:9:5: the id 'the case' is not in small letters, digits and hyphens; write it like solder-lugs"],
    ),
    # Row G2: a list is short, and says what it is for (Gawande 2009; Degani and Wiener 1990).
    "ten lines": (
        ("""    response: passed
""", "    response: passed\n" + "".join(MORE.format(n) for n in range(3, 11))),
        ["f:36:5: 10 lines at one pause point, and 9 are the most; "
         "make two lists of it, each with its own pause point"],
    ),
    "no aim": (("aim: It works here\n", ""), ["f:1:1: key 'aim' is missing"]),
    # Row G3: the answer is a state or a value (Degani and Wiener 1990).
    "an answer that needs no look": (
        ("response: passed", "response: All checked and OK."),
        ["f:12:5: item 'wait': 'All checked and OK.' can be said without a look; "
         "name the state or value it must be found in, such as: out, or latched"],
    ),
    "no answer": (
        ("    response: passed\n", ""),
        ["f:12:5: item 'wait': `response:` is missing; name the state or value it must be found in"],
    ),
    # Row G4: critical lines first (Degani and Wiener 1990; the "killer items" of Gawande 2009).
    "a critical line after one that is not": (
        ("    response: passed", "    response: passed\n    critical: yes"),
        ["f:12:5: item 'wait' is critical and stands after 'case', which is not; "
         "put the critical lines first, where no interruption comes before them"],
    ),
    "a retired id": (
        ("aim: It works here", "aim: It works here\nretired: [case]"),
        ["f:10:5: the item id 'case' is retired: records of earlier runs mean another line by it; "
         "give this line an id of its own"],
    ),
    "an item without a text": (("    text: The case\n", ""), ["f:9:5: items[case]: key 'text' is missing"]),
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
        "f:12:5: item 'wait': no caution knows the use 'dog'"
    ]


@pytest.mark.parametrize("word", sorted(EMPTY_ANSWERS))
def test_a_word_that_names_no_state_is_no_answer(word: str) -> None:
    # Row G3 (Degani and Wiener 1990): "checked" proves nothing.
    [problem] = read(("response: passed", f'response: "{word.capitalize()}"'))[1]
    assert "can be said without a look" in problem.message


@pytest.mark.parametrize("answer", ["done at the bench", "0.75 to 10", "closed", "signed, with nothing open"])
def test_a_state_is_an_answer_whatever_words_are_in_it(answer: str) -> None:
    assert read(("response: passed", f"response: {answer}"))[1] == []


def test_a_list_with_its_critical_lines_first_is_good() -> None:
    assert read(("    response: closed, no dent", "    response: closed, no dent\n    critical: yes"))[1] == []
