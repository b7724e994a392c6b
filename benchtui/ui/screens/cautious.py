"""What screens share that show cautions: a key of its own for having read one, and deafness to keys that are held."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.binding import Binding

from benchtui.ui.gate import READ_FIRST, READING_TIME, Gate
from benchtui.ui.screens.base import BenchScreen
from benchtui.ui.view.keys import HELP, Key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.binding import BindingType

    from benchtui.jobs.plan import Caution
    from benchtui.ui.gate import Press

R = TypeVar("R")


class CautiousScreen(BenchScreen[R]):
    """Base of the screens on which work is done.

    A subclass says which caution is to be read next (`caution`) and what follows when it was (`caution_read`), and
    calls `mind_caution` after each act.
    """

    WRITES = True

    ACKNOWLEDGE: ClassVar[Binding] = Binding("a", "acknowledge", "I have read the caution")
    GOING_ON: ClassVar[tuple[str, ...]] = ("space", "right", "pagedown")
    """Keys that mark one thing after the other: the same one counts only after a while again."""

    def __init__(self) -> None:
        super().__init__()
        self._gate: Gate | None = None
        self.deliberate = False
        """The key being handled was pressed on purpose, after what it answers could be read."""
        self._by_itself = False
        """No other key was pressed just before the one being handled."""
        self._watched = ""
        self._question = ("", float("-inf"))
        """The question in sight, and when it came up."""
        self._drawn: tuple[Caution, ...] = ()
        """Cautions that stood whole on the page when it was drawn last."""

    @property
    def gate(self) -> Gate:
        """Whether what stands on this screen can have been read."""
        if self._gate is None:
            self._gate = Gate(self.host.keyboard)
        return self._gate

    @property
    def caution(self) -> Caution | None:
        """The caution to be read before anything else; None when there is none."""
        return None

    def caution_read(self, caution: Caution) -> None:
        """The caution was acknowledged."""

    def key_typed(self, event: events.Key, *, fresh: bool) -> None:
        """Any other key, while no field has the keyboard; `fresh` when it may mark something."""

    def meant(self) -> bool:
        """Whether the key in hand was pressed by itself, and not as one of many that were typed on.

        Letters typed on after an answer was taken are no keys of the screen: the first of them would open a question,
        and the rest would stand as its answer. Pressed once more, the key counts.
        """
        by_itself, self._by_itself = self._by_itself, True
        return by_itself

    def mind_caution(self) -> None:
        """A caution that has just come up has to stand for a while before its key counts."""
        caution = self.caution
        digest = caution.digest if caution else ""
        if digest and digest != self._watched:
            self.gate.show()
        self._watched = digest
        if digest:
            self._arm()

    def mind_question(self, question: str) -> None:
        """Take note of the question in sight: one that has just come up has not been read yet.

        Args:
            question: Says which one it is.
        """
        if question != self._question[0]:
            self._question = (question, self.host.keyboard.clock())

    def answers(self, press: Press) -> bool:
        """Whether a press may answer: the question could be read, and no other key was typed just before.

        A reading too many, typed on in the rhythm of those before it, would answer whatever question follows them.
        """
        return press.at - self._question[1] >= READING_TIME and press.pause >= READING_TIME

    def too_early(self, press: Press) -> None:
        """Say why a press answers nothing."""
        if not self.host.keyboard.marks(press):
            self.too_soon(press)
        else:
            self.say(READ_FIRST)

    def drawn(self, cautions: tuple[Caution, ...]) -> bool:
        """Take note of the cautions on the page; whether some came up that have to stand for a while first.

        A window that grows may show one more of them, which nobody has read yet.
        """
        fresh = bool(set(cautions) - set(self._drawn))
        self._drawn = cautions
        if fresh:
            self.gate.show()
            self._arm()
        return fresh

    def on_key(self, event: events.Key) -> None:
        if self.small:
            event.stop()
            return
        if self.prompt.take_over(event):
            return
        press = self.host.keyboard.of(event)
        self.deliberate = self.gate.passed(press)
        self._by_itself = press.pause >= READING_TIME
        if self.prompt.asking:
            if press.held and event.key in self.GOING_ON:
                event.stop()
        elif event.key in self.GOING_ON and not self.host.keyboard.marks(press):
            event.stop()
            self.too_soon(press)
        elif event.key == "a":
            event.stop()
            self._acknowledge(deliberate=self.deliberate)
        else:
            self.key_typed(event, fresh=self.host.keyboard.marks(press))

    def action_acknowledge(self) -> None:
        self._acknowledge(deliberate=self.gate.open())

    def _acknowledge(self, *, deliberate: bool) -> None:
        caution = self.caution
        if caution is None:
            self.say("there is no caution to acknowledge here")
        elif not deliberate:
            self.say("read it first, then press a once", problem=True)
            self._arm()
        else:
            self.caution_read(caution)

    def _arm(self) -> None:
        """Draw again once the caution may be acknowledged."""
        wait = self.gate.wait()
        self.set_timer(wait + 0.02, self._arm if wait > 0 else self.redraw)


class ReadBefore(CautiousScreen[bool]):
    """Base of the pages of which nothing is done but to read them before work begins; leaves with whether it was."""

    BINDINGS: ClassVar[list[BindingType]] = [
        CautiousScreen.ACKNOWLEDGE,
        Binding("q,escape,left", "leave", "not now", key_display="q or Esc"),
        *CautiousScreen.COMMON,
    ]

    def keys(self) -> Sequence[Key]:
        read = (Key("a", "I have read this", "acknowledge"),) if self.gate.open() else ()
        return (*read, Key("q", "not now", "leave"), HELP)

    def on_mount(self) -> None:
        self.mind_caution()
        self.redraw()

    def action_leave(self) -> None:
        self.dismiss(False)
