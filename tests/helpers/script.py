"""A person at the line mode who types what stands in a list, and writes down what is said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.lines.talk import Talk

if TYPE_CHECKING:
    from collections.abc import Iterator


class Script:
    """The lines one after the other, and the end of the input after the last of them."""

    def __init__(self, *lines: str) -> None:
        self.lines: Iterator[str] = iter(lines)
        self.said: list[str] = []

    def hear(self, question: str) -> str:
        self.said.append(question)
        try:
            return next(self.lines)
        except StopIteration:
            raise EOFError from None

    def talk(self) -> Talk:
        return Talk(self.hear, self.said.append)

    @property
    def text(self) -> str:
        """All that was said, in one line."""
        return " ".join(" ".join(self.said).split())
