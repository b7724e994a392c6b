"""Lead in the solder of a design: what a step with the iron uses besides, as only the design can tell."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.layout import SolderChoice
    from benchtui.design.model import Design

IRON: Final = "iron"
"""Use of the soldering iron."""

LEADED: Final = "leaded-joint"
"""Use of the iron on solder that holds lead."""

LEADED_FOR_SALE: Final = "tin-lead-solder"
"""Use of solder with lead where it matters, besides, that the unit will be sold."""

_METALS: Final = re.compile(r"(?=.*Sn)(?:(?:Sn|Pb|Ag|Cu|Bi|Ni|In|Sb|Ge|Zn|Co)\d*(?:\.\d+)?)+")
_SHORT: Final = re.compile(r"SAC\d+")
"""Tin, silver and copper by their first letters, as solder makers write it; no lead."""


def lead_of(alloy: str) -> bool | None:
    """Whether an alloy holds lead, from its name: Sn63Pb37 does, Sn99.3Cu0.7 and SAC305 do not.

    None for a name that does not say it, such as 60/40.
    """
    name = re.sub(r"[\s/-]", "", alloy)
    if _METALS.fullmatch(name):
        return "Pb" in name
    return False if _SHORT.fullmatch(name) else None


def holds_lead(solder: SolderChoice) -> bool:
    """Whether to warn of lead: the alloy holds it, or the design says so.

    One of the two is enough: where they disagree the check tells, and until then nobody goes unwarned.
    """
    return solder.lead or lead_of(solder.alloy) is True


def uses_over(design: Design | None, uses: Iterable[str]) -> tuple[str, ...]:
    """What a step uses on this design: its own uses, and lead where the iron meets solder that holds it.

    Args:
        design: The design the step is laid out over; None where there is none, and then nothing is known of its solder.
        uses: What the step itself says it uses.
    """
    own = tuple(uses)
    if design is None or IRON not in own or not holds_lead(design.file.solder):
        return own
    further = (LEADED, LEADED_FOR_SALE) if design.file.for_sale else (LEADED,)
    return (*own, *(use for use in further if use not in own))
