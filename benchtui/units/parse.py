"""What a person types at a bench, turned into an `Amount` or into a sentence that says what to type instead.

The grammar is ours and small: a number, a unit, and perhaps a tolerance. No text reaches pint's own parser, which would
read "1,5 mm" as 15 mm and never come back from "9**9**9".
"""

from __future__ import annotations

import math
import re
from typing import Final

from benchtui.errors import UnitError
from benchtui.units.amount import Amount
from benchtui.units.conductor import awg_area, awg_number, round_area
from benchtui.units.kinds import KINDS
from benchtui.units.registry import to_kind
from benchtui.units.table import kinds_with, units_of

LONGEST: Final = 64
"""Longest text read; no amount on a bench needs more, and nobody's time is spent on a megabyte of digits."""

_NUMBER: Final = re.compile(
    r"""(?P<sign>[+-]?)
        (?: (?P<whole>\d+)\ +(?P<top>\d+)/(?P<bottom>\d+)       # 1 1/2
          | (?P<num>\d+)/(?P<den>\d+)                            # 1/4
          | (?P<plain>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3}(?![\w.]))?)
        )""",
    re.X | re.A,
)
_LETTER: Final = re.compile(r"(?P<sign>[+-]?)(?P<head>\d+)(?P<letter>[pnumkKMGRVFΩ])(?P<tail>\d+)(?P<rest>.*)", re.A)
_TOLERANCE: Final = re.compile(r"\s*(?:±|\+/-|\+-)\s*(?P<marked>.+)$|\s+(?P<bare>\d+\.?\d*|\.\d+)\s*%$")
_BARE: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)")
_MIXED: Final = re.compile(r"\b(\d{1,3})-(\d{1,3}/\d{1,3})(?=\s*[\"a-z])")
"""A mixed number with a dash, "1-1/2 in"."""
_DASHED: Final = re.compile(
    r"(?P<low>[\d.]+\s*(?:[A-DF-Za-df-z%][A-Za-z%]*)?)\s*(?:\.\.+|-)\s*(?P<high>[\d.]+\s*[A-Za-z%°].*)"
)
"""A range with a dash or dots, "4.75-5.25 V"."""
_LOPSIDED: Final = re.compile(
    r"(?P<body>.*[^\s+/-])\s*"
    r"(?:\+\s*(?P<up>[\d.]+)\s*%?\s*/?\s*-\s*(?P<down>[\d.]+)|-\s*(?P<down2>[\d.]+)\s*%?\s*/?\s*\+\s*(?P<up2>[\d.]+))"
    r"\s*%"
)
"""A tolerance of its own to each side, "+10/-5 %"."""
_COMMA: Final = re.compile(r"\d,\d")
_THOUSANDS: Final = re.compile(r"[1-9]\d{0,2},\d{3}(?!\d)")
_POWER: Final = re.compile(r"\d\s*[²^]")
_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2066-\u2069]")
_TRANSLATE: Final = str.maketrans(
    {
        "µ": "u",
        "μ": "u",
        "Ω": "ohm",
        "\u2126": "ohm",
        "−": "-",
        "–": "-",
        "²": "2",
        "×": "*",
        "\u00a0": " ",
        "″": '"',
        "′": "'",
        "℃": "degC",
    }
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)
_NUMBER_SIGN: Final = re.compile(r"^#\s*(\d{1,2}(?:/0)?)$|^(\d{1,2}(?:/0)?)\s*(?:gauge|ga)$", re.I)
"""What people write for an AWG number besides AWG: "#24", "24 gauge"."""
_ORDINARY: Final = re.compile(r"[\w\s.,+\-/±%°\"'()#*·⋅^Ωµ]*")
_LETTER_POWER: Final = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9}
_LETTER_KINDS: Final = {"resistance": "mkKMGR", "capacitance": "pnumF", "voltage": "V"}
"""Kinds in which a letter may stand for the decimal point (IEC 60062 letter and digit code), with the letters used."""
_BARE_PREFIX: Final = {"resistance": "kKMG", "capacitance": "pnu"}
"""Kinds in which a prefix alone may follow the number: 10k, 100n."""
_UNITLESS: Final = {"count", "number", "ratio", "sound-level"}


def parse(text: str, kind: str) -> Amount:
    """Read a typed amount.

    Args:
        text: What was typed, such as "4k7", "5 V ±5 %", "1 1/2 in" or "4.75 V to 5.25 V".
        kind: A key of `KINDS`.

    Raises:
        UnitError: The text cannot be understood or measures something else; message and hint are for the person.
    """
    if len(text) > LONGEST:
        raise UnitError(f"that is {len(text)} characters long", hint=_example(kind))
    if _CONTROL.search(text):
        raise UnitError("that has a character that cannot be seen", hint="type it again by hand")
    shown = text.strip()
    if not shown:
        raise UnitError("nothing is typed", hint=_example(kind))
    clean = shown.translate(_TRANSLATE).strip()
    if kind == "conductor":
        clean = _NUMBER_SIGN.sub(lambda found: f"{found[1] or found[2]} AWG", clean)
    if _COMMA.search(clean):
        raise UnitError(
            f"is the comma in {shown!r} a decimal point?",
            hint=f"type {shown.replace(',', '.')} for a decimal"
            + (f", or {shown.replace(',', '')} for thousands" if _THOUSANDS.search(clean) else ""),
        )
    if not _ORDINARY.fullmatch(clean):
        raise UnitError(f"{shown!r} is not an amount", hint=_example(kind))
    if _POWER.search(shown):
        raise UnitError(f"{shown!r} has a power of a number", hint="type the number written out")
    clean = _MIXED.sub(r"\1 \2", clean)
    if (found := _LOPSIDED.fullmatch(clean)) is not None:
        return _lopsided(found, kind, shown)
    low_text, to, high_text = clean.partition(" to ")
    if not to and (found := _DASHED.fullmatch(clean)):
        low_text, to, high_text = found["low"], "to", found["high"]
    if to:
        return _range(low_text, high_text, kind, shown)
    body, tolerance = _split_tolerance(clean)
    if _BARE.fullmatch(body) and kind not in _UNITLESS and (found := re.fullmatch(r"[\d.]+\s*([^\d\s%].*)", tolerance)):
        body = f"{body} {found[1]}"  # "5 ±0.25 V": the value borrows the unit of its tolerance
    value, unit, number = _value(body, kind, shown)
    low, high = _band(tolerance, value=value, number=number, unit=unit, kind=kind, shown=shown)
    amount = Amount(_check(value, shown), kind, _check(low, shown), _check(high, shown), shown)
    if kind == "count" and (value != int(value) or value < 0):
        raise UnitError(f"{shown!r} is not a whole number", hint=_example(kind))
    return amount


def _lopsided(found: re.Match[str], kind: str, shown: str) -> Amount:
    """ "10 uF -20 % +80 %": a tolerance of its own to each side."""
    value, _, _ = _value(found["body"], kind, shown)
    if kind == "temperature":
        raise UnitError("a temperature has no percentage", hint="type the tolerance in degrees: 20 degC ±5 degC")
    up, down = float(found["up"] or found["up2"]) / 100, float(found["down"] or found["down2"]) / 100
    if down >= 1:
        raise UnitError(f"a tolerance of -{down * 100:g} % leaves no amount", hint="type one below 100 %")
    ends = sorted((value * (1 - down), value * (1 + up)))
    return Amount(_check(value, shown), kind, _check(ends[0], shown), _check(ends[1], shown), shown)


def _range(low_text: str, high_text: str, kind: str, shown: str) -> Amount:
    """ "4.75 V to 5.25 V": the middle, with both ends as its band."""
    high, unit, _ = _value(high_text, kind, shown)
    try:
        low, _, _ = _value(low_text, kind, shown)
    except UnitError:
        # "4 to 20 mA": the first number borrows the unit of the second.
        low, _, _ = _value(f"{low_text} {unit}", kind, shown)
    if low > high:
        raise UnitError(f"in {shown!r} the first end is above the second", hint="type the lower one first")
    return Amount(_check((low + high) / 2, shown), kind, _check(low, shown), _check(high, shown), shown)


def _split_tolerance(clean: str) -> tuple[str, str]:
    match = _TOLERANCE.search(clean)
    if match is None:
        return clean.strip(), ""
    return clean[: match.start()].strip(), (match["marked"] or match["bare"] + "%").strip()


def _band(tolerance: str, *, value: float, number: float, unit: str, kind: str, shown: str) -> tuple[float, float]:
    """Lowest and highest value; `number` is the figure as typed in its own `unit`, `value` in the kind's unit."""
    if not tolerance:
        return value, value
    if tolerance.endswith("%") and not (kind == "ratio" and unit == "%"):
        share = _plain(tolerance[:-1].strip(), shown) / 100
        if kind == "temperature":
            raise UnitError("a temperature has no percentage", hint="type the tolerance in degrees: 20 degC ±5 degC")
        spread = abs(value) * share
        if not 0 <= share < 1:
            raise UnitError(f"a tolerance of {tolerance} leaves no amount", hint="type one below 100 %")
        return value - spread, value + spread
    if not re.search(r"[^\d.eE+-]", tolerance):
        tolerance = f"{tolerance} {unit}".strip()  # "5 V ±0.2": the tolerance borrows the unit
    if kind == "temperature":
        spread_number, spread_unit = _number_and_rest(tolerance, shown)
        spread_unit = _squeeze(spread_unit)
        if spread_unit not in ("", unit):
            differences = units_of("temperature-difference")
            if spread_unit not in differences:
                raise UnitError("value and tolerance are in different degrees", hint=f"type both in {unit}")
            spread = to_kind(spread_number, differences[spread_unit], "temperature-difference")
            return value - spread, value + spread
        ends = [to_kind(number + sign * spread_number, units_of(kind)[unit], kind) for sign in (-1, 1)]
        return ends[0], ends[1]
    spread, _, _ = _value(tolerance, kind, shown)
    if spread < 0:
        raise UnitError(f"the tolerance in {shown!r} is below nought", hint="type it without a sign")
    return value - spread, value + spread


def _value(body: str, kind: str, shown: str) -> tuple[float, str, float]:
    """The value in the unit of its kind, the unit's spelling, and the number as typed."""
    if kind == "conductor":
        return _conductor(body, shown)
    if (lettered := _lettered(body, kind)) is not None:
        return lettered, "", lettered
    number, rest = _number_and_rest(body, shown, kind)
    unit = _squeeze(rest)
    if not unit:
        if kind in _UNITLESS:
            return number, "", number
        raise UnitError(f"{shown!r} has no unit", hint=_example(kind))
    if len(unit) == 1 and unit in _BARE_PREFIX.get(kind, ""):
        return number * _LETTER_POWER[unit], "", number
    known = units_of(kind)
    if unit not in known:
        raise _unknown(unit, kind, shown)
    return to_kind(number, known[unit], kind), unit, number


def _lettered(body: str, kind: str) -> float | None:
    """The value of a code with a letter for the point: 4k7, 4R7, 3V3, 6n8; None when it is not one."""
    match = _LETTER.fullmatch(body)
    letters = _LETTER_KINDS.get(kind, "")
    if match is None or match["letter"] not in letters:
        return None
    base = {"resistance": ("", "ohm"), "capacitance": ("", "F"), "voltage": ("", "V")}[kind]
    if _squeeze(match["rest"]) not in base:
        return None
    number = float(f"{match['sign']}{match['head']}.{match['tail']}")
    return number * _LETTER_POWER.get(match["letter"], 1.0)


def _number_and_rest(body: str, shown: str, kind: str = "") -> tuple[float, str]:
    match = _NUMBER.match(body)
    if match is None:
        raise UnitError(f"{shown!r} does not begin with a number", hint=_example(kind) if kind else "type a number")
    rest = body[match.end() :]
    per = re.match(r"\s*1/[^\W\d]", rest)  # "0.004 1/K": a unit that begins with a figure
    if (rest[:1] and rest[0] in ".,0123456789") or (re.match(r"\s*[\d.]", rest) and not per):
        raise UnitError(f"{shown!r} has more than one number", hint=_example(kind) if kind else "type one number")
    return _figure(match, shown), rest


def _figure(match: re.Match[str], shown: str) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["plain"] is not None:
        return sign * float(match["plain"])
    whole = float(match["whole"] or 0)
    top, bottom = float(match["top"] or match["num"]), float(match["bottom"] or match["den"])
    if bottom == 0:
        raise UnitError(f"{shown!r} divides by nought", hint="type the number as a decimal")
    return sign * (whole + top / bottom)


def _plain(text: str, shown: str) -> float:
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise UnitError(f"the tolerance in {shown!r} is not a number", hint="type it like 5 V ±5 %")
    return _figure(match, shown)


def _conductor(body: str, shown: str) -> tuple[float, str, float]:
    try:
        gauge = awg_number(body)
    except ValueError as error:
        raise UnitError(str(error), hint=_example("conductor")) from None
    if gauge is not None:
        return awg_area(gauge), "AWG", float(gauge)
    number, rest = _number_and_rest(body, shown, "conductor")
    unit = _squeeze(rest)
    if not unit:
        raise UnitError(f"{shown!r} has no unit", hint=_example("conductor"))
    if number <= 0:
        raise UnitError(f"{shown!r} is no wire", hint=_example("conductor"))
    if unit in units_of("area"):
        return to_kind(number, units_of("area")[unit], "area"), unit, number
    if unit in units_of("length"):
        return round_area(to_kind(number, units_of("length")[unit], "length")), unit, number
    raise _unknown(unit, "conductor", shown)


def _squeeze(unit: str) -> str:
    """A unit without the marks people put between its parts: "lbf·in", "N*m", "in-lb" and "N m" each in one form."""
    plain = re.sub(r"[\s·⋅*^-]", "", unit.replace("°", "deg")).replace("degdeg", "deg")
    return re.sub(r"(?<=[A-Za-z])\.(?=[A-Za-z])", "", plain)  # "N.m", "ft.lbs"


def tidy_unit(typed: str) -> str:
    """A unit typed on its own, in the one spelling the tables know: "N·m", "N*m" and "N m" are "Nm"."""
    return _squeeze(typed.strip().translate(_TRANSLATE))


def _unknown(unit: str, kind: str, shown: str) -> UnitError:
    entry = KINDS[kind]
    known = units_of(kind) if kind != "conductor" else {**units_of("area"), **units_of("length"), "AWG": None}
    same_letters = [name for name in known if name.lower() == unit.lower()]
    if same_letters:
        return UnitError(
            f"{unit!r} is not a unit used here for {entry.phrase}", hint=f"did you mean {same_letters[0]}?"
        )
    other = [KINDS[name].phrase for name in kinds_with(unit)]
    if other:
        return UnitError(f"{shown!r} is {other[0]}, and {entry.phrase} is wanted", hint=_example(kind))
    return UnitError(f"{unit!r} is not a unit of {entry.phrase}", hint=_example(kind))


def _example(kind: str) -> str:
    return f"type {KINDS[kind].phrase} like {KINDS[kind].examples}"


def _check(value: float, shown: str) -> float:
    if not math.isfinite(value) or abs(value) > 1e18:
        raise UnitError(f"{shown!r} is too large to be real", hint="look at the exponent")
    return value
