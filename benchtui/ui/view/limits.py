"""What a reading should be, where it is taken, and how its limits come about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.readings import band
from benchtui.ui.view.text import line, rule, wrap
from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.jobs.plan import Limits
    from benchtui.jobs.readings import Meter
    from benchtui.ui.view.text import Line

LABEL: Final = 9
"""Cells of the column of labels such as "probes", here and at the other lines of a step."""


def limits(limits: Limits, width: int) -> list[Line]:
    """What a reading should be, where the probes go, and whether the power is on."""
    lines = wrap(limits.what, width, first="measure".ljust(LABEL))
    lines += wrap(limits.where, width, first="probes".ljust(LABEL)) if limits.where else []
    # A sheet of metal has no power; the air above live parts has.
    said = limits.power and not (limits.kind == "length" and limits.point)
    power = f"   with the power {limits.power.upper()}" if said else ""
    lines.append(line("limits".ljust(LABEL), (limits.text, "value"), (power, "strong")))
    return lines


def near_text(limits: Limits, meter: Meter | None) -> str:
    """How near a limit is called near, and why; empty where there is no limit to be near to."""
    sides = [limit for limit in (limits.low, limits.high) if limit]
    if not sides:
        return ""
    wide = format_value(max(float(band(limits, limit, meter)) for limit in sides), limits.kind)
    if limits.near is not None:
        ground = "by the procedure"
    elif meter and meter.uncertainty(limits.kind, sides[0]) is not None:
        ground = f"the uncertainty of the {meter.name or meter.id}, by its sheet"
    else:
        ground = "1 % of the limit; common practice for a hand-held meter"
    return f"near limit: within {wide} of it ({ground})"


def working(limits: Limits, width: int, *, meter: Meter | None = None) -> list[Line]:
    """How the limits come about, what they rest on, and how near one is near."""
    lines = [rule(width, title="how the limits come about")]
    for text in limits.working or ("the limits are stated in the procedure itself",):
        lines += wrap(text, width, first="  ")
    lines += wrap(near_text(limits, meter), width, first="  ")
    for text in limits.sources:
        lines += wrap(text, width, first="  source: ", rest="    ", role="quiet")
    return lines
