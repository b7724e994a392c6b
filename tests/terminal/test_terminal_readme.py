"""The screens in the README are the program's own; `pytest --update-screens tests/terminal` draws them anew."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.tour import tour

README = Path(__file__).resolve().parents[2] / "README.md"
_BLOCK = re.compile(r"(<!-- screen: (?P<name>\w+) -->\n```text\n)(?P<text>.*?)(\n```)", re.S)


@pytest.mark.terminal
def test_the_screens_of_the_readme_are_those_of_the_program(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    shown = tour(tmp_path)
    readme = README.read_text(encoding="utf-8")
    blocks = {match["name"]: match["text"] for match in _BLOCK.finditer(readme)}
    assert set(blocks) == set(shown)
    if request.config.getoption("--update-screens"):
        README.write_text(
            _BLOCK.sub(lambda match: match[1] + shown[match["name"]].rstrip() + match[4], readme), encoding="utf-8"
        )
        return
    for name, text in shown.items():
        assert _settled(blocks[name]) == _settled(text), name


def _settled(text: str) -> str:
    """A screen without the runner-up's minutes: they sharpen while one reads, and so depend on the machine."""
    return "\n".join(line for line in text.rstrip().splitlines() if not line.startswith(" r  or:"))
