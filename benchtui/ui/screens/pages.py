"""Pages that are only read: the help of a screen, and what to do when it smokes, smells or shocks."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.view.emergency import emergency_lines
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.help import Known, help_lines
from benchtui.ui.view.scrolled import scrolled
from benchtui.ui.view.text import line, wrap

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.binding import BindingType
    from textual.screen import Screen

    from benchtui.design.model import Design
    from benchtui.ui.view.text import Line


class Page(BenchScreen[None]):
    """A text to read and leave; the keys of the screen below are out of reach meanwhile."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "leave", "back", key_display="Esc or q"),
        Binding("space,enter,left", "read", "back", key_display="Space"),
        Binding("down", "scroll(1)", "further down"),
        Binding("up", "scroll(-1)", "further up"),
        Binding("pagedown", "page(1)", "a screen down"),
        Binding("pageup", "page(-1)", "a screen up"),
        Binding("backspace", "before", "back to what was looked at before", key_display="Backspace"),
        Binding("home", "page(-1000)", "to the beginning", key_display="Home"),
        Binding("end", "page(1000)", "to the end", key_display="End"),
        Binding("f9,exclamation_mark", "app.emergency", "smoke, smell or shock", key_display="! or F9"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.top = 0
        self._most = 0
        self._height = 4
        self.leads_back = False
        """Something was looked at before it; set by whoever shows the page."""
        self.went_back = False
        """It was left for what was looked at before it."""

    def text(self, width: int) -> list[Line]:
        """The whole text."""
        return []

    def body(self, width: int, height: int) -> list[Line]:
        lines, self._most, heads = scrolled(self.text(width), height, self.top)
        self._height = height - heads
        return lines

    def keys(self) -> Sequence[Key]:
        more = (Key(self.shapes.more, "more", "scroll(1)"),) if self._most > self.top else ()
        return (Key("esc", "back", "leave"), *more, *self.before_key())

    def before_key(self) -> tuple[Key, ...]:
        """The key that goes back through what was looked at, where there is something."""
        return (Key("backspace", "looked at before", "before"),) if self.leads_back else ()

    def action_before(self) -> None:
        if self.leads_back:
            self.went_back = True
            self.action_leave()
        else:
            self.say("nothing was looked at before this", problem=True)

    def action_scroll(self, by: int) -> None:
        self.top = min(max(self.top + by * 4, 0), self._most)
        self.redraw()

    def action_page(self, by: int) -> None:
        """Go on by what fits, two lines of it kept in sight."""
        self.top = min(max(self.top + by * max(self._height - 2, 1), 0), self._most)
        self.redraw()

    def action_leave(self) -> None:
        self.dismiss(None)

    def action_read(self) -> None:
        """It has been read."""
        self.action_leave()


class TextPage(Page):
    """Any text to be read, laid out for the width there is."""

    HELP = "Read it; Esc goes back."

    def __init__(self, title: str, text: Callable[[int], list[Line]]) -> None:
        super().__init__()
        self.about = title
        self._text = text

    def head(self, width: int) -> list[Line]:
        return plain_head(self.about, width)

    def text(self, width: int) -> list[Line]:
        return self._text(width)


class WorkedPage(TextPage):
    """A text that takes a while to work out: the page is there at once, and its text comes when it is ready.

    Meanwhile Esc leaves, and a key typed ahead does nothing: it was meant for the text that is not there yet.
    """

    def __init__(self, title: str, text: Callable[[int], list[Line]]) -> None:
        super().__init__(title, text)
        self._ready: dict[int, list[Line]] = {}
        self._begun: set[int] = set()

    def text(self, width: int) -> list[Line]:
        if width not in self._ready:
            if width not in self._begun:
                self._begun.add(width)
                self.run_worker(self._work_out(width))
            return wrap("One moment: it is being worked out. Esc goes back.", width, role="strong")
        return self._ready[width]

    async def _work_out(self, width: int) -> None:
        try:
            lines = await asyncio.to_thread(self._text, width)
        except BenchError as error:
            lines = wrap(str(error), width, role="problem")
        self._ready[width] = lines
        self.redraw()

    def action_read(self) -> None:
        if self._ready:
            super().action_read()


class PanelPage(Page):
    """The panel as large as the screen lets it be, from either side, with the control in hand marked."""

    HELP = "p turns the panel over: from the rear left and right are exchanged, as you see it while wiring."
    BINDINGS: ClassVar[list[BindingType]] = [Binding("p", "turn", "front or rear"), *Page.BINDINGS]

    def __init__(self, design: Design, *, rear: bool = False, mark: str = "") -> None:
        super().__init__()
        self.design = design
        self.rear = rear
        self.mark = mark

    def head(self, width: int) -> list[Line]:
        return plain_head(f"{self.design.title}: panel", width, under=f"{'rear' if self.rear else 'front'} in sight")

    def body(self, width: int, height: int) -> list[Line]:
        return self.host.panel_of(self.design, width=width, height=height, rear=self.rear, mark=self.mark)

    def keys(self) -> Sequence[Key]:
        return (Key("esc", "back", "leave"), Key("p", "front" if self.rear else "rear", "turn"), *self.before_key())

    def action_turn(self) -> None:
        self.rear = not self.rear
        self.redraw()


class BillPage(TextPage):
    """The bill of materials, for as many units as are still to build, or as are asked for."""

    HELP = "The number of units is what the record says is still to build; + and - ask for more or fewer."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("plus,equals_sign", "units(1)", "one unit more", key_display="+"),
        Binding("minus", "units(-1)", "one unit fewer", key_display="-"),
        *Page.BINDINGS,
    ]

    def __init__(self, title: str, text: Callable[[int, int], list[Line]], units: int) -> None:
        super().__init__(title, lambda width: text(width, self.units))
        self.units = units

    def keys(self) -> Sequence[Key]:
        return (*super().keys(), Key("+", "more units", "units(1)"), Key("-", "fewer", "units(-1)"))

    def action_units(self, by: int) -> None:
        self.units = min(max(self.units + by, 1), 999)
        self.redraw()


class HelpPage(Page):
    """What the screen below is for, and its keys."""

    ANY_SIZE = True

    def __init__(self, about: Screen[object]) -> None:
        super().__init__()
        self._purpose = getattr(about, "HELP", "")
        self._known = known_keys(about)

    def head(self, width: int) -> list[Line]:
        return plain_head("What the keys do", width)

    def text(self, width: int) -> list[Line]:
        return help_lines(self._purpose, self._known, width)


class EmergencyPage(Page):
    """One key away from every screen, in a window of any size."""

    ANY_SIZE = True

    def head(self, width: int) -> list[Line]:
        return [
            line(("Smoke, smell or shock", "title")),
            line(("local rules and the people of the house first", "quiet")),
        ]

    def text(self, width: int) -> list[Line]:
        return emergency_lines(self.host.emergency(), width)


SPOKEN = {
    "question_mark": "?",
    "exclamation_mark": "!",
    "full_stop": ".",
    "space": "Space",
    "enter": "Enter",
    "escape": "Esc",
    "left": "←",
    "right": "→",
    "up": "↑",
    "down": "↓",
    "pageup": "PgUp",
    "pagedown": "PgDn",
}
"""Names of keys as a person says them."""


def known_keys(screen: Screen[object]) -> list[Known]:
    """Every key of a screen and of the list on it, from the bindings themselves."""
    found: list[Known] = []
    sources = [type(screen).BINDINGS]
    sources += [type(widget).BINDINGS for widget in screen.query("#rows")]
    for bindings in sources:
        for binding in bindings:
            if isinstance(binding, Binding):
                keys = binding.key_display or ", ".join(SPOKEN.get(key, key) for key in binding.key.split(","))
                found.append(Known(keys, binding.description))
    return found
