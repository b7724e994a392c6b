"""An urgent note that an earlier run has left: read, with its own key, before this one begins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Caution
from benchtui.ui.past import around
from benchtui.ui.screens.cautious import ReadBefore
from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.cautions import acknowledge_line
from benchtui.ui.view.head import job_head
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from benchtui.jobs.past import PastNote
    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp
    from benchtui.ui.view.text import Line


class NoticeScreen(ReadBefore):
    """Leaves with whether it was read.

    Args:
        run: The job that is about to begin.
        note: The note.
        place: "1 of 2" when there are several.
    """

    HELP = (
        "Somebody has marked this note as urgent: it is read before any run of the procedure begins. "
        "That it was read is kept with the job."
    )

    def __init__(self, run: Run, note: PastNote, *, place: str = "") -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.note = note
        self.place = place

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes, around=self.around)

    def body(self, width: int, height: int) -> list[Line]:
        note = self.note
        plan = self.run.plan
        about = next((step.text for step in plan.steps if note.step in (step.key, step.step_id)), "")
        lines = [
            line((f"{self.shapes.alert} READ THIS BEFORE THE WORK BEGINS ", "notice"), "  ", (self.place, "quiet"))
        ]
        lines += [BLANK, *wrap(note.text, width, role="strong", first="  ", rest="  "), BLANK]
        lines += wrap(f"about the step: {about}", width, first="  ", rest="  ") if about else []
        unit = f" at unit {note.unit}" if note.unit else ""
        lines += wrap(f"written{unit} on {clock_time(note.time)}", width, first="  ", rest="  ", role="quiet")
        return [*lines, BLANK, acknowledge_line("the work opens", armed=self.gate.open())]

    @property
    def caution(self) -> Caution | None:
        return Caution(id=self.note.id, signal="NOTICE", hazard=self.note.text)

    def caution_read(self, caution: Caution) -> None:
        self.run.act(ev.NoticeRead(note=self.note.id))
        self.dismiss(True)


async def read_notices(app: BenchApp, run: Run) -> bool:
    """Show each urgent note nobody has read yet; whether all of them were read."""
    from benchtui.jobs.run_sitting import Past

    notes = Past(run.bench.store, run.plan.id, now=run.job).urgent()
    for number, note in enumerate(notes, 1):
        place = f"{number} of {len(notes)}" if len(notes) > 1 else ""
        if not await app.push_screen_wait(NoticeScreen(run, note, place=place)):
            return False
    return True
