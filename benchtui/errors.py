"""Every error this program raises on purpose, and the place it points at.

    BenchError                  what went wrong, where, and what to do
      UnitError                 a typed amount cannot be understood, or is of the wrong kind
      ContentError              a content file has problems (carries all of them)
      CalcError                 a calculator cannot answer (carries the input's key)
      DesignError               a design cannot answer what was asked of it
      JobError                  an event that is not allowed in the present state of a job
      RecordError               the record cannot be read or written
        NewerRecordError        it was written by a newer version of this program
        RecordBusyError         another program is writing to it
        RecordDamagedError      its digest chain or its rows do not add up
      UsageError                the command line asks for something that does not exist
      TerminalError             there is no terminal to draw on

Exit codes: 0 fine, 1 the content has problems, 2 bad input or usage, 3 the surroundings (terminal, folder, record).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A spot in a text file; line and column count from 1, and 0 means "the file as a whole"."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with a content file, as a value that any renderer can print."""

    place: Place
    message: str
    hint: str = ""

    def __str__(self) -> str:
        text = f"{self.place}: {self.message}"
        return f"{text}; {self.hint}" if self.hint else text


class BenchError(Exception):
    """Base of every error raised on purpose.

    Args:
        message: What is wrong, as one plain sentence without a full stop.
        hint: What to do about it.
        place: Where, when it lies in a file.
    """

    exit_code = 2

    def __init__(self, message: str, *, hint: str = "", place: Place | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.place = place

    def __str__(self) -> str:
        text = f"{self.place}: {self.message}" if self.place else self.message
        return f"{text}; {self.hint}" if self.hint else text


class UnitError(BenchError):
    """A typed amount cannot be understood, or measures the wrong kind of thing."""


class ContentError(BenchError):
    """A content file has problems; `problems` holds every one of them, in order of place."""

    exit_code = 1

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(sorted(problems))
        first = self.problems[0]
        told = first_and_more([problem.message for problem in self.problems])
        super().__init__(told, hint=first.hint, place=first.place)


class CalcError(BenchError):
    """A calculator cannot answer; `key` names the input at fault, empty when it is none in particular."""

    def __init__(self, message: str, *, key: str = "", hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.key = key

    def __str__(self) -> str:
        text = super().__str__()
        return f"{self.key}: {text}" if self.key else text


class DesignError(BenchError):
    """A design cannot answer what was asked of it: no such control, test point or part."""


class AbsentError(DesignError):
    """A design lacks the part that a reading is taken on: a diode, a pull-down, a resistor."""


class JobError(BenchError):
    """An event that is not allowed in the present state of a job, such as skipping a hold point."""


class RecordError(BenchError):
    """The record cannot be read or written."""

    exit_code = 3


class NewerRecordError(RecordError):
    """The record was written by a newer version of this program."""


class RecordBusyError(RecordError):
    """Another program is writing to this record."""


class RecordDamagedError(RecordError):
    """The digest chain of the record does not add up, or a row cannot be read."""


class UsageError(BenchError):
    """The command line asks for something that does not exist."""


class TerminalError(BenchError):
    """There is no terminal to draw on."""

    exit_code = 3


def first_and_more(lines: Sequence[str]) -> str:
    """The first of one or more lines, with how many more there are: "the lid is off (and 2 more)"."""
    more = f" (and {len(lines) - 1} more)" if len(lines) > 1 else ""
    return f"{lines[0]}{more}"


def nearest_word(word: str, known: Iterable[str], *, cutoff: float = 0.6) -> str:
    """The known word that is most like `word`; empty when none is.

    Args:
        word: What was written.
        known: What could have been meant.
        cutoff: How alike they have to be, from 0 to 1.
    """
    from difflib import get_close_matches  # costs 10 ms, and is needed only when something is wrong

    return next(iter(get_close_matches(word, list(known), n=1, cutoff=cutoff)), "")


def did_you_mean(word: str, known: Iterable[str], *, otherwise: str = "", cutoff: float = 0.6) -> str:
    """A hint that names the nearest known word, or `otherwise` when none is near."""
    near = nearest_word(word, known, cutoff=cutoff)
    return f"did you mean {near!r}?" if near else otherwise
