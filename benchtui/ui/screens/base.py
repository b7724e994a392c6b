"""What every screen has: two lines of heading, a body, a line that answers, and the keys that matter now.

A screen says what stands there (`head`, `body`, `keys`) as pure text from its state; `redraw` puts it on the widgets.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final, TypeVar

from textual import on
from textual.await_complete import AwaitComplete
from textual.binding import Binding
from textual.containers import Horizontal
from textual.screen import Screen

from benchtui.errors import BenchError
from benchtui.ui.gate import TOO_SOON
from benchtui.ui.reply import refused
from benchtui.ui.trouble import told
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.keys import Key as Key
from benchtui.ui.view.keys import key_line
from benchtui.ui.view.text import BLANK, line, wrap
from benchtui.ui.widgets.pane import CLASSES, Pane
from benchtui.ui.widgets.prompt import Prompt, Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.widget import Widget

    from benchtui.ui.app import BenchApp
    from benchtui.ui.gate import Press
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

LEAST: Final = (72, 20)
"""Columns and lines below which a step with its cautions cannot be shown whole; the screens are made for 80 × 24."""

WIDE: Final = 110
"""Columns from which there is room for a second column beside the 78 of the first."""

MAIN: Final = 78
"""Cells of the first column where there are two: long enough for a sentence, short enough to read."""

MOST_SAID: Final = 4
"""Lines of an answer."""

PRACTICE: Final = " PRACTICE "
"""Stands first on every screen of a practice run (MIL-STD-1472E 5.15.8.13.3: practice is marked on each display)."""

READ_ONLY: Final = " READ ONLY "
"""Stands first on every screen that would write, while the record can only be read."""

R = TypeVar("R")


class BenchScreen(Screen[R]):
    """Base of the screens."""

    COMMON: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "app.help", "what the keys do", key_display="? or F1"),
        Binding("f9,exclamation_mark", "app.emergency", "smoke, smell or shock", key_display="! or F9"),
    ]
    BINDINGS: ClassVar[list[BindingType]] = [*COMMON]
    COMPONENT_CLASSES: ClassVar[set[str]] = set(CLASSES)
    AUTO_FOCUS = ""
    TITLE: ClassVar[str] = "benchtui"
    """What stands at the top, unless the screen says more."""
    HELP: ClassVar[str] = ""
    """What the screen is for, in a sentence or two, for its help."""
    WRITES: ClassVar[bool] = False
    """Its keys write into the record, so a record that can only be read is marked on it."""
    MARKING: ClassVar[tuple[str, ...]] = ()
    """Keys that answer or mark at once: the same one counts only after a while again, so that a held key does not."""
    SIDE: ClassVar[bool] = False
    """The screen has a second column when there is room."""

    ANY_SIZE: ClassVar[bool] = False
    """It only shows something, line by line, and can be read in a window of any size."""

    @property
    def host(self) -> BenchApp:
        """The program, with what all screens share."""
        from benchtui.ui.app import BenchApp

        assert isinstance(self.app, BenchApp)
        return self.app

    # -- what a screen says ----------------------------------------------------------------------------------------

    def head(self, width: int) -> list[Line]:
        """The two lines at the top."""
        return plain_head(self.TITLE, width)

    def body(self, width: int, height: int) -> list[Line]:
        """The lines in the middle."""
        return []

    def side(self, width: int, height: int) -> list[Line]:
        """The second column, where there is room for one."""
        return []

    def keys(self) -> Sequence[Key]:
        """The keys that matter now, five at most."""
        return ()

    # -- how it is put on the screen -------------------------------------------------------------------------------

    def __init__(self) -> None:
        super().__init__()
        self._said: tuple[str, str] = ("", "")
        self._panes: dict[str, Pane | None] = {}
        self._leaving = False
        self._hidden: Widget | None = None
        """What had the keyboard when the window became too small."""
        self.held = False
        """Pages are looked at over this screen. In the moment between two of them its keys do nothing."""

    @property
    def small(self) -> bool:
        """The window is too small to show the screen: no key may mark anything that cannot be seen."""
        return self.has_class("-small")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Too small or held, only the keys of the whole program answer: help, and smoke, smell or shock."""
        return False if self.small or self.held else super().check_action(action, parameters)

    def dismiss(self, result: R | None = None) -> AwaitComplete:
        """Leave the screen, once: a key typed ahead while it closes must not close the one below it too."""
        if self._leaving:
            return AwaitComplete()
        self._leaving = True
        return super().dismiss(result)

    def compose(self) -> ComposeResult:
        yield Pane(id="head")
        yield from self.compose_body()
        yield Prompt(id="prompt")
        yield Pane(id="message")
        yield Pane(id="keys")
        yield Pane(id="small")

    def compose_body(self) -> ComposeResult:
        """The widgets of the middle."""
        with Horizontal(id="middle"):
            yield Pane(id="body")
            if self.SIDE:
                yield Pane(id="side")

    @property
    def shapes(self) -> Shapes:
        """The characters this terminal can show."""
        return self.host.shapes

    @property
    def prompt(self) -> Prompt:
        """The line that asks."""
        return self.query_one("#prompt", Prompt)

    @property
    def room(self) -> tuple[int, int, int]:
        """Cells of the first column, cells of the second (0 without one), and lines of the body."""
        width, height = self.size.width, self.size.height
        lines = max(height - 3 - len(self._said_lines()) - (self.prompt.lines if self.prompt.display else 0), 1)
        if self.SIDE and width >= WIDE:
            return MAIN, width - MAIN - 3, lines
        return width, 0, lines

    def pane(self, name: str) -> Pane | None:
        """A pane of this screen by name; looked for once, since every key draws anew."""
        if name not in self._panes:
            found = next(iter(self.query(f"#{name}").results(Pane)), None)
            if found is None and not self.is_mounted:
                return None
            self._panes[name] = found
        return self._panes[name]

    def put(self, name: str, lines: list[Line]) -> None:
        """Show lines on a pane, where the screen has it."""
        pane = self.pane(name)
        if pane is not None:
            pane.show(lines)

    @told
    def redraw(self) -> None:
        """Put what the screen says on its widgets."""
        if not self.is_mounted or not self.size.width:
            return
        width, height = self.size.width, self.size.height
        small = not self.ANY_SIZE and (width < LEAST[0] or height < LEAST[1])
        if small and not self.small:
            self._hidden = self.focused
            self.set_focus(None)
        elif self.small and not small:
            self.call_after_refresh(self._give_back)
        self.set_class(small, "-small")
        self.prompt.display = self.prompt.asking and not small  # its own word counts more than that of the style sheet
        if small:
            self.put("small", _too_small(width, height))
            return
        main, beside, lines = self.room
        self.put("head", self._marked_head(width))
        body, side = self.pane("body"), self.pane("side")
        if body is not None:
            body.styles.width = main
            body.show(self.body(main, lines))
        if side is not None:
            side.display = bool(beside)
            if beside:
                side.show(self.side(beside, lines))
        self.put("message", self._said_lines())
        self.put("keys", [key_line(self.keys())])

    @property
    def _only_read(self) -> bool:
        return self.WRITES and self.host.store.read_only

    def _marked_head(self, width: int) -> list[Line]:
        """The heading, after what holds for all that is done here: practice, or that nothing is kept."""
        marks = (PRACTICE if self.host.practice else "") + (READ_ONLY if self._only_read else "")
        return marked(self.head(width - len(marks) - 1), marks) if marks else self.head(width)

    def _give_back(self) -> None:
        """Return the keyboard to what had it before the window was too small."""
        if not self.small and self._hidden is not None and self._hidden.is_attached:
            self.set_focus(self._hidden)
        self._hidden = None

    async def on_event(self, event: events.Event) -> None:
        """Say a refusal that nobody else has said: a full disk, or a stick pulled out, is no reason to end."""
        try:
            await super().on_event(event)
        except BenchError as error:
            self.cannot(error)

    def cannot(self, error: BenchError) -> None:
        """Say what could not be read or written, and leave all else as it was drawn last."""
        self._said = (refused(error).text, "problem")
        self.put("message", self._said_lines())

    def on_resize(self) -> None:
        self.redraw()

    def on_screen_resume(self) -> None:
        self.redraw()
        self.call_after_refresh(self.host.keyboard.painted)

    def say(self, text: str, *, problem: bool = False) -> None:
        """Answer in the line above the keys; an empty text clears it."""
        self._said = (text, "problem" if problem else "strong")
        self.redraw()

    def _said_lines(self) -> list[Line]:
        """The answer. A long one takes the rows it needs from the body rather than losing its end."""
        text, role = self._said
        if not text and self._only_read:
            text, role = f"Read only: {self.host.notice}. No key marks anything.", "problem"
        if not text:
            return [BLANK]
        rows = wrap(text, max(self.size.width, 20), role=role)
        # Four lines at most, and what has no room among them is not left off without a sign.
        return rows if len(rows) <= MOST_SAID else [*rows[: MOST_SAID - 1], line(("… the rest has no room here", role))]

    def ask(self, question: Question) -> None:
        """Ask for a text in the prompt."""
        self._said = ("", "")
        self.prompt.ask(question)
        self.redraw()

    def on_key(self, event: events.Key) -> None:
        press = self.host.keyboard.of(event)
        if self.typing:
            if event.key == "enter" and press.held:  # it would answer one question after the other with nothing
                event.stop()
        elif event.key in self.MARKING and not self.host.keyboard.marks(press):
            event.stop()
            self.too_soon(press)

    def too_soon(self, press: Press) -> None:
        """Say why a press does not count; what stands there already, and a key that is held, say more."""
        if not press.held and not self._said[0]:
            self.say(TOO_SOON)

    @on(Rows.TooSoon)
    def _row_too_soon(self, event: Rows.TooSoon) -> None:
        event.stop()
        if not self._said[0]:
            self.say(TOO_SOON)

    @on(Prompt.Refused)
    def _prompt_refused(self, event: Prompt.Refused) -> None:
        event.stop()
        self.say(event.problem, problem=True)

    @on(Prompt.Closed)
    def _prompt_gone(self, event: Prompt.Closed) -> None:
        event.stop()
        if event.given_up:
            self._said = ("", "")  # what was wrong with a text that nobody wants any more
        self.redraw()

    @property
    def typing(self) -> bool:
        """Whether a question is open, so that letters go into its field."""
        return self.prompt.asking


def marked(head: list[Line], marks: str = PRACTICE) -> list[Line]:
    """The heading with a mark, such as that of a practice run, before both of its lines."""
    return [(*line((marks, "stands")), *line(" "), *row) for row in head]


def _too_small(width: int, height: int) -> list[Line]:
    text = (
        f"This window is {width} columns by {height} lines. It takes {LEAST[0]} by {LEAST[1]} to show a step with its "
        "cautions; 80 by 24 is comfortable. Nothing is lost: make it larger and go on."
    )
    return [line(("Too small a window", "title")), *wrap(text, max(width, 10))]
