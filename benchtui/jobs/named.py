"""What a builder names when saying what was touched: words as typed, held against the things a job knows.

A slip here would leave a test standing that has to be made again, so a word that names nothing is refused by name when
it is typed; in a record, where it can no longer be asked about, it stands for everything.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from benchtui.jobs.jobstate import JobState

ALL: Final = frozenset({"all", "everything", "unit"})
"""Words for the whole unit."""

NOTHING: Final = ("none",)
"""What stands in a record where it was asked, and nothing of the unit was touched that a test is about."""

_WORD: Final = re.compile(r"\w+(?:-\w+)*")

_TOKEN: Final = re.compile(rf"{_WORD.pattern}|\.{{2,}}|[…–—~:-]")
"""A word, or a sign that stands between the ends of a range; a colon or dash elsewhere does no harm."""

_NUMBERED: Final = frozenset(_WORD.findall("contact contacts joint joints lug lugs pad pads pin pins"))
"""Words for places on a thing that go by numbers."""

_FILLERS: Final = frozenset(_WORD.findall("a an and at both from of the up")) | _NUMBERED
"""Words that say where on a thing, or join two names, and name nothing themselves."""

_RANGE: Final = frozenset({"to", "till", "until", "through", "thru"})
"""Words between the first and the last of several: "F1 to F4" names F2 and F3 as well."""

_COUNTED: Final = re.compile(r"(.*?)(\d+|[^\W\d_])", re.DOTALL)
"""An id that is counted up: what comes first, and the number or the one letter at its end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """The things some jobs know, however they are typed."""

    ids: Mapping[str, str]
    """Id in small letters to the id as it is written."""
    words: frozenset[str]
    """Words of titles and kinds, which may stand beside an id."""

    @property
    def some(self) -> str:
        """A few of the ids, for a hint."""
        known = sorted(self.ids.values())
        return ", ".join(known[:6]) + (", ..." if len(known) > 6 else "")


def names_of(*jobs: JobState) -> Names:
    """What the steps of some jobs are about: controls, banks, connectors, and what they touch."""
    ids: dict[str, str] = {}
    words: set[str] = set()
    for job in jobs:
        for id in _ids(job):
            ids[id.casefold()] = id
        for step, _ in job.every():
            if step.subject:
                words.update(_WORD.findall(f"{step.subject.kind} {step.subject.title}".casefold()))
    return Names(ids=ids, words=frozenset(words))


def _ids(job: JobState) -> Iterator[str]:
    if job.plan.subject:
        yield job.plan.subject
    for step, _ in job.every():
        if step.subject:
            yield step.subject.id
        yield from step.touches
        yield from (wire.control for wire in step.wires if wire.control)


def unknown_words(typed: Iterable[str], names: Names) -> tuple[str, ...]:
    """The words that name nothing known. Where no word names a thing at all, every word is unknown.

    A bare number names a lug, pin, pad, contact or joint after that word, or ends a range, as in "F1 to 4". Elsewhere
    it names nothing: "F1 and 2" may mean F2, and its tests must not stand by a slip.
    """
    said = _said(typed, names)
    if any(word.casefold() in ALL for word in said.words):
        return ()
    return said.strange or (() if said.found else said.words)


def says_all(typed: Iterable[str]) -> bool:
    """Whether somebody says in so many words that everything was touched."""
    return any(word.casefold() in ALL for text in typed for word in text.replace(",", " ").split())


def touched(typed: Iterable[str], names: Names, *, own: str = "") -> frozenset[str]:
    """Ids of what was touched; empty for everything, which is also what a word that names nothing stands for.

    Args:
        typed: Words, or texts of several words, such as "f1 lug 2" or "F1 to F4".
        names: What is known.
        own: What the defect itself is about: it was touched, whatever else was.
    """
    texts = tuple(typed)
    said = _said(texts, names)
    if not said.words or any(word.casefold() in ALL for word in said.words) or unknown_words(texts, names):
        return frozenset()
    return said.found | {names.ids.get(own.casefold(), own)} if own else said.found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Said:
    """What was typed, held against what is known."""

    words: tuple[str, ...]
    found: frozenset[str]
    strange: tuple[str, ...]


def _said(typed: Iterable[str], names: Names) -> _Said:
    words: list[str] = []
    found: set[str] = set()
    strange: list[str] = []
    last = ""  # the thing named last, in small letters
    numbered = False  # a number here counts the lugs, pins and the like of that thing
    ranged = False  # the sign or word of a range stands just before
    for token in _tokens(typed, names):
        word = token.casefold()
        if not _WORD.fullmatch(word) or word in _RANGE:
            ranged = True
            continue
        words.append(token)
        end = _counted_as(last, word) if ranged and word.isdigit() and not numbered else word
        if end in names.ids:
            found |= {names.ids[each] for each in (_between(last, end, names) if ranged and last else (end,))}
            last, numbered, ranged = end, False, False
        elif word in _NUMBERED:
            numbered = True
        elif word.isdigit():
            ranged = False
            strange += [] if numbered else [token]
        elif word not in _FILLERS:
            numbered = False
            strange += [] if word in names.words or word in ALL else [token]
    return _Said(words=tuple(words), found=frozenset(found), strange=tuple(strange))


def _tokens(typed: Iterable[str], names: Names) -> Iterator[str]:
    """Words and signs of ranges; a word with hyphens that names nothing as a whole is taken apart, as in "F1-F4"."""
    for token in (token for text in typed for token in _TOKEN.findall(text)):
        if token.casefold() in names.ids or token.casefold() in names.words or "-" not in token.strip("-"):
            yield token
        else:
            first, *rest = token.split("-")
            yield first
            for part in rest:
                yield from ("-", part)


def _counted_as(last: str, number: str) -> str:
    """The id that a number stands for after another one of its kind: the 4 of "F1 to 4"."""
    match = _COUNTED.fullmatch(last)
    return f"{match[1]}{number}" if match and match[2].isdigit() else number


def _between(first: str, end: str, names: Names) -> Iterator[str]:
    """The ids from one to another, in small letters; only these two where they are not of one kind."""
    a, b = _COUNTED.fullmatch(first), _COUNTED.fullmatch(end)
    if a and b and a[1] == b[1] and a[2].isdigit() == b[2].isdigit():
        low, high = sorted((_count(a[2]), _count(b[2])))
        for each in names.ids:
            match = _COUNTED.fullmatch(each)
            alike = match is not None and match[1] == a[1] and match[2].isdigit() == a[2].isdigit()
            if match and alike and low <= _count(match[2]) <= high:
                yield each
    yield from (first, end)


def _count(text: str) -> int:
    return int(text) if text.isdigit() else ord(text)


def joint_name(typed: str, names: Names) -> str:
    """A joint as it is written down, however it was typed: "f1  Lug 2" is "F1 lug 2"."""
    first, _, rest = " ".join(typed.split()).partition(" ")
    first = first.rstrip(".,:;")
    return f"{names.ids.get(first.casefold(), first.upper())} {rest.casefold().rstrip('.,:;')}".strip()
