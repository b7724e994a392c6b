"""A person at the bench who knows nothing but what the screen says: makes each move of a hunt on one desk, to its end.

Everything is read off the drawn screen: the move, where the probes go, the answers on offer, the cautions, the steps of
the repair. What the probes then show comes from the desk.
"""

from __future__ import annotations

import re
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from helpers.faulty_desk import places
from helpers.hand import AGAIN, UNNAMED
from helpers.terminal import Terminal

from benchtui.ui.gate import READING_TIME
from benchtui.ui.hunting import KEEPS

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from helpers.faulty_desk import FaultyDesk

WIDE, WIDTH = 110, 78
"""Columns from which a window has a second column, and cells of the first one then."""

LABEL = 9
"""Cells of the labels "probes" and "healthy"."""

SAME = "as before, "
"""Stands where the probes stay where they were for the point above."""


HOME = "\x1b[H"
"""What the key sends."""

ASIDES = {"How often does it show?": "Not known", "Which of them is worst": "All alike, or not sure"}
"""Questions that only some hunts begin with, and the row taken there."""

STRAP = "1.5 Mohm"
"""What a good wrist strap with its wearer reads; within the 0.75 to 10 Mohm of the shipped procedures."""


@dataclass(slots=True)
class Course:
    """How a hunt went, as the person would tell it."""

    tests: list[str] = field(default_factory=list)
    answers: list[str] = field(default_factory=list)
    repairs: list[str] = field(default_factory=list)
    cautions: int = 0
    steps: int = 0
    """Steps of repair jobs."""
    trial: str = ""
    """The test that was itself the repair, such as another lead with which it works."""
    named: str = ""
    """The row picked as the cause."""
    ended: bool = False

    @property
    def moves(self) -> int:
        """Tests and repairs."""
        return len(self.tests) + len(self.repairs)


SIGNAL_WORD = re.compile(r"^\W*(?:DANGER|WARNING|CAUTION|NOTICE)\b", re.MULTILINE)
"""A caution on a page begins with its signal word."""


def one_line(text: str) -> str:
    """A screen without its breaks."""
    return " ".join(text.split())


def reads(text: str) -> bool:
    """Whether a screen asks for a reading of a hunt: its field names the place and what is healthy there."""
    return ", healthy " in one_line(text)


class Repairer:
    """Works on one desk through one window.

    Args:
        terminal: The window.
        desk: The desk.
        walk: Goes through repairs step by step; else their jobs are only looked into and put aside.
    """

    def __init__(self, terminal: Terminal, desk: FaultyDesk, *, walk: bool = True) -> None:
        self.terminal = terminal
        self._last = ("", 0.0)
        """The key pressed last, and when."""
        self.step_by_step = walk
        self.desk = desk
        self.course = Course()
        self.mended = False
        self.unit = "No unit in particular"
        """The row to take where the unit is asked for."""

    # -- looking ---------------------------------------------------------------------------------------------------

    def rows(self) -> list[str]:
        """The working column of the screen."""
        width = WIDTH if self.terminal.screen.columns >= WIDE else self.terminal.screen.columns
        return [row[:width].rstrip() for row in self.terminal.text().splitlines()]

    @property
    def last(self) -> str:
        """The line of keys."""
        return self.terminal.text().splitlines()[-1]

    def settled(self) -> str:
        """The screen once it has stopped changing."""
        before = ""
        while (now := self.terminal.text()) != before:
            before = now
            self.terminal.read(0.12)
        return now

    def press(self, *keys: str) -> None:
        """Press keys by name; one that was the last one as well after a while, or it would be taken for a held one."""
        last, at = self._last
        if keys[0] == last and last not in ("up", "down"):
            self.terminal.pause(at + AGAIN - time.monotonic())
        self.terminal.press(*keys)
        self._last = (keys[-1], time.monotonic())

    def wait_for_change(self, act: Callable[[], None]) -> None:
        before = self.terminal.text()
        act()
        self.terminal.until(lambda text: text != before)

    @property
    def move(self) -> tuple[str, str]:
        """Kind and title of the move in sight; empty on another screen."""
        for row in self.rows()[2:4]:
            found = re.match(r"(Test|Repair|Work-around|Now): (.+?)(?:  .*)?$", row)
            if found:
                return found[1], found[2].removesuffix(", picked by you")
        return "", ""

    def answers(self) -> dict[int, str]:
        """The answers on offer, by number."""
        found: dict[int, str] = {}
        for row in self.rows():
            match = re.match(r" (\d) {2}(.+?)(?:  → .*)?$", row)
            if match:
                found[int(match[1])] = match[2].rstrip("…")
        return found

    def probes(self) -> list[str]:
        """Where the probes go, each point in the words of the screen; further down where it does not fit."""
        found: list[str] = []
        meant: dict[str, str] = {}
        for _ in range(20):  # from the top: the move itself is in sight
            if self.move[0] or "Find the fault:" not in self.terminal.text():
                break
            self.press("up")
            self.settled()
        for _ in range(30):
            place = ""
            for row in self.rows():
                label, text = row[:LABEL].strip(), row[LABEL:].strip()
                if label == "probes":
                    place = text
                elif place and not label and text:
                    place += f" {text}"
                elif label in ("healthy", "limits") and place:  # the place is in sight to its end
                    if place.startswith(SAME):
                        place = meant.setdefault(place, f"{found[-1].rpartition(', ')[0]}, {place[len(SAME) :]}")
                    found.append(place)
                    place = ""
                else:
                    place = ""
            if "more below" not in self.terminal.text():
                break
            self.press("down")
            self.settled()
        return list(dict.fromkeys(found))

    # -- doing -----------------------------------------------------------------------------------------------------

    def start(self) -> None:
        """From the bench into the hunt."""
        terminal, desk = self.terminal, self.desk
        terminal.until("The bench")
        self.press("f")
        for question, row in (
            ("For which design?", "Hollin cue desk"),
            ("On which unit?", self.unit),
            ("What is it about?", desk.about),
            ("What does it do?", desk.symptom),
            ("Did you notice one of these?", "None of these"),
            ("How long to curtain?", "No hurry"),
        ):
            shown = terminal.until(
                lambda text, question=question: question in text or any(one in text for one in ASIDES)
            )
            while aside := next((one for one in ASIDES if one in shown), ""):  # asked of some hunts only
                self.take(ASIDES[aside])
                shown = terminal.until(lambda text, aside=aside: aside not in text and "▸" in text)
            terminal.until(question)
            self.take(row)
        terminal.until("Find the fault:")
        if desk.tells:
            self.settled()
            self.press("s")
            terminal.until("Say it")
            self.press(desk.tells, "enter")
            terminal.until(lambda text: "Say it" not in text)

    def take(self, words: str) -> None:
        """Go down a list to the row that begins with these words, and take it; from the top again if it was missed."""
        self.terminal.until(lambda text: any(line.startswith("▸") for line in text.splitlines()))
        self.settled()
        for _ in range(120):
            row = next((line for line in self.terminal.text().splitlines() if line.startswith("▸")), "")
            if row[1:].strip().startswith(words):
                self.press("enter")
                return
            before = self.terminal.text()
            self.press("down")
            if self.terminal.text() == before and self.settled() == before:
                self.press(HOME)
                self.settled()
        raise AssertionError(f"no row begins with {words!r}:\n{self.terminal.text()}")

    def hunt(self, *, most: int = 40) -> Course:
        """Follow the screen until the hunt is closed."""
        for _ in range(most):
            self.terminal.until(lambda text: "Working out the best move" not in text)
            self.settled()
            self.read_cautions()
            kind, title = self.move
            match kind:
                case "Test":
                    self.test(title)
                case "Repair":
                    self.repair(title)
                case "Now":
                    if self.now(title):
                        return self.course
                case _:
                    raise AssertionError(f"nothing that can be followed:\n{self.terminal.text()}")
        raise AssertionError(f"no end after {self.course}:\n{self.terminal.text()}")

    def read_cautions(self) -> None:
        """Acknowledge each page of cautions once its key is named."""
        while re.search(r"press {2}a {2}when|after a moment the key", self.terminal.text()):
            text = self.terminal.until("press  a  when", seconds=10)
            self.wait_for_change(lambda: self.press("a"))
            self.course.cautions += len(SIGNAL_WORD.findall(text))
            self.settled()

    def press_answer(self, words: tuple[str, ...]) -> str:
        """Press the number of the first of these answers that is on offer."""
        on_offer = self.answers()
        for wanted in (*words, "cannot tell"):
            for number, text in on_offer.items():
                if text.startswith(wanted):
                    self.wait_for_change(lambda number=number: self.press(str(number)))  # type: ignore[misc]
                    return text
        raise AssertionError(f"none of {words} is on offer:\n{self.terminal.text()}")

    def test(self, title: str) -> None:
        """Make a test: read the meter where the screen says, or look."""
        self._test(title)
        self.settled()
        if self.move[1].startswith("Try the original symptom"):
            self.course.trial, self.mended = title, title in self.desk.cures

    def _test(self, title: str) -> None:
        self.course.tests.append(title)
        said = self.desk.says(title)
        points = [] if said else self.probes()
        if not points:
            self.course.answers.append(self.press_answer(said))
            return
        self.press("m")
        asked = re.search(r"\(\d of (\d)\), healthy ", one_line(self.terminal.until(reads)))
        if asked and int(asked[1]) != len(points):  # one was overlooked: look again
            self.press("escape")
            self.settled()
            points = self.probes()
            self.press("m")
        read = [self.desk.reading(where, mended=self.mended) for where in points]
        for number, text in enumerate(read):
            self.terminal.until(reads)
            if len(read) > 1:
                which = f"({number + 1} of {len(read)}), healthy "
                self.terminal.until(lambda shown, which=which: which in one_line(shown))
            self.wait_for_change(lambda text=text: self.press(text, "enter"))  # type: ignore[misc]
            self.settled()
            if KEEPS in " ".join(
                self.terminal.text().split()
            ):  # asked whether it is a slip: it is what the meter shows
                self.terminal.pause(READING_TIME + 0.3)
                self.wait_for_change(lambda: self.press("enter"))
                self.settled()
            if self.move != ("Test", title) or not reads(self.terminal.text()):
                break
        self.course.answers.append(", ".join(read))
        if self.move == ("Test", title) and "Answer with a number" in self.terminal.text():
            self.course.answers[-1] += f": {self.press_answer(self.by_eye(title))}"

    def by_eye(self, title: str) -> tuple[str, ...]:
        """What the readings say where no answer follows from them alone."""
        if title == "V+ to GND ohms at the board, harness on":
            return ("below the limit all the time",)
        return ("it reaches both ends",) if title == "Does it reach both ends?" else ("wrong in another way",)

    def repair(self, title: str) -> None:
        """Make a repair, step by step where there are steps."""
        self.course.repairs.append(title)
        self.mended = title in self.desk.cures
        walked = re.search(r" o {2}step by step", self.last)
        if walked:
            self.press("o")
            self.terminal.until(lambda text: "Find the fault" not in text)
        if walked and self.step_by_step:
            self.walk()
            return
        if walked:  # looks into the job, puts it aside, and does the repair by heart
            self.settled()
            self.press("q")
            self.terminal.until("Find the fault")
        self.press_answer(("done",))

    def now(self, title: str) -> bool:
        """What follows a repair; whether the hunt is closed."""
        if title.startswith("Try the original symptom"):
            self.press_answer((self.desk.again,) if self.mended else ("it is still there",))
        elif title.startswith(("Try the neighbours", "Try every control")):
            self.press_answer(("they all work",))
        elif title.startswith("Write it down"):
            self.close()
            return True
        else:
            raise AssertionError(f"{title}:\n{self.terminal.text()}")
        return False

    def close(self) -> None:
        """Say what was found and done."""
        terminal = self.terminal
        self.press("space")
        terminal.until("What did you find?")
        self.course.named = self.desk.cause or "Not known"
        self.take(self.course.named)
        for question, words in (("Found, in your words", self.desk.name), ("Done", "put right"), ("Parts", "none")):
            terminal.until(question)
            self.settled()
            self.press(words, "enter")
        terminal.until("The bench")
        self.course.ended = True

    # -- a repair step by step -------------------------------------------------------------------------------------

    def walk(self) -> None:
        """Through the job of a repair, and back to the hunt."""
        for _ in range(200):
            text = self.settled()
            if "Find the fault:" in text:
                return
            self.read_cautions()
            if "Find the fault:" in self.terminal.text():
                return
            self.walk_on()
        raise AssertionError(f"the repair does not end:\n{self.terminal.text()}")

    def walk_on(self) -> None:
        """One act on whatever the job shows."""
        text, keys = self.terminal.text(), self.last
        if "Which one is on the bench?" in text:
            row = next((line for line in text.splitlines() if line.startswith("▸")), "")
            self.wait_for_change(lambda: self.press("enter" if UNNAMED in row else "down"))
            return
        if "Is it so?" in text or "Begin the work" in text:
            if "to be answered" in text or re.search(r"▸ *Begin the work(?!, once)", text):
                self.wait_for_change(lambda: self.press("space"))
            else:
                self.wait_for_change(lambda: self.press("e"))
            return
        if "test the wrist strap first" in text:
            self.wait_for_change(lambda: self.press(STRAP, "enter"))
            return
        if " keep " in keys and re.search(r"firmware|not marked", "\n".join(text.splitlines()[-4:-1])):
            self.wait_for_change(lambda: self.press("1.2", "enter"))
            return
        if "tick, choose" in keys:
            self.wait_for_change(lambda: self.press("space"))
            return
        self.course.steps += 1
        choices = re.findall(r"^ {3}(\d) {2}(.+)$", "\n".join(self.rows()), re.M)
        if choices and re.search(r"answer", keys):
            self.terminal.pause(READING_TIME + 0.1)  # the question is read before its number counts
            for wanted in self.desk.choices:
                for number, words in choices:
                    if words.startswith(wanted):
                        self.wait_for_change(lambda number=number: self.press(number))  # type: ignore[misc]
                        return
            self.wait_for_change(lambda: self.press("1"))
            return
        near = any(row.startswith("read ") and "near limit" in row for row in self.rows())  # kept, and good enough
        limits = any(row.startswith("limits ") for row in self.rows())
        if limits and not near and re.search(r"0-9|reading|digit|measure", keys):
            self.read_in_step()
            return
        self.wait_for_change(lambda: self.press("space"))

    def read_in_step(self) -> None:
        """Type the reading a step asks for: what the mended desk shows, or a value that the limits allow."""
        terminal = self.terminal
        points = self.probes()
        limits = next(row[LABEL:] for row in self.rows() if row.startswith("limits"))
        known = [where for where in points if where in places()]
        # The desk's circuit is that of rest: with all lamps on its current is what the step allows.
        lit = " mA" in limits
        value = self.desk.reading(known[0], mended=True) if known and not lit else allowed(limits)
        opens = value[:1] if value[:1].isdigit() else ""  # the first figure opens the field, and so does m
        self.press(opens or "m")
        terminal.until("Reading")
        self.press(value.removeprefix(opens))
        for _ in range(3):  # a person looks at what stands in the field before it is kept
            asked = next((row for row in self.settled().splitlines() if row.startswith("Reading")), "")
            if value in asked:
                break
            self.press(*["backspace"] * 20, value)
        self.wait_for_change(lambda: self.press("enter"))
        self.settled()


def allowed(limits: str) -> str:
    """A value within limits as a step words them: "1 Ω or less", "0.4 N·m to 0.6 N·m"."""
    found = re.findall(r"(\d+(?:\.\d+)?) ?(\S+)?", limits.split("   ")[0])
    if "OL" in limits:
        return "OL"
    value, unit = found[0]
    if " to " in limits and len(found) > 1:
        value, unit = found[1]  # the upper limit itself still counts
    return f"{value} {unit or ''}".strip()


def run(desk: FaultyDesk, home: Path, *, columns: int = 120, lines: int = 40, walk: bool = True) -> Course:
    """One hunt on one desk in a new window."""
    with Terminal(home=home, columns=columns, lines=lines) as terminal:
        worker = Repairer(terminal, desk, walk=walk)
        worker.start()
        try:
            return worker.hunt()
        except AssertionError as error:
            raise AssertionError(f"{worker.course}\n{error}\n{terminal.text()}") from error
