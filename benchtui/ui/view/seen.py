"""What is seen of a defect, in words: digits alone are a reading that was typed into the wrong field."""

from __future__ import annotations


def not_seen(text: str) -> str:
    """What is to be said against a text that should tell what is wrong; empty when it will do.

    Args:
        text: What was typed. Nothing at all is refused elsewhere, with its own words.
    """
    typed = text.strip()
    only_figures = bool(typed) and not any(letter.isalpha() for letter in typed)
    return f"{typed!r} does not say what is wrong: say what you see, in words" if only_figures else ""
