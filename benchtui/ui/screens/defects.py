"""The defects of a job: written down before they are touched, decided, put right, and tested again."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.ui import defect_acts
from benchtui.ui.past import around
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.trouble import told
from benchtui.ui.view.defects import defect_rows
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.owed import owed_rows
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class DefectScreen(BenchScreen[None]):
    """The list; Enter does what comes next for the defect at the mark."""

    WRITES = True

    HELP = (
        "A defect is written down before it is touched. Enter does what comes next: decide, begin the rework, end it. "
        "Rework opens again the tests whose proof it made void; the unit is not finished until they pass."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "write a defect down, of this step"),
        Binding("u", "new(True)", "write one down of the unit itself, and not of this step"),
        Binding("q,escape,left", "leave", "back to the steps", key_display="q, Esc or ←"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run, *, step: str = "") -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.step = step

    def compose_body(self) -> ComposeResult:
        yield Rows(id="rows", shapes=self.shapes)

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        return (
            Key("enter", "do what comes next"),
            Key("n", "write one down", "new"),
            Key("q", "back", "leave"),
            Key("?", "keys", "app.help"),
        )

    @told
    def on_mount(self) -> None:
        self._fill("")
        self.query_one(Rows).focus()

    def _fill(self, wanted: str | None = None) -> None:
        owed = owed_rows(self.host.units.missing(self.run.unit)) if self.run.unit else []
        self.query_one(Rows).fill([*defect_rows(self.run.state, self.shapes), *owed], wanted=wanted)
        self.redraw()

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        id = event.row.id.partition(":")[2]
        if not id:
            self.action_new(event.row.id == "unit")
        else:
            self.host.go(self._next(id))

    async def _next(self, defect: str) -> None:
        """What comes next for a defect."""
        if await defect_acts.next_for(self.host, self.run, defect):
            self._fill()

    def action_new(self, of_unit: bool = False) -> None:
        step = "" if of_unit else self.step
        self.ask(Question("What do you see:", lambda seen: self._found(seen, step)))

    def _found(self, seen: str, step: str) -> str:
        try:
            number = defect_acts.found(self.run, seen, step=step)
        except BenchError as error:
            return str(error)
        self.prompt.close()
        self._fill()
        self.say(f"defect {number} is written down")
        return ""

    def action_leave(self) -> None:
        self.dismiss(None)
