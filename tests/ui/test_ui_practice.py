"""Practice is kept apart from the real record and marked on every screen.

Row J8 (MIL-STD-1472E 5.15.8.13.3 and .4: real data kept apart from practice data, practice marked on each display).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.screens import Clock, running, screen_text, until

from benchtui.cli import _screen_options
from benchtui.errors import JobError
from benchtui.paths import is_practice, practice_file, record_file
from benchtui.record.store import Store
from benchtui.ui import flows

if TYPE_CHECKING:
    from pathlib import Path


async def test_practice_is_marked_on_every_screen_and_releases_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("helpers.screens.RECORD", "practice.sqlite")
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as real:
        real.append("note", data={"text": "real"})
    before = (tmp_path / "record.sqlite").read_bytes()
    async with running(tmp_path, plans={"hollin-wiring": demo_plan()}) as (app, pilot):
        for keys in ((), ("f1",), ("escape", "f9"), ("escape", "u"), ("escape", "c"), ("escape", "slash"), ("escape",)):
            for key in keys:
                await pilot.press(key)
            await pilot.pause()
            marks_both_lines(await until(pilot, " PRACTICE "))
        app.go(flows.work_on(app, app.bench.start("hollin-wiring", "HCD-003-K")))
        for key in ("", "space", "space", "e", "space"):
            if key:
                await pilot.press(key)
            await pilot.pause()
            marks_both_lines(await until(pilot, "unit HCD-003-K"))
        with pytest.raises(JobError, match="this is practice"):
            app.units.release("HCD-003-K", by="Bo", conditional="a show")
    assert (tmp_path / "record.sqlite").read_bytes() == before, "the real record is untouched"


def marks_both_lines(text: str) -> None:
    first, second = text.split("\n")[:2]
    assert first.startswith(" PRACTICE"), text
    assert second.startswith(" PRACTICE"), text


async def test_the_real_record_bears_no_mark(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        await pilot.pause()
        assert "PRACTICE" not in screen_text(app)


def test_practice_is_an_option_with_a_file_of_its_own() -> None:
    assert _screen_options(["--practice"]).record == practice_file()
    assert practice_file() != record_file()
    assert is_practice(practice_file())
    assert not is_practice(record_file())
