"""What the open standards ask of a screen, where no other test says so.

Rows C12, E4, K3 and K4 (DOE-STD-1029; Degani and Wiener; no-color.org; WCAG 2.2, 2.3.1).
"""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.jobs import BANK, after, plan, started, step
from helpers.screens import running, until

import benchtui.ui
from benchtui.jobs.events import Suspended
from benchtui.ui.app import BenchApp
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.themes import PLAIN
from benchtui.ui.view.resume import Return, resume_lines
from benchtui.ui.view.shapes import ASCII
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from collections.abc import Mapping


def test_after_a_break_a_look_at_the_last_steps_is_offered() -> None:
    # Row C12 (DOE-STD-1029; Altmann and Trafton): the memory of having done it is not to be trusted.
    state = after(started(demo_plan()), Suspended())
    said = plain(resume_lines(state, Return(), width=80, gone=timedelta(hours=9), shapes=ASCII))
    assert "A look at the last steps before going on is worth its minute" in said


async def test_the_field_of_a_reading_is_empty_whatever_was_read_before(tmp_path: Path) -> None:
    # Row E4 (Degani: the response is the actual value): neither the nominal nor the last reading stands in it.
    text = plan(step("bank", "measure", limits=BANK), step("again", "measure", limits=BANK))
    async with running(tmp_path, plans={text.id: text}) as (app, pilot):
        run = app.bench.start(text.id, "HCD-001-R")
        run.read("2.4")
        app.push_screen(StepScreen(run))
        await until(pilot, "step 1 of 2")
        screen = app.screen
        assert isinstance(screen, StepScreen)
        await pilot.press("2")
        await until(pilot, "enter")
        assert screen.prompt.asking
        assert screen.prompt.field.value == "2", "only what was typed"


@pytest.mark.parametrize(
    ("variables", "plainly"), [({}, False), ({"NO_COLOR": ""}, False), ({"NO_COLOR": "1"}, True)], ids=str
)
def test_no_color_counts_only_where_it_says_something(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, variables: Mapping[str, str], plainly: bool
) -> None:
    # Row K3 (no-color.org): "when present and not an empty string".
    from helpers.screens import FakeLibrary

    from benchtui.record.store import Store

    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    with Store.open(tmp_path / "record.sqlite") as store:
        app = BenchApp(FakeLibrary(), store, sums=tmp_path / "sums.jsonl")  # type: ignore[arg-type]
        assert (app.theme == PLAIN.name) is plainly


def test_nothing_on_any_screen_flashes() -> None:
    # Row K4 (WCAG 2.2, 2.3.1; MIL-STD-1472): no text blinks, in the style sheet or in a line.
    folder = Path(benchtui.ui.__file__).parent
    for file in [*folder.rglob("*.py"), *folder.rglob("*.tcss")]:
        assert "blink" not in file.read_text(encoding="utf-8").replace("cursor_blink = False", ""), file
