"""Sums done before, over sittings: what was typed, so that a sum can be opened again and changed.

They are no evidence and belong to no unit, so they lie in a small file of their own beside the record, one JSON object
a line, and not in the record, which keeps everything for ever.
"""

from __future__ import annotations

import json
from contextlib import suppress
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

KEPT: Final = 200
"""Sums kept; the file is cut back to this when it holds twice as many."""

Sum = tuple[str, dict[str, str]]
"""Name of the calculator, and the texts in its fields by key."""


class SumsDone:
    """The list, newest last.

    Args:
        path: The file; None keeps the list for this sitting only.
        read_only: Read the file and never write it.
    """

    def __init__(self, path: Path | None, *, read_only: bool = False) -> None:
        self.path = None if read_only else path
        self.sums: list[Sum] = []
        self._written = 0
        self._torn = False
        """The last line of the file has no end."""
        if path is not None:
            # A list that cannot be read is no reason not to do sums: it starts empty.
            with suppress(OSError, UnicodeDecodeError):
                content = path.read_text(encoding="utf-8")
                self._torn = bool(content) and not content.endswith("\n")
                lines = content.splitlines()
                self._written = len(lines)
                for text in lines:
                    self._take(_read(text))

    def add(self, name: str, texts: Mapping[str, str]) -> None:
        """Keep a sum as the newest; the same sum done again moves to the end."""
        typed = {key: text for key, text in texts.items() if text}
        if self.sums and self.sums[-1] == (name, typed):
            return
        self._take((name, typed))
        if self.path is not None:
            # A full or read-only disk: the sum stays on the list of this sitting.
            with suppress(OSError):
                self._write(self.path, name, typed)

    def _take(self, one: Sum | None) -> None:
        if one is None:
            return
        if one in self.sums:
            self.sums.remove(one)
        self.sums = [*self.sums, one][-KEPT:]

    def _write(self, path: Path, name: str, typed: Mapping[str, str]) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        if self._written < 2 * KEPT:
            with path.open("a", encoding="utf-8") as file:
                file.write("\n" * self._torn + _line(name, typed))
            self._written += 1
            self._torn = False
            return
        short = path.with_suffix(".new")
        short.write_text("".join(_line(*one) for one in self.sums), encoding="utf-8")
        short.replace(path)
        self._written = len(self.sums)


def _line(name: str, typed: Mapping[str, str]) -> str:
    return json.dumps({"sum": name, "typed": dict(typed)}, ensure_ascii=False) + "\n"


def _read(text: str) -> Sum | None:
    """A line of the file; None when it is none, such as a last line cut off when the power went."""
    try:
        found = json.loads(text)
        name, typed = found["sum"], found["typed"]
        return (str(name), {str(key): str(value) for key, value in typed.items()})
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
