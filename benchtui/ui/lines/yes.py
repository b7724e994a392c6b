"""Yes and no by lines: here or missing, back or not found, so or not so. Whatever is neither is asked once more."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from benchtui.ui.lines.talk import Talk

YES: Final = frozenset({"y", "yes", "here", "h", "it is here", "back", "done", "so", "ok"})
NO: Final = frozenset(
    {"n", "no", "x", "missing", "not here", "not found", "not back", "lost", "gone", "not so", "not yet"}
)
ALL: Final = "all"


def answered_so(typed: str) -> bool | None:
    """Whether it was said to be so; None for words that are neither yes nor no."""
    word = " ".join(typed.casefold().split()).rstrip(".!")
    return True if word in YES else False if word in NO else None


def ticked(talk: Talk, question: str, *, every: bool = False) -> tuple[bool, bool]:
    """Ask whether one line of a list is here; Enter alone is yes.

    Args:
        talk: The conversation.
        question: What is asked, with its answers.
        every: "all" is an answer too.

    Returns:
        Whether it is here, and whether all that follow are.
    """
    while True:
        typed = talk.ask(question, anew=True, ticks=True)
        if every and typed.casefold() == ALL:
            return True, True
        so = answered_so(typed) if typed else True
        if so is not None:
            return so, False
        talk.say(f"{typed!r} is neither: Enter for yes, x for no.")


def each_ticked(talk: Talk, items: Sequence[str], question: Callable[[str], str]) -> Iterator[tuple[str, bool]]:
    """Go through the lines of a list one by one, or say of one that it and the rest of them are here.

    Args:
        talk: The conversation.
        items: The lines.
        question: What is asked of one, with its answers.

    Yields:
        Each line, and whether it is here, as it is said.
    """
    rest = False
    for number, item in enumerate(items, 1):
        more = number < len(items)
        asked = f"{question(item)}{', all: this and the rest of them' if more else ''}"
        here, rest = (True, True) if rest else ticked(talk, asked, every=more)
        yield item, here


def seen_to(talk: Talk, question: str) -> bool:
    """Ask whether something was seen to; Enter alone is yes."""
    return ticked(talk, question)[0]
