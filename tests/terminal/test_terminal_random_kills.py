"""`kill -9` at random moments of real work in the real program: what the screen said is in the record, every time.

Row H4 (ALCOA: enduring, contemporaneous). The builder of `helpers.hand` works through the assembly of a Hollin desk,
with its cautions, readings, answers and called procedures; a second thread kills the program at a moment drawn by lot.
What stood on the screen is then looked for in the record, and the next start has to come back to the very place.
"""

from __future__ import annotations

import os
import random
import re
import signal
import sys
import threading
from collections import Counter
from contextlib import suppress
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":  # no pseudo-terminal there that the standard library can drive
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from helpers.hand import Hand
from helpers.terminal import ProgramEnded, Terminal

from benchtui.jobs.run import record_job
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.jobstate import JobState

SEED = 20260

EARLY = 0.2
"""Share of the lives that are counted from the start of the program, and may end before its first screen."""


READY = (" ?  keys", "F1  keys", "leave the field")
"""What stands in the last line of a screen that waits for a key."""


class Ordeal:
    """One record, worked on by one start of the program after the other.

    Args:
        home: The user's own folder.
        seed: Of the moments at which the program is killed.
        lives: Seconds a start lives at least and at most.
    """

    def __init__(self, home: Path, *, seed: int, lives: tuple[float, float]) -> None:
        home.mkdir()
        self.home = home
        self.record = home / "record.sqlite"
        self.dice = random.Random(seed)
        self.lives = lives
        self.expected: dict[str, str] = {}
        """Title of a job to the place at which the next start has to take it up."""
        self.tally: Counter[str] = Counter()

    def live_once(self) -> None:
        """Start the program, work, be killed; then compare what was seen with what is written."""
        frames: list[str] = []
        with Terminal(["--record", str(self.record)], home=self.home) as terminal:
            killer = threading.Timer(self.dice.uniform(*self.lives), self._kill, [terminal])
            hand = Hand(terminal)
            if self.dice.random() < EARLY:
                killer.start()
            with suppress(ProgramEnded):
                terminal.until(" ?  keys")
                if killer.ident is None:  # on a slow machine, too, most lives are counted from the first screen
                    killer.start()
                self._work(hand, frames)
            killer.join()
            terminal.wait_for_end()
            # The last picture may be torn between two jobs; of the same job it says what was acknowledged last.
            if frames and _job_of(terminal.text()) == _job_of(frames[-1]):
                frames.append(terminal.text())
        self.tally["kills"] += 1
        self.tally["acts"] += hand.acts
        self.tally["killed " + _where(frames)] += 1
        if self.record.exists():
            self._compare(frames[-2:])

    def _kill(self, terminal: Terminal) -> None:
        # By its own id, and only while it is still ours to be waited for.
        if terminal.status is None:
            os.kill(terminal.pid, signal.SIGKILL)

    def _work(self, hand: Hand, frames: list[str]) -> None:
        terminal = hand.terminal
        while True:
            text = terminal.until(lambda text: any(words in text for words in READY))
            frames.append(text)
            if "The bench" in text.splitlines()[0]:
                self._from_the_bench(hand, text)
            elif "On which unit?" in text:
                hand.press("\r")
            else:
                if "You were at" in text:
                    self._back_at_its_place(text)
                hand.next()

    def _from_the_bench(self, hand: Hand, text: str) -> None:
        row = next((row for row in text.splitlines() if row.startswith("▸")), "")
        if re.search(r"[A-Z]{3}-\d{3}", row):
            hand.press("\r")
        else:
            hand.choose("Build one Hollin cue desk")
            hand.terminal.until("On which unit?")

    def _back_at_its_place(self, text: str) -> None:
        title, place = _title_of(text), re.search(r"You were at  step (\d+)", text)
        assert place
        wanted = next((place for known, place in self.expected.items() if title and known.startswith(title)), "")
        assert place[1] == wanted, f"{title} was at step {wanted}, and is taken up at step {place[1]}:\n{text}"
        self.tally["taken up at the right place"] += 1

    def _compare(self, frames: list[str]) -> None:
        with Store.open(self.record, read_only=True) as store:
            states = [record_job(store, row.job).state for row in store.jobs()]
            self.tally["events"] = len(store.events())
        self.expected = {
            state.plan.title: str(state.plan.step(state.current).number)
            for state in reversed(states)
            if state.current and not state.closed
        }
        for text in frames:
            unit, title = _job_of(text)
            state = next(
                (each for each in states if title and each.unit == unit and each.plan.title.startswith(title)), None
            )
            if state is not None:
                self._all_of_it_is_there(state, text)
            elif title:
                raise AssertionError(f"the job on the screen is not in the record:\n{text}")

    def _all_of_it_is_there(self, state: JobState, text: str) -> None:
        """Every mark, reading and answer on the screen is in the record."""
        place = re.search(r"step (\d+) of \d+", text.splitlines()[1])
        steps = {step.number: state[step.key] for step in state.plan.steps}
        if place:
            here = int(place[1])
            for number in range(1, here):
                assert steps[number].settled, f"step {number} was passed on the screen, and is {steps[number].status}"
            now = state.plan.step(state.current).number if state.current else len(state.plan) + 1
            assert here <= now <= here + 1 or state.closed, f"the screen was at step {here}, the record is at {now}"
            self.tally["places compared"] += 1
        for mark, number in re.findall(r"^([●◐]) (\d+) ", text, re.MULTILINE):
            wanted = {Status.DONE} if mark == "●" else {Status.BEGUN, Status.DONE}
            assert steps[int(number)].status in wanted, f"step {number} had the mark {mark}:\n{text}"
            self.tally["marks compared"] += 1
        for number, value in re.findall(r"^● (\d+) .*? (\S+ ?\S*): pass$", text, re.MULTILINE):
            reading = steps[int(number)].reading
            assert reading, f"the reading {value} of step {number} is not there"
            assert value.split()[0] in reading.typed, f"{value} was read at step {number}, and {reading.typed} is kept"
            self.tally["readings compared"] += 1
        for line in re.findall(r"^[▸ ] ● (.*?)(?:…|  ) *yes$", text, re.MULTILINE):
            assert any(condition.startswith(line.strip()) for condition in state.conditions), f"not answered: {line}"
            self.tally["answers compared"] += 1

    def report(self) -> str:
        """The figures of the whole ordeal, once its record has been verified."""
        assert self.tally["events"] > self.tally["kills"], "an ordeal in which hardly anything was done proves nothing"
        assert self.tally["places compared"] > self.tally["kills"] / 2, "and so does one that compared hardly anything"
        with Store.open(self.record) as store:
            assert verify(store) == (), "the chain of events is whole"
            for row in store.jobs():
                assert record_job(store, row.job).conflicts == ()
        return ", ".join(f"{count} {what}" for what, count in sorted(self.tally.items()))


def _title_of(text: str) -> str:
    """Title of the procedure on a job's screen, or its beginning where hazards take the room; empty on another."""
    second = text.splitlines()[1] if text.strip() else ""
    found = re.match(r"^(?: *■ [A-Z -]+  )*(.+?)(?:, re\w*(?:…| \d)|…)", second)
    return found[1].strip() if found else ""


def _job_of(text: str) -> tuple[str, str]:
    """Unit and title of the job on the screen; empty where there is none."""
    unit = re.search(r"unit (\S+)", text.splitlines()[0]) if text.strip() else None
    return (unit[1], _title_of(text)) if unit and _title_of(text) else ("", "")


def _where(frames: list[str]) -> str:
    if not frames:
        return "before the first screen"
    text = frames[-1]
    for words, where in (
        ("The bench", "at the bench"),
        ("On which unit", "at the bench"),
        ("You were away", "coming back"),
        ("Which one is on the bench?", "at the question which meter it is"),
    ):
        if words in text:
            return where
    if "Is it so?" in text:
        return "on the page before the work"
    return "on the page at the end" if "Close the job" in text else "at a step"


def killed(folder: Path, times: int, *, lives: tuple[float, float], seed: int = SEED) -> str:
    ordeal = Ordeal(folder / "home", seed=seed, lives=lives)
    print(f"seed {seed}")
    for life in range(1, times + 1):
        ordeal.live_once()
        if life % 50 == 0:
            print(life, dict(ordeal.tally), flush=True)
    return ordeal.report()


@pytest.mark.terminal
def test_killed_at_random_moments_nothing_that_the_screen_said_is_lost(tmp_path: Path) -> None:
    print(killed(tmp_path, 4, lives=(2.0, 6.0)))


@pytest.mark.long
@pytest.mark.parametrize("seed", [SEED, SEED + 1])
def test_killed_at_five_hundred_random_moments_in_the_real_program(seed: int, tmp_path: Path) -> None:
    """Two records of 250 kills each, so that the two can be run side by side."""
    print(killed(tmp_path, 250, lives=(0.0, 6.0), seed=seed))
