"""A checklist as its file gives it: a short list confirmed at one pause point."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from benchtui.content.nodes import load
from benchtui.content.procedure import Proven
from benchtui.content.reader import read
from benchtui.errors import Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import yaml

MOST_LINES: Final = 9
"""Most lines of one pause point (Gawande, The Checklist Manifesto, 2009: five to nine; Degani and Wiener 1990)."""

EMPTY_ANSWERS: Final = frozenset(
    [
        "check",
        "checked",
        "complete",
        "completed",
        "confirmed",
        "done",
        "fine",
        "good",
        "inspected",
        "ok",
        "okay",
        "tested",
        "verified",
        "yes",
    ]
)
"""Answers that can be given without a look: they name neither a state nor a value (Degani and Wiener 1990)."""

_FILLERS: Final = frozenset(["all", "and", "are", "is", "it", "they", "was", "were"])
"""Words that make no state of such an answer: "all checked and OK"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of a checklist."""

    id: str
    text: str
    """What is checked."""
    response: str = ""
    """The state or value it must be found in."""
    for_: str = ""
    """What the line repeats over."""
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    critical: bool = False
    """Stands first, and cannot be left out: what it guards against hurts somebody or destroys something."""
    source: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """A whole checklist."""

    checklist: str
    """Id, stable and never reused."""
    title: str
    revision: int
    design: str
    """Id of the design it is for, or `any`."""
    style: Literal["read-do", "do-confirm"]
    """read-do: read a line, do it; do-confirm: work from memory, then confirm each line."""
    when: str
    """The pause point it belongs to."""
    aim: str
    """What holds once every line is confirmed. It stands over the lines."""
    minutes: float = 2.0
    proven: Proven = "released"
    """How far its lines are proven; see `content.procedure.Proven`."""
    retired: tuple[str, ...] = ()
    """Ids of lines that were taken out. Records still refer to them, so no other line may ever bear one of them."""
    items: tuple[Item, ...]
    place: Place

    @property
    def id(self) -> str:
        """The checklist's id."""
        return self.checklist


def load_checklist(path: Path) -> Checklist:
    """Read a checklist.

    Raises:
        ContentError: The file has problems; the error carries all of them.
    """
    return load(path, read_checklist)


def read_checklist(node: yaml.Node, *, file: str) -> tuple[Checklist | None, list[Problem]]:
    """A checklist from a node, with every problem its own file shows."""
    value, problems = read(Checklist, node, file=file)
    if value is not None:
        problems.extend(_wrong(value))
    return value, sorted(problems)


def _wrong(checklist: Checklist) -> Iterator[Problem]:
    from benchtui.content.rules import id_problems

    yield from id_problems(checklist.place, checklist.id)
    seen: set[str] = set()
    plain = ""
    for item in checklist.items:
        yield from id_problems(item.place, item.id)
        if item.id in seen:
            yield Problem(item.place, f"the item id {item.id!r} is used twice", "ids are never reused")
        if item.id in checklist.retired:
            yield Problem(
                item.place,
                f"the item id {item.id!r} is retired: records of earlier runs mean another line by it",
                "give this line an id of its own",
            )
        seen.add(item.id)
        if item.critical and plain:
            yield Problem(
                item.place,
                f"item {item.id!r} is critical and stands after {plain!r}, which is not",
                "put the critical lines first, where no interruption comes before them",
            )
        plain = plain or ("" if item.critical else item.id)
        yield from _own(item)
    if len(checklist.items) > MOST_LINES:
        yield Problem(
            checklist.items[MOST_LINES].place,
            f"{len(checklist.items)} lines at one pause point, and {MOST_LINES} are the most",
            "make two lists of it, each with its own pause point",
        )


def _own(item: Item) -> Iterator[Problem]:
    """What one line says wrongly by itself."""
    from benchtui.content.rules import bare_figure

    if not item.response:
        yield Problem(
            item.place, f"item {item.id!r}: `response:` is missing", "name the state or value it must be found in"
        )
    elif EMPTY_ANSWERS.union(_FILLERS).issuperset(re.findall(r"\w+", item.response.casefold())):
        yield Problem(
            item.place,
            f"item {item.id!r}: {item.response!r} can be said without a look",
            "name the state or value it must be found in, such as: out, or latched",
        )
    if not item.source and (figure := bare_figure(item.text, item.response)):
        yield Problem(
            item.place,
            f"item {item.id!r}: {figure!r} has no source",
            "add `source:`, or say it is common practice or an estimate",
        )
