"""Ways through several questions by lines: the same coroutines as on the screen, each answered at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TypeVar

from benchtui.errors import BenchError
from benchtui.ui.lines.talk import WIDTH, sentence
from benchtui.ui.view.cautions import in_order
from benchtui.ui.view.rows import found
from benchtui.ui.view.shapes import SPOKEN
from benchtui.ui.view.spoken import caution_said

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine, Sequence

    from benchtui.content.library import Library
    from benchtui.design.model import Design
    from benchtui.faults.run import Hunts
    from benchtui.jobs.plan import Caution, Plan
    from benchtui.jobs.run import Bench, Run
    from benchtui.jobs.run_units import Units
    from benchtui.record.store import Store
    from benchtui.ui.lines.talk import Talk
    from benchtui.ui.view.rows import Row
    from benchtui.ui.view.text import Line

R = TypeVar("R")

MOST: Final = 20
"""Things that are read out to choose from; of more, words are asked for first."""


class LineWays:
    """Asks and shows by lines (`ui.ways.Ways`).

    Args:
        talk: The conversation.
        library: Designs, procedures, checklists.
        bench: Jobs of the record.
        units: Units of the record.
        hunts: Hunts of the record.
        work: Goes through a job; gives back how it was closed, empty when it was put aside.
    """

    def __init__(
        self, talk: Talk, library: Library, bench: Bench, units: Units, hunts: Hunts, work: Callable[[Run], str]
    ) -> None:
        self.talk = talk
        self.library = library
        self.store: Store = bench.store
        self.bench = bench
        self.units = units
        self.hunts = hunts
        self.shapes = SPOKEN
        self._work = work

    def go(self, way: Coroutine[object, object, R]) -> R | None:
        """Go a way to its end; a refusal on it is said, and None given back."""
        try:
            way.send(None)
        except StopIteration as ended:
            result: R = ended.value
            return result
        except BenchError as error:
            self.talk.say(str(error))
            return None
        raise RuntimeError("a way waits for a screen, and there is none")

    async def pick(
        self,
        title: str,
        question: str,
        rows: Sequence[Row],
        *,
        wanted: str = "",
        more: Callable[[str], Sequence[Row]] | None = None,
    ) -> str | None:
        """Let one of many be picked, by its number or by words of it; of very many, by words first."""
        choices = [row for row in rows if row.id]
        said = f"{title}. {question}" if title else question
        while len(choices) > MOST or more is not None:
            typed = self.talk.ask(f"{said} Words of it (nothing: go back)")
            if not typed:
                return None
            choices = [row for row in found(rows, typed, more(typed) if more else ()) if row.id]
            if not choices:
                self.talk.say(f"Nothing holds {typed!r}.")
            elif len(choices) > MOST:
                self.talk.say(f"{len(choices)} things hold {typed!r}: type more words of it.")
            else:
                said = "Found. Which one?"
                break
            choices = [row for row in rows if row.id]
        return self.talk.pick(said, [(row.id, _row_said(row)) for row in choices])

    async def ask(
        self,
        title: str,
        question: str,
        *,
        told: str = "",
        needed: str = "",
        check: Callable[[str], str] | None = None,
    ) -> str | None:
        """Ask for a text; where nothing is no answer, an empty line goes back."""
        self.talk.say(f"{title}.".replace("..", "."))
        if told:
            self.talk.say(told)
        while True:
            typed = self.talk.ask(f"{question} (nothing: go back)" if needed else question)
            if not typed and needed:
                return None
            wrong = check(typed) if check else ""
            if not wrong:
                return typed
            self.talk.say(wrong)

    async def heed(self, title: str, cautions: Sequence[Caution]) -> bool:
        """Have cautions read, one by one; whether all of them were."""
        for caution in in_order(cautions):
            for row in caution_said(caution):
                self.talk.say(row)
            if self.talk.ask("a when you have read this, nothing to go back", anew=True).lower() != "a":
                return False
        return True

    async def read(self, title: str, text: Callable[[int], list[Line]]) -> None:
        """Say a text."""
        self.talk.say(title)
        self.talk.lines(text(WIDTH))

    async def work_on(self, run: Run) -> str:
        """Go through a job by lines."""
        return self._work(run)

    def report(self, text: str, *, problem: bool = False) -> None:
        """Say what came of it."""
        self.talk.say(sentence(text))

    def design_of(self, plan: Plan) -> Design | None:
        """The design of a job, as its file stands now; None for a job about none.

        Raises:
            BenchError: There is no such design any more, or its file has problems.
        """
        from benchtui.design import load_design

        return load_design(self.library.path_of("design", plan.design_id)) if plan.design_id else None


def _row_said(row: Row) -> str:
    """A row as it is read out."""
    return ", ".join(part for part in (row.text.strip(), row.right, row.under) if part)
