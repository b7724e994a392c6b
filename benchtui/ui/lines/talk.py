"""Saying a line and hearing one."""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING, Final

from benchtui.ui.gate import QUIET_TIME, REPEAT_TIME
from benchtui.ui.view.text import clean, plain, wrap

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from benchtui.record.store import Store
    from benchtui.ui.view.text import Line

LOOK: Final = 1.0
"""Seconds between two looks whether a wait is over, while a question waits."""

WIDTH: Final = 76
"""Cells of a line, for terminals that wrap badly."""


def sentence(text: str) -> str:
    """What a page says in its line, as it is read out: with a capital, and one full stop."""
    return f"{text[:1].upper()}{text[1:]}.".replace("..", ".")


def kept_said(store: Store) -> str:
    """What is kept of all that was done, on leaving."""
    if store.notice:
        return "Nothing was kept: this record could only be read."
    return "What was refused is not kept; all the rest is." if store.refused else "Everything is kept."


class Left(Exception):
    """The input has ended: the terminal is gone, or Ctrl-D was typed."""


class Talk:
    """The conversation.

    Args:
        hear: Gives the next line typed, without its end; raises EOFError when there is none.
        say: Writes one line.
        clock: Seconds that only run forward.
        comes: Whether another line comes from the keyboard within so many seconds; None where none is typed by hand,
            as from a pipe: there no key can be held.
        watch: Whether a line is there within so many seconds, so that what happens meanwhile is said while a question
            waits; None where nothing can be told before the line is there.
    """

    def __init__(
        self,
        hear: Callable[[str], str] = input,
        say: Callable[[str], None] = print,
        *,
        clock: Callable[[], float] = time.monotonic,
        comes: Callable[[float], bool] | None = None,
        watch: Callable[[float], bool] | None = None,
    ) -> None:
        self.mind: Callable[[], str] | None = None
        """What has happened meanwhile, such as a wait that is over; said before the next question."""
        self._hear = hear
        self._say = say
        self._clock = clock
        by_hand = hear is input and _at_a_terminal()
        self._comes = comes or (_comes if by_hand else None)
        self._watch = watch or (_comes if by_hand else None)
        self._waiting = False
        self.gone = False
        """The terminal has gone, or the machine shuts down."""

    def say(self, text: str = "") -> None:
        """Say a text, wrapped under its own indent."""
        indent = " " * (len(text) - len(text.lstrip(" ")))
        for row in plain(wrap(text, WIDTH, first=indent, rest=indent)).split("\n"):
            self._say(row)

    def rows(self, text: str) -> None:
        """Say a text that is laid out already, row by row."""
        for row in text.split("\n"):
            self._say(clean(row))

    def lines(self, rows: Iterable[Line]) -> None:
        """Say lines as they are."""
        for row in rows:
            self._say(plain([row]))

    def ask(self, what: str, *, anew: bool = False, ticks: bool = False) -> str:
        """Ask, and give back what was typed, without blanks around it.

        Args:
            what: The question.
            anew: Only what is typed after the question counts; what was typed ahead is thrown away, and so is what a
                held Enter sends. To be said wherever an empty line marks something.
            ticks: It is one line of a list that may be ticked as fast as one can press.

        Raises:
            Left: The input has ended.
        """
        self._news()
        told = False
        while True:
            if anew:
                _throw_away()
            asked = self._clock()
            try:
                typed = clean(self._listen(f"{what}> ")).strip()
            except EOFError:
                raise Left from None
            if not anew or typed or not self._held(self._clock() - asked, ticks=ticks):
                return typed
            if not told:
                self.say("That was too soon after the last Enter: read it, then press Enter once more.")
            told = True

    def _news(self) -> bool:
        """Ring and say what has happened meanwhile; whether there was anything."""
        news = self.mind() if self.mind else ""
        if news:
            self._say("\a")
            self.say(sentence(news))
        return bool(news)

    def _listen(self, prompt: str) -> str:
        """The next line; what happens while it is waited for is said, and the question put once more."""
        if self.gone:
            raise Left
        self._waiting = True
        try:
            if self._watch is None:
                return self._hear(prompt)
            self._put(prompt)
            while not self._watch(LOOK):
                if self._news():
                    self._put(prompt)
            return self._hear("")
        finally:
            self._waiting = False

    def _put(self, prompt: str) -> None:
        if self._say is print:
            print(prompt, end="", flush=True)
        else:
            self._say(prompt)

    def hang_up(self) -> None:
        """The terminal goes away: leave at the next question, or at once where one waits. Nothing is cut in two.

        Raises:
            Left: A question waits.
        """
        self.gone = True
        if self._waiting:
            raise Left

    def _held(self, after: float, *, ticks: bool) -> bool:
        """Whether an empty line may come from the Enter of the line before, held; then waits until it is let go.

        `ui.gate` has the reasons.

        Args:
            after: Seconds from the question to the line.
            ticks: A press that no repeat follows counts.
        """
        if self._comes is None or after >= QUIET_TIME:
            return False
        more = self._comes(REPEAT_TIME)
        held = more or not ticks
        for _ in range(_PATIENCE):
            if not more:
                break
            _throw_away()
            more = self._comes(REPEAT_TIME)
        return held

    def pick(self, question: str, choices: Sequence[tuple[str, str]], *, leaves: str = "back") -> str | None:
        """Let one of several be picked by number, or by a word of it.

        Args:
            question: What is asked.
            choices: Id and text of each.
            leaves: What an empty line does.

        Returns:
            The id; None for none, by an empty line.
        """
        while True:
            self.say(question)
            for number, (_, text) in enumerate(choices, 1):
                self.say(f"  {number}  {text}")
            typed = self.ask(f"number or word (Enter: {leaves})").lower()
            if typed in ("", "quit", "q"):
                return None
            if typed.isdigit() and 1 <= int(typed) <= len(choices):
                return choices[int(typed) - 1][0]
            found = [each for each in choices if all(word in f"{each[0]} {each[1]}".lower() for word in typed.split())]
            exact = [each for each in found if each[1].lower().split(" ")[0].rstrip(",:") == typed]
            if len(found) == 1 or len(exact) == 1:
                return (found if len(found) == 1 else exact)[0][0]
            if found:
                choices, question = found, f"Those that hold {typed!r}, numbered anew:"
            else:
                self.say(f"Nothing holds {typed!r}.")


_PATIENCE: Final = 1000
"""Lines of a held Enter that are waited for at most: a terminal that has gone seems to have one more for ever."""


def _at_a_terminal() -> bool:
    return sys.platform != "win32" and bool(sys.stdin) and sys.stdin.isatty()


def _throw_away() -> None:
    """Forget what was typed ahead on a terminal; a pipe has nothing ahead of anything."""
    if _at_a_terminal():
        import termios

        termios.tcflush(sys.stdin, termios.TCIFLUSH)


def _comes(seconds: float) -> bool:
    """Whether another line comes from the terminal within so many seconds."""
    import select

    return bool(select.select([sys.stdin], [], [], seconds)[0])
