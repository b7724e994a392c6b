"""Hand-made mistakes by the dozen: whatever a file says, the check answers with problems and never falls over."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from benchtui.check import Check
from benchtui.content.nodes import compose
from benchtui.new_command import TEMPLATE
from benchtui.paths import shipped

ODD = (
    '""', "none", "0", "-1", '"0 ohm"', '"0 V"', '"0 mm"', '"-5 mm"', '"1e9 ohm"', '"0 %"', '"100 %"', "[]", "{}", "x",
    "99999999999999999999", "yes", '"0 AWG"', '"0 degC"', "ground", "spare", '"999"', "{a: 1}", "[a, b]",
    '"10 kohm ±99 %"',
)  # fmt: skip
FILES = (
    TEMPLATE,
    shipped("procedures") / "common" / "assembly" / "first-power.yaml",
    shipped("procedures") / "cautions.yaml",
    shipped("checklists") / "load-in.yaml",
)


def mistaken(text: str, chance: random.Random) -> str:
    """The text with one value exchanged, or one line lost or doubled."""
    lines = text.split("\n")
    number = chance.randrange(len(lines))
    values = list(re.finditer(r': ("[^"]*"|[\w.-]+)', lines[number]))
    if values and chance.random() < 0.8:
        value = chance.choice(values)
        lines[number] = lines[number][: value.start(1)] + chance.choice(ODD) + lines[number][value.end(1) :]
    elif chance.random() < 0.5:
        del lines[number]
    else:
        lines.insert(number, chance.choice(lines))
    return "\n".join(lines)


def mistakes(path: Path, folder: Path, *, seed: int, number: int) -> None:
    chance = random.Random(seed)
    text = path.read_text(encoding="utf-8")
    for _ in range(number):
        copy = folder / "copy.yaml"
        copy.write_text(mistaken(text, chance), encoding="utf-8")
        check = Check([copy])
        check.problems()
        check.advice()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_mistake_is_answered(path: Path, tmp_path: Path) -> None:
    mistakes(path, tmp_path, seed=1, number=4)


@pytest.mark.long
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_many_mistakes_are_answered(path: Path, tmp_path: Path) -> None:
    mistakes(path, tmp_path, seed=2, number=250)


def test_text_cut_or_stirred_anywhere_is_answered() -> None:
    chance = random.Random(3)
    text = FILES[1].read_text(encoding="utf-8")
    for _ in range(150):
        start = chance.randrange(len(text))
        part = text[start : start + 400]
        broken = "".join(chance.sample(part, len(part))) if chance.random() < 0.5 else part
        node, problems = compose(broken, file="f")
        assert node is not None or problems
