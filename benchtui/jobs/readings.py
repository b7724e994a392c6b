"""Verdicts on readings, and the questions put before a reading is kept.

Limits are inclusive and compared as decimals: 3.30 V against a limit of 3.3 V passes, though both come out of binary
arithmetic (ASTM E29, absolute method: the value as read, not rounded). The near-limit band is the meter's own
uncertainty at the limit, so that "pass" means pass with guard band and "near limit" what is left (ILAC-G8:09/2019 4.2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Final, Literal

from benchtui.errors import JobError, UnitError
from benchtui.jobs.events import ReadingTaken
from benchtui.jobs.past import is_date
from benchtui.jobs.shares import share, share_text
from benchtui.units import KINDS, format_band, format_value, parse
from benchtui.units.bare import with_symbol
from benchtui.units.slips import by_thousands, how_far, point_misplaced

if TYPE_CHECKING:
    from benchtui.jobs.plan import Limits, PlanStep

NEVER_NEGATIVE: Final = ("resistance", "capacitance", "count", "length", "area", "mass", "torque", "time")
"""Quantities whose meter shows no sign; a minus sign in front of one is a slip."""

Verdict = Literal["pass", "near limit", "fail"]

BY_METER: Final = frozenset({"resistance", "voltage", "current", "capacitance", "frequency", "ratio"})
"""Quantities that the meter of the sitting reads; callipers, a scale or a torque driver are not that meter."""

OVER_RANGE: Final = frozenset({"ol", "o.l", "o.l.", "0l", "0.l", "over", "overload", "over range", "over-range"})
"""What meters show, and people type, when the value is beyond the range; read as larger than any limit."""

DEFAULT_BAND: Final = 0.01
"""Near-limit band as a share of the limit when no meter is named; common practice for a hand-held multimeter."""

LAST_PLACE: Final = 0.1
"""Ohms that the last place of a hand-held multimeter counts in on its lowest range; common practice."""

MOST_OF_LIMIT: Final = 0.2
"""Share of a limit that its band never exceeds for that, so that a plainly good joint is not called near (estimate)."""

_DIGITS: Final = 12
"""Significant digits that carry meaning; what lies beyond is noise of binary arithmetic."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """A meter of the bench, as chosen for a sitting.

    `percent` and `floor` give its uncertainty by kind of reading, as its sheet does: a share of the reading in percent,
    plus a fixed amount in the SI unit of the kind.
    """

    id: str
    name: str = ""
    due: str = ""
    """Date its calibration runs out, as YYYY-MM-DD; empty when it has none."""
    percent: tuple[tuple[str, float], ...] = ()
    floor: tuple[tuple[str, float], ...] = ()

    def past_due(self, today: str) -> bool:
        """Whether its calibration has run out by a day given as YYYY-MM-DD, or nobody can tell from what was typed."""
        return bool(self.due) and (not is_date(self.due) or today > self.due)

    def uncertainty(self, kind: str, value: float) -> float | None:
        """Uncertainty of a reading in its SI unit; None when the sheet says nothing of this kind."""
        percent, floor = dict(self.percent), dict(self.floor)
        if kind not in percent and kind not in floor:
            return None
        return abs(value) * percent.get(kind, 0.0) / 100 + floor.get(kind, 0.0)


def decimal(value: float) -> Decimal:
    """The value as the decimal number a person would have written for it."""
    return Decimal(f"{value:.{_DIGITS}g}")


def band(limits: Limits, limit: float, meter: Meter | None = None) -> Decimal:
    """Width of the near-limit band inside `limit`: the plan's own, else the meter's, else 1 % of the limit.

    Without a meter, one of a few ohms counts as near within the last place that a hand-held meter shows.
    """
    if limits.near is not None:
        return decimal(limits.near)
    if limits.kind == "count":
        return Decimal(0)  # what was counted is not off by a share
    own = meter.uncertainty(limits.kind, limit) if meter else None
    if own is not None:
        return decimal(own)
    share = abs(decimal(limit)) * decimal(DEFAULT_BAND)
    if limits.kind != "resistance":
        return share
    # Between two limits the span counts: a band as wide as that would leave nothing that passes plainly.
    of = limits.high - limits.low if limits.low and limits.high else abs(limit)
    return max(share, min(decimal(LAST_PLACE), decimal(of) * decimal(MOST_OF_LIMIT)))


def verdict(limits: Limits, value: float | None, *, meter: Meter | None = None) -> Verdict:
    """Judge a reading.

    Args:
        limits: What it should be.
        value: The reading in the SI unit of `limits.kind`; None for over-range.
        meter: The meter it was read from, for the near-limit band.
    """
    if value is None:
        return "pass" if limits.high is None else "fail"
    read = decimal(value)
    if limits.low is None:
        read = abs(read)  # leads the wrong way round show a minus sign, and make no current small
    low = None if limits.low is None else decimal(limits.low)
    high = None if limits.high is None else decimal(limits.high)
    if (low is not None and read < low) or (high is not None and read > high):
        return "fail"
    # A limit of exactly zero is a wall (no resistance below none), not a value one can be near to.
    if low and limits.low is not None and read < low + band(limits, limits.low, meter):
        return "near limit"
    if high and limits.high is not None and read > high - band(limits, limits.high, meter):
        return "near limit"
    return "pass"


def doubt(limits: Limits, value: float | None) -> str:
    """A question to put before the reading is kept; empty when it is plausible.

    A reading within its limits is never doubted, nor a zero: a dead circuit reads zero.
    """
    expected = _expected(limits)
    if not value or not expected or verdict(limits, value) != "fail":
        return ""
    wanted = _wanted(limits)
    if limits.kind == "ratio" and value > 1 and verdict(limits, 1 / value) != "fail":
        other = format_value(1 / value, "ratio", digits=3)
        return f"The first is larger than the second. The other way round it is {other}, as wanted. Which is which?"
    if question := by_thousands(value, expected, limits.kind, wanted):
        return question
    if not 1 / 8 < abs(value / expected) < 8:
        return point_misplaced(value, limits.kind, how_far(value, limits.low, limits.high, limits.kind, wanted))
    return ""


def read_typed(limits: Limits, typed: str) -> float | None:
    """The value of what was typed, in the SI unit of `limits.kind`; None for over-range.

    A bare number is taken in the unit the limits are shown in.

    Raises:
        UnitError: It cannot be understood, is of another kind, or is a range and no reading.
        JobError: Nothing was typed.
    """
    text = " ".join(typed.split())
    if not text:
        raise JobError("no reading was typed", hint="type what the meter shows, such as 4.7k or OL")
    if text.lower() in OVER_RANGE and limits.kind in BY_METER:
        # A diode that blocks reads OL in volts, and its limits say so in words.
        if limits.high is None and limits.kind != "resistance" and "OL" not in limits.text:
            raise UnitError("over range says nothing here", hint="turn the meter to a higher range and read again")
        return None
    if limits.kind == "ratio" and "/" in text:
        return share(text)
    if limits.kind == "ratio" and any(_is_amount(text, kind) for kind in ("resistance", "voltage")):
        raise UnitError(
            "that is one reading, and a share takes two", hint="type the part, a stroke and the whole: 5.02k / 10.1k"
        )
    text = f"{text} {entry_unit(limits)}".strip() if _bare(text) else with_symbol(text, limits.kind)
    try:
        amount = parse(text, limits.kind)
    except UnitError as error:
        # A reading has no tolerance: the example is one of this step.
        raise UnitError(error.message, hint=f"type what the meter shows, such as {_example(limits)}") from error
    if not amount.exact:  # limits copied off the screen are no reading
        raise UnitError("that is a range, and a reading is one value", hint="type the one value the meter shows")
    value = amount.value
    if value < 0 and limits.kind in NEVER_NEGATIVE:
        raise UnitError(f"{KINDS[limits.kind].phrase} is never below nought", hint="type it without the sign")
    return value


def is_reading(limits: Limits | None, text: str) -> bool:
    """Whether a text that should give a reason would be taken for a reading: the hand was at the next one already."""
    if limits is None:
        return False
    try:
        read_typed(limits, text)
    except (JobError, UnitError):
        return False
    return True


def _example(limits: Limits) -> str:
    """What a reading at a step looks like, in its own unit; never the value that is expected."""
    unit = entry_unit(limits)
    over = ", or OL" if limits.kind == "resistance" else ""
    return f"1.23 {unit}".strip() + over


def _is_amount(text: str, kind: str) -> bool:
    """Whether a text can be read as an amount of this kind and says so by its unit: a bare number is a share."""
    if _bare(text):
        return False
    try:
        parse(text, kind)
    except UnitError:
        return False
    return True


def shown(limits: Limits | None, typed: str) -> str:
    """A reading as typed, with the unit it was taken in: "47" is "47 Ω" where limits are in Ω, "2.2M" is "2.2 MΩ"."""
    text = typed.strip()
    if limits and limits.kind == "ratio" and "/" in text:
        return share_text(text)
    if not limits or not text:
        return text
    if _bare(text):
        return f"{text} {entry_unit(limits)}".strip()
    return with_symbol(text, limits.kind)


def entry_unit(limits: Limits) -> str:
    """The unit beside the entry field, which a bare number is taken to be in: "kΩ" where 8.0 kΩ is expected."""
    expected = _expected(limits)
    shown = format_value(expected or 0.0, limits.kind)
    return shown.partition(" ")[2]


def take(
    step: PlanStep,
    typed: str,
    *,
    meter: Meter | None = None,
    today: str = "",
    override: str = "",
    reason: str = "",
    asked: str = "",
    blind: bool = False,
) -> ReadingTaken:
    """The event for a reading at a step, judged, or the question that has to be answered first.

    Args:
        step: A step that measures.
        typed: What the builder typed.
        meter: The meter in use; kept with what a meter reads, and not with a length or a torque.
        today: Date as YYYY-MM-DD, to tell whether the meter's calibration has run out.
        override: Why a meter past its date is used all the same.
        reason: Why this is not the first reading.
        asked: The question that was put and answered with "as typed"; empty at the first try.
        blind: It is the second of two, and the first one is out of sight.

    Raises:
        UnitError: What was typed cannot be understood.
        JobError: The step measures nothing, or the meter is past its date and no reason is given.
    """
    limits = step.limits
    if limits is None:
        raise JobError(f"step {step.number} has nothing to measure")
    if limits.kind not in BY_METER:
        meter, override = None, ""
    if meter and meter.past_due(today) and not override.strip():
        named = meter.name or meter.id
        ran_out = f"the calibration of {named} ran out on {meter.due}"
        raise JobError(
            ran_out if is_date(meter.due) else f"the calibration date of {named} cannot be read: {meter.due}",
            hint="choose another meter, or give the reason for using this one",
        )
    value = read_typed(limits, typed)
    return ReadingTaken(
        step=step.key,
        typed=typed,
        value=value,
        over=value is None,
        quantity=limits.kind,
        what=limits.what,
        low=limits.low,
        high=limits.high,
        near=_width(limits, meter),
        verdict=verdict(limits, value, meter=meter),
        meter=meter.id if meter else "",
        meter_due=meter.due if meter else "",
        override=override,
        reason=reason,
        asked=asked,
        twice=bool(step.twice),
        blind=blind,
    )


def _width(limits: Limits, meter: Meter | None) -> float | None:
    """The near-limit band as it is kept with the reading: the wider of the two sides."""
    sides = [limit for limit in (limits.low, limits.high) if limit]
    return max((float(band(limits, limit, meter)) for limit in sides), default=None)


def _expected(limits: Limits) -> float | None:
    """The value a reading is compared with for its order of magnitude."""
    if limits.nominal is not None:
        return limits.nominal
    if limits.low and limits.high and limits.low > 0:
        return math.sqrt(limits.low * limits.high)
    return limits.high or limits.low


def _wanted(limits: Limits) -> str:
    """What a reading should be, for a question: the value the design gives, or the limits where it gives no value."""
    if limits.nominal is not None:
        return f"the expected {format_value(limits.nominal, limits.kind)}"
    if limits.low is not None and limits.high is not None:
        return f"the {format_band(limits.low, limits.high, limits.kind)} that is wanted"
    if limits.high is not None:
        return f"the limit of {format_value(limits.high, limits.kind)}"
    return f"the least of {format_value(limits.low or 0.0, limits.kind)}"


def _bare(text: str) -> bool:
    return all(character in "+-.,0123456789−" for character in text)
