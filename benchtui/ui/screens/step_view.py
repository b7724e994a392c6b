"""What stands on the step screen, and the keys that only change what is shown; what is done there is in `step`."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.ui.past import called_from
from benchtui.ui.screens.base import WIDE
from benchtui.ui.screens.keeping import KeepingScreen
from benchtui.ui.view.ages import countdown
from benchtui.ui.view.contents import contents
from benchtui.ui.view.far import far_page, grid
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD, HELP, Key, step_keys
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import BLANK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.plan import Caution
    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class StepView(KeepingScreen):
    """The step in sight, with its cautions, wires and limits, and what is shown beside it."""

    SIDE = True

    def __init__(self, run: Run) -> None:
        super().__init__(run)
        self.called = called_from(run)
        self._pictured = ""
        """Step the panel was asked for at."""
        self.view = ""
        """What is shown under the step: nothing, front, rear, steps or grid."""
        self.far = False
        self.working = False
        self.brief = False
        self.top = 0
        self._most = 0

    @property
    def caution(self) -> Caution | None:
        return self.work.unread

    # -- what stands on the screen ---------------------------------------------------------------------------------

    def head(self, width: int) -> list[Line]:
        return job_head(self.work.state, width, self.shapes, key=self.work.key, around=self.around)

    def body(self, width: int, height: int) -> list[Line]:
        work = self.work
        if not work.key:
            return []
        left = work.run.left_to_wait(step=work.key) if work.step.act == "wait" else None
        sight = Sight(
            key=work.key,
            armed=self.gate.open(),
            working=self.working,
            brief=self.brief,
            countdown="" if left is None else f"{countdown(left)} left" if left else "over: Space goes on",
            notes=self.background.notes(work.step),
            changed=self.background.changed(work.step),
            stop="" if work.looking else self._stop(),
            called=self.called,
            meter=self.host.bench.meter,
            goes_to=self.host.title_of(work.step.call),
            below=tuple(self._below(width, height)),
            top=self.top,
        )
        if self.far:
            self._most = 0
            if self.drawn((work.unread,) if work.unread else ()):
                sight = replace(sight, armed=False)
            return far_page(work.state, sight, width=width, height=height, shapes=self.shapes)
        page = step_page(work.state, sight, width=width, height=height, shapes=self.shapes)
        if self.drawn(page.cautions):
            page = step_page(work.state, replace(sight, armed=False), width=width, height=height, shapes=self.shapes)
        self._most = page.most
        return page.lines

    def _stop(self) -> str:
        """How long it is to the next safe stop; and, over the list of steps, to the end."""
        return ", ".join(filter(None, (self.background.stop(), self.background.left() if self.view == "steps" else "")))

    def side(self, width: int, height: int) -> list[Line]:
        picture = self._picture(width, 16)
        lines = contents(self.work.state, self.work.key, width=width, height=height - len(picture), shapes=self.shapes)
        gap = [BLANK] * (height - len(picture) - len(lines))
        return [*lines, *gap, *picture]

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        if self.host.store.read_only:
            after = Key(".", "after", "ahead")
            return (Key("←", "before", "back"), after, Key("g", "go to", "jump"), Key("q", "leave", "leave"), HELP)
        if self.view or self.working or self.far:
            first, *rest = step_keys(self.work, armed=self.gate.open())
            return (first, Key("esc", "back to the step", "back_out"), *rest[-3:])
        return step_keys(self.work, armed=self.gate.open())

    def _below(self, width: int, height: int) -> list[Line]:
        if not self.view or (self.size.width >= WIDE and self.view != "grid"):
            return []
        if self.view == "grid":
            return grid(self.work.state, self.work.step.step_id, self.work.key, width=width, shapes=self.shapes)
        # The step before and after with their rules, heading, text and wires stand above and below.
        taken = 7 + (len(self.work.step.wires) + 1 if self.work.key and self.work.step.wires else 0)
        if self.view == "steps":
            room = max(height - taken, 6)
            return contents(self.work.state, self.work.key, width=width, height=room, shapes=self.shapes)
        return self._picture(width, max(height - taken, 8))

    def _picture(self, width: int, height: int) -> list[Line]:
        if self.size.width < WIDE and self.view not in ("front", "rear"):
            return []
        step = self.work.step if self.work.key else None
        mark = step.subject.id if step and step.subject else ""
        return self.host.panel(self.work.state.plan, width=width, height=height, rear=self.view == "rear", mark=mark)

    # -- what is shown ----------------------------------------------------------------------------------------------

    def come_to(self) -> None:
        """After an act: the step in sight, which may be another one now, is shown from its top."""
        self.top = 0
        if self.work.key != self._pictured and self.size.width < WIDE:
            # In a narrow window the panel takes the room of the text: the next step is read before it is drawn.
            self.view = "" if self.view in ("front", "rear") else self.view
        self._pictured = self.work.key

    def action_working(self) -> None:
        self.working = not self.working
        self.redraw()

    def action_brief(self) -> None:
        self.brief = not self.brief
        self.redraw()

    def action_picture(self) -> None:
        self.view = {"": "front", "front": "rear"}.get(self.view, "")
        self.redraw()

    def action_contents(self) -> None:
        self.view = "" if self.view == "steps" else "steps"
        self.redraw()

    def action_grid(self) -> None:
        if self.work.key and self.work.step.repeat[1] > 1:
            self.view = "" if self.view == "grid" else "grid"
            self.redraw()
        else:
            self.say("this step is done once, not for each control", problem=True)

    def action_far(self) -> None:
        self.far = not self.far
        self.redraw()

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by, 0), self._most)
        self.redraw()
