"""What is wrong with a text that is not YAML at all, in words a builder can act on.

The library's own messages speak of tokens and block ends. Those of its slower pure reader point closer than those of
the fast one, so the text is read again by that one before it is explained.
"""

from __future__ import annotations

import re
from typing import Final

import yaml

from benchtui.errors import Place, Problem

TOO_DEEP: Final = ("the lists lie too deep in each other", "flatten them")

_QUOTE_IT: Final = "put a text that holds ': ' or begins with a mark in quotes"
_LINE_UP: Final = "line up the keys, and the '- ' of one list, under each other; use spaces"


def explain(text: str, file: str, error: yaml.YAMLError) -> Problem:
    """A syntax error as a problem.

    Args:
        text: The whole text.
        file: Name to report it under.
        error: What the fast reader raised; used where the pure one finds nothing.
    """
    if (place := _at_tab(text, file, error)) is not None:
        return Problem(place, "this is not valid YAML: a tab is used for indenting", "use spaces")
    # The pure reader stumbles over tabs that the fast one takes, as after a colon: it must not point at those.
    try:
        for _ in yaml.compose_all(text.replace("\t", " "), Loader=yaml.SafeLoader):
            pass
    except yaml.YAMLError as better:
        error = better
    except RecursionError:
        return Problem(Place(file, 1, 1), *TOO_DEEP)
    raised_at = getattr(error, "problem_mark", None)
    began_at = getattr(error, "context_mark", None) or raised_at
    said = getattr(error, "problem", None) or str(error).splitlines()[0]
    mark, what, hint = raised_at or began_at, said, _QUOTE_IT
    if "mapping values are not allowed" in said and raised_at:
        before = text.splitlines()[raised_at.line][: raised_at.column]
        if re.search(r": ", before):
            what = "a second ': ' on this line"
        else:
            what, hint = "this line is indented under a key that has a value already", _LINE_UP
    elif "could not find expected ':'" in said:
        mark, what, hint = began_at, "a line without ': ' where a key is expected", "a key is followed by ': '"
    elif "expected ',' or" in said:
        mark, what, hint = began_at, "a bracket is opened here and not closed", "close it, with commas between entries"
    elif "unexpected end of stream" in said or "document separator" in said:
        mark, what, hint = began_at, "a quote is opened here and not closed", "close it at the end of the text"
    elif "cannot start any token" in said:
        what = (
            f"a text cannot begin with {text.splitlines()[raised_at.line][raised_at.column]!r}" if raised_at else said
        )
    elif "'<scalar>'" in said:
        what, hint = "the text goes on after its closing quote", "put the whole text in the other kind of quotes"
    elif "expected <block end>" in said:
        what, hint = "this does not fit the lines above it", _LINE_UP
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)
    return Problem(place, f"this is not valid YAML: {what}", hint)


def _at_tab(text: str, file: str, error: yaml.YAMLError) -> Place | None:
    """Where the tab stands that the fast reader stopped at; None when it stopped at something else."""
    mark = getattr(error, "problem_mark", None)
    lines = text.split("\n")
    if mark is None or mark.line >= len(lines) or lines[mark.line][mark.column : mark.column + 1] != "\t":
        return None
    return Place(file, mark.line + 1, mark.column + 1)
