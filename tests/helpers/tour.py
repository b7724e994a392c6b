"""A short tour through the real program in a pseudo-terminal; what it shows is what the README shows."""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING

from helpers.hand import AGAIN, ROW, UNNAMED
from helpers.terminal import Terminal

from benchtui.ui.gate import READING_TIME

if TYPE_CHECKING:
    from pathlib import Path


def choose(terminal: Terminal, words: str) -> None:
    """Go down a list to the row that begins with these words, and take it."""
    for _ in range(60):
        row = next((line for line in terminal.text().splitlines() if line.startswith("▸")), "")
        if row[1:].strip().startswith(words):
            terminal.pause(ROW)
            terminal.press("enter")
            return
        before = terminal.text()
        terminal.press("down")
        terminal.until(lambda text, before=before: text != before)
    raise AssertionError(f"no row begins with {words!r}:\n{terminal.text()}")


def start_the_hollin_desk(terminal: Terminal) -> None:
    """From the bench to step 1 of the assembly, as a person would: choose, answer, count the kit."""
    terminal.until("The bench")
    choose(terminal, "Build one Hollin cue desk")
    terminal.until("On which unit?")
    terminal.press("enter")
    answer_and_begin(terminal)
    terminal.until("done when only the mat")
    terminal.pause(AGAIN)


def answer_and_begin(terminal: Terminal) -> None:
    """Through the page before the work: each question answered, all that is listed in sight."""
    terminal.until("to be answered")
    terminal.pause(AGAIN)  # the key that led here is none of the answers
    keys = itertools.cycle(("space", "enter"))  # the same again at once would be taken for a key that is held
    while "to be answered" in terminal.text():
        before = terminal.text()
        terminal.press(next(keys))
        terminal.until(lambda text, before=before: text != before)
    while "▸ Begin the work" not in terminal.text():  # a page at a time
        before = terminal.text()
        terminal.pause(AGAIN)
        terminal.press("e")
        terminal.until(lambda text, before=before: text != before)
    terminal.press(next(keys))
    text = terminal.until(lambda text: "Which one is on the bench?" in text or "▸ Begin the work" not in text)
    if "Which one is on the bench?" in text:
        choose(terminal, UNNAMED)


def prove_the_strap(terminal: Terminal) -> str:
    """Step 2 of the assembly, which goes to a procedure of its own and back to step 3; the screen of its reading."""
    terminal.until("step 2 of")
    terminal.pause(AGAIN)  # a mark and the next one are two acts
    terminal.press("space")
    answer_and_begin(terminal)
    for step in (1, 2):
        terminal.until(f"step {step} of 3")
        terminal.pause(AGAIN)
        terminal.press("space")
    terminal.until("step 3 of 3")
    terminal.press(*"1.1M")
    terminal.until("1.1M")
    reading = terminal.text()
    terminal.press("enter")
    terminal.until("Stays in use for Build one Hollin cue desk")  # so there is nothing to count back in here
    terminal.pause(AGAIN)
    choose(terminal, "Close the job")
    terminal.until("step 3 of 2")
    terminal.pause(1.0)
    return reading


def bags_without_a_number(terminal: Terminal) -> None:
    """Past the steps that ask for the lot of each kind of part: it is not marked."""
    asked = lambda text: "asks for the lot" in text  # noqa: E731
    while asked(terminal.until(lambda text: asked(text) or "▲!" in text)):
        here = place(terminal.text())
        terminal.pause(AGAIN)
        terminal.press("space")
        terminal.until("leave the field")
        terminal.press("-", "enter")
        terminal.until(lambda text: "leave the field" not in text)
        if place(terminal.text()) == here:
            terminal.pause(AGAIN)
            terminal.press("space")
        terminal.until(lambda text, here=here: place(text) != here)


def place(text: str) -> str:
    """The words "step 4 of 250" of a step screen; empty on another."""
    found = re.search(r"step \d+ of \d+", text)
    return found[0] if found else ""


def tour(home: Path) -> dict[str, str]:
    """The screens of the README by name, 80 × 24, as the program draws them."""
    shown: dict[str, str] = {}
    with Terminal(home=home) as terminal:
        terminal.until("Check before going on")
        shown["bench"] = terminal.text()
        start_the_hollin_desk(terminal)
        terminal.press("space")
        shown["reading"] = prove_the_strap(terminal)
        terminal.pause(READING_TIME + 0.2)  # a question is read before its number counts
        terminal.press("1")
        bags_without_a_number(terminal)
        terminal.until("press  a  when you have read this")
        shown["caution"] = terminal.text()
    with Terminal(home=home / "hunt") as terminal:
        terminal.until("The bench")
        terminal.press("f")
        terminal.until("For which design?")
        choose(terminal, "Hollin cue desk")
        terminal.until("On which unit?")
        choose(terminal, "No unit in particular")
        terminal.until("What is it about?")
        choose(terminal, "F3")
        for question in ("What does it do?", "Did you notice one of these?"):
            terminal.until(question)
            terminal.pause(ROW)
            terminal.press("enter")
        terminal.until("How long to curtain?")
        choose(terminal, "30 minutes")
        terminal.until("way out")
        terminal.pause(2.0)  # it looks deeper while one reads
        shown["hunt"] = terminal.text()
    with Terminal(home=home / "sums") as terminal:
        terminal.until("The bench")
        terminal.press("c")
        terminal.until("Which one?")
        terminal.press(*"led")
        terminal.until("looking for: led")
        terminal.press("enter")
        terminal.until("forward")
        terminal.press(*"3.3 V ±2 %", "tab", *"2 V ±10 %", "tab", *"5 mA")
        terminal.until(lambda text: "resistor  " in text and "5 mA" in text)
        terminal.pause(0.5)
        shown["sum"] = terminal.text()
    return shown
