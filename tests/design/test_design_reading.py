"""A design file with an id that leads nowhere, or a part that lacks what its kind needs: place, sentence and hint."""

from __future__ import annotations

import re

import pytest

from benchtui.content.nodes import compose
from benchtui.design import read_design
from benchtui.errors import Problem
from benchtui.paths import shipped

TEXT = (shipped("procedures") / "hollin-cue-desk" / "design.yaml").read_text(encoding="utf-8")

MISTAKES = [
    (r"(K2: \{)part: pot-9", r"\1part: pot-99", "control K2: there is no part 'pot-99'", "did you mean 'pot-9'?"),
    (r"(K2: \{)part: pot-9", r"\1part: knob-18",
     "control K2: 'knob-18' is a knob, and a control belongs here", ""),
    (r"(K2: .*)bank: B", r"\1bank: Z", "control K2: there is no bank 'Z'", "known are A, B, C, D, E, L"),
    (r'(K2: .*)signal: "4"', r'\1signal: "40"', "control K2: signal: J2: there is no pin '40'", "did you mean '4'?"),
    (r'(K2: .*)signal: "4"', r'\1signl: "4"', "control K2: pins: there is no lug 'signl'", "did you mean 'signal'?"),
    (r"(K2: .*)pins: \{signal: \"4\"\}, ", r"\1", "control K2: lug signal has no pin", "write `pins: {signal: ...}`"),
    (r"(K2: .*)knob-18: 1", r"\1knob-81: 1", "control K2: fitted: there is no part 'knob-81'",
     "did you mean 'knob-18'?"),
    (r"(B2: .*)row: X1", r"\1row: X9", "control B2: there is no matrix row 'X9'", ""),
    (r"common: A0", "common: A9", "multiplexer M1: there is no board pin 'A9'", ""),
    (r"to: M1 7,", "to: M1 16,", "connector J1 pin 10: M1 has no channel '16'", "it has 0 to 15"),
    (r"to: M1 7,", "to: M7 7,", "connector J1 pin 10: there is no multiplexer 'M7'", ""),
    (r"to: D14, pull-up: r-10k", "to: D14, pull-up: diode",
     "connector J4 pin 2: 'diode' is a diode, and a resistor belongs here", ""),
    (r'(GA: .*)pin: "1"', r'\1pin: "3"', "bus GA: J1 pin 3 is M1 0, and this bus is ground", ""),
    (r"(A: .*)ground: GA", r"\1ground: VA", "bank A: VA is a supply bus, and its ground belongs here", ""),
    (r"  bond: P5", "  bond: P9", "panel: bond: there is no hole 'P9'", ""),
    (r"alternatives: \[fader-60-long-life", "alternatives: [fader-61", "part fader-60: alternatives: there is no part "
     "'fader-61'", ""),
    (r"rows: \{X1: D5, X2", "rows: {D5: D5, X2", "matrix X: the name 'D5' is taken",
     "give each line a name of its own"),
    (r"    kind: fader\n    title: slide potentiometer, 60 mm, 10", "    kind: toggle\n    title: slide, 60 mm, 10",
     "part fader-60: a toggle needs `contact:`", ""),
]  # fmt: skip


def problems_of(text: str) -> list[Problem]:
    node, syntax = compose(text, file="design.yaml")
    assert node is not None and not syntax
    return read_design(node, file="design.yaml")[1]


@pytest.mark.parametrize(("pattern", "replacement", "message", "hint"), MISTAKES, ids=[row[2] for row in MISTAKES])
def test_what_leads_nowhere_is_told(pattern: str, replacement: str, message: str, hint: str) -> None:
    text, count = re.subn(pattern, replacement, TEXT, count=1)
    assert count == 1
    found = {problem.message: problem for problem in problems_of(text)}
    assert message in found
    assert found[message].place.line > 1
    if hint:
        assert found[message].hint.startswith(hint)


def test_one_mistake_does_not_hide_the_next() -> None:
    text = TEXT.replace("bank: B, pins", "bank: Z, pins").replace("common: A0", "common: A9")
    assert len(problems_of(text)) >= 7


def test_the_shipped_desk_is_clean() -> None:
    assert problems_of(TEXT) == []
