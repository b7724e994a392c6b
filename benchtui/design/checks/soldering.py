"""The alloy, the iron and what each part stands of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.calc.tables.alloys import LIQUIDUS
from benchtui.design.checks.finding import Finding
from benchtui.design.leaded import holds_lead, lead_of
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design

ABOVE: Final = 80.0
"""K that a tip is above the melting point at least, to wet a lug in time; an estimate."""
HOTTEST: Final = 400.0
"""°C of the tip that no joint by hand asks for; common practice."""


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with the solder of the design, and with parts that are soldered."""
    yield from _alloy(design)
    yield from _setting(design)
    for control in {control.part.id: control for control in reversed(design.controls)}.values():
        yield from _part(design, control)


def _alloy(design: Design) -> Iterator[Finding]:
    solder = design.file.solder
    known, name = lead_of(solder.alloy), solder.alloy
    if known is None:
        yield Finding(
            check="alloy-unknown",
            place=solder.place,
            message=f'the name of the alloy, "{name}", does not say whether it holds lead',
            hint="write what it is made of, as on its reel: Sn60Pb40, Sn99.3Cu0.7 or SAC305",
            source="warnings of lead follow from the alloy",
        )
    elif known != solder.lead:
        yield Finding(
            check="lead",
            place=solder.place,
            message=f"the solder {name} {'holds lead' if known else 'holds no lead'}, and `lead:` says "
            f"{'yes' if solder.lead else 'no'}",
            hint=f"write lead: {'yes' if known else 'no'}, or name the alloy that is on the reel",
            source="Pb in the name of an alloy is lead",
        )
    if design.file.for_sale and holds_lead(solder):
        yield Finding(
            check="lead-for-sale",
            level="warning",
            place=design.file.place,
            message=f"the design is for sale, and its solder {name} holds lead",
            hint="a unit placed on the EU market must be free of lead unless exempt; check your local rules",
            source="Directive 2011/65/EU (from memory)",
        )


def _setting(design: Design) -> Iterator[Finding]:
    """The iron itself: hot enough for the alloy, and no hotter than flux, tip and part stand."""
    solder = design.file.solder
    melts = LIQUIDUS.get(solder.alloy)
    if solder.setting.value > HOTTEST:
        yield Finding(
            check="iron-hot",
            place=solder.place,
            message=f"the iron is set to {solder.setting}, and {format_value(HOTTEST, 'temperature')} is the most",
            hint="320 to 350 °C with lead, 350 to 370 °C without; a larger tip brings more heat than a hotter one",
            source="above it flux burns off before the solder flows (common practice)",
        )
    elif melts is not None and solder.setting.value < melts + ABOVE:
        yield Finding(
            check="iron-cold",
            place=solder.place,
            message=f"the iron is set to {solder.setting}, and {solder.alloy} wants "
            f"{format_value(melts + ABOVE, 'temperature')} to wet in time",
            hint="set it higher, or choose another alloy",
            source="melting point + 80 K, an estimate",
        )


def _part(design: Design, control: Control) -> Iterator[Finding]:
    solder = control.part.solder
    if solder is None:
        return
    if not solder.by_hand:
        yield Finding(
            check="by-hand",
            place=control.part.place,
            message=f"part {control.part.id} ({control.id}): its sheet does not allow soldering by hand",
            hint="a socket or a part with lugs",
            source=solder.source,
        )
    melts = LIQUIDUS.get(design.file.solder.alloy)
    if melts is not None and solder.temperature.value < melts + ABOVE:
        yield Finding(
            check="solder-cold",
            place=control.part.place,
            message=f"part {control.part.id} ({control.id}): it stands a tip of {solder.temperature}, and "
            f"{design.file.solder.alloy} wants {format_value(melts + ABOVE, 'temperature')} to wet in time",
            hint="another alloy, or another part",
            source=f"{solder.source}; melting point + 80 K, an estimate",
        )
