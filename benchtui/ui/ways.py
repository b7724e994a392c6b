"""What a way through several questions needs of whoever asks them: the full screen or the line mode.

A way is a coroutine. On the screen it waits for each page to be left; by lines each answer is there at once. So one
text of the questions serves both, and neither mode can do what the other cannot.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from benchtui.content.library import Library
    from benchtui.design.model import Design
    from benchtui.faults.run import Hunts
    from benchtui.jobs.plan import Caution, Plan
    from benchtui.jobs.run import Bench, Run
    from benchtui.jobs.run_units import Units
    from benchtui.record.store import Store
    from benchtui.ui.view.rows import Row
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


class Ways(Protocol):
    """Who asks, shows and goes to work."""

    library: Library
    store: Store
    bench: Bench
    units: Units
    hunts: Hunts
    shapes: Shapes

    async def pick(
        self,
        title: str,
        question: str,
        rows: Sequence[Row],
        *,
        wanted: str = "",
        more: Callable[[str], Sequence[Row]] | None = None,
    ) -> str | None:
        """Let one of many be picked.

        Args:
            title: What it is about.
            question: What is asked.
            rows: All rows; those without an id are headings.
            wanted: Id of the row that is offered first.
            more: Further rows made from what was typed; they stand after the others.

        Returns:
            The id of the row; None when nothing was picked.
        """

    async def ask(
        self,
        title: str,
        question: str,
        *,
        told: str = "",
        needed: str = "",
        check: Callable[[str], str] | None = None,
    ) -> str | None:
        """Ask for a text.

        Args:
            title: What it is about.
            question: What is asked.
            told: What has to be known before it is answered.
            needed: What to say when nothing was typed; empty when that is an answer too.
            check: Says what is to be said against a text; empty when it will do.

        Returns:
            What was typed, without blanks around it; None when it was given up.
        """

    async def heed(self, title: str, cautions: Sequence[Caution]) -> bool:
        """Have cautions read, each with the key of its own; whether all of them were.

        Args:
            title: What they come before.
            cautions: What is to be read.
        """

    async def read(self, title: str, text: Callable[[int], list[Line]]) -> None:
        """Show a text, laid out for the width there is."""

    async def work_on(self, run: Run) -> str:
        """Go through a job; how it was closed, empty when it was put aside."""

    def report(self, text: str, *, problem: bool = False) -> None:
        """Say what came of it."""

    def design_of(self, plan: Plan) -> Design | None:
        """The design of a job, as its file stands now; None for a job about none."""
