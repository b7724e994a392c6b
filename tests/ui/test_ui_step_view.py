"""The step page: what stands where, and that all of it is in sight at 80 columns by 24 lines."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers.demo_plan import ACRYLIC, IRON, demo_plan, plain_plan

from benchtui.jobs.events import (
    CautionAcknowledged,
    JobStarted,
    NoteAdded,
    ReadingTaken,
    StepBegun,
    StepDone,
    StepReopened,
    StepSkipped,
)
from benchtui.jobs.jobstate import JobState
from benchtui.jobs.plan import Caution, Plan
from benchtui.jobs.state import advance, begin
from benchtui.jobs.steps import Status
from benchtui.ui.view.contents import contents
from benchtui.ui.view.head import job_head
from benchtui.ui.view.shapes import ASCII, UNICODE
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import plain, width_of

HEIGHT = 20
"""Lines of the body at 80 by 24."""


def start(plan: Plan | None = None) -> JobState:
    plan = plan or plain_plan()
    event = JobStarted(plan="p", procedure=plan.id, title=plan.title)
    return begin(plan, event, job="JAAAAA", unit="HCD-003-K", time="2026-03-02T09:30:00+01:00")


def done(state: JobState, *keys: str) -> JobState:
    for key in keys:
        for caution in state.unread(key):
            state = advance(state, CautionAcknowledged(step=key, caution=caution.id, digest=caution.digest))
        state = advance(state, StepDone(step=key))
    return state


def page(state: JobState, key: str = "", *, width: int = 80, height: int = HEIGHT, **more: object) -> str:
    sight = Sight(key=key or state.current, **more)  # type: ignore[arg-type]
    return plain(step_page(state, sight, width=width, height=height, shapes=UNICODE).lines)


@pytest.mark.parametrize("key", [step.key for step in plain_plan().steps])
def test_the_head_names_design_unit_procedure_revision_and_place(key: str) -> None:
    # NUREG-0700 section 8: title, revision and place are always shown.
    text = plain(job_head(start(), 80, UNICODE, key=key))
    number = plain_plan().step(key).number
    for part in ("Hollin cue desk", "unit HCD-003-K", "Wire the fader bank", "revision 3", f"step {number} of 10"):
        assert part in text
    assert "F9" in text


def test_previous_current_and_next_step_are_in_sight() -> None:
    # INL/EXT-13-30183: one step in focus, the next one visible.
    text = page(done(start(), "lay-out")).split("\n")
    assert "Lay the panel face down" in text[0]
    assert any("Wipe the panel" in row for row in text[2:-2])
    assert "Solder the three wires of F1" in text[-1]


def test_the_caution_stands_before_the_step_on_the_same_page() -> None:
    # MIL-DTL-87268D 3.2.2.4; ANSI Z535.6: the safety message precedes the step it belongs to.
    text = page(done(start(), "lay-out", "wipe"))
    assert text.index("WARNING") < text.index("Solder the three wires of F1 to its lugs")
    assert text.index("WARNING   1 of 2") < text.index("CAUTION   2 of 2"), "the gravest first"


def three_cautions(words: int) -> JobState:
    """A job at a step with three cautions of some length."""
    plan = plain_plan()
    steps = list(plan.steps)
    at = plan.places["solder@F1"]
    model = next(each for each in steps[at].cautions if each.person)
    cautions = tuple(
        replace(model, id=f"c{number}", hazard=f"Hazard {number}: {'word ' * words}".strip()) for number in range(3)
    )
    steps[at] = replace(steps[at], cautions=cautions)
    return done(start(replace(plan, steps=tuple(steps))), "lay-out", "wipe")


def test_cautions_that_stand_whole_on_one_page_are_read_together() -> None:
    # MIL-STD-411F 5.2.5.3: all were on the screen before it is left.
    state = three_cautions(5)
    shown = step_page(state, Sight(key="solder@F1", armed=True), width=80, height=40, shapes=UNICODE)
    text = plain(shown.lines)
    assert [caution.id for caution in shown.cautions] == ["c0", "c1", "c2"]
    for caution in shown.cautions:
        for words in (caution.hazard, caution.avoid, caution.consequence):
            assert " ".join(words.split()) in " ".join(text.split()), "each whole, none in short"
    assert "press  a  when you have read all 3; the step opens then" in text


def test_three_long_cautions_take_three_pages_of_80_by_24() -> None:
    # Row D7 of the menu, MIL-STD-411F 5.2.5.3: none is cut, and none is left before it was on the screen.
    state = three_cautions(110)
    seen = []
    for number in range(3):
        shown = step_page(state, Sight(key="solder@F1", armed=True), width=80, height=HEIGHT, shapes=UNICODE)
        text = plain(shown.lines)
        assert f"{number + 1} of 3" in text
        assert ("the next caution opens then" in text) is (number < 2)
        seen += [caution.id for caution in shown.cautions]
        state = replace(state, acknowledged=state.acknowledged | {(each.digest, "solder") for each in shown.cautions})
    assert seen == ["c0", "c1", "c2"]


@pytest.mark.parametrize("height", range(14, 40))
@pytest.mark.parametrize("words", [1, 20, 60])
def test_no_caution_is_cut_while_another_could_wait(height: int, words: int) -> None:
    state = three_cautions(words)
    shown = step_page(state, Sight(key="solder@F1"), width=80, height=height, shapes=UNICODE)
    if len(shown.cautions) > 1:
        text = " ".join(plain(shown.lines).split())
        assert all(" ".join(caution.hazard.split()) in text for caution in shown.cautions)
        assert "read both" in text or "read all 3" in text
        assert "Solder the three wires of F1" in text, "what the step is stays in sight"


def test_the_key_is_named_only_when_it_counts() -> None:
    state = done(start(), "lay-out", "wipe")
    assert "when you have read" not in page(state)
    assert "press  a  when you have read both; the step opens then" in page(state, armed=True)


def test_cautions_once_read_stay_on_the_page_in_short() -> None:
    state = done(start(), "lay-out", "wipe", "solder@F1")
    text = page(state)
    assert state.unread("solder@F2") == ()
    assert "Rosin fume" in text
    assert "350 °C" in text


@pytest.mark.parametrize("key", [step.key for step in plain_plan().steps])
def test_every_step_fits_a_screen_of_80_by_24(key: str) -> None:
    # MIL-STD-2106: a step with its warnings and limits on one page. Cautions are taken one at a time.
    lines = step_page(start(), Sight(key=key), width=80, height=HEIGHT, shapes=UNICODE)
    assert lines.most == 0
    assert len(lines.lines) == HEIGHT
    assert all(width_of(row) <= 80 for row in lines.lines)


def test_a_step_that_does_not_fit_says_so_and_scrolls() -> None:
    state = start()
    long = replace(state.plan.steps[0], detail=tuple(f"line {number}" for number in range(30)))
    plan = replace(state.plan, steps=(long, *state.plan.steps[1:]))
    first = step_page(start(plan), Sight(key="lay-out"), width=80, height=HEIGHT, shapes=UNICODE)
    assert first.most > 0
    assert "more below" in plain(first.lines)
    last = step_page(start(plan), Sight(key="lay-out", top=first.most), width=80, height=HEIGHT, shapes=UNICODE)
    assert "line 29" in plain(last.lines)


def test_wires_show_both_ends_colour_word_and_gauge() -> None:
    text = page(done(start(), "lay-out", "wipe", "solder@F1"))
    for part in ("F2-1", "black", "0.14 mm²", "F2 lug 1", "J2 pin 4"):
        assert part in text


def test_a_measure_step_shows_limits_probes_and_power() -> None:
    text = page(start(), "bank-ohms")
    for part in ("4.0 kΩ to 6.0 kΩ", "red probe on J2 pin 3", "with the power OFF", "required test"):
        assert part in text
    assert "5.0 kΩ" not in text, "no expected reading that could be typed by reflex"


def test_the_working_is_one_key_away() -> None:
    text = page(start(), "bank-ohms", working=True)
    assert "two elements of 10 kΩ ±20 % in parallel" in text
    assert "source: maker's data sheet" in text


def test_looking_elsewhere_says_where_the_work_is() -> None:
    # MIL-PRF-87268: look-ahead never marks, and shows both places.
    assert "Looking at step 6; the work is at step 1." in page(start(), "lever")


def test_a_reading_and_its_verdict_show_in_word_and_shape() -> None:
    state = start()
    for key in ("lay-out", "wipe", "solder@F1", "solder@F2"):
        state = done(state, key)
    taken = ReadingTaken(step="bank-ohms", typed="8k", value=8000.0, quantity="resistance", verdict="fail")
    state = advance(state, taken)
    assert "8 kΩ  ✗ fail" in page(state)


def test_every_mark_has_its_own_word_and_shape() -> None:
    # NUREG-0700; WCAG 2.2, 1.4.1: not by colour alone.
    for shapes in (UNICODE, ASCII):
        assert len({shapes.status(status) for status in Status}) == len(Status)
    assert len({str(status) for status in Status}) == len(Status)


def test_brief_text_never_hides_cautions_limits_or_holds() -> None:
    # MIL-PRF-87268; S1000D skill level.
    state = done(start(), "lay-out", "wipe", "solder@F1")
    brief = page(state, brief=True)
    assert "Solder F2." in brief
    assert "3 seconds a lug" not in brief
    for kept in ("Rosin fume", "350 °C and burns", "J2 pin 4"):
        assert kept in brief


def test_a_hazard_that_stands_is_named_in_the_head_until_it_ends() -> None:
    plan = replace(plain_plan(), order="any")
    state = start(plan)
    caution = plan.step("first-power").cautions[0]
    state = advance(state, CautionAcknowledged(step="first-power", caution=caution.id, digest=caution.digest))
    # The hold point comes after nothing in an "any" order, so it can be begun at once.
    state = advance(state, StepBegun(step="first-power"))
    assert "POWER ON" in plain(job_head(state, 80, UNICODE))


def test_notes_and_reasons_stay_with_the_step() -> None:
    state = advance(start(), NoteAdded(step="lay-out", text="clip is stiff, push left"))
    state = advance(state, StepSkipped(step="lay-out", reason="no mat here"))
    text = page(state, "lay-out")
    assert "clip is stiff, push left" in text
    assert "no mat here" in text
    assert "1 skipped" in plain(job_head(state, 80, UNICODE))


@pytest.mark.parametrize("words", ["[x", "[/]", "[bold", "\x1b[2Jgone", "\u202eoverridden", "x" * 500])
def test_text_from_a_file_is_shown_as_it_is_and_does_no_harm(words: str) -> None:
    state = start()
    bad = Caution(id="c", signal="WARNING", hazard=words, avoid=words, person=True)
    step = replace(state.plan.steps[0], text=words, detail=(words,), accept=words, section=words, cautions=(bad,))
    plan = replace(state.plan, steps=(step, *state.plan.steps[1:]), title=words)
    text = page(start(plan)) + plain(job_head(start(plan), 80, UNICODE))
    if words.startswith("["):
        assert words in text
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_the_list_of_steps_keeps_the_step_in_sight() -> None:
    state = start(demo_plan())
    rows = plain(contents(state, "sign", width=38, height=8, shapes=UNICODE))
    assert "▸○ 10 Sign" in rows


def test_notice_comes_without_the_sign_for_injury() -> None:
    # ANSI Z535.6: the safety alert symbol is for personal injury only.
    text = page(done(start(), "lay-out"))
    row = next(row for row in text.split("\n") if ACRYLIC.hazard[:10] in row)
    assert row.startswith(" NOTICE ")
    assert IRON.signal == "CAUTION"


def test_a_step_begun_anew_says_why_it_was_opened_again() -> None:
    state = done(start(), "lay-out")
    state = advance(state, StepReopened(step="lay-out", reason="rework of defect D1"))
    state = advance(state, StepBegun(step="lay-out"))
    assert "reopened: rework of defect D1" in page(state, "lay-out")
