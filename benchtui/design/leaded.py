"""Lead in the solder of a design: what a step with the iron uses besides, as only the design can tell."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.model import Design

IRON: Final = "iron"
"""Use of the soldering iron."""

LEADED: Final = "leaded-joint"
"""Use of the iron on solder that holds lead."""

LEADED_FOR_SALE: Final = "tin-lead-solder"
"""Use of solder with lead where it matters, besides, that the unit will be sold."""


def uses_over(design: Design | None, uses: Iterable[str]) -> tuple[str, ...]:
    """What a step uses on this design: its own uses, and lead where the iron meets solder that holds it.

    Args:
        design: The design the step is laid out over; None where there is none, and then nothing is known of its solder.
        uses: What the step itself says it uses.
    """
    own = tuple(uses)
    if design is None or IRON not in own or not design.file.solder.lead:
        return own
    further = (LEADED, LEADED_FOR_SALE) if design.file.for_sale else (LEADED,)
    return (*own, *(use for use in further if use not in own))
