"""The calculators on the screen: the list, the answer at every key, and what is wrong in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.screens import check_saved, running, screen_text

from benchtui.calc.catalogue import everything, get
from benchtui.calc.run import run
from benchtui.errors import CalcError
from benchtui.ui.screens.sums import SumScreen
from benchtui.ui.view import sums as view
from benchtui.ui.view.rows import matching
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import clean, plain, width_of
from benchtui.ui.widgets.form import AmountField

if TYPE_CHECKING:
    from pathlib import Path

TYPED = {"supply": "5 V ±5 %", "top": "10k 1%", "bottom": "4k7 1%"}


@pytest.mark.parametrize("typed", ["div", "volt div", "DIVIDER"])
def test_a_calculator_is_found_by_a_few_letters(typed: str) -> None:
    assert "divider" in [row.id for row in matching(view.sum_rows(everything().values()), typed)]


def test_every_calculator_has_a_line_and_fits_the_answer_column() -> None:
    for one in everything().values():
        lines = view.waiting_lines(one, view.still_needed(one, {}), 37)
        assert all(width_of(row) <= 37 for row in lines)


def test_the_answer_shows_value_and_worst_case_on_lines_that_fit() -> None:
    result = run(get("divider"), TYPED)
    lines = view.result_lines(result, width=37, shapes=UNICODE)
    assert "1.599 V" in plain(lines)
    assert "1.498 V to 1.701 V" in plain(lines)
    assert all(width_of(row) <= 37 for row in lines)


def test_the_working_names_formula_meaning_and_sources() -> None:
    result = run(get("divider"), TYPED)
    text = plain(view.working_lines(get("divider"), result, 60))
    assert get("divider").formula.split("=")[0].strip() in text
    assert "Sources" in text
    assert "worst case" in text


def test_the_copied_answer_says_what_was_typed() -> None:
    text = view.result_text(get("divider"), run(get("divider"), TYPED), UNICODE)
    for part in ("Voltage divider", "supply: 5 V ±5 %", "1.599 V", "Sources"):
        assert part in text


def test_what_is_wrong_is_one_sentence_with_what_to_type_instead() -> None:
    with pytest.raises(CalcError) as caught:
        run(get("divider"), {"supply": "5 ohm", "top": "10k", "bottom": "4k7"})
    text = view.problem_text(caught.value)
    assert text[0].isupper() or text[0] == "'"
    assert "\n" not in text


async def test_the_answer_follows_every_key_and_the_field_keeps_nonsense(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider"), TYPED))
        await pilot.pause()
        await check_saved(app, "sum_80x24", request)
        await pilot.press("x")
        field = app.screen.query_one("#field-supply", AmountField)
        assert field.value == "5 V ±5 %x"
        assert "not" in screen_text(app)
        await pilot.press("backspace", "f4")
        assert "How it comes about" in screen_text(app)


@pytest.mark.parametrize("words", ["[x", "[/]", "[bold", "9**9**9", "\x1b[31m", "nan"])
async def test_hostile_text_in_a_field_does_no_harm(tmp_path: Path, words: str) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider"), {**TYPED, "top": words}))
        await pilot.pause()
        assert app.screen.query_one("#field-top", AmountField).value == clean(words)
        assert "\x1b" not in screen_text(app)


async def test_space_goes_through_the_choices_of_a_field(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider"), TYPED))
        await pilot.pause()
        field = app.screen.query_one("#field-series", AmountField)
        field.focus()
        await pilot.press("space", "space")
        assert field.value == field.entry.choices[1]


async def test_an_answer_can_be_kept_on_the_record_of_a_unit(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider"), TYPED))
        await pilot.pause()
        await pilot.press("f3")
        await pilot.pause()
        await pilot.press("n", *"HCD-1", "enter")
        await pilot.pause()
        event = app.store.events()[-1]
        assert (event.kind, event.unit) == ("sum", "HCD-1")
        assert event.data["calculator"] == "divider"
