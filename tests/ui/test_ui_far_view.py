"""Tall characters, the far-reading layout, the grid over repeats, and the list of defects."""

from __future__ import annotations

import pytest
from helpers.demo_plan import plain_plan

from benchtui.jobs.events import CautionAcknowledged, DefectFound, DispositionGiven, JobStarted, ReadingTaken, StepDone
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.state import advance, begin
from benchtui.ui.view.defects import defect_rows
from benchtui.ui.view.far import far_page, grid
from benchtui.ui.view.shapes import ASCII, UNICODE
from benchtui.ui.view.step import Sight
from benchtui.ui.view.tall import GLYPHS, HEIGHT, tall
from benchtui.ui.view.text import plain, width_of


def start() -> JobState:
    plan = plain_plan()
    return begin(plan, JobStarted(plan="p", procedure=plan.id), job="JAAAAA", unit="HCD-003-K")


def done(state: JobState, *keys: str) -> JobState:
    for key in keys:
        for caution in state.unread(key):
            state = advance(state, CautionAcknowledged(step=key, caution=caution.id, digest=caution.digest))
        state = advance(state, StepDone(step=key))
    return state


def test_every_tall_character_is_five_rows_of_one_width() -> None:
    # NUREG-0700 1.3.1-4; ISO 9241-303: the digits are at least five rows high.
    for character, rows in GLYPHS.items():
        assert len(rows) == HEIGHT, character
        assert len({len(row) for row in rows}) == 1, character


@pytest.mark.parametrize("text", ["4.0 kΩ - 6.0 kΩ", "3.3 V", "29:58", "F3"])
def test_a_value_comes_tall_and_fits(text: str) -> None:
    lines = tall(text, 80)
    assert len(lines) == HEIGHT
    assert all(width_of(row) <= 80 for row in lines)


def test_what_cannot_be_tall_comes_as_usual_text() -> None:
    assert plain(tall("5.1 kΩ, about", 80)) == "5.1 kΩ, about"
    assert plain(tall("1234567890 1234567890", 20)) == "1234567890 1234567890"


@pytest.mark.parametrize("key", [step.key for step in plain_plan().steps])
def test_a_step_read_from_afar_keeps_cautions_limits_and_holds(key: str) -> None:
    state = start()
    text = plain(far_page(state, Sight(key=key), width=80, height=20, shapes=UNICODE))
    step = state.plan.step(key)
    assert len(text.split("\n")) <= 20
    assert " ".join(step.text.split()[:3]) in text
    if step.hold:
        assert "HOLD POINT" in text
    for caution in step.cautions:
        assert caution.hazard[:20] in text


def test_an_unread_caution_comes_before_anything_else_from_afar_too() -> None:
    state = done(start(), "lay-out", "wipe")
    text = plain(far_page(state, Sight(key=state.current), width=80, height=20, shapes=UNICODE))
    assert "Rosin fume" in text
    assert "Solder" not in text


def test_the_grid_names_what_is_missing() -> None:
    state = done(start(), "lay-out", "wipe", "solder@F1")
    text = plain(grid(state, "solder", "solder@F2", width=60, shapes=UNICODE))
    assert "● F1" in text
    assert "▸○ F2" in text
    assert "still to do: F2" in text
    assert "(x) F1" in plain(grid(state, "solder", "solder@F2", width=60, shapes=ASCII))


def test_a_reading_stands_in_its_cell() -> None:
    state = done(start(), "lay-out", "wipe", "solder@F1", "solder@F2")
    taken = ReadingTaken(step="bank-ohms", typed="5.1k", value=5100.0, quantity="resistance", verdict="pass")
    text = plain(grid(advance(state, taken), "bank-ohms", "", width=60, shapes=UNICODE))
    assert "5.1 kΩ ●" in text


def test_defects_say_what_comes_next() -> None:
    state = start()
    assert [row.id for row in defect_rows(state, UNICODE)] == ["", "new", "unit"]
    state = advance(state, DefectFound(defect="D1", text="lever scrapes", step="lever"))
    state = advance(state, DefectFound(defect="D2", text="scratch", step=""))
    state = advance(state, DispositionGiven(defect="D2", disposition="use as is", reason="under the label"))
    rows = defect_rows(state, UNICODE)
    assert rows[1].id == "defect:D1"
    assert rows[1].under == "next: decide what is to be done"
    assert rows[2].under.startswith("nothing more; decided: use as is, because under the label")
