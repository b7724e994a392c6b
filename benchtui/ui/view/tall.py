"""Tall characters for reading from across the bench: five rows high, made of full blocks.

At 20 minutes of arc a capital has to be 5.2 mm high at 0.9 m (NUREG-0700 1.3.1-4); a terminal's own is about 1.7 mm, so
five rows of it read at more than two metres.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui.view.text import line

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.ui.view.text import Line

HEIGHT: Final = 5

GLYPHS: Final[Mapping[str, tuple[str, ...]]] = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ".": (" ", " ", " ", " ", "#"),
    ":": (" ", "#", " ", "#", " "),
    "-": ("   ", "   ", "###", "   ", "   "),
    "/": ("  #", "  #", " # ", "#  ", "#  "),
    "%": ("# #", "  #", " # ", "#  ", "# #"),
    "<": ("  #", " # ", "#  ", " # ", "  #"),
    ">": ("#  ", " # ", "  #", " # ", "#  "),
    " ": ("  ", "  ", "  ", "  ", "  "),
    "A": (" # ", "# #", "###", "# #", "# #"),
    "F": ("###", "#  ", "## ", "#  ", "#  "),
    "H": ("# #", "# #", "###", "# #", "# #"),
    "L": ("#  ", "#  ", "#  ", "#  ", "###"),
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#  #", "## #", "# ##", "#  #", "#  #"),
    "O": ("###", "# #", "# #", "# #", "###"),
    "V": ("# #", "# #", "# #", "# #", " # "),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
    "C": ("###", "#  ", "#  ", "#  ", "###"),
    "k": ("#  ", "# #", "## ", "# #", "# #"),
    "m": ("     ", "## # ", "# # #", "# # #", "# # #"),
    "n": ("   ", "## ", "# #", "# #", "# #"),
    "s": ("   ", " ##", "#  ", "  #", "## "),
    "o": ("   ", "###", "# #", "# #", "###"),
    "t": (" # ", "###", " # ", " # ", " ##"),
    "h": ("#  ", "#  ", "## ", "# #", "# #"),
    "i": ("#", " ", "#", "#", "#"),
    "µ": ("   ", "# #", "# #", "###", "#  "),
    "Ω": (" ### ", "#   #", "#   #", " # # ", "## ##"),
    "°": ("##", "##", "  ", "  ", "  "),
    "±": (" # ", "###", " # ", "   ", "###"),
    "·": (" ", " ", "#", " ", " "),
}
"""What a value and its unit are made of, as dots."""


def tall(text: str, width: int, *, full: str = "█") -> list[Line]:
    """The text in tall characters, each dot two cells wide, or one; what does not fit comes as usual text.

    Args:
        text: A value with its unit, or a number.
        width: Cells there are.
        full: What a dot is made of.
    """
    if all(character in GLYPHS for character in text):
        dots = [" ".join(GLYPHS[character][row] for character in text) for row in range(HEIGHT)]
        for scale in (2, 1):
            rows = ["".join(dot * scale for dot in row) for row in dots]
            if max(len(row) for row in rows) <= width:
                return [line((row.replace("#", full).rstrip(), "value")) for row in rows]
    return [line((text, "value"))]
