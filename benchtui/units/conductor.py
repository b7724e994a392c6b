"""Wire sizes: AWG numbers, cross-sections and diameters, all as a cross-section in m²."""

from __future__ import annotations

import math
import re
from typing import Final

_AWG: Final = re.compile(
    r"(?:AWG\s*[#-]?\s*(?P<after>\d{1,2}|0{2,4}|[1-4]/0)|#?(?P<before>\d{1,2}|0{2,4}|[1-4]/0)\s*AWG)", re.I
)

THINNEST, THICKEST = 40, -3
"""The AWG numbers the formula is used for: 40 down to 4/0, which counts as -3."""


def awg_diameter(gauge: int) -> float:
    """Diameter in m of a solid wire: 0.127 mm × 92 ^ ((36 − n) / 39), ASTM B258."""
    return 0.127e-3 * float(92.0 ** ((36 - gauge) / 39))


def awg_area(gauge: int) -> float:
    """Cross-section in m² of a solid wire of that AWG number."""
    return round_area(awg_diameter(gauge))


def round_area(diameter: float) -> float:
    """Cross-section in m² of a round wire, diameter in m."""
    return math.pi / 4 * diameter**2


def area_diameter(area: float) -> float:
    """Diameter in m of the solid round wire with that cross-section in m²."""
    return math.sqrt(4 * area / math.pi)


def awg_of_area(area: float) -> float:
    """The AWG number (not rounded) of a cross-section in m², the formula of ASTM B258 turned round."""
    return 36 - 39 * math.log(area_diameter(area) / 0.127e-3) / math.log(92)


def awg_number(text: str) -> int | None:
    """The AWG number in a text ("24 AWG", "AWG 2/0"), 2/0 being -1; None when the text is no AWG size.

    Raises:
        ValueError: It is one, but outside the range of the table.
    """
    match = _AWG.fullmatch(text.strip())
    if match is None:
        return None
    figure = match["after"] or match["before"]
    if figure.endswith("/0"):
        number = 1 - int(figure[0])
    elif len(figure) > 1 and not figure.strip("0"):
        number = 1 - len(figure)
    else:
        number = int(figure)
    if not THICKEST <= number <= THINNEST:
        raise ValueError(f"{figure} AWG is outside the range 40 to 4/0")
    return number


def awg_text(number: int) -> str:
    """An AWG number as it is written: 24 gives "24 AWG", -1 gives "2/0 AWG"."""
    return f"{number} AWG" if number > 0 else ("0 AWG" if number == 0 else f"{1 - number}/0 AWG")
