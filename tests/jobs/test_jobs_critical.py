"""Critical lines of a checklist and its aim: row G4 and G2 (Degani and Wiener 1990; Gawande 2009)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import at, plan, started, step

from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.expand import expand_checklist
from benchtui.jobs.revision import reopened_by
from benchtui.jobs.state import advance
from benchtui.jobs.steps import Status
from benchtui.paper.html import html
from benchtui.paper.sheets import checklist_sheet
from benchtui.paper.source import Source
from benchtui.ui.view.contents import contents
from benchtui.ui.view.far import far_page
from benchtui.ui.view.head import job_head
from benchtui.ui.view.shapes import ASCII
from benchtui.ui.view.spoken import step_said
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState

LIBRARY = Library.open()


def in_hand(id: str) -> JobState:
    return started(expand_checklist(LIBRARY.checklist(id), None, {}, digest="0" * 64))


def shown(state: JobState, sight: Sight) -> str:
    return plain(step_page(state, sight, width=80, height=20, shapes=ASCII).lines)


@pytest.mark.parametrize("event", [ev.StepNotApplicable, ev.StepSkipped])
def test_a_critical_line_is_answered_and_never_left_out(event: type[ev.StepSkipped | ev.StepNotApplicable]) -> None:
    state = in_hand("start-of-bench-work")
    with pytest.raises(JobError, match="step 1 is a critical line: it cannot be"):
        advance(state, event(step="plug", reason="in a hurry"), time=at(1))
    for key in ("plug", "strap", "glasses"):
        state = advance(state, ev.StepDone(step=key), time=at(1))
    assert advance(state, event(step="fume", reason="outdoors"), time=at(2))["fume"].settled


def test_a_critical_line_that_is_not_so_lets_nothing_past() -> None:
    state = advance(in_hand("start-of-bench-work"), ev.StepFailed(step="plug", reason="it is in"), time=at(1))
    state = advance(state, ev.DefectFound(defect="D1", text="it is in", step="plug"), time=at(1))
    assert not state.passable("plug")
    assert "critical line failed" in plain(job_head(state, 100, ASCII))


def test_a_line_called_not_applicable_that_an_edit_makes_critical_is_open_again() -> None:
    old = plan(step("plug", "observe"), step("food", "observe"))
    state = started(old)
    for key in ("plug", "food"):
        event = ev.StepDone(step=key) if key == "plug" else ev.StepNotApplicable(step=key, reason="none here")
        state = advance(state, event, time=at(1))
    assert state["food"].status is Status.NOT_APPLICABLE
    new = replace(old, revision=2, steps=tuple(replace(each, critical=True) for each in old.steps))
    assert reopened_by(state, new) == ("food",)


def test_critical_is_a_word_on_every_screen_and_on_paper_and_not_a_colour_alone() -> None:
    state = in_hand("start-of-bench-work")
    at_it, later = Sight(key="plug"), Sight(key="food")
    assert "CRITICAL LINE" in shown(state, at_it)
    assert "CRITICAL LINE" not in shown(state, later)
    assert "CRITICAL LINE" in plain(far_page(state, at_it, width=80, height=20, shapes=ASCII))
    listed = plain(contents(state, "plug", width=80, height=20, shapes=ASCII))
    assert listed.count("CRITICAL: ") == 3
    assert "This is a critical line." in step_said(state, "plug")[0]
    printed = html(checklist_sheet(Source(LIBRARY, design="hollin-cue-desk"), "start-of-bench-work"))
    assert printed.count("critical line") == 3


@pytest.mark.parametrize("id", [entry.id for entry in LIBRARY.entries("checklist")])
def test_the_aim_stands_over_the_lines_and_the_revision_beside_the_title(id: str) -> None:
    # Row G2: title states the aim, revision shown.
    state, checklist = in_hand(id), LIBRARY.checklist(id)
    first = state.plan.steps[0].key
    page = shown(state, Sight(key=first))
    assert checklist.aim in page
    assert ("CRITICAL LINE" in page) is checklist.items[0].critical
    assert f"{checklist.title}, revision {checklist.revision}" in plain(job_head(state, 80, ASCII))
    printed = html(checklist_sheet(Source(LIBRARY, design="hollin-cue-desk"), id))
    assert checklist.aim in printed
    assert f"revision {checklist.revision}" in printed
