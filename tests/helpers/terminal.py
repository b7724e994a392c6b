"""The real program in a real pseudo-terminal: keys go in as bytes, the screen comes out as lines of text.

pyte keeps the screen as a terminal would, so what a test reads is what a person would see.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from typing import TYPE_CHECKING

import pyte

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

KEYS = {
    "space": b" ",
    "enter": b"\r",
    "escape": b"\x1b",
    "tab": b"\t",
    "up": b"\x1b[A",
    "down": b"\x1b[B",
    "right": b"\x1b[C",
    "left": b"\x1b[D",
    "pageup": b"\x1b[5~",
    "pagedown": b"\x1b[6~",
    "backspace": b"\x7f",
    "f1": b"\x1bOP",
    "f2": b"\x1bOQ",
    "f3": b"\x1bOR",
    "f4": b"\x1bOS",
    "f5": b"\x1b[15~",
    "f6": b"\x1b[17~",
    "f7": b"\x1b[18~",
    "f8": b"\x1b[19~",
    "f9": b"\x1b[20~",
    "f10": b"\x1b[21~",
}


class ProgramEnded(Exception):
    """The program has ended while something was expected of it."""


class Terminal:
    """One run of the program in a pseudo-terminal.

    Args:
        arguments: Command-line arguments of the program.
        home: The user's own folder for this run (`BENCHTUI_HOME`).
        columns: Width in characters.
        lines: Height in characters.
        environment: Further variables.
        program: What Python is to run.
    """

    def __init__(
        self,
        arguments: Sequence[str] = (),
        *,
        home: Path,
        columns: int = 80,
        lines: int = 24,
        environment: Mapping[str, str] | None = None,
        program: Sequence[str] = ("-m", "benchtui"),
    ) -> None:
        self.screen = pyte.Screen(columns, lines)
        self._stream = pyte.ByteStream(self.screen)
        self.status: int | None = None
        self.gone = False
        """The program has closed its end of the terminal."""
        command = [sys.executable, *program, *arguments]
        variables = {
            **os.environ,
            "TERM": "xterm-256color",
            "LANG": "C.UTF-8",
            "BENCHTUI_HOME": str(home),
            "TEXTUAL_ANIMATIONS": "none",
            **(environment or {}),
        }
        for name in ("COLUMNS", "LINES"):  # they would overrule the size of the window
            variables.pop(name, None)
        self.pid, self._fd = pty.fork()
        if self.pid == 0:  # the child: becomes the program, in a window that has its size from the start
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
            os.execvpe(command[0], command, variables)
        self.resize(columns, lines)

    def resize(self, columns: int, lines: int) -> None:
        """Give the window a new size, as dragging its corner would."""
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        self.screen.resize(lines, columns)

    def press(self, *keys: str) -> None:
        """Press keys by name ("space", "f3"); any other text is typed as it is."""
        for key in keys:
            os.write(self._fd, KEYS.get(key, key.encode()))
            self.read(0.05)

    def pause(self, seconds: float) -> None:
        """Let time pass, as a person does who reads; what is drawn meanwhile is taken in."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            self.read(min(left, 0.1))
            time.sleep(min(max(end - time.monotonic(), 0), 0.05))

    def read(self, seconds: float = 0.1) -> None:
        """Take in what the program draws until it has been quiet for `seconds`, or has ended."""
        while select.select([self._fd], [], [], seconds)[0]:
            try:
                data = os.read(self._fd, 65536)
            except OSError:  # the other end is closed: the program has ended
                data = b""
            if not data:
                self.gone = True
                return
            self._stream.feed(data)

    def burst(self, text: str) -> None:
        """Send a whole text at once, as a paste, a slow line or a meter that types does."""
        os.write(self._fd, text.encode())
        self.read(0.1)

    def send(self, text: str) -> None:
        """Send a text, and do not wait for anything.

        Raises:
            ProgramEnded: There is nobody any more to send it to.
        """
        try:
            os.write(self._fd, text.encode())
        except OSError:
            raise ProgramEnded from None

    def changed(self, before: str, *, seconds: float = 20.0, quiet: float = 0.03) -> str:
        """Wait until the screen is another than `before`, and nothing more is being drawn; the screen then.

        Raises:
            ProgramEnded: The program has ended first; what it had drawn is on the screen.
            AssertionError: It stayed the same.
        """
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.read(quiet)
            text = self.text()
            if self.gone:
                raise ProgramEnded
            if text != before:
                return text
        raise AssertionError(f"the screen did not change:\n{self.text()}")

    def text(self) -> str:
        """The screen as it stands, trailing blanks cut."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def until(self, condition: str | Callable[[str], bool], *, seconds: float = 20.0) -> str:
        """Wait for a text on the screen, or for a condition on the whole screen.

        Raises:
            AssertionError: It did not come; the message shows the screen.
        """
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.read(0.05)
            text = self.text()
            if condition in text if isinstance(condition, str) else condition(text):
                return text
            if self.gone:
                raise ProgramEnded(self.text())
        raise AssertionError(f"{condition!r} did not come; the screen shows:\n{self.text()}")

    def kill(self, sig: int = signal.SIGKILL) -> None:
        """Kill the program outright, with no chance to tidy up."""
        if self.status is None:
            os.kill(self.pid, sig)
            self.wait_for_end()

    def wait(self, *, seconds: float = 10.0) -> int:
        """Wait for the program to end by itself; its exit code."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.read(0.05)
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.status = os.waitstatus_to_exitcode(status)
                return self.status
        raise AssertionError(f"the program did not end; the screen shows:\n{self.text()}")

    def close(self) -> None:
        """End the run, whatever state it is in."""
        self.kill()
        os.close(self._fd)

    def wait_for_end(self) -> None:
        """Wait for the program, which was killed, to be gone; what it had drawn before is taken in."""
        self.read(0.0)
        _, status = os.waitpid(self.pid, 0)
        self.status = os.waitstatus_to_exitcode(status)

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
