"""How the strands of a wire are written, and the metal they make up."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from benchtui.errors import CalcError, UnitError
from benchtui.units import parse
from benchtui.units.conductor import area_diameter

_PARTS: Final = re.compile(r"(\d{1,4})\s*(?:[/x×*]\s*(.+))?")


@dataclass(frozen=True, slots=True)
class Strands:
    """Strands of one wire.

    Attributes:
        count: How many.
        area: Cross-section of one in m²; None when only the count is known.
    """

    count: int
    area: float | None

    def diameter(self, whole: float) -> float:
        """Diameter of one strand in m, `whole` being the wire's cross-section in m²."""
        return area_diameter(self.area if self.area is not None else whole / self.count)


def read_strands(text: str) -> Strands:
    """Read "7/32" (seven strands of 32 AWG), "19/0.2 mm" or "7" (seven strands that make up the wire's own size).

    Raises:
        CalcError: It is none of these.
    """
    match = _PARTS.fullmatch(text.strip())
    if match is None or int(match[1]) == 0:
        raise CalcError(f"{text[:20]!r} is not a number of strands", key="strands", hint="type 7, 7/32 or 7/0.2 mm")
    count, size = int(match[1]), match[2]
    if size is None:
        return Strands(count, None)
    try:
        return Strands(
            count, parse(f"{size} AWG" if re.fullmatch(r"\d{1,2}", size.strip()) else size, "conductor").value
        )
    except UnitError as error:
        raise CalcError(error.message, key="strands", hint="type 7, 7/32 or 7/0.2 mm") from None
