"""Safety messages, each hazard once: what it is, how to avoid it, what it does, and the signal word that follows.

The signal word is not the author's choice: it follows from the harm by the table of ANSI Z535.6 (the first three words
also by ISO 3864-2), and a file that says otherwise is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final, Literal

from benchtui.content.nodes import load
from benchtui.content.reader import Heading, read
from benchtui.errors import Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    import yaml

Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
Harm = Literal["death-or-serious", "moderate", "property"]

SIGNALS: Final[dict[tuple[str, bool], Signal]] = {
    ("death-or-serious", True): "DANGER",
    ("death-or-serious", False): "WARNING",
    ("moderate", True): "CAUTION",
    ("moderate", False): "CAUTION",
    ("property", True): "NOTICE",
    ("property", False): "NOTICE",
}
"""(harm, whether it will happen and not only could) to the signal word; ANSI Z535.6, ISO 3864-2."""

_HARMS: Final[dict[Harm, str]] = {
    "death-or-serious": "death or serious injury",
    "moderate": "minor or moderate injury",
    "property": "damage to property",
}

RANK: Final = ("DANGER", "WARNING", "CAUTION", "NOTICE")


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One safety message."""

    id: str
    signal: Signal
    """Signal word; must be the one the harm asks for."""
    harm: Harm
    """The worst that can reasonably happen."""
    certain: bool = False
    """Whether it will happen if the message is not heeded, and not only could."""
    hazard: str
    """What the hazard is and where it comes from."""
    avoid: str
    """How to avoid it."""
    consequence: str
    """What happens if it is not avoided."""
    first_aid: str = ""
    """What to do when it has happened."""
    source: str
    """Where the advice and its figures are from."""
    from_use: tuple[str, ...] = ()
    """Things whose use in a step brings this hazard."""
    spans: bool = False
    """Whether the hazard can stand over several steps."""
    place: Place

    @property
    def person(self) -> bool:
        """Whether it can hurt someone, so that it has to be acknowledged with a key of its own."""
        return self.harm != "property"


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionFile:
    """The whole of `cautions.yaml`."""

    cautions: tuple[Caution, ...]
    emergency: Annotated[tuple[str, ...], Heading()]
    """What to do if it smokes, smells or shocks, in order."""
    place: Place


def load_cautions(path: Path) -> CautionFile:
    """Read a file of cautions.

    Raises:
        ContentError: The file has problems; the error carries all of them.
    """
    return load(path, read_cautions)


def read_cautions(node: yaml.Node, *, file: str) -> tuple[CautionFile | None, list[Problem]]:
    """Cautions from a node, with every problem found."""
    value, problems = read(CautionFile, node, file=file)
    if value is not None:
        problems.extend(_wrong(value.cautions))
    return value, sorted(problems)


def _wrong(cautions: Iterable[Caution]) -> Iterable[Problem]:
    from benchtui.content.hidden import hidden_in_caution
    from benchtui.content.rules import id_problems

    seen: set[str] = set()
    for caution in cautions:
        yield from id_problems(caution.place, caution.id)
        if caution.id in seen:
            yield Problem(caution.place, f"the caution {caution.id!r} is here twice", "each hazard stands once")
        seen.add(caution.id)
        yield from hidden_in_caution(caution)
        wanted = SIGNALS[caution.harm, caution.certain]
        if caution.signal != wanted:
            could = "will" if caution.certain else "could"
            yield Problem(
                caution.place,
                f"caution {caution.id!r}: the signal word is {caution.signal}, and a hazard that {could} end in "
                f"{_HARMS[caution.harm]} is {wanted}",
                "ANSI Z535.6: the harm decides the word",
            )


def derived(uses: Iterable[str], hazards: Iterable[str], cautions: Mapping[str, Caution]) -> tuple[Caution, ...]:
    """The cautions of a step: those its hazards name and those that follow from what it uses, worst first.

    Hazards without a caution are left out here; the check of the file reports them.
    """
    used = set(uses)
    found = {id: cautions[id] for id in hazards if id in cautions}
    for caution in cautions.values():
        if used.intersection(caution.from_use):
            found[caution.id] = caution
    return tuple(sorted(found.values(), key=lambda caution: RANK.index(caution.signal)))
