"""Cautions: the signal word follows from the harm, each hazard stands once, and what a step shows comes worst first."""

from __future__ import annotations

import pytest

from benchtui.content.cautions import SIGNALS, Caution, CautionFile, derived, read_cautions
from benchtui.content.nodes import compose
from benchtui.errors import Problem

ONE = """\
  - id: {id}
    signal: {signal}
    harm: {harm}
    certain: {certain}
    hazard: It bites.
    avoid: Keep away.
    consequence: You are bitten.
    source: common practice
    from-use: [{use}]
"""


def one(
    id: str = "bite", signal: str = "CAUTION", harm: str = "moderate", certain: str = "no", use: str = "dog"
) -> str:
    return ONE.format(id=id, signal=signal, harm=harm, certain=certain, use=use)


def read(*cautions: str) -> tuple[CautionFile | None, list[Problem]]:
    node, problems = compose("cautions:\n" + "".join(cautions) + "emergency: [Run]\n", file="f")
    assert node is not None and not problems
    return read_cautions(node, file="f")


@pytest.mark.parametrize(
    ("harm", "certain", "word"),
    [
        # ANSI Z535.6: DANGER will, WARNING could end in death or serious injury; CAUTION could in a minor or moderate
        # one; NOTICE is for property alone. ISO 3864-2 has the first three in the same order.
        ("death-or-serious", "yes", "DANGER"),
        ("death-or-serious", "no", "WARNING"),
        ("moderate", "yes", "CAUTION"),
        ("moderate", "no", "CAUTION"),
        ("property", "yes", "NOTICE"),
        ("property", "no", "NOTICE"),
    ],
)
def test_only_the_word_of_the_table_is_accepted(harm: str, certain: str, word: str) -> None:
    for signal in ("DANGER", "WARNING", "CAUTION", "NOTICE"):
        _, problems = read(one(signal=signal, harm=harm, certain=certain))
        assert bool(problems) == (signal != word)


def test_the_table_knows_every_harm() -> None:
    assert len(SIGNALS) == 6


def test_a_word_too_weak() -> None:
    _, problems = read(one(signal="CAUTION", harm="death-or-serious", certain="yes"))
    assert [str(problem) for problem in problems] == [
        "f:2:5: caution 'bite': the signal word is CAUTION, and a hazard that will end in death or serious injury is "
        "DANGER; ANSI Z535.6: the harm decides the word"
    ]


def test_a_word_too_strong() -> None:
    _, problems = read(one(signal="WARNING", harm="property"))
    assert [str(problem) for problem in problems] == [
        "f:2:5: caution 'bite': the signal word is WARNING, and a hazard that could end in damage to property is "
        "NOTICE; ANSI Z535.6: the harm decides the word"
    ]


def test_a_hazard_that_stands_twice() -> None:
    _, problems = read(one(), one())
    assert [str(problem) for problem in problems] == [
        "f:11:5: the caution 'bite' is here twice; each hazard stands once"
    ]


def test_a_caution_needs_every_part() -> None:
    _, problems = read(one().replace("    avoid: Keep away.\n", "").replace("    source: common practice\n", ""))
    assert [str(problem) for problem in problems] == [
        "f:2:5: cautions[bite]: key 'avoid' is missing",
        "f:2:5: cautions[bite]: key 'source' is missing",
    ]


def test_nobody_can_wave_the_acknowledgement_of_a_person_hazard() -> None:
    _, problems = read(one() + "    acknowledge: no\n")
    assert "unknown key 'acknowledge'" in problems[0].message
    file, _ = read(one(), one("stain", "NOTICE", "property"))
    assert file is not None
    assert [caution.person for caution in file.cautions] == [True, False]


def cautions(*texts: str) -> dict[str, Caution]:
    file, problems = read(*texts)
    assert file is not None and not problems
    return {caution.id: caution for caution in file.cautions}


def test_cautions_of_a_step_come_worst_first_and_once() -> None:
    known = cautions(
        one("stain", "NOTICE", "property", use="glue"),
        one("bite", use="dog"),
        one("shock", "DANGER", "death-or-serious", "yes", use="mains"),
    )
    found = derived(["glue", "mains"], ["bite", "shock", "unknown"], known)
    assert [caution.id for caution in found] == ["shock", "bite", "stain"]
