"""What was tried before a hunt began, as lists to pick from and as the event that it makes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults import moves
from benchtui.faults.events import CANNOT_TELL, RepairDone, TestAnswered
from benchtui.faults.words import asked, in_words
from benchtui.ui.view.hunt import move_rows
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.faults.run import HuntRun


def tried_rows(run: HuntRun) -> list[Row]:
    """Every test and repair of a hunt: a work-around is no try."""
    every = moves.all_moves(run.state, elapsed=run.elapsed)
    return move_rows([move for move in every if move.kind != "work-around"])


def outcome_rows(run: HuntRun, move: str) -> list[Row]:
    """What may have come out of a test; empty for a repair, of which the symptom is the answer."""
    if move not in {test.id for test in run.state.layout.tests}:
        return []
    test = run.state.layout.tests[run.state.layout.test_index(move)]
    it = run.state.target.title
    rows = [Row(id=outcome.id, text=in_words(outcome.text, it)) for outcome in test.outcomes]
    return [*rows, Row(id=CANNOT_TELL, text="cannot tell")]


def title_of(run: HuntRun, move: str) -> str:
    """The short name of a test or repair of this hunt."""
    layout = run.state.layout
    tests = {test.id: test.title for test in layout.tests}
    return tests.get(move) or layout.repairs[layout.repair_index(move)].title


def tried_said(run: HuntRun, move: str, outcome: str) -> str:
    """What was taken in, in words, for the line that answers it: it cost no time of this hunt.

    Args:
        run: The hunt, before the event.
        move: Id of the test or repair.
        outcome: Id of what came out; empty for a repair.
    """
    if not outcome:
        return f"taken in: {title_of(run, move)}, tried before this hunt, did not help"
    text = next(row.text for row in outcome_rows(run, move) if row.id == outcome)
    return f"taken in: {asked(title_of(run, move))} {text}, known before this hunt"


def tried_event(move: str, outcome: str) -> TestAnswered | RepairDone:
    """The event: a test with what came out, or a repair that did not help.

    Args:
        move: Id of the test or repair.
        outcome: Id of what came out; empty for a repair.
    """
    if outcome:
        return TestAnswered(test=move, outcome=outcome, before=True)
    return RepairDone(repair=move, before=True)
