"""Tells a key pressed on purpose from one that is held down, or was typed before the screen came up.

A terminal reports a held key as the same key again and again: first after the keyboard's own delay (a quarter to two
thirds of a second by usual settings), then some thirty times a second. So a key counts when it has been quiet for
longer than that delay, and what it answers has been on the screen for as long.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

READING_TIME: Final = 0.8
"""Seconds a caution is on the screen, and no key arrives, before it can be acknowledged. Longer than the delay before a
held key repeats, which is 0.66 s in a common default; our own choice."""

REPEAT_TIME: Final = 0.12
"""Presses of the same key closer than this come from a key that is held; our own choice, above the time between the 25
or more repeats a second that keyboards have by default."""


@dataclass(slots=True)
class Gate:
    """Watches the keys of one screen.

    Args:
        clock: Seconds that only run forward.
    """

    clock: Callable[[], float] = time.monotonic
    shown: float = field(default=float("-inf"), init=False)
    """When what has to be read came on the screen."""
    pressed: float = field(default=float("-inf"), init=False)
    """When any key was last pressed."""
    _times: dict[str, float] = field(default_factory=dict, init=False)

    def show(self) -> None:
        """Something new has to be read."""
        self.shown = self.clock()

    def open(self) -> bool:
        """Whether a key pressed now would count as an acknowledgement."""
        now = self.clock()
        return now - self.shown >= READING_TIME and now - self.pressed >= READING_TIME

    def wait(self) -> float:
        """Seconds until `open` can be true, if no key comes."""
        return max(max(self.shown, self.pressed) + READING_TIME - self.clock(), 0.0)

    def press(self, key: str, *, arrived: float | None = None) -> bool:
        """Take note of a key; whether it was pressed anew rather than held.

        Args:
            key: Its name.
            arrived: When it came from the terminal, in seconds of the system's monotonic clock. Two presses that waited
                for the program to finish something are handled at once, and were pressed apart all the same.
        """
        self.pressed = self.clock()
        at = arrived if arrived is not None and self.clock is time.monotonic else self.pressed
        fresh = at - self._times.get(key, float("-inf")) >= REPEAT_TIME
        self._times[key] = at
        return fresh
