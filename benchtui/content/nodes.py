"""YAML text to a tree of nodes with places, and all that is refused before the meaning of a file is looked at.

Nodes keep the text of each value as it was written, so that YAML's guesses ("no" as false, 1:30 as ninety, 010 as
eight) never reach a value: the reader converts by the type of the field.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

import yaml

from benchtui.errors import Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

LARGEST: Final = 1 << 20
"""Largest content file in bytes; a hand-written one is a twentieth of it."""

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNSEEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff]"
)
_BANNED: Final = (
    (yaml.AnchorToken, "an anchor (&name)", "write the value out where it is used"),
    (yaml.AliasToken, "an alias (*name)", "write the value out where it is used"),
    (yaml.TagToken, "a tag (!name)", "leave it out: every value is read by the field it stands in"),
    (yaml.DirectiveToken, "a directive (%)", "leave it out"),
)


def compose(source: Path | str, *, file: str = "") -> tuple[yaml.Node | None, list[Problem]]:
    """Read YAML into nodes.

    Args:
        source: A file, or the text itself.
        file: Name to report problems under; the path of the file by default.

    Returns:
        The root node, None when there is none to work with, and the problems found so far.
    """
    if isinstance(source, Path):
        file = file or str(source)
        try:
            data = source.read_bytes()
        except OSError as error:
            return None, [Problem(Place(file), f"the file cannot be read ({error.strerror})")]
    else:
        file = file or "text"
        data = source.encode("utf-8", errors="surrogatepass")
    if len(data) > LARGEST:
        return None, [Problem(Place(file), f"the file has {len(data)} bytes, and 1 MiB is the most", "split it")]
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        return None, [Problem(Place(file, line, 1), "this is not UTF-8 text", "save the file as UTF-8")]
    if unseen := [_unseen(match, text, file) for match in _UNSEEN.finditer(text)]:
        return None, unseen
    try:
        banned = list(_refused(text, file))
        documents = [] if banned else list(yaml.compose_all(text, Loader=_LOADER))
    except yaml.YAMLError as error:
        return None, [_syntax(text, file, error)]
    except RecursionError:
        return None, [Problem(Place(file, 1, 1), "the lists lie too deep in each other", "flatten them")]
    if banned:
        return None, banned
    if len(documents) > 1:
        second = place_of(documents[1], file)
        return None, [Problem(second, "a second document begins here", "one file holds one document: drop the ---")]
    if not documents or documents[0] is None:
        return None, [Problem(Place(file, 1, 1), "the file is empty")]
    return documents[0], []


def place_of(node: yaml.Node, file: str) -> Place:
    """Where a node begins."""
    return Place(file, node.start_mark.line + 1, node.start_mark.column + 1)


def first_key(path: Path) -> tuple[str, str]:
    """The first key of a file and its value, by a look at its head alone; empty when it has none."""
    for line in head_lines(path):
        key, colon, value = line.partition(":")
        if colon and key == key.strip():
            return key, value.strip().strip("'\"")
    return "", ""


def head_lines(path: Path, *, size: int = 4096) -> list[str]:
    """The lines without indent, comment or blank in the first bytes of a file."""
    try:
        with path.open("rb") as stream:
            text = stream.read(size).decode("utf-8", errors="replace")
    except OSError:
        return []
    return [line for line in text.splitlines() if line and line[0] not in " #-\t"]


def _unseen(match: re.Match[str], text: str, file: str) -> Problem:
    line = text.count("\n", 0, match.start()) + 1
    column = match.start() - (text.rfind("\n", 0, match.start()) + 1) + 1
    return Problem(
        Place(file, line, column),
        f"there is a character here that cannot be seen (U+{ord(match[0]):04X})",
        "type the line again by hand",
    )


def _refused(text: str, file: str) -> Iterator[Problem]:
    """Each use of a YAML feature that content files do without."""
    if not re.search(r"[&*!%]", text):
        return  # scanning twice costs as much as composing, and most files have none of these marks
    for token in yaml.scan(text, Loader=_LOADER):
        for kind, what, hint in _BANNED:
            if isinstance(token, kind):
                mark = token.start_mark
                yield Problem(Place(file, mark.line + 1, mark.column + 1), f"{what} is not used in these files", hint)


def _syntax(text: str, file: str, error: yaml.YAMLError) -> Problem:
    """A syntax error in words; the pure loader words them better and points closer than the C one."""
    try:
        for _ in yaml.compose_all(text, Loader=yaml.SafeLoader):
            pass
    except yaml.YAMLError as better:
        error = better
    except RecursionError:
        return Problem(Place(file, 1, 1), "the lists lie too deep in each other", "flatten them")
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)
    what = getattr(error, "problem", None) or str(error).splitlines()[0]
    hint = "put a text that holds ': ' or begins with a mark in quotes"
    if "mapping values are not allowed" in what:
        what = "a second ': ' on this line"
    elif "tab" in what or "\\t" in what:
        what, hint = "a tab is used for indenting", "use spaces"
    elif "could not find expected ':'" in what:
        what, hint = "a key without ': '", "a key is followed by a colon and a space"
    return Problem(place, f"this is not valid YAML: {what}", hint)
