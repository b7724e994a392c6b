"""What a calculator is: its inputs, its outputs, one pure function, and the judgement that belongs to its results.

The function sees numbers only (a `Point`: every input at one value, in the unit of its kind). It is called once for the
answer and then at the corners of the inputs' tolerances for the band, so it must not choose parts or write sentences:
choosing happens once, in `choose`, and sentences are written once, in `judge`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import KW_ONLY, dataclass, field
from typing import TYPE_CHECKING, Literal

from benchtui.errors import CalcError, nearest_word

if TYPE_CHECKING:
    from benchtui.calc.result import Case

Level = Literal["ok", "note", "warning"]
Chosen = float | tuple[float, float, float]
"""A part that was chosen: its value, or value, lowest and highest value."""


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a person types.

    Attributes:
        key: Name on the command line and in results.
        kind: A key of `units.KINDS`, several joined by "|" (the first that fits is taken), "sum:KIND" for a list of
            amounts that is added up, "choice" for one of `choices`, or "word" for text the calculator reads itself.
        help: One line for the form.
        default: Text taken when nothing is typed; empty means none.
        optional: Whether it may be left out although it has no default.
        choices: The words allowed when the kind is "choice".
        example: What may be typed.
        least: Lowest value allowed, in the unit of the kind; by default most kinds must be above 0.
        most: Highest value allowed.
        steady: Whether it takes no tolerance, because it counts things or picks a row of a table.
    """

    key: str
    _: KW_ONLY
    kind: str
    help: str
    default: str = ""
    optional: bool = False
    choices: tuple[str, ...] = ()
    example: str = ""
    least: float | None = None
    most: float | None = None
    steady: bool = False

    @property
    def required(self) -> bool:
        """Whether the calculator cannot answer without it."""
        return not (self.optional or self.default)


@dataclass(frozen=True, slots=True)
class Output:
    """One result.

    Attributes:
        key: Its name.
        kind: A key of `units.KINDS`, "text", "=KEY" for an input's kind, or "in:KEY" for the unit it names.
        help: What it is, in a few words.
        digits: Significant figures shown.
    """

    key: str
    _: KW_ONLY
    kind: str
    help: str
    digits: int = 4


@dataclass(frozen=True, slots=True)
class Point:
    """Every input that was given, at one value each."""

    numbers: Mapping[str, float]
    words: Mapping[str, str] = field(default_factory=dict)

    def __contains__(self, key: str) -> bool:
        return key in self.numbers or key in self.words

    def __getitem__(self, key: str) -> float:
        return self.numbers[key]

    def get(self, key: str, otherwise: float) -> float:
        """The number, or `otherwise` when it was left out."""
        return self.numbers.get(key, otherwise)

    def word(self, key: str) -> str:
        """A choice or a text; empty when it was left out."""
        return self.words.get(key, "")

    def moved(self, changes: Mapping[str, float]) -> Point:
        """The same point with some numbers changed."""
        return Point({**self.numbers, **changes}, self.words)

    def need(self, key: str, reason: str) -> float:
        """A number that only some questions need.

        Raises:
            CalcError: It was left out; `reason` ends the sentence "is needed ...".
        """
        if key not in self.numbers:
            raise CalcError(f"is needed {reason}", key=key)
        return self.numbers[key]


@dataclass(frozen=True, slots=True)
class Spread:
    """The point and how far each input may lie from it."""

    at: Point
    spans: Mapping[str, tuple[float, float]]

    def low(self, key: str) -> float:
        """Lowest value of an input."""
        return self.spans[key][0] if key in self.spans else self.at[key]

    def high(self, key: str) -> float:
        """Highest value of an input."""
        return self.spans[key][1] if key in self.spans else self.at[key]


@dataclass(frozen=True, slots=True)
class Verdict:
    """One judgement on a result, a sentence with its figure."""

    level: Level
    text: str


@dataclass(frozen=True, slots=True)
class Remarks:
    """What `judge` has to say: verdicts, the working with the numbers put in, and sources that depend on the case."""

    verdicts: list[Verdict] = field(default_factory=list)
    working: list[str] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)

    def ok(self, text: str) -> None:
        """Say that a limit is kept."""
        self.verdicts.append(Verdict("ok", text))

    def note(self, text: str) -> None:
        """Say something worth knowing."""
        self.verdicts.append(Verdict("note", text))

    def warn(self, text: str) -> None:
        """Say that a limit is broken."""
        self.verdicts.append(Verdict("warning", text))

    def work(self, text: str) -> None:
        """Add a line of working."""
        self.working.append(text)

    def source(self, text: str) -> None:
        """Add a source used in this case, once."""
        if text not in self.sources:
            self.sources.append(text)


Function = Callable[[Point], Mapping[str, float | str]]


@dataclass(frozen=True, slots=True)
class Calculator:
    """One calculator.

    Attributes:
        name: Name on the command line.
        title: Name on a screen.
        summary: One sentence: what it answers.
        group: Heading it is listed under.
        inputs: In the order of the form.
        outputs: In the order they are shown; one that does not apply is left out of the function's answer.
        formula: For reading.
        function: From a point to the outputs by key, pure.
        judge: Writes working, verdicts and sources of one case.
        sources: Sources that always apply.
        cautions: Sentences shown with every result.
        choose: Picks parts once, at the nominal values; what it returns is added to the point.
        bends: Inputs in which some output is not monotone, so that the extreme may lie inside the tolerance.
        rss: Outputs that get a root-sum-square figure beside the worst case, under their key with "-rss" added.
        picture: A small drawing in text, of a case.
        also: Further words it is looked up by.
    """

    name: str
    _: KW_ONLY
    title: str
    summary: str
    group: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    formula: str
    function: Function
    judge: Callable[[Case, Remarks], None]
    sources: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    choose: Callable[[Spread], Mapping[str, Chosen]] | None = None
    bends: tuple[str, ...] = ()
    rss: tuple[str, ...] = ()
    picture: Callable[[Case], list[str]] | None = None
    also: str = ""

    def input(self, key: str) -> Input:
        """The input of that key.

        Raises:
            CalcError: There is none; the message names the nearest.
        """
        for entry in self.inputs:
            if entry.key == key:
                return entry
        keys = [entry.key for entry in self.inputs]
        near = nearest_word(key, keys)
        hint = f"did you mean {near}?" if near else f"it has {', '.join(keys)}"
        raise CalcError(f"{self.name} has no input {key!r}", hint=hint)
