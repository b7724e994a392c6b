"""The shapes beside the words, with a plain form for terminals that know nothing beyond ASCII."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import SHAPES

if TYPE_CHECKING:
    from benchtui.jobs.steps import Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Shapes:
    """The characters that stand for something. Each always has its word beside it."""

    ascii: bool = False
    spoken: bool = False
    """For being read out: what only draws the eye is left out."""
    cursor: str = "▸"
    alert: str = "▲!"
    rule: str = "─"
    dot: str = "·"
    full: str = "█"
    half: str = "▌"
    empty: str = "·"
    passed: str = "●"
    near: str = "◑"
    failed: str = "✗"
    stands: str = "■"
    arrow: str = "→"
    more: str = "↓"

    def status(self, status: Status) -> str:
        """The shape of a step's mark."""
        return "" if self.spoken else SHAPES[status][1 if self.ascii else 0]

    def verdict(self, verdict: str) -> str:
        """The shape of a verdict."""
        return {"pass": self.passed, "near limit": self.near, "fail": self.failed}.get(verdict, self.dot)


UNICODE: Final = Shapes()
ASCII: Final = Shapes(
    ascii=True,
    cursor=">",
    alert="/!\\",
    rule="-",
    dot="-",
    full="#",
    half="=",
    empty=".",
    passed="(x)",
    near="(~)",
    failed="(!)",
    stands="[]",
    arrow="->",
    more="v",
)
SPOKEN: Final = replace(ASCII, spoken=True, cursor="", alert="", rule="", passed="", near="", failed="", stands="")
"""A screen reader reads every character of a shape aloud; the word that stands beside each says the same."""


def shapes_for_terminal() -> Shapes:
    """What this terminal can show, by the encoding of its output; BENCHTUI_ASCII=1 asks for the plain form."""
    if os.environ.get("BENCHTUI_ASCII"):
        return ASCII
    encoding = (getattr(sys.stdout, "encoding", "") or "utf-8").lower().replace("-", "")
    return UNICODE if encoding.startswith("utf") else ASCII
