"""A job in the line mode: its steps, between what comes before them (`before`) and its end (`end`)."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.ui import defect_acts
from benchtui.ui.ends_here import end_here
from benchtui.ui.kept import fit, part_question
from benchtui.ui.kept_places import keep_place, places
from benchtui.ui.lines.before import come_back, prepare
from benchtui.ui.lines.end import close_job, put_aside
from benchtui.ui.lines.keeping import HELP as KEEPING_HELP
from benchtui.ui.lines.keeping import Keeping
from benchtui.ui.lines.talk import Left, Talk, sentence
from benchtui.ui.lines.ways import LineWays
from benchtui.ui.lines.words import in_words
from benchtui.ui.past import around
from benchtui.ui.power import POWER_ASKED
from benchtui.ui.sittings import ask_meter
from benchtui.ui.step_search import words_of_parts
from benchtui.ui.view.defects import defect_rows
from benchtui.ui.view.shapes import SPOKEN
from benchtui.ui.view.signature import sign_label
from benchtui.ui.view.spoken import caution_said, job_said, step_said, working_said
from benchtui.ui.view.step import outcome
from benchtui.ui.work import UNREAD, Reply, Work

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.jobs.run import Run

HELP: Final = (
    "Enter alone: done, and on to the next step. a: I have read the caution. A reading or the number of an answer is "
    "typed as it is; m READING measures again. "
    "back, ahead, go NUMBER OR WORD: look at another step; a word is a control, part, test point or of the text. "
    "return: the one looked at before. "
    "here: work at the step looked at. place NAME: keep this step under a name; places: go to one. "
    "skip REASON, none REASON (does not concern this unit), fail WHAT YOU SEE, hold WHAT FOR, note TEXT, undo. "
    "defects: what is wrong in this job, to decide on it, rework it and end the rework. "
    "witness NAME: somebody looks on at a witness point. early REASON: end a wait. "
    "limits: how they come about. list: all steps. each: this step over all its controls. "
    "time: how long to the next safe stop. "
    "look WORDS: wires, pins, test points, bill and checks of the design. "
    "!: smoke, smell or shock. quit: put the work aside. end: it was begun by mistake, or it ends here."
)


ASKED: Final[Mapping[str, tuple[str, Callable[[Work, str], Reply]]]] = {
    "fail": ("not so: what do you see (nothing: later)", lambda work, seen: work.fail(seen) if seen else Reply()),
    "defect first": (
        "before it is touched any further: what do you see (nothing: later)",
        lambda work, seen: work.fail(seen) if seen else Reply(),
    ),
    "strap": (
        "loose parts: test the wrist strap first; it reads (nothing: go back)",
        lambda work, typed: work.strap.keep(typed) if typed else Reply(),
    ),
    "power": (
        f"{POWER_ASKED} (Enter: go back)",
        lambda work, typed: work.power_off(typed) if typed else Reply(),
    ),
}
"""Name of what is asked for next, to the question and the act it answers."""


class JobTalk:
    """One job, until it is closed or put aside."""

    def __init__(self, talk: Talk, run: Run, *, emergency: Sequence[str], ways: LineWays | None = None) -> None:
        self.talk = talk
        self.run = run
        self.work = Work(run)
        self.keeping = Keeping(talk, self.work)
        self.emergency = emergency
        self.ways = ways or _ways(talk, run)
        self._around = around(run)
        """What stands in the work this was called from."""
        self._section = "nowhere"
        """The section whose way to the next safe stop was said."""
        self._asking = ""
        """Name of what the next line answers, when it is not a command."""

    def go(self, open_job: Callable[[str], str]) -> str:
        """Work until the job is closed, or put aside.

        Args:
            open_job: Takes up another job, and gives back how it was closed.

        Returns:
            How it was closed; empty when it was put aside.
        """
        try:
            self.talk.say(job_said(self.run.state))
            if not (come_back(self.talk, self.run) and self.keeping.opening() and prepare(self.talk, self.run)):
                self.run.suspend()
                return ""
            self.ways.go(ask_meter(self.ways, self.run.plan))
            self._say(self.work.here())
            while True:
                if not self.work.key:
                    closed = close_job(self.talk, self.run, self.ways.units)
                    if closed:
                        return closed
                    self.work.back()
                reply = self._turn()
                if self.run.state.closed:
                    return self.run.state.closed
                if reply is None:
                    put_aside(self.talk, self.run)
                    return ""
                self._say(reply)
                if reply.open:
                    result = open_job(reply.open)
                    self._say(self.work.returned(reply.open, result) if result else Reply("it is put aside"))
        except Left:
            self.run.suspend(forced=True)
            raise

    def _say(self, reply: Reply) -> None:
        if reply.text:
            self.talk.say(in_words(reply.text))
        self._asking = reply.ask

    def _turn(self) -> Reply | None:
        """Say the step, hear one line, do it. None: leave."""
        work = self.work
        caution = work.unread
        if caution is not None:
            for row in caution_said(caution):
                self.talk.say(row)
            typed = self.talk.ask("a when you have read this", anew=True)
            if typed == "a":
                return work.acknowledge()
        elif self._asking == "why again":
            return work.reading_again(self.talk.ask(work.why_asked))
        elif self._asking == "override":
            return work.override(self.talk.ask(work.override_asked))
        elif self._asking in ASKED:
            label, act = ASKED[self._asking]
            return act(work, self.talk.ask(label))
        elif self._asking == "sign":
            return work.sign(self.talk.ask(sign_label(work.state, work.key)))
        elif self._asking == "part":
            reply = fit(work, self.talk.ask(part_question(work.step)))
            return replace(reply, ask="part") if reply.problem else reply
        else:
            if self._asking != "reading":
                if self._around:
                    self.talk.say(f"Mind: {', '.join(self._around).upper()}.")
                for row in (*self._pace(), *step_said(work.state, work.key), *self.keeping.said()):
                    self.talk.say(in_words(row))
            reading = bool(work.step.limits and (work.known.reading is None or work.known.first or work.known.differ))
            # Where an empty line marks the step, one that was typed ahead or held must not; a reading may come ahead.
            typed = self.talk.ask("reading, or help" if reading else "step, or help", anew=not reading)
        return self._do(typed)

    def _pace(self) -> list[str]:
        """How long it is to the next safe stop, said where a stretch of the work begins."""
        section = self.work.step.section
        if self.work.looking or section == self._section:
            return []
        self._section = section
        said = self.keeping.background.stop()
        return [sentence(said)] if said else []

    def _do(self, typed: str) -> Reply | None:
        """What a line means."""
        work = self.work
        word, _, rest = typed.partition(" ")
        word, rest = word.lower(), rest.strip()
        if word in ("quit", "q"):
            return None
        if word == "!":
            return self._read_out(self.emergency)
        simple: Mapping[str, Callable[[], Reply]] = {
            "": work.go_on,
            "defects": self._defects,
            "places": lambda: self.ways.go(places(self.ways, work)) or Reply(),
            "end": self._end,
            "each": self._each,
            "a": work.acknowledge,
            "back": work.back,
            "ahead": work.ahead,
            "return": work.before,
            "here": work.work_here,
            "undo": work.undo,
            "help": lambda: Reply(f"{HELP} {KEEPING_HELP}"),
            "?": lambda: Reply(f"{HELP} {KEEPING_HELP}"),
            "list": self._list,
            "time": self._time,
            "limits": lambda: self._read_out(working_said(work.step)),
        }
        if word in simple and not rest:
            return simple[word]()
        if word == "look":
            return self._look(rest)
        said: Mapping[str, Callable[[str], Reply]] = {
            "go": self._go,
            "skip": lambda why: self._leave_out(why, not_applicable=False),
            "none": lambda why: self._leave_out(why, not_applicable=True),
            "fail": work.fail,
            "hold": work.hold,
            "note": work.note,
            "early": work.end_early,
            "place": lambda name: keep_place(work, name),
            "witness": work.witness,
            **self.keeping.commands(),
        }
        if word in said:
            return said[word](rest)
        if work.unread is not None:
            return Reply(UNREAD)
        if word == "m" and rest and work.step.limits is not None:
            typed = rest
        if typed.isdigit() and work.step.choices:
            return work.choose(int(typed))
        if work.step.limits is not None and not work.looking:
            return work.reading(typed)
        return Reply(f"{typed!r} is no command here; help lists them")

    def _go(self, typed: str) -> Reply:
        """Look at a step, also by the part of its control."""
        if not self.work.parts:
            with suppress(BenchError):  # without its design the step is found by all but its part
                design = self.ways.design_of(self.run.plan)
                self.work.parts = words_of_parts(design) if design else {}
        return self.work.jump(typed)

    def _time(self) -> Reply:
        """How long it is to the next place where the work can be left."""
        return Reply(self.keeping.background.stop() or "there is nothing left to do here")

    def _leave_out(self, why: str, *, not_applicable: bool) -> Reply:
        work = self.work
        if not work.key:
            return Reply()
        if refused := work.no_leaving_out:
            return Reply(refused, problem=True)
        if work.unwritten:
            sure = self.talk.ask("this step failed: fail WHAT YOU SEE writes it down; yes leaves it all the same")
            if sure.lower() not in ("yes", "y"):
                return Reply()
        word = "it does not concern this unit, because" if not_applicable else "skip it for now, because"
        why = why or self.talk.ask(f"{word} (nothing: go back)")
        return work.leave_out(why, not_applicable=not_applicable) if why else Reply()

    def _defects(self) -> Reply:
        """The defects of this job: one is written down, or what comes next for one is done."""
        rows = defect_rows(self.run.state, SPOKEN)
        for row in rows:
            if not row.id and row.text != "Or":
                self.talk.say(row.text)
        picked = self.ways.go(self.ways.pick("", "Which defect?", rows))
        if picked in ("new", "unit"):
            seen = self.talk.ask("what do you see (nothing: go back)")
            if seen:
                try:
                    number = defect_acts.found(self.run, seen, step=self.work.key if picked == "new" else "")
                except BenchError as error:
                    return Reply(str(error), problem=True)
                return Reply(f"defect {number} is written down")
        elif picked is not None:
            self.ways.go(defect_acts.next_for(self.ways, self.run, picked.partition(":")[2]))
        return Reply()

    def _end(self) -> Reply:
        self.ways.go(end_here(self.ways, self.run.job))
        return Reply()

    def _each(self) -> Reply:
        """The repeats of the step in sight, each with its mark and its reading."""
        if not self.work.key or self.work.step.repeat[1] < 2:
            return Reply("this step is done once, not for each control", problem=True)
        state = self.work.state
        repeats = state.plan.repeats(self.work.step.step_id)
        return self._read_out(
            [
                f"{step.subject.id if step.subject else step.number} {state[step.key].status}"
                f"{f': {said}' if (said := outcome(state, step)) and said != str(state[step.key].status) else ''}"
                for step in repeats
            ]
        )

    def _read_out(self, rows: Sequence[str]) -> Reply:
        for row in rows:
            self.talk.say(row)
        return Reply()

    def _look(self, words: str) -> Reply:
        """Say something of the design; what is about the control in hand comes first."""
        from benchtui.ui.lines.reference import look

        design = self.ways.design_of(self.run.plan)
        if design is None:
            return Reply("this work is about no design", problem=True)
        subject = self.work.step.subject
        look(self.talk, self.run.bench, design, subject=subject.id if subject else "", words=words)
        return Reply()

    def _list(self) -> Reply:
        state = self.work.state
        rows = [
            f"{step.number} {state[step.key].status}: "
            f"{f'{step.subject.id}: ' if step.subject else ''}{state.text(step.key)}"
            f"{' Safe stop after it.' if step.stop else ' Do not break off here.' if step.no_break else ''}"
            for step in state.plan.steps
        ]
        left = self.keeping.background.left()
        return self._read_out([*rows, *([sentence(left)] if left else [])])


def _ways(talk: Talk, run: Run) -> LineWays:
    """Who asks about a defect, where no bench stands behind the job."""
    from benchtui.faults.run import Hunts

    bench = run.bench
    hunts = Hunts(bench.library, bench.store, meter=bench.meter_id)
    return LineWays(talk, bench.library, bench, bench.units, hunts, lambda _: "")
