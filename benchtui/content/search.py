"""Full-text search over all content: steps, items, cautions, controls, parts, symptoms, faults, by the words in them.

Every file is read as plain nodes, so a file with a mistake in it can be searched as well, and a kind of file that is
added later needs nothing here.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import yaml

from benchtui.content.nodes import compose

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.content.library import Entry, Library

LONGEST: Final = 160
"""Characters of a text that a hit shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """Something that holds every word looked for."""

    entry: Entry
    item: str
    """Id of the step, caution, control, part or symptom; empty for the file itself."""
    text: str
    rank: int
    """Lower is better: words in an id or title before words in a text, the file itself before what is in it."""


def find(library: Library, typed: str, *, limit: int = 50) -> tuple[Hit, ...]:
    """What holds every word typed, best first; each word may be only begun.

    Args:
        library: The content.
        typed: Words in any order, case and accent.
        limit: Most hits to give.
    """
    words = words_of(typed)
    if not words:
        return ()
    hits = [hit for entry in library.entries() for hit in _hits(entry, words)]
    hits.sort(key=lambda hit: (hit.rank, hit.entry.kind, hit.entry.id, hit.item))
    return tuple(hits[:limit])


def words_of(text: str) -> list[str]:
    """The words of a text, in lower case and without accents."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.findall(r"[a-z0-9]+", plain.lower())


def _hits(entry: Entry, words: list[str]) -> Iterator[Hit]:
    node, _ = compose(entry.path)
    if not isinstance(node, yaml.MappingNode):
        return
    own = [entry.id, entry.title]
    if _holds(own, words):
        yield Hit(entry=entry, item="", text=entry.title, rank=0)
    for item, texts in _items(node):
        if _holds([item, *texts], words):
            shown = next((text for text in texts if _holds([text], words[-1:])), texts[0] if texts else item)
            named = _holds([item, *texts[:1]], words)
            yield Hit(entry=entry, item=item, text=" ".join(shown.split())[:LONGEST], rank=1 if named else 2)


def _items(node: yaml.Node) -> Iterator[tuple[str, list[str]]]:
    """Every mapping that has an id, or is listed under one, with the texts directly or further inside it."""
    if isinstance(node, yaml.SequenceNode):
        for child in node.value:
            yield from _items(child)
    if not isinstance(node, yaml.MappingNode):
        return
    for key, value in node.value:
        if isinstance(value, yaml.MappingNode) and _id_of(value) is None and _is_listed(node):
            yield str(key.value), list(_texts(value))
        else:
            yield from _items(value)
    own = _id_of(node)
    if own is not None:
        yield own, list(_texts(node))


def _is_listed(node: yaml.MappingNode) -> bool:
    """The values are all mappings, so the keys are their ids."""
    return len(node.value) > 1 and all(isinstance(value, yaml.MappingNode) for _, value in node.value)


def _id_of(node: yaml.MappingNode) -> str | None:
    return next((str(value.value) for key, value in node.value if key.value == "id"), None)


def _texts(node: yaml.Node) -> Iterator[str]:
    if isinstance(node, yaml.ScalarNode):
        yield str(node.value)
    elif isinstance(node, yaml.SequenceNode):
        for child in node.value:
            yield from _texts(child)
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value != "id":
                yield from _texts(value)


def _holds(texts: list[str], words: list[str]) -> bool:
    found = {word for text in texts for word in words_of(text)}
    return all(any(one.startswith(word) for one in found) for word in words)
