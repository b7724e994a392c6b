"""What a check finds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from benchtui.errors import Place

Level = Literal["problem", "warning", "note"]
"""problem: it will not work or not go together; warning: it works, and someone will regret it; note: good to know."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found.

    Attributes:
        check: Name of the check: "source-resistance".
        level: How bad it is.
        place: Where in the design file.
        message: What is wrong, with the figure and the limit.
        hint: What to do.
        source: Where the limit is from.
    """

    check: str
    level: Level = "problem"
    place: Place
    message: str
    hint: str
    source: str
