"""What a page says with its keys, said with the words of the line mode: one text of the replies serves both."""

from __future__ import annotations

from typing import Final

_WORDS: Final = (
    ("Space keeps it", "Enter keeps it"),
    ("Space goes on", "Enter goes on"),
    ("u opens it again", "undo opens it again"),
    ("m measures again", "m READING measures again"),
    ("m measures it again", "m READING measures it again"),
    ("x writes down the defect", "fail WHAT YOU SEE writes down the defect"),
    ("d goes to its defect", "defects goes to it"),
    ("d begins the rework", "defects begins the rework"),
    ("Press d. Begin", "Type defects. Begin"),
    ("Press d. End", "Type defects. End"),
    ("e ends the wait early, with a reason", "early REASON ends the wait"),
    ("e ends it, with how", "early ends it, with how"),
    ("q puts it aside", "quit puts it aside"),
    ("r takes it over", "change takes it over"),
    ("c shows what changes", "newer shows what changes"),
    ("Esc leaves the reading", "Enter alone leaves the reading"),
)
"""Words of a page to those of the lines; a test looks that no reply of the work names a key beside them."""


def in_words(text: str) -> str:
    """A text of the pages as the line mode says it."""
    for key, word in _WORDS:
        text = text.replace(key, word)
    return text
