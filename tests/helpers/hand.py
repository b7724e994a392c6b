"""A builder at the real program: reads the screen, and presses what it asks for.

It knows nothing of the program but what stands on the screen: what kind of step it is from the line of keys, a good
reading from the limits, the right answer from its being the first.
"""

from __future__ import annotations

import re
import time
from contextlib import suppress
from math import sqrt
from typing import TYPE_CHECKING

from benchtui.ui.gate import AGAIN_TIME, QUIET_TIME, READING_TIME, REPEAT_TIME

if TYPE_CHECKING:
    from collections.abc import Callable

    from helpers.terminal import Terminal

PREFIX = {"": 1.0, "m": 1e-3, "µ": 1e-6, "k": 1e3, "M": 1e6}
AGAIN = QUIET_TIME + 0.05
"""Seconds between two presses of the same key, with no other in between, where each has to count."""

ROW = REPEAT_TIME + 0.1
"""Seconds between two presses of the same key that choose from lists."""

UNNAMED = "Keep readings without the name of a meter"
"""The row that is taken where it is asked, once a sitting, which meter is on the bench."""

MOVES = ("\x1b[A", "\x1b[B")
"""Keys that only move, and count always: up and down."""

UNITS = ("Ω", "V", "A", "N", "m", "s", "°C", "%", "F", "")


def limits_on(text: str) -> str:
    """The limits of the step in sight, as they stand on the screen."""
    found = re.search(r"^limits +(.*?)(?: {3}with the power.*)?$", text, re.MULTILINE)
    assert found, f"no limits stand on the screen:\n{text}"
    return found[1].strip()


def good_reading(limits: str) -> str:
    """A reading well inside limits such as "7.91 kΩ to 12.2 kΩ", "1 Ω or less", "100 kΩ or more"."""
    if limits.endswith(("or less", "or more")):
        value, unit = _amount(limits.rsplit(" or ", 1)[0])
        return _typed(value * (0.5 if limits.endswith("less") else 2.0), unit)
    low, high = (_amount(side) for side in limits.split(" to "))
    whole = not high[1] and low[0] == int(low[0])
    middle = sqrt(low[0] * high[0]) if low[0] > 0 else (low[0] + high[0]) / 2
    return str(int(middle)) if whole else _typed(middle, high[1])


def bad_reading(limits: str) -> str:
    """A reading outside the limits, and not so far that it would be taken for a slip of the decimal point."""
    value, unit = _amount(limits.rsplit(" or ", 1)[0].split(" to ")[-1])
    return _typed(value * 1.5, unit)


def _amount(text: str) -> tuple[float, str]:
    found = re.fullmatch(r"([\d.]+) ?(\S*)", text.strip())
    assert found, text
    name = next(unit for unit in UNITS if found[2].endswith(unit) and (not unit or found[2] in (unit, *_with(unit))))
    return float(found[1]) * (PREFIX[found[2].removesuffix(name)] if name else 1.0), name


def _with(unit: str) -> tuple[str, ...]:
    return tuple(prefix + unit for prefix in PREFIX)


def _typed(value: float, unit: str) -> str:
    if unit not in ("Ω", "V", "A", "m", "F"):
        return f"{value:.3g} {unit}".strip()
    prefix = next((p for p in ("M", "k", "", "m", "µ") if value >= PREFIX[p]), "µ")
    return f"{value / PREFIX[prefix]:.3g} {prefix}{unit}"


def _stays(text: str) -> bool:
    """Whether a screen says why what was typed is still in its field."""
    told = " ".join(text.split())
    return "Enter again keeps it" in told or "was not saved" in told


class Hand:
    """Works at a terminal.

    Args:
        terminal: The program.
        name: What to sign with.
        pass_time: Lets so many seconds pass for the program, where a wait is to be sat out; None presses on.
        reading: Gives the reading to type, from the screen; well inside the limits when None.
    """

    def __init__(
        self,
        terminal: Terminal,
        *,
        name: str = "the builder",
        pass_time: Callable[[float], None] | None = None,
        reading: Callable[[str], str] | None = None,
    ) -> None:
        self.terminal = terminal
        self.name = name
        self.pass_time = pass_time
        self.reading = reading or (lambda text: good_reading(limits_on(text)))
        self.acts = 0
        self._last = ("", 0.0)
        """The key pressed last, and when."""

    def press(self, keys: str) -> str:
        """Send keys, and wait until the screen has answered and is quiet; the screen then."""
        before = self.terminal.text()
        last, at = self._last
        if keys == last and keys not in MOVES:  # at once it would be taken for a key that is held down
            self.terminal.pause(at + AGAIN - time.monotonic())
        self.terminal.send(keys)
        self._last = (keys if keys.startswith("\x1b") else keys[-1], time.monotonic())
        self.acts += 1
        # A text that is sent once more while the first is still on its way would be keys of the screen after it.
        # Nor is Esc sent twice: the second would leave the screen below.
        patience = 4.0 if len(keys) == 1 and keys != "\x1b" else 20.0
        for _ in range(4):
            with suppress(AssertionError):
                text = self.terminal.changed(before, seconds=patience)
                break
            self.terminal.send(keys)  # a key that came to nothing is pressed again
        else:
            text = self.terminal.changed(before)
        if keys.endswith("\r"):  # what was typed has been taken only when its field is gone
            text = self.terminal.until(lambda text: "leave the field" not in text or _stays(text))
            if "Enter again keeps it" in text:  # it is as typed; the key counts once the question could be read
                self.terminal.pause(AGAIN_TIME + 0.2)
                return self.press("\r")
        return text

    def next(self) -> str:
        """Do the one thing that the screen asks for; the screen then."""
        text = self.terminal.text()
        keys = text.splitlines()[-1]
        if "keep" in keys and "esc" in keys:
            return self._fill_in(text)
        for sign, act in (
            (" a  I have read this", lambda: self.press("a")),
            ("press  a  when you have read this", lambda: self.terminal.changed(text)),
            ("Which one is on the bench?", lambda: self.choose(UNNAMED)),
            ("You were away for", lambda: self._come_back(text)),
            ("to be answered", self._tick),
            (" e  all in sight", lambda: self._kit(text)),
            ("Begin the work", lambda: self._begin(text)),
            ("To see to", lambda: self._end_page(text)),
            ("Nothing is open", lambda: self._end_page(text)),
            ("space  tick, choose", lambda: self._end_page(text)),
            ("over: Space goes on", self._go_on),
        ):
            if sign in (keys if sign.startswith(" a") else text):
                return act()
        if re.search(r" 0-9 ", keys):
            if "more below" in text and not re.search("^limits ", text, re.MULTILINE):
                return self.press("\x1b[B")
            return self.press(f"{self.reading(text)}\r")
        if re.search(r" 1-\d+  ?answer", keys):
            self.terminal.pause(self._last[1] + READING_TIME + 0.05 - time.monotonic())  # the question is read first
            return self.press("1")
        left = re.search(r"^wait +((?:\d+:)?\d+:\d\d) left$", text, re.MULTILINE)
        if left and self.pass_time:
            seconds = 0
            for part in left[1].split(":"):
                seconds = seconds * 60 + int(part)
            self.pass_time(seconds + 1.0)
            return self.terminal.until("over: Space goes on")
        return self._go_on()

    def _go_on(self) -> str:
        """Done with a step: two keys by turns, since another key shows that the first was let go."""
        return self.press("\x1b[C" if self._last[0] == " " else " ")

    def _tick(self) -> str:
        """The same on a list."""
        return self.press("\r" if self._last[0] == " " else " ")

    def _kit(self, text: str) -> str:
        """Tick the kit a screen at a time; the cursor is led on to what is in sight next."""
        if re.search("^▸ *Begin", text, re.MULTILINE):
            return self._begin(text)
        return self.press("e")

    def _fill_in(self, text: str) -> str:
        asked = text.splitlines()[-3:-1]
        if re.search("^Signed all the same for ", text, re.MULTILINE):  # a page of its own, with its field on top
            self.press(f"{self.name}\r")
            return self.terminal.until(lambda text: "Signed all the same for " not in text)
        if not any(asked):  # the field was just closed, and the rest is still on its way to the screen
            return self.terminal.changed(text)
        if any("strap" in row for row in asked):
            return self.press("1.1 MΩ\r")
        if any("firmware" in row for row in asked):
            return self.press("1.2\r")
        if any("igned" in row for row in asked):
            return self.press(f"{self.name}\r")
        if any("Weight of the unit" in row for row in asked):
            return self.press("3.4 kg\r")
        if "not marked" in " ".join(text.splitlines()[-4:-1]):  # a long question goes over two rows
            return self.press("2407\r")
        if re.search("^limits ", text, re.MULTILINE):  # the field for a reading is open already
            return self.press(f"{self.reading(text)}\r")
        raise AssertionError(f"what is asked here is not known:\n{text}")

    def _come_back(self, text: str) -> str:
        for number in re.findall(r"^ {2} (\d) .*press the number", text, re.MULTILINE):
            text = self.press(number)
        return self._go_on()

    def _begin(self, text: str) -> str:
        if re.search(r"[○o] .*[^e]$", text.split("Is it so?")[-1], re.MULTILINE) and "here" not in text:
            self.press("e")
        return self._tick()

    def _end_page(self, text: str) -> str:
        """Tick line after line: the mark goes on by itself, down to the line that closes the job."""
        cursor = next((row for row in text.splitlines() if row.startswith("▸")), "")
        if "Go back" in cursor or "open" in cursor:
            return self.press("\x1b[A")
        return self._tick()

    def until(self, words: str, *, most: int = 20000) -> str:
        """Go on working until these words stand on the screen."""
        for _ in range(most):
            text = self.terminal.text()
            if words in text:
                return text
            self.next()
        raise AssertionError(f"{words!r} did not come in {most} acts; the screen shows:\n{self.terminal.text()}")

    def place(self) -> int:
        """Number of the step in hand."""
        found = re.search(r"step (\d+) of \d+", self.terminal.text())
        assert found, self.terminal.text()
        return int(found[1])

    def steps(self) -> int:
        """How many steps the procedure in hand has."""
        found = re.search(r"step \d+ of (\d+)", self.terminal.text())
        assert found, self.terminal.text()
        return int(found[1])

    def choose(self, words: str) -> str:
        """Go down a list to the row that begins with these words, past its mark, and take it; the screen then."""
        for _ in range(60):
            self.terminal.until(lambda text: any(row.startswith("▸") for row in text.splitlines()))
            row = next(row for row in self.terminal.text().splitlines() if row.startswith("▸"))
            if re.match(rf"▸ *(?:\S )?{re.escape(words)}", row):
                return self.press("\r")
            self.press("\x1b[B")
        raise AssertionError(f"no row begins with {words!r}:\n{self.terminal.text()}")
