"""The line mode names its own words, and not the keys of the pages."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchtui.ui import other_marks, waits, why_again, work
from benchtui.ui.lines.words import in_words
from benchtui.ui.view import stopped

KEYS = re.compile(
    r"\b(?:Space|Esc|[ucmxdeqr]) (?:keeps|goes|opens|measures|writes|begins|ends|puts|leaves|takes|shows)\b"
)


@pytest.mark.parametrize("module", [work, other_marks, stopped, why_again, waits])
def test_no_reply_of_the_work_names_a_key_of_a_page(module: object) -> None:
    source = Path(str(module.__file__)).read_text(encoding="utf-8")  # type: ignore[attr-defined]
    texts = [text for text in re.findall(r'f?"((?:[^"\\]|\\.)*)"', source) if KEYS.search(text)]
    for text in texts:
        said = re.sub(r"m READING measures|early ends", "", in_words(text))
        assert not KEYS.search(said), f"by lines this is said: {said}"
