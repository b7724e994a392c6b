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

_WORD: Final = re.compile(r"\w+(?:-\w+)*")

_FILLERS: Final = frozenset(_WORD.findall("a an and at both contact joint joints lug lugs of pad pads pin pins the to"))
"""Words that say where on a thing, or join two names, and name nothing themselves."""


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
    """The words that name nothing known. Where no word names a thing at all, every word is unknown."""
    words = _words(typed)
    if any(word.casefold() in ALL for word in words):
        return ()
    strange = tuple(word for word in words if not _known(word.casefold(), names))
    return strange or (() if any(word.casefold() in names.ids for word in words) else tuple(words))


def touched(typed: Iterable[str], names: Names, *, own: str = "") -> frozenset[str]:
    """Ids of what was touched; empty for everything, which is also what a word that names nothing stands for.

    Args:
        typed: Words, or texts of several words, such as "f1 lug 2".
        names: What is known.
        own: What the defect itself is about: it was touched, whatever else was.
    """
    words = [word.casefold() for word in _words(typed)]
    if not words or any(word in ALL for word in words) or unknown_words(typed, names):
        return frozenset()
    found = {names.ids[word] for word in words if word in names.ids}
    return frozenset(found | {names.ids.get(own.casefold(), own)} if own else found)


def joint_name(typed: str, names: Names) -> str:
    """A joint as it is written down, however it was typed: "f1  Lug 2" is "F1 lug 2"."""
    first, _, rest = " ".join(typed.split()).partition(" ")
    first = first.rstrip(".,:;")
    return f"{names.ids.get(first.casefold(), first.upper())} {rest.casefold().rstrip('.,:;')}".strip()


def _words(typed: Iterable[str]) -> list[str]:
    return [word for text in typed for word in _WORD.findall(text)]


def _known(word: str, names: Names) -> bool:
    return word in names.ids or word in _FILLERS or word in names.words or word.isdigit()
