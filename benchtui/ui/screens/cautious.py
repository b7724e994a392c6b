"""What screens share that show cautions: a key of its own for having read one, and deafness to keys that are held."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.binding import Binding

from benchtui.ui.gate import Gate
from benchtui.ui.screens.base import BenchScreen

if TYPE_CHECKING:
    from textual import events

    from benchtui.jobs.plan import Caution

R = TypeVar("R")


class CautiousScreen(BenchScreen[R]):
    """Base of the screens on which work is done.

    A subclass says which caution is to be read next (`caution`) and what follows when it was (`caution_read`), and
    calls `mind_caution` after each act.
    """

    WRITES = True

    ACKNOWLEDGE: ClassVar[Binding] = Binding("a", "acknowledge", "I have read the caution")
    GOING_ON: ClassVar[tuple[str, ...]] = ("space", "right", "pagedown")
    """Keys that may be held by accident and would then mark one thing after the other."""

    def __init__(self) -> None:
        super().__init__()
        self.gate = Gate()
        self.deliberate = False
        """The key being handled was pressed on purpose, after what it answers could be read."""
        self._watched = ""
        self._drawn: tuple[Caution, ...] = ()
        """Cautions that stood whole on the page when it was drawn last."""

    @property
    def caution(self) -> Caution | None:
        """The caution to be read before anything else; None when there is none."""
        return None

    def caution_read(self, caution: Caution) -> None:
        """The caution was acknowledged."""

    def key_typed(self, event: events.Key, *, fresh: bool) -> None:
        """Any other key, while no field has the keyboard."""

    def meant(self) -> bool:
        """Whether the key in hand was pressed by itself, and not as one of many that were typed on.

        Letters typed on after an answer was taken are no keys of the screen: the first of them would open a question,
        and the rest would stand as its answer. Pressed once more, the key counts.
        """
        by_itself, self.deliberate = self.deliberate, True
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
        # Both are asked before the press is counted, or no key would ever be the first after a pause.
        self.deliberate = self.gate.open()
        fresh = self.gate.press(event.key, arrived=event.time)
        if event.key in self.GOING_ON and not fresh:
            event.stop()
        elif self.prompt.asking:
            return
        elif event.key == "a":
            event.stop()
            self._acknowledge(deliberate=self.deliberate)
        else:
            self.key_typed(event, fresh=fresh)

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
