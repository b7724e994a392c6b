"""One input as typed, turned into a number with its band, a word, or one sentence on what to type instead."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.errors import CalcError, UnitError, nearest_word
from benchtui.units import KINDS, Amount, format_value, parse

if TYPE_CHECKING:
    from benchtui.calc.calculator import Input

LONGEST_WORD: Final = 120
"""Longest text read for a list or a word."""

_MAY_BE_NEGATIVE: Final = {"temperature", "temperature-coefficient", "number", "angle", "sound-level"}
_MAY_BE_NOUGHT: Final = {"ratio", "temperature-difference"}
_SEPARATOR: Final = re.compile(r"\s*[;+]\s*|\s*,\s+|(?<=[A-Za-zΩ°²\"]),")
_TIMES: Final = re.compile(r"(\d{1,4})\s*[x×*]\s*(.+)", re.I)
_UNSEEN: Final = re.compile(r"[\x00-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2066-\u2069]")
ABSOLUTE_ZERO: Final = -273.15


@dataclass(frozen=True, slots=True)
class Given:
    """One input of a case: what was typed (or its default), and what it was read as."""

    key: str
    text: str
    kind: str
    amount: Amount | None = None
    word: str = ""

    @property
    def value(self) -> float | None:
        """The number in `unit`; None for a word."""
        return None if self.amount is None else self.amount.value

    @property
    def unit(self) -> str:
        """Unit of `value`; empty for a word."""
        return "" if self.amount is None else self.amount.unit

    def __str__(self) -> str:
        if self.amount is None:
            return self.word
        if self.kind == "conductor":
            return self.text
        return format_value(self.amount.value, self.kind)


def read(entry: Input, text: str) -> Given:
    """Read one input.

    Raises:
        CalcError: With the key of the input, one sentence, and what to type instead.
    """
    try:
        if len(text) > LONGEST_WORD:
            raise UnitError(f"that is {len(text)} characters long", hint=_example(entry))
        if _UNSEEN.search(text):
            raise UnitError("that has a character that cannot be seen", hint="type it again by hand")
        typed = text.strip()
        if entry.kind == "choice":
            return Given(entry.key, typed, "choice", word=_choice(entry, typed))
        if entry.kind == "word":
            return Given(entry.key, typed, "word", word=typed)
        amount = _sum(typed, entry.kind[4:]) if entry.kind.startswith("sum:") else _first(typed, entry.kind)
        _inside(entry, amount)
        return Given(entry.key, typed, amount.kind, amount=amount)
    except UnitError as error:
        raise CalcError(error.message, key=entry.key, hint=error.hint) from None


def _choice(entry: Input, typed: str) -> str:
    plain = {_bare(choice): choice for choice in entry.choices}
    if _bare(typed) in plain:
        return plain[_bare(typed)]
    # "310.16" for nec-310.16, "500" for 500-mA: a part that only one choice has.
    holding = [choice for bare, choice in plain.items() if len(_bare(typed)) >= 3 and _bare(typed) in bare]
    if len(holding) == 1:
        return holding[0]
    near = nearest_word(_bare(typed), plain)
    named = f"it is one of {', '.join(entry.choices)}"
    raise UnitError(f"{typed[:40]!r} is not a choice", hint=f"did you mean {plain[near]}? {named}" if near else named)


def _bare(text: str) -> str:
    """A choice without what people write differently: "C 1.5 A" and "c-1.5-a" are one."""
    return re.sub(r"[\s_−-]", "", text.casefold())


def _first(typed: str, kinds: str) -> Amount:
    """The amount in the first of several kinds that fits; the first kind's complaint when none does."""
    first: UnitError | None = None
    for kind in kinds.split("|"):
        try:
            return parse(typed, kind)
        except UnitError as error:
            first = first or error
    assert first is not None
    raise first


def _sum(typed: str, kind: str) -> Amount:
    """ "20 mA + 16 x 2 mA" as one amount, its band the sum of the bands."""
    value = low = high = 0.0
    parts = [part for part in _SEPARATOR.split(typed) if part.strip()]
    if not parts:
        raise UnitError("nothing is typed", hint=f"type {KINDS[kind].phrase} like {KINDS[kind].examples}")
    for part in parts:
        times = _TIMES.fullmatch(part.strip())
        count, rest = (int(times[1]), times[2]) if times else (1, part)
        amount = parse(rest, kind)
        value, low, high = value + count * amount.value, low + count * amount.low, high + count * amount.high
    return Amount(value, kind, low, high, typed)


def _inside(entry: Input, amount: Amount) -> None:
    kind = amount.kind
    low = amount.low
    if not amount.exact and (entry.steady or kind == "count"):
        raise UnitError("takes no tolerance", hint=f"type {amount.text.partition(' ±')[0]} alone")
    if entry.least is not None:
        if low < entry.least:
            raise UnitError(f"must be at least {format_value(entry.least, kind)}", hint=_example(entry))
    elif kind in _MAY_BE_NEGATIVE:
        if kind == "temperature" and low < ABSOLUTE_ZERO:
            raise UnitError("is below absolute zero", hint=_example(entry))
    elif low < 0 or (low == 0 and kind not in _MAY_BE_NOUGHT):
        raise UnitError("must be above 0" if low == 0 else "must not be below 0", hint=_example(entry))
    if entry.most is not None and amount.high > entry.most:
        raise UnitError(f"must be at most {format_value(entry.most, kind)}", hint=_example(entry))


def _example(entry: Input) -> str:
    if entry.example:
        return f"type it like {entry.example}"
    if entry.kind in ("choice", "word"):
        return f"it is one of {', '.join(entry.choices)}" if entry.choices else "type less"
    kind = entry.kind.removeprefix("sum:").split("|")[0]
    return f"type {KINDS[kind].phrase} like {KINDS[kind].examples}"
