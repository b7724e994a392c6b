"""Hunts that have not come to an end keep a unit at the bench, by the order in which they ended (ISO 9001:2015 8.6)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pytest

from benchtui.jobs.disturbed import disturbances
from benchtui.jobs.hunted import open_hunts, taken_back

FADER = {"title": "Find the fault: fader F3", "symptom": "dead", "subject": "F3"}
OPEN = "Find the fault: fader F3 (left open)"


@dataclass(frozen=True)
class Seen:
    """An event as the record gives it back."""

    kind: str
    job: str
    data: dict[str, Any] = field(default_factory=dict)
    seq: int = 0
    id: str = ""
    time: str = ""
    unit: str = "HCD-001-R"


def start(job: str, **data: Any) -> Seen:
    return Seen("hunt-started", job, FADER | data)


def end(job: str, result: str, **data: Any) -> Seen:
    return Seen("hunt-closed", job, {"result": result} | data)


def test_a_hunt_that_ends_open_is_told_though_it_was_begun_before_one_that_found_it() -> None:
    # Row F11: it is still dead, whatever was fixed while this hunt was under way.
    events = [start("A"), start("B"), end("B", "fixed"), end("A", "open")]
    assert list(open_hunts(events)) == [OPEN]
    assert list(open_hunts([start("A"), end("A", "open"), start("B"), end("B", "fixed")])) == []


@pytest.mark.parametrize(("symptom", "found", "told"), [("jumpy", "dead", 1), ("dead", "dead", 0), ("", "dead", 0)])
def test_only_a_finding_about_the_same_trouble_ends_a_hunt_without_one(symptom: str, found: str, told: int) -> None:
    # Row F11: a fader that jumps when it is warm is not mended by the wire that made it dead.
    first = [start("A", symptom=symptom), end("A", "not reproduced", conditions="warm")]
    later = [start("B", symptom=found), end("B", "fixed")]
    lines = list(open_hunts([*first, *later]))
    assert len(lines) == told
    assert all("it showed: warm" in line for line in lines)


def test_an_end_that_was_taken_back_is_none() -> None:
    events = [start("A"), end("A", "fixed"), Seen("hunt-withdrawn", "A", {"event": 1})]
    assert list(open_hunts(events)) == ["Find the fault: fader F3"]
    assert taken_back(events) == {1, 2}


def test_a_repair_that_was_taken_back_disturbed_nothing() -> None:
    # A key pressed by a slip does not make every test of the unit void.
    repair = Seen("hunt-repair", "A", {"repair": "replace-board", "touched": ["all"]})
    events = [start("A"), repair, Seen("hunt-withdrawn", "A", {"event": 1})]
    assert [each.order for each in disturbances({}, events[:2])] == [1]
    assert list(disturbances({}, events)) == []
