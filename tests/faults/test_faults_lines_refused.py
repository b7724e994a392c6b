"""Lines about many controls that a word turns into their opposite, and lines that are about something else."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.errors import JobError
from benchtui.faults import hunt
from benchtui.faults.events import TestAnswered
from benchtui.faults.pattern_evidence import pattern_event
from benchtui.faults.patterns import read_pattern
from benchtui.faults.proposal import propose

KNOWN = tuple(f"F{number}" for number in range(1, 9))


@pytest.mark.parametrize(
    "line",
    [
        "all but F3 are dead",
        "all dead but F3",
        "all except F3 are dead",
        "F1 to F8 are dead apart from F3",
        "F1 never stays at 0",
        "F1 no longer stays at 0",
        "F1 does not move F2",
        "F1 never follows F2",
        "F1 to F8 sometimes stay at 0",
        "F1 and F2 stay at 0 and 127",
    ],
)
def test_a_line_that_would_be_read_as_its_opposite_is_refused(line: str) -> None:
    with pytest.raises(JobError) as refused:
        read_pattern(line, KNOWN)
    assert refused.value.hint


@pytest.mark.parametrize(
    ("line", "shape", "controls"),
    [
        ("none of F1 to F4 works", "dead", KNOWN[:4]),
        ("none of F1, F2 and F3 reaches zero", "short-low", KNOWN[:3]),
        ("none of them reaches zero", "short-low", ()),
        ("F1 only reaches 0", "stays-low", ("F1",)),
        ("F1 only goes up to 3", "stays-low", ("F1",)),
        ("F1 can't get above 3", "stays-low", ("F1",)),
        ("F1 only goes up to 100", "short-high", ("F1",)),
        ("F1 does not reach 0", "short-low", ("F1",)),
        ("F1 no longer works", "dead", ("F1",)),
        ("F1 to F4 work but F5 to F8 are dead", "dead", KNOWN[4:]),
        ("F1 to F8 stay at 0", "stays-low", KNOWN),
    ],
)
def test_lines_are_read_as_they_are_meant(line: str, shape: str, controls: tuple[str, ...]) -> None:
    pattern = read_pattern(line, KNOWN)
    assert (pattern.shape, pattern.controls) == (shape, controls)


def test_one_control_is_spoken_of_as_one() -> None:
    assert read_pattern("F1 is dead", KNOWN).words == "F1 is dead"
    assert read_pattern("F1 stays at 0", KNOWN).words == "F1 stays at the bottom"
    assert read_pattern("F1 and F2 are dead", KNOWN).words == "F1 and F2 are dead"


@pytest.mark.parametrize(
    ("scope", "subject", "line", "hint"),
    [
        ("unit", "", "F1 is dead", "begin a hunt on F1"),
        ("unit", "", "F1 to F8 are dead", "begin a hunt on bank A"),
        ("control", "F1", "F1 to F8 stay at 0", "begin a hunt on bank A"),
        ("control", "F1", "F1, F2 and K1 are dead", "begin a hunt on the whole unit"),
    ],
)
def test_a_line_that_is_about_more_or_less_than_the_hunt_leads_to_the_right_one(
    scope: str, subject: str, line: str, hint: str
) -> None:
    design, _ = demo()
    state = hunt.start(model_of(scope, subject), design, scope=scope, subject=subject)
    with pytest.raises(JobError) as refused:
        pattern_event(state, line)
    assert refused.value.hint == hint


def test_a_bank_that_clears_when_its_plug_is_re_seated_is_tried_again() -> None:
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A", symptom="bank-dead")
    state = hunt.advance(state, TestAnswered(test="T22", outcome="clears"))
    assert (state.phase, state.pending) == ("again", "seat-connector")
    page = propose(state)
    assert "Before you plug in" not in page.do  # it is on already
    assert [each.key for each in page.outcomes] == ["gone", "there", "cannot tell"]
