"""Acts of a pass over a batch by lines that are about no step: who is where, one unit in hand, the end, the release."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui import together
from benchtui.ui.first_units import signed_with
from benchtui.ui.lines.end import close_job
from benchtui.ui.lines.keeping import Keeping
from benchtui.ui.lines.talk import WIDTH, sentence
from benchtui.ui.lines.units import unit_page
from benchtui.ui.reply import Reply
from benchtui.ui.strap import ASKED as STRAP_ASKED
from benchtui.ui.view.batch import release_lines, sums_text, unit_rows
from benchtui.ui.view.batch_said import matrix_said, spread_said
from benchtui.ui.view.shapes import SPOKEN
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.lines.bench import BenchTalk

AT_THE_END: Final = (
    ("close", "close the jobs of the units that are through"),
    ("unit", "take one unit in hand"),
    ("hold", "hold a unit, or free one"),
    ("undo", "take the last mark back"),
    ("where", "where each unit is"),
    ("spread", "readings that stand out"),
    ("spread all", "every reading over the units"),
    ("release", "release the units that have nothing missing"),
)
"""What can be done where no unit has a step to do."""


class Acts:
    """What can be done in a pass at any step, and at its end.

    Args:
        here: The bench.
        batch: The units.
        procedure: Id of the procedure gone through.
    """

    def __init__(self, here: BenchTalk, batch: Batch, procedure: str) -> None:
        self.here = here
        self.talk = here.talk
        self.batch = batch
        self.procedure = procedure

    def commands(self) -> Mapping[str, Callable[[str], Reply]]:
        """Word to what it does with the rest of its line."""
        return {
            "where": lambda _: self.where(),
            "spread": self.spread,
            "hold": lambda _: self.hold(),
            "undo": lambda _: self.undo(),
            "release": lambda _: self.release(),
            "look": self.look,
            "!": lambda _: self.read_out(self.here.emergency()),
        }

    def read_out(self, rows: Iterable[str]) -> Reply:
        """Say rows one by one."""
        for row in rows:
            self.talk.say(row)
        return Reply()

    def say_out(self) -> None:
        """Which units the pass goes past, and which of them wait."""
        for unit, state in self.batch.left_out().items():
            self.talk.say(f"Not in the pass: {unit} ({state}).")
        for unit, step in self.batch.waiting().items():
            self.talk.say(f"Waits: {unit}, at step {step.number}.")

    def notices(self, run: Run) -> bool:
        """Urgent notes of earlier runs; whether all of them were read."""
        return Keeping(self.talk, Work(run)).opening()

    def where(self) -> Reply:
        """How far each unit is, stage by stage."""
        self.talk.say(f"Batch {self.batch.name}: {sums_text(self.batch.sums())}.")
        self.read_out(matrix_said(self.batch.matrix(self.procedure)))
        self.say_out()
        return Reply()

    def spread(self, words: str) -> Reply:
        """The readings over the units; all of them with the word `all`."""
        every = words.lower() == "all"
        self.read_out(spread_said(self.batch.spread(self.procedure), every=every))
        return Reply()

    def hold(self) -> Reply:
        """A unit drops out, or takes part again."""
        return self.here.ways.go(together.hold_or_free(self.here.ways, self.batch)) or Reply()

    def undo(self) -> Reply:
        """Take the last mark back."""
        key, units = self.batch.take_back()
        return Reply(f"taken back for {', '.join(units)}" if key else "there is no mark to take back here")

    def look(self, words: str) -> Reply:
        """Say something of the design; what is about the control in hand comes first."""
        from benchtui.ui.lines.reference import look

        step = self.batch.current()
        run = next(iter(self.batch.runs().values()))
        design = self.here.ways.design_of(run.plan)
        if design is None:
            return Reply("this work is about no design")
        subject = step.subject.id if step is not None and step.subject else ""
        look(self.talk, self.here.bench, design, subject=subject, words=words)
        return Reply()

    def strap(self, work: Work) -> Reply:
        """The wrist strap has to be tested first."""
        typed = self.talk.ask(f"{STRAP_ASKED} (nothing: go back)")
        return work.strap.keep(typed) if typed else Reply()

    def in_hand(self) -> None:
        """Work on one unit by itself, or from its page once its job is closed; then go on with the others."""
        runs = self.batch.runs()
        rows = unit_rows({unit: run.state for unit, run in runs.items()}, self.batch.states(), SPOKEN)
        ways = self.here.ways
        picked = ways.go(ways.pick(f"Batch {self.batch.name}", "Which unit do you take in hand?", rows))
        if picked is None:
            return
        run = runs.get(picked)
        if run is None:
            unit_page(ways, picked, self.here.find)
            return
        ways.go(ways.work_on(run))
        together.back_with_the_others(run)

    def at_the_end(self) -> bool:
        """No unit has a step to do: say where they are, and do what is asked; whether the pass goes on."""
        through, waiting = self.batch.at_the_end(), self.batch.waiting()
        if through:
            self.talk.say(f"Every step was gone through on {', '.join(through)}.")
        elif self.batch.called and not self.batch.runs():
            return False
        elif not waiting:
            self.talk.say("Nothing is left to do here for all.")
        self.say_out()
        choices = [row for row in AT_THE_END if row[0] != "close" or through]
        # Units are released from the pass that builds them, and not from one it has called.
        choices = [row for row in choices if row[0] != "release" or not self.batch.called]
        picked = self.talk.pick("What do you want to do?", choices)
        if picked is None:
            for run in self.batch.runs().values():
                run.suspend()
            return False
        if picked == "close":
            self._close()
        elif picked == "unit":
            self.in_hand()
        else:
            self.do(picked)
        return True

    def do(self, word: str) -> None:
        """Do what stands in a list, and say what came of it."""
        name, _, rest = word.partition(" ")
        self.say(self.here.ways.go(_reply(self.commands()[name], rest)) or Reply())

    def say(self, reply: Reply) -> None:
        """Say what came of an act."""
        if reply.text:
            self.talk.say(sentence(reply.text))

    def _close(self) -> None:
        """The end page, once for the units that have nothing open, and one for each that has."""
        seen = False
        for unit in self.batch.at_the_end():
            run = self.batch.runs()[unit]
            alike = together.only_to_count(run)
            if seen and alike:
                together.close_alike(run)
                self.talk.say(f"{unit} closed: {run.state.closed}.")
                continue
            self.talk.say(f"The job of {unit}{', and of the others that have nothing open' if alike else ''}.")
            if not close_job(self.talk, run, self.here.units):
                return
            seen = seen or alike

    def release(self) -> Reply:
        """Release every unit that has nothing missing, by one name; the others are named with what they lack."""
        ready, missing = together.ready(self.here.ways, self.batch)
        if not missing:
            return Reply("no unit of this batch waits for its release")
        self.talk.lines(release_lines(missing, WIDTH, first=signed_with(self.here.units, ready), hand="unit"))
        if not ready:
            return Reply("none can be released yet")
        name = self.talk.ask(f"Released, {len(ready)} of {len(missing)}, by (nothing: go back)")
        if not name:
            return Reply()
        for unit in ready:
            self.here.units.release(unit, by=name)
        return Reply(f"released: {', '.join(ready)}")


async def _reply(act: Callable[[str], Reply], rest: str) -> Reply:
    return act(rest)
