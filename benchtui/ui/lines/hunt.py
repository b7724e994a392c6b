"""Fault finding in the line mode."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, cast

from benchtui.faults.events import HuntClosed
from benchtui.faults.learning import sample_words
from benchtui.faults.target import target_of
from benchtui.jobs.expand import caution_of
from benchtui.ui.hunting import Hunting
from benchtui.ui.view.cautions import in_order
from benchtui.ui.view.learnt import learnt_rows
from benchtui.ui.view.spoken import caution_said, proposal_said
from benchtui.ui.view.subjects import curtain_rows, sign_rows, subject_rows, symptom_rows, worst_rows
from benchtui.ui.walks import end_walks
from benchtui.ui.work import Reply

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Design
    from benchtui.faults.run import HuntRun, Hunts
    from benchtui.jobs.run import Bench
    from benchtui.ui.lines.talk import Talk
    from benchtui.ui.view.rows import Row

HELP: Final = (
    "A number answers. m READING: what the meter shows. or: the runner-up. out: the way out. undo. "
    "not WHY: it cannot be done here. say LINE: what many controls show. curtain MINUTES. note TEXT. "
    "learnt: what stands behind the weights; forget here, forget all. close. quit."
)


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
    symptom = talk.pick("What does it do?", _pairs(symptom_rows(model, target)))
    sign = None if symptom is None else talk.pick("Did you notice one of these?", _pairs(sign_rows(model)))
    if symptom is None or sign is None:
        return None
    typed = talk.ask("Minutes to curtain (nothing: no hurry)")
    rows = curtain_rows(typed)
    minutes = rows[0].id.partition(":")[2] if rows else ""
    return hunts.start(
        design,
        model=model,
        unit=unit,
        scope=scope,
        subject=subject,
        control=named.partition(":")[2],
        symptom=symptom.partition(":")[2],
        signs=tuple(filter(None, (sign.partition(":")[2],))),
        deadline_minutes=float(minutes) if minutes else None,
    )


class HuntTalk:
    """One hunt, until it is closed or put aside."""

    def __init__(self, talk: Talk, run: HuntRun, *, emergency: Sequence[str], bench: Bench | None = None) -> None:
        self.talk = talk
        self.run = run
        self.hunting = Hunting(run)
        self.emergency = emergency
        self.bench = bench
        self._read: set[str] = set()

    def go(self) -> None:
        """Hunt."""
        while self.run.state.phase != "closed":
            self._deepen()
            reply = self._turn()
            if reply is None:
                self.talk.say("Put aside. Everything is kept.")
                return
            if reply.text:
                self.talk.say(reply.text)
            if reply.ask == "close":
                self._close()

    def _turn(self) -> Reply | None:
        """Say the caution that is to be read, or else the move; hear one line and do it. None: leave."""
        for caution in in_order([caution_of(each) for each in self.run.cautions(self.hunting.proposal)]):
            if not caution.person or caution.digest in self._read:
                continue
            for row in caution_said(caution):
                self.talk.say(row)
            typed = self.talk.ask("a when you have read this, or to look at another move", anew=True)
            if typed == "a":
                reply = self.hunting.caution_read(caution)
                if not reply.problem:
                    self._read.add(caution.digest)
                return reply
            if typed in ("or", "out", "undo", "quit", "q", "!"):
                return self._do(typed)
            return Reply("read the caution first; a says that you have")
        told = self.hunting.foretold
        for row in proposal_said(self.hunting.proposal, foretold=told, sample=self.run.state.started.sample):
            self.talk.say(row)
        return self._do(self.talk.ask("answer"))

    def _deepen(self) -> None:
        """Look further ahead before speaking: nothing can be changed once it was said."""
        for _ in range(20):
            self.hunting.think(0.02)

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

    def _learnt(self) -> Reply:
        """Say what confirmed repairs have made of the weights."""
        state = self.run.state
        learnt = self.run.hunts.learnt(state.model, state.started.design)
        for row in learnt_rows(learnt, state.model):
            if not row.id and row.right:
                self.talk.say(f"  {row.text}: {row.right}")
        return Reply(sample_words(learnt))

    def _close(self) -> None:
        cured = self.run.state.phase == "close"
        result = "fixed" if self.run.state.pending in self.run.state.repaired else "work-around"
        if not cured:
            # While a short may be inside it is neither gone nor mended: that takes a measurement.
            ends = (
                ("open", "work-around") if self.run.state.locks else ("not reproduced", "open", "work-around", "fixed")
            )
            choices = [(name, name) for name in ends]
            answer = self.talk.pick("How does it end?", choices)
            if answer is None:
                return
            result = answer
        fault = ""
        if result == "fixed":
            seen = [(each.fault, each.title) for each in self.hunting.proposal.suspects[:9] if each.remedy]
            fault = self.talk.pick("What did you find? Nothing: not known.", seen) or ""
        found, done, parts = (self.talk.ask(what) for what in ("Found", "Done", "Parts"))
        if self.bench is not None:
            end_walks(self.bench, self.run)
        self.hunting.act(
            HuntClosed(
                result=cast(Literal["fixed", "work-around", "not reproduced", "open"], result),
                found=found,
                done=done,
                parts=parts,
                fault=fault,
            )
        )


def _pairs(rows: Sequence[Row]) -> list[tuple[str, str]]:
    """The rows that can be chosen, as id and text."""
    return [(row.id, f"{row.text}, {row.right}" if row.right else row.text) for row in rows if row.id]
