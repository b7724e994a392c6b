"""A checklist as its file gives it: a short list confirmed at one pause point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from benchtui.content.nodes import load
from benchtui.content.reader import read
from benchtui.errors import Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import yaml


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
    minutes: float = 2.0
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
    from benchtui.content.rules import bare_figure, id_problems

    yield from id_problems(checklist.place, checklist.id)
    seen: set[str] = set()
    for item in checklist.items:
        yield from id_problems(item.place, item.id)
        if item.id in seen:
            yield Problem(item.place, f"the item id {item.id!r} is used twice", "ids are never reused")
        seen.add(item.id)
        if not item.source and (figure := bare_figure(item.text, item.response)):
            yield Problem(
                item.place,
                f"item {item.id!r}: {figure!r} has no source",
                "add `source:`, or say it is common practice or an estimate",
            )
