"""One unit: its state, what keeps it from leaving, what was done to it; and the release, which somebody signs."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.faults.told import teller
from benchtui.jobs.left_open import left_open
from benchtui.jobs.left_out import left_out
from benchtui.jobs.missing import missing
from benchtui.jobs.run_first_unit import first_unit
from benchtui.jobs.run_passport import beside
from benchtui.jobs.unit_events import FirmwareLoaded
from benchtui.ui import flows, unit_acts
from benchtui.ui.fixed import correct
from benchtui.ui.screens.base import Key
from benchtui.ui.screens.pages import Page, TextPage
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.history import MOST_EVENTS, newest_events, unit_lines
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.passport import passport_lines
from benchtui.ui.view.text import wrap
from benchtui.ui.widgets.prompt import Question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.binding import BindingType

    from benchtui.jobs.passport import Beside
    from benchtui.jobs.units import UnitView
    from benchtui.ui.view.text import Line


class UnitPage(Page):
    """The page of a unit."""

    WRITES = True

    HELP = (
        "Where a unit stands. A unit leaves the bench only when nothing is missing; r releases it with your name. "
        "With something open it can only go out as temporary, by a reason that stays on it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "release", "release it, with a name"),
        Binding("h", "history", "everything that happened to it"),
        Binding("e", "whole_history", "the same from its first entry on"),
        Binding("f", "find", "find a fault on it"),
        Binding("t", "again", "test again what later work made void"),
        Binding("s", "state", "it is held, comes back, is scrapped: another state"),
        Binding("u", "put_right", "something temporary was put right"),
        Binding("d", "decide", "decide what two benches disagree on"),
        Binding("o", "left_open", "do what a closed job left open: steps, or a defect"),
        Binding("l", "leave_as_is", "sign that something missing stays as it is"),
        Binding("i", "take_in", "it came in: condition, damage, what came with it"),
        Binding("w", "firmware", "write down which firmware was loaded"),
        Binding("c", "correct", "put right what is fixed of it: hardware revision, options"),
        Binding("v", "first_unit", "the first-unit record: each characteristic with its limits and reading; sign it"),
        Binding("escape,q,left", "leave", "back", key_display="Esc or q"),
        Binding("down,pagedown", "scroll(1)", "further down"),
        Binding("up,pageup", "scroll(-1)", "further up"),
        Binding("f1,question_mark", "app.help", "what the keys do", key_display="? or F1"),
        Binding("f9,exclamation_mark", "app.emergency", "smoke, smell or shock", key_display="! or F9"),
    ]

    def __init__(self, unit: str) -> None:
        super().__init__()
        self.unit = unit
        self._known: tuple[UnitView, tuple[str, ...], str, Beside] | None = None

    @property
    def known(self) -> tuple[UnitView, tuple[str, ...], str, Beside]:
        """The unit, what it misses, why a first-unit record is due, and what its record tells beside.

        Rebuilt from its events after each act, and not at each drawing.
        """
        if self._known is None:
            view = self.host.units.view(self.unit)
            due = first_unit(self.host.units, self.unit, view=view).line
            lacks = missing(view, self.host.units.needs(view.design))
            self._known = view, lacks, due, beside(self.host.store, view)
        return self._known

    def say(self, text: str, *, problem: bool = False) -> None:
        self._known = None
        super().say(text, problem=problem)

    def on_screen_resume(self) -> None:
        self._known = None
        super().on_screen_resume()

    def head(self, width: int) -> list[Line]:
        view = self.known[0]
        return plain_head(f"Unit {self.unit}", width, under=view.design, right=view.state)

    def text(self, width: int) -> list[Line]:
        view, lacks, due, more = self.known
        return passport_lines(view, lacks, width=width, shapes=self.shapes, due=due, beside=more)

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        return (
            Key("r", "release", "release"),
            Key("h", "history", "history"),
            self._third(),
            Key("esc", "back", "leave"),
            Key("?", "keys", "app.help"),
        )

    def _third(self) -> Key:
        """The act that brings the unit on most: decide, then do what was left open."""
        view = self.known[0]
        if view.conflicts:
            return Key("d", "decide", "decide")
        left = any(left_open(view)) or any(left_out(view))
        return Key("o", "do what is open", "left_open") if left else Key("f", "find a fault", "find")

    def action_left_open(self) -> None:
        self.host.go(self._left_open())

    async def _left_open(self) -> None:
        await unit_acts.do_left_open(self.host, self.unit)
        self._known = None

    def action_release(self) -> None:
        if stays := unit_acts.cannot_go_out(self.host.units, self.known[0]):  # before a reason is typed for nothing
            self.say(stays, problem=True)
        elif self.known[1]:
            self.ask(Question(f"{unit_acts.temporary_question(self.known[1])}:", self._conditional))
        else:
            asked = unit_acts.released_by(self.host.units, self.unit, temporary=False)
            self.ask(Question(f"{asked}:", lambda name: self._release(name, "")))

    def _conditional(self, why: str) -> str:
        if not why.strip():
            return "say why it may go out with something open"
        self.ask(Question("Released as temporary by:", lambda name: self._release(name, why)))
        return ""

    def _release(self, name: str, why: str) -> str:
        try:
            self.host.units.release(self.unit, by=name, conditional=why)
        except BenchError as error:
            return str(error)
        self.prompt.close()
        self.say(f"{self.unit} is {self.host.units.view(self.unit).state}")
        return ""

    def action_state(self) -> None:
        self.host.go(unit_acts.another_state(self.host, self.unit))

    def action_decide(self) -> None:
        self.host.go(unit_acts.decide(self.host, self.unit))

    def action_put_right(self) -> None:
        self.host.go(unit_acts.put_right(self.host, self.unit))

    def action_leave_as_is(self) -> None:
        self.host.go(unit_acts.leave_as_is(self.host, self.unit))

    def action_correct(self) -> None:
        self.host.go(correct(self.host, self.unit))

    def action_take_in(self) -> None:
        self.host.go(unit_acts.take_in(self.host, self.unit))

    def action_first_unit(self) -> None:
        self.host.go(unit_acts.first_unit(self.host, self.unit))

    def action_firmware(self) -> None:
        self.ask(Question("Version of the firmware, as the unit says it:", self._loaded))

    def _loaded(self, version: str) -> str:
        if not version.strip():
            return "type what the unit says of itself; unknown is kept too, and keeps the unit here"
        design = self.host.units.view(self.unit).design
        try:
            self.host.units.write(self.unit, FirmwareLoaded(name=design, version=" ".join(version.split())))
        except BenchError as error:
            return str(error)
        self.prompt.close()
        self.say("kept with the unit")
        return ""

    def action_history(self) -> None:
        self._history(MOST_EVENTS)

    def action_whole_history(self) -> None:
        self._history(0)

    def _history(self, most: int) -> None:
        """Show what happened to it: the newest entries, or all of them."""
        events, older = newest_events(self.host.store, self.unit, most)
        # Laid out once for each width, and not at each key that scrolls.
        hunts = teller(events, self.host.store.text)
        said = f"The newest {most} entries; there are older ones. Back, then e shows all of them." if older else ""
        lines = cache(
            lambda width: [*(wrap(said, width, role="strong") if said else ()), *unit_lines(events, width, hunts=hunts)]
        )
        self.app.push_screen(TextPage(f"Unit {self.unit}", lines))

    def action_again(self) -> None:
        self.host.go(unit_acts.test_again(self.host, self.unit))

    def action_find(self) -> None:
        self.host.go(flows.find_fault(self.host, unit=self.unit))
