"""YAML text to a tree of nodes with places, and all that is refused before the meaning of a file is looked at.

Nodes keep the text of each value as it was written, so that YAML's guesses ("no" as false, 1:30 as ninety, 010 as
eight) never reach a value: the reader converts by the type of the field.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

import yaml

from benchtui.content.syntax import TOO_DEEP, explain
from benchtui.errors import ContentError, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

T = TypeVar("T")

LARGEST: Final = 1 << 20
"""Largest content file in bytes; a hand-written one is a twentieth of it."""

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNSEEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff"
    "\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]"
)
"""Control characters, line ends that editors do not count, and marks that turn or hide text on the screen."""
_ALIAS: Final = "an alias (*name)"
_BANNED: Final = (
    (yaml.AnchorToken, "an anchor (&name)", "write the value out where it is used"),
    (yaml.AliasToken, _ALIAS, "write the value out where it is used"),
    (yaml.TagToken, "a tag (!name)", "leave it out: every value is read by the field it stands in"),
    (yaml.DirectiveToken, "a directive (%)", "leave it out"),
)


def compose(source: Path | str, *, file: str = "") -> tuple[yaml.Node | None, list[Problem]]:
    """Read YAML into nodes.

    Args:
        source: A file, or the text itself.
        file: Name to report problems under; the path of the file by default.

    Returns:
        The root node, None when there is none to work with, and the problems found so far. A node can come together
        with problems, so that what is wrong further on is found in the same pass.
    """
    if isinstance(source, Path):
        file = file or str(source)
        try:
            with source.open("rb") as stream:
                data = stream.read(LARGEST + 1)
        except OSError as error:
            return None, [Problem(Place(file), f"the file cannot be read ({(error.strerror or str(error)).lower()})")]
    else:
        file = file or "text"
        data = source.encode("utf-8", errors="surrogatepass")
    if len(data) > LARGEST:
        return None, [Problem(Place(file), "the file is larger than 1 MiB", "split it")]
    try:
        # A byte order mark at the very start is what some editors write; it says nothing and is dropped.
        text = data.decode("utf-8-sig", errors="strict" if isinstance(source, Path) else "surrogatepass")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        return None, [Problem(Place(file, line, 1), "this is not UTF-8 text", "save the file as UTF-8")]
    problems = [_unseen(match, text, file) for match in _UNSEEN.finditer(text)]
    if problems:
        text = _UNSEEN.sub("_", text)  # so that one unseen character does not hide what else is wrong
    try:
        problems += _refused(text, file)
        documents = list(yaml.compose_all(text, Loader=_LOADER))
    except yaml.YAMLError as error:
        return None, [*problems, explain(text, file, error)]
    except RecursionError:
        return None, [*problems, Problem(Place(file, 1, 1), *TOO_DEEP)]
    if len(documents) > 1:
        second = place_of(documents[1], file)
        problems.append(Problem(second, "a second document begins here", "one file holds one document: drop the ---"))
    if not documents or documents[0] is None:
        return None, [*problems, Problem(Place(file, 1, 1), "the file is empty")]
    # An alias can stand for a tree far larger than the file, or hold itself, so such a file is not read any further.
    endless = any(problem.message.startswith(_ALIAS) for problem in problems)
    return None if endless else documents[0], problems


def load(path: Path, read: Callable[..., tuple[T | None, list[Problem]]]) -> T:
    """Read a file to the end, or say everything that is wrong with it.

    Args:
        path: The file.
        read: Makes an object of a node, called with the node and `file=`.

    Raises:
        ContentError: The file has problems; the error carries all of them.
    """
    node, problems = compose(path)
    value: T | None = None
    if node is not None:
        value, more = read(node, file=str(path))
        problems = [*problems, *more]
    if problems or value is None:
        raise ContentError(problems)
    return value


def place_of(node: yaml.Node, file: str) -> Place:
    """Where a node begins."""
    return Place(file, node.start_mark.line + 1, node.start_mark.column + 1)


def head_lines(path: Path, *, size: int = 4096) -> list[str]:
    """The lines without indent, comment or blank in the first bytes of a file."""
    try:
        with path.open("rb") as stream:
            text = stream.read(size).decode("utf-8-sig", errors="replace")
    except OSError:
        return []
    return [line for line in text.splitlines() if line and line[0] not in " #-\t"]


def _unseen(match: re.Match[str], text: str, file: str) -> Problem:
    line = text.count("\n", 0, match.start()) + 1
    column = match.start() - (text.rfind("\n", 0, match.start()) + 1) + 1
    return Problem(
        Place(file, line, column),
        f"there is a character here that cannot be seen (U+{ord(match[0]):04X})",
        "delete it, or type the line again by hand",
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
