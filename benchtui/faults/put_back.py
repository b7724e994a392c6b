"""What a test takes off the board goes back by name: worked out from the test points of the design."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.faults.points import points_of
from benchtui.faults.words import listed

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.faults.model import Test
    from benchtui.faults.target import Target

BOARD_OFF: Final = "board unplugged"
"""How a model says that the plugs of the subject are off, where the design is not known."""

_PIN_FIRST: Final = re.compile(r"[^.]*pin 1 first\.\s*")
_OR_LOOSE: Final = "loose or "
"""A lead is lifted or its plug is taken off, as the builder likes it better."""


def unplugged(design: Design, where: str) -> tuple[str, ...]:
    """Ids of the connectors that are off while a test point is read.

    Args:
        design: The design.
        where: Where the probes go, in the words of the point.
    """
    said = " ".join(re.findall(r"(\w+(?: (?:and|or) \w+)*) unplugged", where))
    return tuple(each.id for each in design.connectors if re.search(rf"\b{re.escape(each.id)}\b", said))


def back_in_place(design: Design, target: Target, test: Test) -> Test:
    """The test with what its points take off the board named, and put back by its last words.

    What a model says of plugs in general gives way to their names.

    Args:
        design: The design.
        target: What the hunt is about.
        test: The test, in the words of the target.
    """
    places = [point.where for point in points_of(design, target, test)]
    plugs = tuple(dict.fromkeys(id for where in places for id in unplugged(design, where)))
    if not plugs:
        return test
    push = f"ush {listed(list(plugs))} home again, pin 1 first."
    other = _PIN_FIRST.sub("", test.undo).strip()
    undo = " ".join(each for each in (other, f"P{push}") if each)
    if other and any(_OR_LOOSE in where for where in places):
        undo = f"{other.removesuffix('.')}, or p{push}"
    return replace(test, do=test.do.replace(BOARD_OFF, f"{listed(list(plugs))} unplugged"), undo=undo)
