"""What the screens show of a hunt's next move, as plain values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from benchtui.design.testpoints import Expected
    from benchtui.faults.belief import Suspect
    from benchtui.faults.model import Access, Repair, Test, Workaround

ProposalKind = Literal["test", "repair", "work-around", "try again", "neighbours", "beside", "close", "closed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeView:
    """One answer the person can give.

    Attributes:
        key: Id of the outcome, as the event wants it.
        text: The answer in words.
        meaning: What would be believed then; that it tells little, where it hardly changes that.
        raises: The group of suspects that would lead then, for where there is room for a few words; empty for none.
        belief: How likely it would be then, from 0 to 1.
        share: How likely this answer is.
        reading: Which typed reading means it; empty when none does.
    """

    key: str
    text: str
    meaning: str = ""
    raises: str = ""
    belief: float = 0.0
    share: float = 0.0
    reading: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveView:
    """A move in the list of all moves.

    Attributes:
        kind: test, repair or work-around.
        id: Of the test, repair or work-around.
        title: Short name.
        minutes: Of the move alone, opening included.
        expected: Expected minutes to a working input when it comes first; None when it does not fit.
        note: Why it is not on offer, or what it opens; empty when there is nothing to say.
        counted: The same with what a work-around would lose, in minutes: moves on offer stand in its order.
    """

    kind: ProposalKind
    id: str
    title: str
    minutes: float
    expected: float | None
    note: str = ""
    counted: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """The move to make now.

    Attributes:
        kind: What sort of move.
        move: The test, repair or work-around; None for the moves that follow a repair.
        title: Short name.
        do: What to do.
        detail: Further lines.
        why: The reason, in a sentence or two.
        minutes: Of the move alone, opening included.
        expected_minutes: To a working input, when this comes first.
        opens: What has to be opened for it; None when nothing has.
        outcomes: The answers, "cannot tell" last.
        expected: The design's test points to be read, in order, with limits; empty when nothing is read.
        suspects: What is believed now, likeliest first.
        group: The leading group of faults with one remedy, in words.
        runner_up: The next best move; None when there is no other.
        costs_more_minutes: How many more minutes the runner-up is expected to cost.
        uses: Things used, from which cautions follow.
        hazards: Further cautions by id.
        tools: What must be at hand.
        parts: What is used up.
        workaround: The work-around that is always there; None when there is none.
        reserve: Minutes to spare after this move, before the work-around must begin; None without a deadline.
        waits: Minutes that the work-around can wait from now, this move not made; None without a deadline.
        at: Minutes since the start of the hunt at which all this was worked out.
        contradiction: Said when the answers do not fit together; else empty.
        procedure: Id of the rework procedure that walks through a repair; empty for none.
        tries: Clean tries asked for, when the symptom is tried again.
        which: The neighbour that does not work after a repair; empty where it was not said.
        depth: How far ahead was looked.
    """

    kind: ProposalKind
    move: Test | Repair | Workaround | None = None
    title: str
    do: str
    detail: tuple[str, ...] = ()
    why: str = ""
    minutes: float = 0.0
    expected_minutes: float = 0.0
    opens: Access | None = None
    outcomes: tuple[OutcomeView, ...] = ()
    expected: tuple[Expected, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    group: str = ""
    runner_up: MoveView | None = None
    costs_more_minutes: float = 0.0
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    workaround: Workaround | None = None
    reserve: float | None = None
    waits: float | None = None
    at: float = 0.0
    contradiction: str = ""
    procedure: str = ""
    tries: int = 1
    which: str = ""
    depth: str = "one step"
