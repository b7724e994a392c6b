"""The history of a unit and of a job says what each event was about; the head never says more than is so."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from helpers.jobs import acknowledge, after, full_plan, page, started, step, walked
from helpers.jobs import plan as plan_of

from benchtui.jobs import events as ev
from benchtui.jobs.passport import said
from benchtui.record_command import job_lines
from benchtui.ui.view.head import job_head
from benchtui.ui.view.history import job_lines as history_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState


class Told:
    """An event as the record gives it back."""

    def __init__(self, event: ev.JobEvent) -> None:
        self.kind, self.data, self.time = event.KIND, event.to_data(), "2031-03-01T09:00:00.000+01:00"
        self.job, self.unit = "JTEST", "HCD-001-A"


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (ev.KitTicked(heading="tools", item="side cutters"), "kit here: side cutters"),
        (ev.KitTicked(heading="parts", item="2 faders", found=False), "kit missing: 2 faders"),
        (ev.KitTicked(heading="tools", item="side cutters", back=True), "kit counted back in: side cutters"),
        (ev.ConditionAnswered(condition="The unit is unplugged", answer="yes"), "The unit is unplugged, yes"),
        (ev.StartedShort(missing=("mat", "lamp"), reason="daylight"), "started short: mat and lamp, daylight"),
        (ev.PartFitted(part="fader", place="F3", lot="2231"), "part fitted: fader, F3, 2231"),
        (ev.Suspended(next_act="fetch wire", bench=("iron hot",)), "suspended: fetch wire, iron hot"),
        (ev.UnitIdentified(serial="HCD-001-A"), "unit identified: HCD-001-A"),
        (ev.DispositionGiven(defect="D1", disposition="use as is", reason="cosmetic"), "D1, use as is, cosmetic"),
    ],
)
def test_each_line_of_a_history_says_what_it_was_about(event: ev.JobEvent, words: str) -> None:
    told: Any = Told(event)
    assert words in plain(history_lines([told], 100))


def test_a_long_row_of_kit_is_one_line_and_what_is_missing_has_its_own() -> None:
    names = ("mat", "lamp", "iron", "meter", "cutters")
    told: list[Any] = [Told(ev.KitTicked(heading="tools", item=name)) for name in names]
    told.append(Told(ev.KitTicked(heading="tools", item="glue", found=False)))
    text = plain(history_lines(told, 100))
    assert "kit here: 5 lines, from mat to cutters" in text
    assert "iron" not in text
    assert "kit missing: glue" in text


def test_what_was_begun_without_and_changed_by_hand_stands_in_the_printed_job() -> None:
    # S1000D preliminary requirements (a start with a shortage is a recorded decision); NASA as-run redlines.
    state = started(full_plan(before=page("unplugged", tools=("mat",))))
    state = after(
        state,
        ev.KitTicked(heading="tools", item="mat", found=False),
        ev.StartedShort(missing=("mat",), reason="the panel lies on felt"),
        ev.Redlined(step="lay-out", text="Lay it on felt.", reason="no mat on tour"),
        ev.FileAttached(step="lay-out", name="felt.jpg", digest="ab" * 32, size=9),
    )
    text = "\n".join(job_lines(state))
    assert "begun without: mat, because the panel lies on felt" in text
    assert "Lay it on felt." in text
    assert "because no mat on tour; as written: do lay-out" in text
    assert f"file: felt.jpg, SHA-256 {'ab' * 32}" in text
    assert said("started-short", {"missing": ["mat"], "reason": "felt"}) == "begun without mat: felt"


def head(state: JobState) -> str:
    return plain(job_head(state, 100, UNICODE))


def test_all_steps_are_called_done_only_when_they_are() -> None:
    # Degani and Wiener 1990: a list cannot look complete while an item is open.
    state = started(plan_of(step("one"), step("two"), step("three")))
    assert "all 3 steps done" in head(walked(state))
    left = after(
        state, ev.StepDone(step="one"), ev.StepDone(step="two"), ev.StepSkipped(step="three", reason="no wire")
    )
    assert "2 of 3 steps done · 1 skipped" in head(left)
    failed = after(
        state,
        ev.StepFailed(step="one", reason="bent"),
        ev.DefectFound(defect="D1", text="bent", step="one"),
        ev.StepDone(step="two"),
        ev.StepDone(step="three"),
    )
    assert failed.current == ""
    assert "2 of 3 steps done · 1 failed" in head(failed)
    none = after(state, ev.StepNotApplicable(step="one", reason="no lamp"))
    assert "all 3 steps done" in head(walked(none))
    assert acknowledge(none, "two") == none


@pytest.mark.parametrize("width", [72, 80, 120, 2000])
def test_nothing_that_was_written_is_cut_out_of_the_history(width: int) -> None:
    # ALCOA: complete. What somebody wrote is read to its end.
    note = (
        "the wiper of F1 grates near the top, as it did with the first of lot 2231, and stops when it is warm: polarity"
    )
    told: Any = Told(ev.NoteAdded(text=note))
    rows = history_lines([told], width)
    assert " ".join(note.split()) in " ".join(plain(rows).split())
    assert all(width_of(row) <= width for row in rows)
    assert len(rows) == 1 if width == 2000 else len(rows) > 1
