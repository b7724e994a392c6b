"""What a step keeps beside its marks, by lines: parts, files, texts changed by hand, and its newer text."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.mistakes import refusal
from benchtui.jobs.named import names_of
from benchtui.ui import kept
from benchtui.ui.newer import move, newer_text
from benchtui.ui.past import Background, called_from
from benchtui.ui.places import place_doubt
from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.revision import hidden_lines, revision_lines
from benchtui.ui.view.shapes import SPOKEN
from benchtui.ui.work import Reply

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from benchtui.ui.lines.talk import Talk
    from benchtui.ui.work import Work

WIDTH: Final = 76

FITTED: Final = {"": "Part fitted", "text": "Noted"}
"""What is said of what was fitted or written down, where the word of the content does not tell."""

HELP: Final = (
    "part: a part went in, with its lot or serial number. file PATH: keep a file with this step. change: change "
    "the text of this step by hand. newer: the procedure was edited, keep or move. hidden: steps that are not for this "
    "unit. note !TEXT: a note that is read before the next run."
)


class Keeping:
    """The commands of one job that keep something.

    Args:
        talk: The conversation.
        work: The job in hand.
    """

    def __init__(self, talk: Talk, work: Work) -> None:
        self.talk = talk
        self.work = work
        self.background = Background(work.run)

    def commands(self) -> Mapping[str, Callable[[str], Reply]]:
        """Word to what it does with the rest of its line."""
        return {
            "part": self._part,
            "file": self._file,
            "change": self._change,
            "newer": self._newer,
            "hidden": self._hidden,
        }

    def opening(self) -> bool:
        """Where the job was called from, and urgent notes nobody has read; whether all of them were read."""
        called = called_from(self.work.run)
        if called:
            self.talk.say(called)
        if not self.work.state.not_begun:
            return True
        for note in self.background.urgent:
            unit = f" at unit {note.unit}" if note.unit else ""
            self.talk.say(f"Read this before the work begins: {note.text} (written{unit} on {clock_time(note.time)})")
            if self.talk.ask("a when you have read this, nothing to stop", anew=True) != "a":
                return False
            self.work.run.act(ev.NoticeRead(note=note.id))
        return True

    def said(self) -> list[str]:
        """What earlier runs have left for the step in sight, and what is kept with it."""
        step, known = self.work.step, self.work.known
        lines = ["This step reads differently from the last time."] if self.background.changed(step) else []
        stop = "" if self.work.looking else self.background.stop()
        lines += [f"  {stop[:1].upper()}{stop[1:]}."] if stop.startswith("do not") else []
        lines += [f"  Earlier: {note}" for note in self.background.notes(step)]
        if known.redline:
            lines.append(f"  Changed by hand, because {known.redlined}. Written was: {step.text}")
        lines += [
            f"  {FITTED.get(step.trace, step.trace.capitalize() + ' fitted')}: {origin}" for origin in known.fitted
        ]
        lines += [f"  File: {name}" for name, _ in known.files]
        return lines

    def _part(self, _: str) -> Reply:
        work = self.work
        if work.step.trace and not work.known.fitted:
            return Reply(ask="part")
        part = self.talk.ask("1 of 5: what was fitted (nothing: go back)")
        if not part:
            return Reply()
        place = self._place(kept.place_of(work) or work.step.step_id)
        lot = self.talk.ask("3 of 5: its lot (nothing: not known)")
        serial = self.talk.ask("4 of 5: its serial number (nothing: none)")
        out = self.talk.ask("5 of 5: what came out (nothing: nothing did)")
        said = (part, place or work.step.step_id, lot, serial)
        question, answers = kept.how_it_goes_in(work, *said, out)
        if not answers:
            return kept.fit_other(work, *said)
        goes = self.talk.pick(question, [(id, f"{text} ({means})") for id, (text, means) in answers.items()])
        return Reply("nothing was kept") if goes is None else kept.fit_other(work, *said, replaces=out, goes=goes)

    def _place(self, here: str) -> str:
        """Where a part went; a place that is nowhere is asked about, and kept when it is typed once more."""
        design = None
        plan = self.work.run.plan
        if plan.design_id:
            from benchtui.design import load_design

            with suppress(BenchError):  # a design that cannot be read is no reason not to keep a part
                design = load_design(self.work.run.bench.library.path_of("design", plan.design_id))
        known = tuple(names_of(self.work.state).ids.values())
        doubted = ""
        while True:
            typed = self.talk.ask(f"2 of 5: where, such as F3 or F1 to F8 (nothing: {here})")
            doubt = place_doubt(design, typed, known=known)
            if not doubt or typed == doubted:
                return typed
            doubted = typed
            self.talk.say(f"{doubt[:1].upper()}{doubt[1:]}. The same once more keeps it as typed.")

    def _file(self, path: str) -> Reply:
        return kept.attach(self.work, path)

    def _change(self, text: str) -> Reply:
        held = self.background.deviation(self.work.step)
        offered = held.text if held else ""
        text = text or self.talk.ask(f"it should read (nothing: {offered or 'go back'})") or offered
        if not text:
            return Reply()
        reason = self.talk.ask("because") or (held.reason if held else "")
        until = self.talk.ask("for other units too, until (date or serial; nothing: this unit only)")
        return kept.redline(self.work, text, reason, until=until)

    def _newer(self, _: str) -> Reply:
        run = self.work.run
        try:
            found = newer_text(run)
        except BenchError as error:
            return Reply(f"the procedure as it stands now cannot be read: {error}", problem=True)
        if found is None:
            return Reply("this job goes by the newest text")
        lines = revision_lines(
            run.state, found.plan, found.changes, width=WIDTH, shapes=SPOKEN, mistakes=found.mistakes
        )
        self.talk.lines(lines)
        if found.mistakes:
            return Reply(refusal(found.mistakes), problem=True)
        reason = self.talk.ask("move to the newer text, because (nothing: keep the old one)")
        if not reason:
            return Reply("the job keeps its text")
        move(run, found, reason)
        self.background = Background(run)
        return kept.after_move(self.work)

    def _hidden(self, _: str) -> Reply:
        self.talk.lines(hidden_lines(self.work.state.plan, WIDTH, SPOKEN))
        return Reply()
