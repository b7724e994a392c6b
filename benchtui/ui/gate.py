"""Tells a key pressed on purpose from one that is held down, or was typed before the screen came up.

A terminal reports a held key as the same key again and again: first after the keyboard's own delay, then at a steady
rate. Usual settings are a delay of a quarter of a second to one second, and 6 to 30 repeats a second (from memory).
So the second report of a held key looks like a second press, and only the third betrays it by its rhythm. From that
follow three ways to take a key, by what a press too many would do:

* It marks a step, answers, or closes something: the same key counts again after `QUIET_TIME` without it, which is
  longer than the delay. Nobody does a step and reads the next one in less. A press that came too early is said to be
  one; it does not start the time anew, so nobody who taps on is shut out.
* It ticks a line of a list that may be gone down fast: a press that may be the first repeat waits for `REPEAT_TIME`.
  If the key is held its next repeat comes within that time, and neither counts. If not, it counts then: whoever taps
  twice a second loses nothing.
* It moves, scrolls or types: it always counts.

What was pressed before a screen could be seen answers nothing on it, however long before: on a slow machine the page
may come up seconds after the key that asked for it.

Another key in between shows that the first was let go: no terminal goes on repeating it.
"""

from __future__ import annotations

import time
from collections import deque
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable

READING_TIME: Final = 0.8
"""Seconds a caution is on the screen, and no key arrives, before it can be acknowledged; our own choice."""

AGAIN_TIME: Final = 2.0
"""Seconds without the key itself before it acknowledges once more: twice the longest delay before a held key repeats
that is usual (1 s, from memory), since a caution passed unread may cost an eye; our own choice."""

QUIET_TIME: Final = 1.2
"""Seconds without the same key before it marks once more: above the longest usual delay; our own choice."""

REPEAT_TIME: Final = 0.2
"""Presses of the same key closer than this come from a key that is held: above the time between repeats at 6 a second,
the slowest usual rate, and below that between presses of somebody who looks at what he ticks; our own choice."""

TOO_SOON: Final = "too soon after the last press of this key: press it once more"
"""Said of a press that did not count, unless the key is held."""

READ_FIRST: Final = "that was too quick: read the question, then press its number once"
"""Said of a digit that came too early to answer."""

_NEVER: Final = float("-inf")
_KEPT: Final = 256
"""Presses of which is known what they were; more than any program is behind its keyboard."""


class Key(Protocol):
    """A key as the screens get it."""

    key: str


@dataclass(frozen=True, slots=True)
class Press:
    """One report of a key."""

    key: str
    at: float
    """When it came, in seconds of the keyboard's clock."""
    quiet: float = float("inf")
    """Seconds since the same key last counted or was held; infinite after any other key."""
    pause: float = float("inf")
    """Seconds since any key."""
    held: bool = False
    """Its rhythm is that of a held key."""
    early: bool = False
    """It came before the screen that gets it could be seen."""

    @property
    def marks(self) -> bool:
        """Whether it may mark a step, answer or close."""
        return not self.held and not self.early and self.quiet >= QUIET_TIME

    @property
    def sure(self) -> bool:
        """Whether it was pressed on purpose beyond doubt, with no need to wait for what follows."""
        return not self.held and not self.early and (self.quiet == float("inf") or self.pause >= AGAIN_TIME)


@dataclass(slots=True)
class Keyboard:
    """All keys of the program, whichever screen they went to: a key may be held while one screen follows another.

    Args:
        clock: Seconds that only run forward.
    """

    clock: Callable[[], float] = time.monotonic
    last: Press = Press("", _NEVER)
    _from: dict[str, float] = field(default_factory=dict, init=False)
    """Key to the time from which its quiet is counted."""
    _painted: tuple[object, float] = field(default=(None, _NEVER), init=False)
    """When the screen in sight came up, and the clock that says so."""
    _ahead: str = field(default="", init=False)
    """The last key that was typed ahead."""
    _doubted: tuple[Press, Callable[[], None]] | None = field(default=None, init=False)
    _known: deque[tuple[object, Press]] = field(default_factory=lambda: deque(maxlen=_KEPT), init=False)

    def note(self, key: str, *, arrived: float | None = None, event: object = None) -> Press:
        """Take note of a key as it arrives.

        Args:
            key: Its name.
            arrived: When it came from the terminal, in seconds of the system's monotonic clock. Two presses that waited
                for the program to finish something are handled at once, and were pressed apart all the same.
            event: What `of` is asked by later.
        """
        at = arrived if arrived is not None and self.clock is time.monotonic else self.clock()
        pause = at - self.last.at
        again = key == self.last.key
        quiet = at - self._from.get(key, _NEVER) if again else float("inf")
        press = Press(key, at, quiet=quiet, pause=pause, held=again and pause < REPEAT_TIME)
        self._from[key] = at
        self.last, self._ahead = press, ""
        self._known.append((event, press))
        doubted, self._doubted = self._doubted, None
        if doubted and not press.held:  # what followed is no repeat
            doubted[1]()
        return press

    def painted(self) -> None:
        """A screen has come up: what was pressed before was meant for the one before it, or for none."""
        self._painted = (self.clock, self.clock())

    def marks(self, press: Press) -> bool:
        """Whether a press may mark; one that came too soon does not start the quiet anew."""
        if not press.marks and not press.held and self._from[press.key] == press.at:
            self._from[press.key] = press.at - press.quiet
        return press.marks

    def doubt(self, press: Press, then: Callable[[], None]) -> None:
        """Do something about a press once it is known not to be the first repeat of a held key.

        Args:
            press: What was noted of it. One that is held takes back what was put off before, and does nothing itself.
            then: What it does.
        """
        self._doubted = None if press.held else (press, then)

    def due(self) -> float:
        """Do what was put off, if it is time; seconds that are left, 0 when nothing is put off any more."""
        if self._doubted is None:
            return 0.0
        press, then = self._doubted
        left = press.at + REPEAT_TIME - self.clock()
        if left > 0:
            return left
        self._doubted = None
        then()
        return 0.0

    def of(self, event: Key) -> Press:
        """What was noted of a key.

        One that did not come from the terminal just now was typed ahead of a question, into the field of the one
        before: it acknowledges nothing, and the same key over and over counts once.
        """
        clock, painted = self._painted
        for known, press in reversed(self._known):
            if known is event:
                return replace(press, early=True) if clock is self.clock and press.at < painted else press
        ahead = Press(event.key, _NEVER, pause=0.0, held=event.key == self._ahead)
        self._ahead = event.key
        self._known.append((event, ahead))
        return ahead


@dataclass(slots=True)
class Gate:
    """Whether what has to be read on one screen can have been read."""

    keys: Keyboard = field(default_factory=Keyboard)
    shown: float = field(default=_NEVER, init=False)
    """When what has to be read came on the screen."""

    def show(self) -> None:
        """Something new has to be read."""
        self.shown = self.keys.clock()

    def open(self, key: str = "a") -> bool:
        """Whether this key would count as an acknowledgement, pressed now."""
        return self.wait(key) <= 0.0

    def passed(self, press: Press) -> bool:
        """Whether a press acknowledges."""
        return press.at - self.shown >= READING_TIME and press.pause >= READING_TIME and press.sure

    def wait(self, key: str = "a") -> float:
        """Seconds until `open` can be true, if no key comes."""
        last = self.keys.last
        rest = AGAIN_TIME if last.key == key else READING_TIME
        return max(self.shown + READING_TIME - self.keys.clock(), last.at + rest - self.keys.clock(), 0.0)
