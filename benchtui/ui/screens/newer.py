"""A procedure was edited while a job by it is under way: keep the text the job has, or move it to the newer one."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs.mistakes import refusal
from benchtui.ui.newer import move
from benchtui.ui.past import around
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.revision import revision_lines
from benchtui.ui.view.text import window
from benchtui.ui.widgets.prompt import Question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.binding import BindingType

    from benchtui.jobs.run import Run
    from benchtui.ui.newer import Newer
    from benchtui.ui.view.text import Line


class NewerPage(BenchScreen[bool]):
    """Leaves with whether the job was moved.

    Args:
        run: The job.
        newer: The text as the files give it now.
    """

    HELP = (
        "What differs between the text this job was started with and the files as they are now. k keeps the text; "
        "m moves the job to the newer one, with a reason. Readings and marks stay; steps that read otherwise and were "
        "done are open again. A text in which the check finds a mistake is not moved to."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("m", "move", "move the job to the newer text"),
        Binding("k,escape,q,left", "keep", "keep the text the job has", key_display="k, Esc or q"),
        Binding("down,pagedown", "scroll(1)", "further down"),
        Binding("up,pageup", "scroll(-1)", "further up"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run, newer: Newer) -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.newer = newer
        self.top = 0
        self._most = 0

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def body(self, width: int, height: int) -> list[Line]:
        new = self.newer
        lines = revision_lines(
            self.run.state, new.plan, new.changes, width=width, shapes=self.shapes, mistakes=new.mistakes
        )
        shown, self._most = window(lines, height, self.top)
        return shown

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        more = (Key(self.shapes.more, "more", "scroll(1)"),) if self._most > self.top else ()
        return (
            Key("k", "keep the old text", "keep"),
            *(() if self.newer.mistakes else (Key("m", "move to the new", "move"),)),
            *more,
            Key("?", "keys", "app.help"),
        )

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by * 4, 0), self._most)
        self.redraw()

    def action_move(self) -> None:
        if self.newer.mistakes:
            self.say(refusal(self.newer.mistakes), problem=True)
            return
        self.ask(Question("Moved to the newer text, because:", self._move))

    def _move(self, reason: str) -> str:
        try:
            move(self.run, self.newer, reason.strip())
        except BenchError as error:
            return f"{error.message}: {error.hint}" if error.hint else error.message
        self.prompt.close()
        self.dismiss(True)
        return ""

    def action_keep(self) -> None:
        self.dismiss(False)
