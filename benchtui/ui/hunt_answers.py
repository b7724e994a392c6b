"""What an answer to a move of a hunt is written down as, and what is said where there is nothing to measure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults import events as ev
from benchtui.faults.proofs import UNHEALTHY

if TYPE_CHECKING:
    from benchtui.faults.views import Proposal


def nothing_to_measure(example: str) -> str:
    """Said to a reading where nothing is read; with `example` what is seen can be said as a line."""
    line = f", or say what they show as a line, such as {example}" if example else ""
    return f"there is nothing to measure here: answer with a number{line}"


def event_for(proposal: Proposal, outcome: str, typed: tuple[str, ...] = (), tries: int = 0) -> ev.HuntEvent | None:
    """The event that an answer to a proposal makes; None where the answer is a page of its own."""
    id = proposal.move.id if proposal.move else ""
    match proposal.kind:
        case "test" if outcome == ev.NOT_AT_HAND:
            return ev.NotPossible(move=id, why=outcome, missing=proposal.tools)
        case "test":
            return ev.TestAnswered(test=id, outcome=outcome, typed=typed)
        case "repair":
            return ev.RepairDone(repair=id)
        case "work-around":
            return ev.WorkaroundDone(workaround=id)
        case "try again" if outcome.startswith(UNHEALTHY):
            return ev.TriedAgain(gone=None, unhealthy=outcome.removeprefix(UNHEALTHY))
        case "try again":
            return ev.TriedAgain(gone={"gone": True, "there": False}.get(outcome), tries=tries or proposal.tries)
        case "neighbours":
            return ev.NeighboursTried(well=outcome == "well", which="" if outcome == "well" else outcome)
        case "beside":
            if outcome == "mended":
                return ev.RepairDone(repair=id)
            return ev.NeighboursTried(well=False, which=proposal.which, left=True)
    return None
