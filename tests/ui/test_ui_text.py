"""Lines of text: fitting, wrapping, and making harmless what comes from files and keys."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchtui.ui.view import text as t


def texts(lines: list[t.Line]) -> list[str]:
    return t.plain(lines).split("\n")


def test_a_line_too_long_ends_in_an_ellipsis() -> None:
    assert t.plain([t.cut(t.line("Solder the three wires"), 10)]) == "Solder th…"


def test_wide_characters_count_as_two_cells() -> None:
    row = t.cut(t.line("日本語のラベル"), 7)
    assert t.width_of(row) <= 7


def test_a_line_spread_over_the_width_keeps_its_right_end() -> None:
    row = t.spread(t.line("a title that is far too long for this"), t.line("step 3 of 9"), 30)
    assert t.plain([row]).endswith("step 3 of 9")
    assert t.width_of(row) == 30


def test_text_wraps_between_words_and_hangs_under_its_label() -> None:
    lines = t.wrap("red probe on J2 pin 3, black probe on J2 pin 1", 30, first="probes   ")
    assert texts(lines) == ["probes   red probe on J2 pin", "         3, black probe on J2", "         pin 1"]


@given(st.text(), st.integers(10, 60))
def test_no_wrapped_line_is_wider_than_asked(words: str, width: int) -> None:
    for row in t.wrap(words, width, first="note "):
        assert t.width_of(row) <= width


@given(st.text())
def test_no_control_character_reaches_the_screen(words: str) -> None:
    # CWE-150: escape sequences from a borrowed file must not be obeyed by the terminal.
    for row in t.wrap(words, 40):
        for span in row:
            assert not any(ord(character) < 32 or 127 <= ord(character) < 160 for character in span.text)


@pytest.mark.parametrize("words", ["[x", "[/]", "[bold", "[bold]loud[/bold]", "5 < 6 & [ohm]"])
def test_square_brackets_stay_as_they_are(words: str) -> None:
    assert t.plain(t.wrap(words, 60)) == words


def test_a_table_gives_up_width_in_its_widest_column() -> None:
    rows = t.table([("F1-1", "a very long description of a wire", "black")], 30, head=("wire", "what", "colour"))
    assert all(t.width_of(row) <= 30 for row in rows)
    assert "F1-1" in t.plain(rows)
    assert "black" in t.plain(rows)


def test_any_share_above_nothing_shows_in_a_bar() -> None:
    assert t.bar(0.001, 10).startswith("▌")
    assert t.bar(1.0, 10) == "█" * 10
    assert t.bar(0.0, 10) == "·" * 10
