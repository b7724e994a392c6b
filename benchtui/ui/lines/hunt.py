"""Fault finding in the line mode."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, cast

from benchtui.errors import BenchError
from benchtui.faults.earlier import earlier
from benchtui.faults.events import HuntClosed, PowerSaid, WalkOpened
from benchtui.faults.learning import sample_words
from benchtui.faults.moves import all_moves
from benchtui.faults.standing_fault import closed_said
from benchtui.faults.target import target_of
from benchtui.faults.words import minutes_text, percent
from benchtui.ui.hunt_sight import cautions_of, sight_of
from benchtui.ui.hunting import Hunting
from benchtui.ui.lines.talk import WIDTH, kept_said
from benchtui.ui.tried import outcome_rows, title_of, tried_event, tried_rows, tried_said
from benchtui.ui.view.earlier import QUESTION, earlier_lines, earlier_rows
from benchtui.ui.view.hunt import ORDER, trail
from benchtui.ui.view.hunt_ends import DONE, FOUND, PARTS, STANDS_IN, WHERE, end_rows, tried_end
from benchtui.ui.view.hunt_said import proposal_said, working_of
from benchtui.ui.view.learnt import learnt_rows
from benchtui.ui.view.spoken import caution_said
from benchtui.ui.view.subjects import (
    NO_POWER,
    cause_rows,
    curtain_rows,
    shows_rows,
    sign_rows,
    subject_rows,
    symptom_rows,
    worst_rows,
)
from benchtui.ui.walks import begun, end_walks, subject_of
from benchtui.ui.work import Reply

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from benchtui.design.model import Design
    from benchtui.faults.run import HuntRun, Hunts
    from benchtui.jobs.run import Bench
    from benchtui.ui.lines.talk import Talk
    from benchtui.ui.view.rows import Row

HELP: Final = (
    "A number answers. m READING: what the meter shows, or how many clean tries were made. or: the runner-up. "
    "out: the way out. moves: all of them, to pick one. tried: what was tried before this hunt. "
    "steps: go through the repair step by step. undo. "
    "no power: only what needs none is proposed; power: there is power again. "
    "not WHY: it cannot be done here. say LINE: what many controls show. curtain MINUTES. note TEXT. "
    "suspects: all of them. trail: what was tried and said so far. working: how the healthy readings come about. "
    "learnt: what stands behind the weights; forget here, forget all. close. quit."
)


BEFORE_READING: Final = (
    *("!", "or", "out", "undo", "quit", "q", "moves", "tried", "suspects"),
    *("trail", "learnt", "say", "curtain", "note", "close", "working", "no", "power"),
)
"""What may be typed before a caution is read: none of it makes the move."""


def start_hunt(talk: Talk, hunts: Hunts, design: Design, unit: str) -> HuntRun | None:
    """Ask what is wrong and open a hunt; None when that was given up."""
    picked = talk.pick("What is it about?", _pairs(subject_rows(design)))
    if picked is None:
        return None
    scope, _, subject = picked.partition(":")
    target = target_of(design, scope=scope, subject=subject)
    worst = worst_rows(design, target)
    named = talk.pick("Which of them is worst, as far as you know?", _pairs(worst)) if worst else ""
    if named is None:
        return None
    model = hunts.model(hunts.models(design.id)[0])
    known = earlier(hunts.store, unit, target_of(design, scope=scope, subject=subject, control=named.partition(":")[2]))
    if known is not None:
        for text in earlier_lines(known, WIDTH):
            talk.say(text)
        how = talk.pick(QUESTION, _pairs(earlier_rows(known)))
        if how is None:
            return None
        if job := how.partition(":")[2]:
            return hunts.resume(job)
    symptom = talk.pick("What does it do?", _pairs(symptom_rows(model, target)))
    if symptom is None:
        return None
    reported = next((each for each in model.symptoms if each.id == symptom.partition(":")[2]), None)
    shows = ""
    if reported is not None and reported.shows < 1.0:
        shows = _typed(talk, "How often does it show, such as 2 in 10 (nothing: not known)", shows_rows)
    sign = talk.pick("Did you notice one of these?", _pairs(sign_rows(model)))
    if sign is None:
        return None
    minutes = _typed(talk, "Minutes to curtain (nothing: no hurry)", curtain_rows)
    run = hunts.start(
        design,
        model=model,
        unit=unit,
        scope=scope,
        subject=subject,
        control=named.partition(":")[2],
        symptom=symptom.partition(":")[2],
        shows=float(shows) if shows else None,
        signs=tuple(filter(None, (sign.partition(":")[2],))) if sign != NO_POWER else (),
        deadline_minutes=float(minutes) if minutes else None,
    )
    if sign == NO_POWER:
        run.act(PowerSaid(there=False))
    return run


def _typed(talk: Talk, question: str, rows: Callable[[str], Sequence[Row]]) -> str:
    """Ask until what was typed makes sense; what follows the colon of its row, empty for nothing typed."""
    while True:
        typed = talk.ask(question)
        found = rows(typed)
        if found:
            return found[0].id.partition(":")[2]
        talk.say(f"{typed!r} does not fit.")


class HuntTalk:
    """One hunt, until it is closed or put aside.

    Args:
        talk: The conversation.
        run: The hunt.
        emergency: What to do at smoke, smell or shock.
        bench: Jobs of the record; None where repairs cannot be gone through step by step.
        open_job: Takes up a job, and gives back how it was closed.
    """

    def __init__(
        self,
        talk: Talk,
        run: HuntRun,
        *,
        emergency: Sequence[str],
        bench: Bench | None = None,
        open_job: Callable[[str], str] | None = None,
    ) -> None:
        self.talk = talk
        self.run = run
        self.hunting = Hunting(run)
        self.emergency = emergency
        self.bench = bench
        self.open_job = open_job
        self._read: set[str] = set()

    def go(self) -> None:
        """Hunt."""
        while self.run.state.phase != "closed":
            self.hunting.settle()
            reply = self._turn()
            if reply is None:
                self.talk.say(f"Put aside. {kept_said(self.run.hunts.store)}")
                return
            if reply.text:
                self.talk.say(reply.text)
            if reply.ask == "close":
                self._close()
        self.talk.say(f"{closed_said(self.run.state, self.run.unit)}.")

    def _turn(self) -> Reply | None:
        """Say the caution that is to be read, or else the move; hear one line and do it. None: leave."""
        for caution in cautions_of(self.hunting):
            if not caution.person or caution.digest in self._read:
                continue
            for row in caution_said(caution):
                self.talk.say(row)
            typed = self.talk.ask("a: I have read this; or: another move", anew=True)
            if typed == "a":
                reply = self.hunting.caution_read(caution)
                if not reply.problem:
                    self._read.add(caution.digest)
                return reply
            if typed.partition(" ")[0].lower() in BEFORE_READING:
                return self._do(typed)
            return Reply("read the caution first; a says that you have")
        state = self.run.state
        if state.no_power:
            self.talk.say("There is no power here, as you said. The word power says that there is again.")
        left = None if state.deadline is None else state.deadline - self.run.elapsed
        for row in proposal_said(self.hunting.in_sight, sight_of(self.hunting), left=left):
            self.talk.say(row)
        return self._do(self.talk.ask("answer"))

    def _do(self, typed: str) -> Reply | None:
        hunting = self.hunting
        word, _, rest = typed.partition(" ")
        rest = rest.strip()
        match word.lower():
            case "quit" | "q":
                return None
            case "!":
                for row in self.emergency:
                    self.talk.say(row)
                return Reply()
            case "":
                return hunting.go_on()
            case "m":
                trying = hunting.proposal.kind == "try again"
                return hunting.clean_tries(rest) if trying else hunting.reading(rest)
            case "moves":
                return self._moves()
            case "tried":
                return self._tried()
            case "steps":
                return self._steps()
            case "suspects":
                for each in self.hunting.proposal.suspects:
                    self.talk.say(f"  {percent(each.share)}, {each.word}: {each.title}")
                return Reply()
            case "working":
                for row in working_of(hunting.proposal):
                    self.talk.say(f"  {row}")
                return Reply()
            case "trail":
                self.talk.lines(trail(self.run.state, WIDTH))
                return Reply()
            case "learnt":
                return self._learnt()
            case "forget" if rest in ("here", "all"):
                self.run.hunts.forget(self.run.state.started.design if rest == "here" else "")
                return Reply("Forgotten for the hunts to come. The repairs stay in the record.")
            case "or":
                return hunting.runner_up()
            case "out":
                return hunting.way_out()
            case "undo":
                return hunting.undo()
            case "no" if rest.lower().startswith("power"):
                return hunting.power(there=False)
            case "power":
                return hunting.power(there=True)
            case "not":
                return hunting.not_possible(rest)
            case "say":
                return hunting.pattern(rest)
            case "curtain":
                return hunting.curtain(rest)
            case "note":
                return hunting.note(rest)
            case "close":
                return Reply(ask="close")
        if typed.isdigit():
            return hunting.answer(int(typed))
        return Reply(HELP)

    def _moves(self) -> Reply:
        """Say every move, and make one of those on offer the move in sight."""
        every = all_moves(self.run.state, ranking=self.hunting.ranking, elapsed=self.run.elapsed)
        for each in every:
            if each.expected is None:
                self.talk.say(f"Not on offer, {each.note}: {each.kind}, {each.title}.")
        offered = [
            (
                each.id,
                f"{each.kind}: {each.title}, {minutes_text(each.minutes)} by itself, {minutes_text(each.expected)} to "
                f"a working input, {minutes_text(each.counted)} losses counted{f', {each.note}' if each.note else ''}",
            )
            for each in every
            if each.expected is not None and each.id
        ]
        picked = self.talk.pick(f"On offer, best first. {ORDER} Which one will you make?", offered)
        return self.hunting.pick(picked) if picked else Reply()

    def _tried(self) -> Reply:
        """Take in a test or repair that was made before the hunt began."""
        picked = self.talk.pick("What was tried before?", _pairs(tried_rows(self.run)))
        if picked is None:
            return Reply()
        outcome: str | None = ""
        if answers := outcome_rows(self.run, picked):
            outcome = self.talk.pick(f"{title_of(self.run, picked)}: what came out?", _pairs(answers))
        if outcome is None:
            return Reply()
        return self.hunting.act(tried_event(picked, outcome), tried_said(self.run, picked, outcome))

    def _steps(self) -> Reply:
        """Go through the repair in sight as a job of its own; when that is closed, the repair is done."""
        procedure, state = self.hunting.proposal.procedure, self.run.state
        if not procedure or self.bench is None or self.open_job is None:
            return Reply("there is no procedure for this", problem=True)
        subject = subject_of(self.run, self.hunting.proposal.move)
        job = begun(self.bench, self.run, procedure, subject)
        if not job:
            design = state.design.id if state.design else ""
            try:
                job = self.bench.start(procedure, self.run.unit, design_id=design, subject=subject).job
            except BenchError as error:  # a text with a mistake, or a unit that is held: the hunt goes on
                return Reply(str(error), problem=True)
            self.run.act(WalkOpened(procedure=procedure, job=job))
        done = self.open_job(job)
        return self.hunting.answer(1) if done and state.phase == "look" else Reply("back in the hunt")

    def _learnt(self) -> Reply:
        """Say what confirmed repairs have made of the weights."""
        state = self.run.state
        learnt = self.run.hunts.learnt(state.model, state.started.design)
        for row in learnt_rows(learnt, state.model):
            if not row.id and row.right:
                self.talk.say(f"  {row.text}: {row.right}")
        return Reply(sample_words(learnt))

    def _close(self) -> None:
        result = tried_end(self.run.state)
        if not result:
            ends = end_rows(self.run.state)
            choices = [(row.id, f"{row.text}, {row.under}" if row.under else row.text) for row in ends]
            answer = self.talk.pick("How does it end?", choices)
            if answer is None:
                return
            result = answer
        fault = ""
        if result == "fixed":
            seen = _pairs(cause_rows(self.run.state))
            picked = self.talk.pick("What did you find? Only a cause you saw counts. Nothing: not known.", seen) or ""
            fault = picked.partition(":")[2]
        stands_in = result == "work-around"
        found = "" if stands_in else self.talk.ask(FOUND)
        done = self.talk.ask(STANDS_IN if stands_in else DONE)
        parts = self.talk.ask(PARTS)
        where = self.talk.ask(WHERE) if result == "not reproduced" else ""
        if self.bench is not None:
            end_walks(self.bench, self.run)
        self.hunting.act(
            HuntClosed(
                result=cast(Literal["fixed", "work-around", "not reproduced", "open"], result),
                found=found,
                done=done,
                parts=parts,
                fault=fault,
                conditions=where,
            )
        )


def _pairs(rows: Sequence[Row]) -> list[tuple[str, str]]:
    """The rows that can be chosen, as id and text."""
    return [(row.id, f"{row.text}, {row.right}" if row.right else row.text) for row in rows if row.id]
