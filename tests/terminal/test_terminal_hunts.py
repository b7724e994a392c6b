"""Hunts on a real terminal: a fault is injected, and a person who reads nothing but the screen finds and mends it.

The short form takes one desk; the long form takes all of them and goes through each repair step by step, as the job it
is. `python -m pytest -m long -s tests/terminal/test_terminal_hunts.py` prints a line for each desk.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from helpers.faulty_desk import FaultyDesk
from helpers.faulty_desks import DESKS
from helpers.repairer import Course, Repairer, run
from helpers.terminal import Terminal

from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

BY_NAME = {desk.name: desk for desk in DESKS}

SMALL = (80, 24)
"""Columns and lines of the smallest window that is comfortable."""

MOVES = 10
"""Tests and repairs within which any of these faults has to be mended. The fixed order of the trade notes makes up to
forty; the median here is printed by the long form."""


def record_of(home: Path) -> list[Any]:
    """All events of the record that a run has left."""
    with Store.open(home / "record.sqlite", read_only=True) as store:
        return list(store.events())


def check(desk: FaultyDesk, course: Course, home: Path) -> None:
    """The fault was found and mended in few moves, and the record says so."""
    assert course.ended
    assert (course.trial or course.repairs[-1]) in desk.cures
    assert course.moves <= MOVES, course
    events = record_of(home)
    closed = [event for event in events if event.kind == "hunt-closed"]
    assert len(closed) == 1
    data = closed[0].data
    assert (data["result"], data["found"], data["done"], data["parts"]) == ("fixed", desk.name, "put right", "none")
    assert bool(data["fault"]) == bool(desk.cause)
    assert len([event for event in events if event.kind == "hunt-repair"]) == len(course.repairs)
    assert len([event for event in events if event.kind == "hunt-caution"]) <= course.cautions
    begun = {event.job for event in events if event.kind == "job-started"}
    assert begun == {event.job for event in events if event.kind == "job-closed"}  # no repair is left lying open


@pytest.mark.terminal
@pytest.mark.parametrize(
    "name",
    [
        "program-holds-the-port",
        pytest.param("charge-only-lead", marks=pytest.mark.long),
        "cold-joint-lug-1",
    ],
)
def test_a_fault_is_found_by_following_a_small_screen(name: str, tmp_path: Path) -> None:
    columns, lines = SMALL
    check(BY_NAME[name], run(BY_NAME[name], tmp_path, columns=columns, lines=lines, walk=False), tmp_path)


@pytest.mark.long
@pytest.mark.parametrize("desk", DESKS, ids=lambda desk: desk.name)
def test_each_fault_is_found_and_mended_step_by_step(desk: FaultyDesk, tmp_path: Path) -> None:
    course = run(desk, tmp_path)
    last = course.trial or course.repairs[-1]
    print(
        f"{desk.name}: {len(course.tests)} tests, {len(course.repairs)} repairs ({last}), "
        f"{course.cautions} cautions, {course.steps} steps of the repair"
    )
    check(desk, course, tmp_path)


@pytest.mark.terminal
def test_what_cannot_be_reproduced_stays_open_with_its_conditions(tmp_path: Path) -> None:
    desk = FaultyDesk(
        name="it works today",
        about="F3",
        symptom="It drops out when it is moved",
        seen={"Tap and flex": "nothing happens"},
        cures=frozenset(),
    )
    with Terminal(home=tmp_path, columns=80, lines=24) as terminal:
        worker = Repairer(terminal, desk)
        worker.unit = "A new unit"
        worker.start()
        for _ in range(3):  # everything that is proposed without opening the lid shows a healthy control
            worker.settled()
            kind, title = worker.move
            if kind != "Test" or "opens the lid" in terminal.text():
                break
            worker.test(title)
        terminal.press("c")
        terminal.until("How does it end?")
        worker.take("It does not show any more")
        for question, words in (
            ("Found, in your words", "nothing"),
            ("Done", "nothing"),
            ("Parts", "none"),
            ("When and where it showed", "only in the cold hall"),
        ):
            terminal.until(question)
            worker.settled()
            terminal.press(words, "enter")
        terminal.until("The bench")
    events = record_of(tmp_path)
    closed = next(event for event in events if event.kind == "hunt-closed")
    assert (closed.data["result"], closed.data["conditions"]) == ("not reproduced", "only in the cold hall")
    assert not [event for event in events if event.kind == "hunt-repair"]
