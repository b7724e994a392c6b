"""Hunting a fault, one act at a time, whatever the keys come from: the screen and the line mode both drive this.

Each method is one act of the builder; it goes through the hunt's `HuntRun`, which puts it into the record first, and
comes back as a `Reply`. A refusal is a sentence, never an exception.
"""

from __future__ import annotations

import re
import time
from dataclasses import replace
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, Final, ParamSpec

from benchtui.errors import BenchError
from benchtui.faults import allowed
from benchtui.faults import events as ev
from benchtui.faults.huntstate import workaround_now
from benchtui.faults.model import Test
from benchtui.faults.points import judge
from benchtui.faults.questions import question
from benchtui.faults.saying import line_to_say
from benchtui.faults.soak import RISK, doubt
from benchtui.faults.soaked import doubt_words
from benchtui.faults.words import asked, at_middle, minutes_text, percent
from benchtui.ui.hunt_answers import event_for, nothing_to_measure
from benchtui.ui.work import Reply

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from benchtui.faults.deepen import Ranking
    from benchtui.faults.foretold import Foretold
    from benchtui.faults.run import HuntRun
    from benchtui.faults.views import Proposal
    from benchtui.jobs.plan import Caution

P = ParamSpec("P")

HOLD: Final = 0.8
"""Seconds of looking further ahead before a move is shown. Once it is shown it stays: the probe may be in hand."""

KEEPS: Final = "The same once more keeps it as typed"
"""Said with a question about a reading."""

BESIDE: Final = (ev.DeadlineSet, ev.Noted, ev.CautionAcknowledged, ev.WalkOpened, ev.ShortBeside)
"""What is written down while a test is under way and says nothing of it."""

_NO_POWER: Final = re.compile(r"\b(no power|without power|no mains)\b(?! (drill|tool|supply|meter))")
"""A reason that holds for every move that needs power."""

WORKING_OUT: Final = "the best move is still being worked out: a moment"
"""Said to a key that would begin a move before it is shown."""


def _replied(act: Callable[Concatenate[Hunting, P], Reply]) -> Callable[Concatenate[Hunting, P], Reply]:
    """Turn a refusal into a reply."""

    @wraps(act)
    def answer(self: Hunting, /, *args: P.args, **kwargs: P.kwargs) -> Reply:
        before = self.run.state
        try:
            return act(self, *args, **kwargs)
        except BenchError as error:
            if self.run.state is not before:  # another hunt on this unit found a short in between
                self.afresh()
            hint = f": {error.hint}" if error.hint else ""
            return Reply(f"{error.message}{hint}", problem=True)

    return answer


class Hunting:
    """A hunt in hand, and the move in sight: the one proposed, or one picked by hand."""

    def __init__(self, run: HuntRun, *, clock: Callable[[], float] = time.monotonic) -> None:
        self.run = run
        self.picked = False
        """The move in sight was picked by hand."""
        self.better: Proposal | None = None
        """A better move found since the one in sight was shown; it is only named, as the runner-up."""
        self.settled = False
        """The move in sight is the one to make; until then it is being worked out."""
        self.ranking: Ranking | None = None
        """The furthest look ahead so far; None before the first."""
        self.tries = 0
        """Clean tries typed so far, while the symptom is tried again."""
        self._asked = ("", "")
        """A reading that was doubted, and the question put."""
        self._foretold: tuple[tuple[object, ...], tuple[tuple[Foretold, ...], ...]] = ((), ())
        self._clock = clock
        self._since = 0.0
        self._thinking: Iterator[Ranking] | None = None
        self.proposal: Proposal = run.propose()
        self.afresh()

    def afresh(self) -> None:
        """Propose anew, after something has changed, and begin to look further ahead."""
        self.picked, self.better, self.tries, self.ranking = False, None, 0, None
        self.proposal = self.run.propose()
        self._since = self._clock()
        looking = self.run.state.phase == "look"
        self._thinking = allowed.think(self.run.state, self.run.elapsed) if looking else None
        self.settled = not looking
        begun = self._half_measured()
        if begun and begun != self.move:
            self.pick(begun)  # unless safety or the curtain forbids it by now
        self.settled = self.settled or bool(begun and begun == self.move)

    def _half_measured(self) -> str:
        """Id of the test whose first readings were typed last, with others still to come; empty for none.

        A curtain time that was set in between leaves the probe where it is.
        """
        state = self.run.state
        last = next((event for _, event in reversed(state.standing) if not isinstance(event, BESIDE)), None)
        begun = last.test if isinstance(last, ev.ReadingTyped) and state.phase == "look" else ""
        return begun if begun and state.readings(begun) else ""

    @property
    def typed(self) -> tuple[str, ...]:
        """Readings typed so far for the move in sight; they are in the record."""
        return self.run.state.readings(self.move) if self.proposal.kind == "test" else ()

    @property
    def move(self) -> str:
        """Id of the move in sight; empty for one that follows a repair."""
        return self.proposal.move.id if self.proposal.move else ""

    @property
    def in_sight(self) -> Proposal:
        """The move in sight, its way out as it stands by now: the clock runs on while a move is being made."""
        shown, now = self.proposal, self.run.elapsed
        if shown.reserve is None:
            return shown
        way = shown.workaround if workaround_now(self.run.state, now) else None
        gone = now - shown.at
        waits = None if shown.waits is None else shown.waits - gone
        return replace(shown, reserve=shown.reserve - gone, waits=waits, workaround=way)

    @property
    def foretold(self) -> tuple[tuple[str, ...], ...]:
        """What each test point in sight would read under the leading suspects, in words."""
        from benchtui.faults.foretold import telling

        return tuple(telling(point) for point in self._told())

    @property
    def beforehand(self) -> tuple[str, ...]:
        """What has to be set before the first reading, so that it reads what is foretold."""
        from benchtui.faults.foretold import parked

        design = self.run.state.design
        return () if design is None else tuple(at_middle(design.control(id)) for id in parked(self._told()))

    @property
    def line_to_say(self) -> str:
        """An example of a line about many controls, where one would tell most now; else empty."""
        if not self.settled or self.proposal.kind not in ("test", "repair", "work-around", "close"):
            return ""
        if self.run.state.no_power and self.run.state.phase != "look":  # what is to be tried waits
            return ""
        return line_to_say(self.run.state, getattr(self.proposal.move, "measures", ""))

    @property
    def walk_minutes(self) -> float:
        """Minutes of the repair in sight when it is gone through step by step, as its procedure says; 0 for none."""
        procedure = self.proposal.procedure
        return self.run.hunts.library.procedure(procedure).minutes if procedure else 0.0

    def _told(self) -> tuple[tuple[Foretold, ...], ...]:
        state, points = self.run.state, self.proposal.expected
        if state.design is None or not points:
            return ()
        key = (self.move, len(state.events))
        if self._foretold[0] != key:
            from benchtui.faults.foretold import foretell

            self._foretold = (
                key,
                foretell(
                    state, self.run.hunts.circuits(state.design), points, at=getattr(self.proposal.move, "at", "")
                ),
            )
        return self._foretold[1]

    def think(self, budget: float = 0.02) -> bool:
        """Look further ahead for about `budget` seconds. Whether what is in sight has changed.

        A move is shown once the ranking has had a moment to settle. From then on it stays, for the builder may have put
        a hand to it already; a better one is only named.
        """
        ranking: Ranking | None = None
        end = self._clock() + budget
        while self._thinking is not None and self._clock() < end:
            found = next(self._thinking, None)
            if found is None or found.done:
                self._thinking = None
            ranking = found or ranking
        self.ranking = ranking or self.ranking
        if not self.settled:
            if self._thinking is not None and self._clock() - self._since < HOLD:
                return False
            self.proposal, self.settled = self.run.propose(self.ranking), True
            return True
        if ranking is None or self.picked or self.typed:
            return False
        new = self.run.propose(ranking)
        before, self.better = self.better, None if self._same(new) else new
        return (before and before.title) != (self.better and self.better.title)

    def settle(self) -> None:
        """Work the move out at once, as for a person who hears it rather than sees it."""
        while not self.settled:
            self.think(HOLD)

    def _same(self, other: Proposal) -> bool:
        """Whether a proposal is about the move in sight."""
        return (other.kind, other.move) == (self.proposal.kind, self.proposal.move)

    @_replied
    def act(self, event: ev.HuntEvent, said: str = "") -> Reply:
        """Write something down and propose anew."""
        self.run.act(event)
        self.afresh()
        return Reply(said)

    @_replied
    def _beside(self, event: ev.HuntEvent, said: str) -> Reply:
        """Write something down that leaves the move in sight as it is: a hand may be at it already."""
        self.run.act(event)
        if self.run.state.phase == "look" and self.settled and self.move:
            kept = self.move
            try:
                self.proposal = self.run.propose(self.ranking, move=kept)
            except BenchError:  # it does not fit any more
                self.afresh()
        elif self.run.state.phase != "look":
            self.proposal = self.run.propose()
        return Reply(said)

    def answer(self, number: int) -> Reply:
        """Answer the move in sight by the number of an outcome."""
        outcomes = self.proposal.outcomes
        if not 1 <= number <= len(outcomes):
            return Reply(f"there are {len(outcomes)} answers", problem=True)
        outcome = outcomes[number - 1]
        event = event_for(self.proposal, outcome.key, self.typed, self.tries)
        said = "done" if outcome.key == "done" else outcome.text
        told = f"{asked(self.proposal.title)} {said}"
        if isinstance(event, ev.NeighboursTried) and event.left:
            return self._left_beside(event, told)
        if isinstance(event, ev.TriedAgain) and event.gone and self.tries and self._doubt() > RISK:
            told = f"{told}. {self._doubt_told()}, and the hunt closes with that"
        return self.act(event, told) if event else Reply(ask="close")

    @_replied
    def _left_beside(self, event: ev.NeighboursTried, said: str) -> Reply:
        """Leave a neighbour that does not work: the hunt on it is opened, to be taken up when there is time."""
        self.run.act(event)
        beside = self.run.begin_beside(event.which)
        self.afresh()
        return Reply(f"{said}. A hunt on it is open" if beside else said)

    def go_on(self) -> Reply:
        """Done: for a move that has nothing to answer."""
        if self.proposal.kind in ("close", "closed"):
            return Reply(ask="close")
        if len(self.proposal.outcomes) == 1:
            return self.answer(1)
        return Reply(f"answer with a number, 1 to {len(self.proposal.outcomes)}", problem=True)

    @_replied
    def reading(self, typed: str, *, sure: bool = True) -> Reply:
        """A reading of the next test point of the move was typed; with the last one needed it becomes the answer.

        One in doubt is asked about first, and kept when the same is given again.

        Args:
            typed: What was typed.
            sure: The key was pressed on purpose, after the question could be read.
        """
        test, points = self.proposal.move, self.proposal.expected
        if not isinstance(test, Test) or not points:
            return Reply(nothing_to_measure(self.line_to_say), problem=True)
        if len(self.typed) >= len(points):
            return Reply("all of them are typed: answer with a number, or take the last one back", problem=True)
        readings = (*self.typed, typed.strip())
        judged = judge(test, points, readings)
        doubted = question(points[len(readings) - 1], typed)
        again = self._asked == (typed, doubted)
        if doubted and not (again and sure):
            self._asked = (typed, doubted)
            quick = "That was too quick to have been read. " if again else ""
            return Reply(f"{quick}{doubted} {KEEPS}.", problem=True, ask="again")
        self._asked = ("", "")
        if judged.outcome:
            said = next(each.text for each in self.proposal.outcomes if each.key == judged.outcome)
            event = ev.TestAnswered(test=test.id, outcome=judged.outcome, typed=readings, asked=doubted)
            return self.act(event, f"{judged.words[-1]}, so: {said}" if judged.words else f"{typed.strip()}: {said}")
        self.run.act(ev.ReadingTyped(test=test.id, typed=typed.strip(), asked=doubted))
        self.settled = True
        if judged.missing:
            return Reply(judged.words[-1] if judged.words else "", ask="reading")
        return Reply(f"{'; '.join(judged.words)}. Answer with a number")

    def clean_tries(self, typed: str) -> Reply:
        """How many clean tries were made since the repair, and what they are worth."""
        text = typed.strip()
        if not text.isdigit() or not 0 < int(text) <= 10_000:
            return Reply(f"{text!r} is no number of tries: type 5, for example", problem=True)
        self.tries = int(text)
        gone, *others = self.proposal.outcomes
        made = "in the one try" if self.tries == 1 else f"in all {self.tries} tries"
        self.proposal = replace(self.proposal, outcomes=(replace(gone, text=f"it is gone {made}"), *others))
        more = ""
        wanted = doubt(gone.share, self.run.state.shows, self.proposal.tries)
        if self.tries < self.proposal.tries and wanted <= RISK:
            more = f"; {self.proposal.tries} clean tries would bring it under {percent(RISK)}"
        return Reply(f"{self._doubt_told()}{more}. Answer with a number")

    def _doubt_told(self) -> str:
        """What the clean tries typed are worth."""
        return doubt_words(self.tries, self._doubt())

    def _doubt(self) -> float:
        """Chance that the fault is still there after the clean tries typed."""
        return doubt(self.proposal.outcomes[0].share, self.run.state.shows, self.tries)

    @_replied
    def undo(self) -> Reply:
        """Take the last answer back."""
        self.run.undo()
        self.afresh()
        return Reply("taken back; the record keeps both")

    def runner_up(self) -> Reply:
        """Make the runner-up the move in sight, or the better one found since; the next time, the one proposed."""
        if self.picked:
            self.afresh()
            return Reply()
        if self.better is not None:
            self.proposal, self.better = self.better, None
            return Reply()
        other = self.proposal.runner_up
        return self.pick(other.id) if other else Reply("there is no other move", problem=True)

    def way_out(self) -> Reply:
        """Make the work-around the move in sight."""
        way = self.proposal.workaround
        if way is None:
            return Reply("there is no work-around for this", problem=True)
        return self.pick(way.id)

    @_replied
    def pick(self, id: str) -> Reply:
        """Make any move on offer the one in sight."""
        if self.run.state.phase != "look":
            return Reply(f"first: {self.proposal.title}", problem=True)
        self.proposal = self.run.propose(move=id)
        self.picked = self.settled = True
        return Reply()

    @_replied
    def caution_read(self, caution: Caution) -> Reply:
        """Write down that a caution of the move in sight was read; the move stays in sight."""
        self.run.act(ev.CautionAcknowledged(move=self.move, caution=caution.id, digest=caution.digest))
        return Reply()

    @_replied
    def pattern(self, line: str) -> Reply:
        """Take in what many controls show, said in one line."""
        from benchtui.faults.pattern_evidence import of_a_bank, pattern_event

        event = pattern_event(self.run.state, line)
        return self.act(event, event.words + of_a_bank(self.run.state, event))

    def power(self, *, there: bool) -> Reply:
        """Say that there is no power here, or that there is again."""
        if there != self.run.state.no_power:
            return Reply("that is known already")
        said = "there is power again" if there else "only what needs no power is proposed, until you say there is power"
        return self.act(ev.PowerSaid(there=there), said)

    def not_possible(self, why: str) -> Reply:
        """The move in sight cannot be made here; where that is for want of power, nor can any other that needs it."""
        if _NO_POWER.search(why.lower()) and not self.run.state.no_power:
            return self.power(there=False)
        return self.act(ev.NotPossible(move=self.move, why=why.strip()), "left out of this hunt")

    def note(self, text: str) -> Reply:
        """Keep a note."""
        if not text.strip():
            return Reply("type the note first", problem=True)
        return self._beside(ev.Noted(text=text.strip()), "the note is kept")

    def curtain(self, typed: str) -> Reply:
        """Set the curtain time, in minutes from now; nothing typed takes it away."""
        text = typed.strip().replace(",", ".")
        try:
            minutes = float(text) if text else None
        except ValueError:
            minutes = -1.0
        if minutes is None:
            return self._new_time(None, "no hurry")
        if not 0 <= minutes <= 100_000:
            return Reply(f"{typed.strip()!r} is no number of minutes: type 25, for example", problem=True)
        return self._new_time(round(self.run.by_clock + minutes, 2), f"curtain in {minutes_text(minutes)}")

    def _new_time(self, minutes: float | None, said: str) -> Reply:
        """Another curtain time: what was begun stays in sight, else the move is worked out anew."""
        event = ev.DeadlineSet(minutes=minutes)
        return self._beside(event, said) if self.picked or self.typed else self.act(event, said)
