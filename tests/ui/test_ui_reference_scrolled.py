"""Long pages keep their headings in sight; a page that is being worked out lets no key reach the screen behind it."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from helpers.screens import Clock, screen_text, until
from hypothesis import given
from hypothesis import strategies as st

from benchtui.content.library import Library
from benchtui.errors import DesignError
from benchtui.paths import shipped
from benchtui.record.store import Store
from benchtui.ui.app import BenchApp
from benchtui.ui.screens.pages import WorkedPage
from benchtui.ui.view.scrolled import HEADING, scrolled
from benchtui.ui.view.tables import whole_table
from benchtui.ui.view.text import BLANK, Line, line, plain

if TYPE_CHECKING:
    from pathlib import Path

ROWS = [(f"w{number}", "black") for number in range(40)]


def page() -> list[Line]:
    return [line(("J1, faders", "title")), *whole_table(ROWS, 40, head=("wire", "colour")), BLANK, line("the end")]


def test_a_table_keeps_its_title_and_its_heads() -> None:
    shown, _, heads = scrolled(page(), 20, 15)
    assert plain(shown).splitlines()[:3] == ["J1, faders", "wire  colour", "w13   black"]
    assert (len(shown), heads) == (20, 2)
    assert scrolled(page(), 20, 0) == (page()[:20], len(page()) - 18, 0)


def test_the_heads_go_with_their_table() -> None:
    lines = [*page(), line(("J2, rotary controls", "title")), *whole_table(ROWS, 40, head=("pin", "goes to"))]
    text = plain(scrolled(lines, 20, len(page()) + 5)[0]).splitlines()
    assert text[0] == "J2, rotary controls" and text[1].split() == ["pin", "goes", "to"]


def test_heads_that_take_several_lines_stay_whole() -> None:
    lines = whole_table([("a b c d", "x" * 30)] * 30, 16, head=("one two three", "four"))
    count = sum(any(span.role == HEADING for span in row) for row in lines)
    assert count > 1
    assert scrolled(lines, 12, 12)[0][:count] == lines[:count]


@given(st.integers(3, 40), st.lists(st.sampled_from(["title", HEADING, "", "blank"]), max_size=60))
def test_every_line_can_be_reached(height: int, kinds: list[str]) -> None:
    lines = [BLANK if kind == "blank" else line((f"{number}", kind)) for number, kind in enumerate(kinds)]
    _, most, _ = scrolled(lines, height, 0)
    seen: set[int] = set()
    for top in range(most + 1):
        shown, same, heads = scrolled(lines, height, top)
        assert len(shown) <= height and same == most
        seen.update(range(top, top + len(shown) - heads))
    assert seen >= set(range(len(lines)))


async def test_a_page_down_keeps_the_heads_of_the_wiring_list(tmp_path: Path) -> None:
    library = Library.open([shipped("procedures"), shipped("checklists")])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        app = BenchApp(library, store, clock=Clock())
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "At any time")
            await pilot.press("d")
            await until(pilot, "For which design?")
            await pilot.press(*"hollin", "enter")
            await until(pilot, "What do you want to see?")
            await pilot.press(*"building", "enter")
            await until(pilot, "F1.ground")
            await pilot.press("pagedown", "pagedown")
            text = screen_text(app)
            assert "F1.ground" not in text
            head = next(row for row in text.splitlines() if "colour" in row)
            assert head.split() == ["wire", "colour", "gauge", "from", "to", "cut", "mm"]


async def test_keys_wait_while_a_page_is_worked_out(tmp_path: Path) -> None:
    free = threading.Event()

    def slow(width: int) -> list[Line]:
        free.wait(30)
        return [line("here it is")]

    library = Library.open([shipped("procedures"), shipped("checklists")])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        app = BenchApp(library, store, clock=Clock())
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "At any time")
            behind = app.screen
            shown = WorkedPage("Slow", slow)
            app.push_screen(shown)
            await until(pilot, "One moment: it is being worked out. Esc goes back.")
            await pilot.press("space", "enter", "left", "f", "down")  # each would do something on a screen behind
            assert app.screen is shown
            free.set()
            await until(pilot, "here it is")
            await pilot.press("space")
            await pilot.pause()
            assert app.screen is behind


async def test_a_page_that_cannot_be_worked_out_says_why(tmp_path: Path) -> None:
    def refused(width: int) -> list[Line]:
        raise DesignError("this design has no banks", hint="give it one")

    library = Library.open([shipped("procedures")])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        app = BenchApp(library, store, clock=Clock())
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "At any time")
            app.push_screen(WorkedPage("Refused", refused))
            await until(pilot, "this design has no banks")


async def test_the_screen_behind_is_held_until_what_is_looked_at_is_left(tmp_path: Path) -> None:
    library = Library.open([shipped("procedures"), shipped("checklists")])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        app = BenchApp(library, store, clock=Clock())
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, "At any time")
            behind = app.screen
            await pilot.press("d")
            await until(pilot, "For which design?")
            await pilot.press(*"wing", "enter")
            await until(pilot, "What do you want to see?")
            assert behind.check_action("find", ()) is False  # type: ignore[attr-defined]
            await pilot.press("escape")
            await until(pilot, "At any time")
            assert behind.check_action("find", ()) is True  # type: ignore[attr-defined]
