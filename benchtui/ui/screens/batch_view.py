"""What stands on the screen of a pass over a batch, and the keys that only look; what is done there is in `batch`."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.ui import together
from benchtui.ui.first_units import first_said
from benchtui.ui.past import Background, around
from benchtui.ui.screens.cautious import CautiousScreen
from benchtui.ui.screens.pages import TextPage
from benchtui.ui.view import batch as view
from benchtui.ui.view.ages import countdown
from benchtui.ui.view.keys import FIELD, HELP, Key
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import cut, line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.plan import Caution, PlanStep
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.view.text import Line


class BatchView(CautiousScreen[None]):
    """The step in hand for all units, whose turn it is, who waits and who is left out."""

    def __init__(self, batch: Batch, procedure: str, title: str) -> None:
        super().__init__()
        self.group = batch
        self.around = around(next(iter(batch.runs().values()))) if batch.runs() else ()
        self.procedure = procedure
        self.about = title
        self._step = ""
        self._looked_at = ""
        """Key of the step in sight, where that is another than the one in hand."""
        self._again: tuple[str, str] = ("", "")
        """Unit and step that are measured again while the pass is elsewhere, or stands still; empty where none is."""
        self._background: Background | None = None
        self.first: str | None = None
        """What is said of a first-unit record that is due; None until it was looked for."""
        self.working = False
        self.top = 0
        self._most = 0
        self._now: PlanStep | None = None
        self._at: tuple[str, ...] = ()

    @property
    def step(self) -> PlanStep | None:
        """The step in hand."""
        return self._now

    @property
    def runs(self) -> tuple[Run, ...]:
        """The jobs in hand, to be put aside when the terminal goes away."""
        return tuple(self.group.runs().values())

    @property
    def lead(self) -> Run:
        """The job of the unit whose turn it is; what is shown is taken from it."""
        return self.group.runs()[self._at[0]]

    @property
    def _measured_again(self) -> tuple[Run, str] | None:
        """The job and the step of a unit whose reading is typed anew, while it is; None where none is."""
        run = self.group.runs().get(self._again[0]) if self.typing else None
        return (run, self._again[1]) if run is not None and run.plan.has(self._again[1]) else None

    @property
    def one_by_one(self) -> bool:
        """The step in hand is gone through unit by unit."""
        step = self._now
        return step is not None and bool(step.limits or step.choices)

    @property
    def _near(self) -> bool:
        """The unit whose turn it is has a reading near its limit, which waits to be kept."""
        step = self._now
        known = self.lead.state[step.key] if step is not None and step.limits else None
        return known is not None and not known.to_read

    @property
    def unread(self) -> list[Caution]:
        """Cautions of the step that were not read for every unit that is at it; one that was freed may lack them."""
        return together.unread(self.group, self._now) if self._now is not None else []

    def head(self, width: int) -> list[Line]:
        states = [run.state for run in self.group.runs().values()]
        step = self._now
        if again := self._measured_again:
            step = again[0].plan.step(again[1])
        elif step is not None and self._looked_at:
            step = self.lead.plan.step(self._looked_at)
        out = self.group.left_out()
        return view.batch_head(
            self.group.name, self.about, states, step, width, self.shapes, out=out, around=self.around
        )

    def body(self, width: int, height: int) -> list[Line]:
        step, group = self._now, self.group
        waiting, out = group.waiting(), group.left_out()
        first = self._first_line(width)
        if again := self._measured_again:
            # Lugs, limits and control stay in sight: the field alone does not say where the probes go.
            run, key = again
            top = list(view.marks_lines({run.unit: run.state}, key, run.unit, {}, {}, width=width, shapes=self.shapes))
            room = max(height - len(top), 1)
            page = step_page(run.state, Sight(key=key, armed=False), width=width, height=room, shapes=self.shapes)
            return [*top, *page.lines]
        if step is None:
            return [*view.end_lines(group.sums(), group.at_the_end(), waiting, out, width), *first]
        states = {unit: run.state for unit, run in group.runs().items() if unit not in out}
        turn = self._at[0] if self.one_by_one and not self._looked_at else ""
        key = self._looked_at or step.key
        top = [*view.marks_lines(states, key, turn, out, waiting, width=width, shapes=self.shapes), *first]
        sight = Sight(
            key=key,
            armed=self.gate.open(),
            working=self.working,
            countdown=self._countdown(step),
            notes=self.background.notes(self.lead.plan.step(key)),
            changed=self.background.changed(self.lead.plan.step(key)),
            goes_to=self.host.title_of(self.lead.plan.step(key).call),
            # Those of every unit at the step: the one in front may have read them while it was taken in hand alone.
            unread=() if self._looked_at else tuple(self.unread),
            top=self.top,
        )
        room = max(height - len(top), 1)
        page = step_page(self.lead.state, sight, width=width, height=room, shapes=self.shapes)
        if self.drawn(page.cautions):
            unarmed = replace(sight, armed=False)
            page = step_page(self.lead.state, unarmed, width=width, height=room, shapes=self.shapes)
        self._most = page.most
        return [*top, *page.lines]

    def _first_line(self, width: int) -> list[Line]:
        """Which unit is the first of its design, and why its first-unit record is due; nothing in a called pass."""
        if self.first is None:
            self.first = "" if self.group.called else first_said(self.host.units, self.group.taking_part())
        return [cut(line((self.first, "quiet")), width)] if self.first else []

    @property
    def background(self) -> Background:
        """What earlier runs and the present sitting have to say."""
        if self._background is None:
            self._background = Background(self.lead)
        return self._background

    def _countdown(self, step: PlanStep) -> str:
        left = self.group.left_to_wait(step.key) if step.act == "wait" else None
        if left is None:
            return ""
        return f"{countdown(left)} left" if left else "over: Space goes on"

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        step = self._now
        if step is None:
            word = "close the jobs" if self.group.at_the_end() else "who is where"
            action = "go_on" if self.group.at_the_end() else "matrix"
            first = Key("space" if action == "go_on" else "l", word, action)
            # Units are released from the pass that builds them, and not from one it has called.
            release = () if self.group.called else (Key("r", "release", "release"),)
            return (first, *release, Key("t", "take one in hand", "in_hand"), HELP)
        if self._looked_at:
            return (Key("space", "back to the work", "go_on"), Key("←", "before", "look(-1)"), HELP)
        if self.unread:
            read = (Key("a", "I have read this", "acknowledge"),) if self.gate.open() else ()
            return (*read, Key("←", "before", "look(-1)"), HELP)
        return (self._act_key(step), Key("t", "one in hand", "in_hand"), Key("l", "who is where", "matrix"), HELP)

    def _act_key(self, step: PlanStep) -> Key:
        if self._near:
            return Key("space", f"keep it for {self._at[0]}", "go_on")
        if step.limits:
            return Key("0-9", f"{self._at[0]}, {step.limits.text}", "go_on")
        if step.choices:
            return Key(f"1-{len(step.choices)}", f"answer for {self._at[0]}")
        left = self.group.left_to_wait(step.key) if step.act == "wait" else None
        if left:
            return Key("e", "end it early", "early")
        words = {"sign": "sign for", "call": "go there with", "observe": "it is so on"}
        words["wait"] = "wait with" if left is None else "done for"
        return Key("space", f"{words.get(step.act, 'done for')} {len(self._at)}", "go_on")

    @property
    def caution(self) -> Caution | None:
        return None if self._looked_at else next(iter(self.unread), None)

    # -- keys that only look ---------------------------------------------------------------------------------------

    def action_look(self, by: int) -> None:
        if self.prompt.asking or self._now is None:
            return
        plan = self.lead.plan
        place = plan.places[self._looked_at or self._now.key] + by
        if not 0 <= place < len(plan):
            self.say("this is the first step" if by < 0 else "this is the last step")
            return
        key = plan.steps[place].key
        self._looked_at, self.top = ("" if key == self._now.key else key), 0
        self.say("")

    def action_matrix(self) -> None:
        cells, sums = self.group.matrix(self.procedure), self.group.sums()
        self.app.push_screen(
            TextPage(
                f"Batch {self.group.name}",
                lambda width: [view.sums_line(sums, width), *view.matrix_lines(cells, width, self.shapes)],
            )
        )

    def action_spread(self) -> None:
        spreads = self.group.spread(self.procedure)
        title = f"Readings of batch {self.group.name}"
        self.app.push_screen(TextPage(title, lambda width: view.spread_lines(spreads, width, self.shapes)))

    def action_beside(self) -> None:
        from benchtui.ui.lookups import beside

        if self._now is not None:
            step = self.lead.plan.step(self._looked_at or self._now.key)
            control = step.subject.id if step.subject else ""
            self.host.go(beside(self.host, self.host.design_of(self.lead.plan), control))

    def action_working(self) -> None:
        self.working = not self.working
        self.redraw()

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by, 0), self._most)
        self.redraw()
