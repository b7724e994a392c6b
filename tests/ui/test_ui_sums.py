"""The calculators on the screen: the list, the answer at every key, and what is wrong in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.screens import check_saved, running, screen_text, until
from textual.events import Key, Paste

from benchtui.calc.catalogue import everything, get
from benchtui.calc.run import run
from benchtui.errors import CalcError
from benchtui.jobs.passport import said
from benchtui.record.search import look
from benchtui.ui.screens.sums import SumScreen
from benchtui.ui.sums_done import KEPT, SumsDone
from benchtui.ui.view import sums as view
from benchtui.ui.view.rows import matching
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import clean, line, plain, width_of
from benchtui.ui.widgets.form import AmountField, Form

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
    assert "1.498 V to 1.702 V" in plain(lines)
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


def test_the_words_of_an_empty_field_fit_into_it_and_the_line_below_says_them_whole() -> None:
    for one in everything().values():
        for entry in one.inputs:
            assert width_of(line(view.field_hint(entry))) <= view.FIELD, (one.name, entry.key)
            whole = view.field_help(entry)
            assert all(choice in whole for choice in entry.choices)
            assert entry.default in whole
            assert width_of(line(view.field_label(entry))) < max(view.label_width(one), 22)


async def test_a_text_longer_than_its_field_scrolls_and_shows_its_end(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider")))
        await pilot.pause()
        await pilot.press(*"1234567890", *"abcdefghijklmnopqrst")
        await until(pilot, "klmnopqrst")
        assert "123456" not in screen_text(app).splitlines()[2]
        await pilot.press("home")
        await until(pilot, "1234567890")


async def test_sums_done_before_are_there_again_in_the_next_sitting(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider"), TYPED))
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("led")))
        await pilot.pause()
        await pilot.press("f5")
        await until(pilot, "Voltage divider: supply 5 V ±5 %, top 10k 1%")
        await pilot.press("enter")
        await until(pilot, "1.599 V")


def test_a_damaged_list_of_sums_loses_only_the_damaged_line(tmp_path: Path) -> None:
    path = tmp_path / "sums.jsonl"
    path.write_text(
        '{"sum": "led", "typed": {"current": "5 mA"}}\n[1]\n{"sum": 3}\n{"sum": "wire", "ty', encoding="utf-8"
    )
    done = SumsDone(path)
    assert done.sums == [("led", {"current": "5 mA"})]
    done.add("wire", {"length": "2 m", "gauge": ""})
    done.add("led", {"current": "5 mA"})
    assert SumsDone(path).sums == [("wire", {"length": "2 m"}), ("led", {"current": "5 mA"})]


def test_the_list_of_sums_does_not_grow_without_end(tmp_path: Path) -> None:
    done = SumsDone(tmp_path / "sums.jsonl")
    for number in range(3 * KEPT):
        done.add("led", {"current": f"{number} mA"})
    assert len((tmp_path / "sums.jsonl").read_text(encoding="utf-8").splitlines()) <= 2 * KEPT
    assert SumsDone(tmp_path / "sums.jsonl").sums == done.sums
    assert done.sums[-1] == ("led", {"current": f"{3 * KEPT - 1} mA"})


def test_with_nowhere_to_write_the_sums_stay_for_the_sitting(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    done = SumsDone(tmp_path / "file" / "sums.jsonl")
    done.add("led", {"current": "5 mA"})
    assert done.sums == [("led", {"current": "5 mA"})]
    read_only = SumsDone(tmp_path / "sums.jsonl", read_only=True)
    read_only.add("led", {"current": "5 mA"})
    assert not (tmp_path / "sums.jsonl").exists()


async def test_an_answer_can_be_kept_on_the_record_of_a_unit_and_read_there(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.start("hollin-wiring", "HCD-1")
        app.push_screen(SumScreen(get("divider"), TYPED))
        await pilot.pause()
        await pilot.press("f3")
        await pilot.pause()
        await pilot.press("n", *"HCD-2", "enter")
        await until(pilot, "there is no unit HCD-2 in this record")
        await pilot.press(*"HCD-1", "enter")  # what was refused is selected: the next key replaces it
        await pilot.pause()
        event = app.store.events()[-1]
        assert (event.kind, event.unit) == ("sum", "HCD-1")
        assert event.data["calculator"] == "divider"
        told = said(event.kind, event.data)
        assert "Voltage divider: supply 5 V ±5 %, top 10k 1%" in told
        assert "output 1.599 V (1.498 V to 1.702 V)" in told
        assert look(app.store, "divider 1.599").events[0] == event


async def test_an_untouched_form_marks_nothing_and_a_slip_is_told_before_the_rest_is_typed(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("resistor-marking")))
        await until(pilot, "Reads bands and codes")
        assert UNICODE.failed not in screen_text(app)
        app.push_screen(SumScreen(get("led")))
        await pilot.pause()
        await pilot.press("5")
        await until(pilot, "has no unit")
        await pilot.press("f6", "down", "f6", "3")
        assert app.screen.query_one("#field-supply", AmountField).value == "3"


async def test_pasted_lines_all_arrive_on_one_line(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("divider")))
        await pilot.pause()
        app.post_message(Paste("5 V\n 10k\n"))
        await pilot.pause()
        assert app.screen.query_one("#field-supply", AmountField).value == "5 V 10k"


async def test_fields_and_tabs_in_one_burst_go_where_they_belong(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.push_screen(SumScreen(get("led")))
        await pilot.pause()
        for character in "3.3 V\t2 V\t5 mA":
            app.post_message(Key("tab" if character == "\t" else character, None if character == "\t" else character))
        await until(pilot, "preferred")
        texts = app.screen.query_one(Form).texts
        assert (texts["supply"], texts["forward-voltage"], texts["current"]) == ("3.3 V", "2 V", "5 mA")
