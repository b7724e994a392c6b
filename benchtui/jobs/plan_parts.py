"""What content and design say, as a plan keeps it: cautions, subjects, wires and limits that need neither any more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.plan import Caution, Limits, Subject, Wire
from benchtui.units import format_value, parse

if TYPE_CHECKING:
    from benchtui.content.cautions import Caution as ContentCaution
    from benchtui.content.procedure import Reading
    from benchtui.design.model import Subject as DesignSubject
    from benchtui.design.testpoints import Expected
    from benchtui.design.wiring import WireRun


def caution_of(caution: ContentCaution) -> Caution:
    """A caution of the content as a plan keeps it."""
    return Caution(
        id=caution.id,
        signal=caution.signal,
        hazard=caution.hazard,
        avoid=caution.avoid,
        consequence=caution.consequence,
        first_aid=caution.first_aid,
        source=caution.source,
        person=caution.person,
        spans=caution.spans,
    )


def subject_of(subject: DesignSubject | None) -> Subject | None:
    """A control, bank, connector or bus; None for a step that is about no one thing."""
    return Subject(id=subject.id, kind=subject.kind, title=subject.title) if subject else None


def wire_of(run: WireRun, *, with_length: bool) -> Wire:
    """A wire of the wiring list; its length only for a step that cuts it."""
    return Wire(
        id=run.id,
        control=run.control,
        lug=str(run.lug),
        lug_name=run.lug_name,
        role=run.role,
        colour=run.colour,
        gauge=str(run.gauge),
        start=run.start,
        end=run.end,
        pin=str(run.pin),
        length=format_value(run.length, "length") if with_length else "",
    )


def limits_of(found: Expected) -> Limits:
    """The limits of a reading at a test point, with how they come about."""
    return Limits(
        what=found.title,
        where=found.where,
        kind=found.kind,
        low=found.low,
        nominal=found.nominal,
        high=found.high,
        near=found.near,
        text=found.text,
        working=found.working,
        sources=found.sources,
        power=found.power,
        point=found.point,
    )


def own_limits(reading: Reading) -> Limits:
    """Limits that the procedure itself gives.

    Raises:
        UnitError: One of them is no amount of its quantity.
    """
    low = parse(reading.low, reading.quantity).value if reading.low else None
    high = parse(reading.high, reading.quantity).value if reading.high else None
    shown = [format_value(value, reading.quantity) if value is not None else "" for value in (low, high)]
    text = {
        (True, True): f"{shown[0]} to {shown[1]}",
        (True, False): f"{shown[0]} or more",
        (False, True): f"{shown[1]} or less",
    }[low is not None, high is not None]
    return Limits(
        what=reading.what,
        where=reading.where,
        kind=reading.quantity,
        low=low,
        high=high,
        text=text,
        sources=(reading.source,) if reading.source else (),
        power=reading.power,
    )
