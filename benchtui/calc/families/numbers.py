"""Marks on resistors, preferred values, and one unit in another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc import marking, pictures
from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.tables import colours, series
from benchtui.errors import CalcError, UnitError
from benchtui.units import convert, convert_value, format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

# -- resistor-marking ------------------------------------------------------------------------------------------------


def _marked(at: Point) -> marking.Marked:
    """What the mark or the value says.

    Raises:
        CalcError: Not exactly one of code, bands and value was typed.
    """
    given = [key for key in ("code", "bands", "value") if key in at]
    if len(given) != 1:
        raise CalcError("type one of code, bands and value", key=given[1] if given else "code")
    if "code" in at:
        return marking.read_code(at.word("code"))
    if "bands" in at:
        return marking.read_bands(at.word("bands"))
    typed = at.numbers.get("typed-tolerance")
    return marking.Marked(at["typed-value"], typed, at.numbers.get("coefficient"))


def _choose_marking(spread: Spread) -> Mapping[str, Chosen]:
    """The value's own tolerance is what the mark has to say, so it must not also move the value."""
    if "value" not in spread.at:
        return {}
    value = spread.at["value"]
    found: dict[str, Chosen] = {"typed-value": value}
    if value > 0 and spread.high("value") > value:
        found["typed-tolerance"] = float(f"{spread.high('value') / value - 1:.9g}")
    return found


def _tolerance(at: Point, marked: marking.Marked) -> float | None:
    return at.numbers.get("tolerance", marked.tolerance)


def _bands(at: Point, marked: marking.Marked) -> list[str] | None:
    """Bands to show: those typed, in reading order, or those of the value; None when they cannot be written."""
    if "bands" in at:
        typed = marking.band_names(at.word("bands").lower().removesuffix(" none"))
        return typed[::-1] if marked.turned else typed
    tolerance = _tolerance(at, marked)
    if tolerance is None:
        tolerance = 0.05 if marking.is_preferred(marked.resistance, "E24") and marked.figures < 3 else 0.01
    try:
        return marking.bands_of(marked.resistance, tolerance, marked.coefficient)
    except CalcError:
        return None


def _marking(at: Point) -> Mapping[str, float | str]:
    marked = _marked(at)
    value, tolerance = marked.resistance, _tolerance(at, marked)
    found: dict[str, float | str] = {"resistance": value}
    if tolerance is not None:
        found |= {"tolerance": tolerance, "minimum": value * (1 - tolerance), "maximum": value * (1 + tolerance)}
    if marked.coefficient is not None:
        found["temperature-coefficient"] = marked.coefficient
    found["code"] = marking.code_of(value)
    found["chip-code"] = marking.chip_code_of(value, 0.01 if marked.figures == 3 else tolerance)
    small = marking.small_chip_code_of(value, tolerance)
    if small is not None:
        found["small-chip-code"] = small
    names = _bands(at, marked)
    if names is not None:
        found["bands"] = " ".join(names)
    return found


def _judge_marking(case: Case, say: Remarks) -> None:
    at = case.at
    marked = _marked(at)
    if marked.how:
        say.work(f"taken for: {marked.how}")
    say.work(f"resistance = {case.outputs['resistance'].text}")
    names = _bands(at, marked)
    if names is not None:
        pairs = zip(names, marking.meanings_of(names), strict=True)
        say.work("bands: " + ", ".join(f"{name} {meaning}" for name, meaning in pairs))
    else:
        say.note("This value or tolerance cannot be written in bands.")
    if marked.tolerance is not None and "tolerance" in at and abs(at["tolerance"] - marked.tolerance) > 1e-9:
        printed = format_value(marked.tolerance, "ratio")
        say.warn(f"The mark itself says ±{printed}; the {text_of(case, 'tolerance')} typed was taken instead.")
    if marked.turned:
        say.note("From the end typed these bands mean nothing, so they were read from the other end.")
    if marked.other is not None:
        _judge_direction(marked, marked.other, say)
    if "value" in at and abs(_rounded(marked.resistance) - marked.resistance) > 1e-6 * marked.resistance:
        say.note(f"Marks carry three figures: they say {format_value(_rounded(marked.resistance), 'resistance')}.")
    if names and "grey" in names[3:5] and len(names) >= 4 and _tolerance(at, marked) == 0.0001:
        say.note("Grey means 0.01 % since the 2016 edition of IEC 60062 and 0.05 % before it.")
    if "tolerance" not in case:
        say.note("This mark says nothing of the tolerance; the bands shown assume the usual one.")
    if "small-chip-code" in case or marked.coefficient is not None:
        say.source(colours.MEMORY)
    say.note("When in doubt measure it: out of circuit, or with the supply off.")


def text_of(case: Case, key: str) -> str:
    """An input as it was typed."""
    return case.given[key].text


def _rounded(value: float) -> float:
    return float(f"{value:.3g}")


def _judge_direction(marked: marking.Marked, other: marking.Marked, say: Remarks) -> None:
    words = format_value(other.resistance, "resistance")
    here, there = (
        any(marking.is_preferred(one.resistance, name) for name in ("E24", "E96")) for one in (marked, other)
    )
    if here and not there:
        say.note(f"From the other end it would be {words}, which is no preferred value: this end is the right one.")
    elif there and not here:
        say.warn(f"This is no preferred value; from the other end it is {words}, which is one.")
    else:
        say.note(f"From the other end it is {words}: look for the wider gap, which comes before the tolerance.")


def _marking_picture(case: Case) -> list[str]:
    names = _bands(case.at, _marked(case.at))
    return [] if names is None else pictures.bands(names, marking.meanings_of(names))


MARKING = Calculator(
    "resistor-marking",
    title="Marks on a resistor",
    also="colour color code bands stripes SMD chip",
    summary="Reads bands and codes, and writes them for a value.",
    group="1 resistors and inputs",
    inputs=(
        Input("code", kind="word", help="Printed code", optional=True, example="4K7, R47, 103 or 29B"),
        Input("bands", kind="word", help="Colours from the end", optional=True, example="yellow violet red gold"),
        Input("value", kind="resistance", help="Value to be marked", optional=True, least=0),
        Input("tolerance", kind="ratio", help="Tolerance, when the mark does not say", optional=True, most=0.5),
        Input(
            "coefficient",
            kind="temperature-coefficient",
            help="For six bands, with a value",
            optional=True,
            example="50 ppm/K",
        ),
    ),
    outputs=(
        Output("resistance", kind="resistance", help="Value"),
        Output("tolerance", kind="ratio", help="Tolerance"),
        Output("minimum", kind="resistance", help="Lowest allowed", digits=6),
        Output("maximum", kind="resistance", help="Highest allowed", digits=6),
        Output("temperature-coefficient", kind="temperature-coefficient", help="By the sixth band"),
        Output("code", kind="text", help="Letter and digit code"),
        Output("chip-code", kind="text", help="Digits on a chip resistor"),
        Output("small-chip-code", kind="text", help="Three characters on a small 1 % chip resistor"),
        Output("bands", kind="text", help="Colour bands, tolerance last"),
    ),
    formula="two or three digits × a power of ten, ± a tolerance",
    function=_marking,
    judge=_judge_marking,
    choose=_choose_marking,
    sources=(colours.SOURCE,),
    picture=_marking_picture,
)


# -- preferred -------------------------------------------------------------------------------------------------------


def _preferred(at: Point) -> Mapping[str, float | str]:
    value, picked = at["value"], at.word("series")
    if not 1e-15 < value < 1e15:
        raise CalcError("is out of range", key="value", hint="type a value above 0 like 5.15k or 3.1 nF")
    near = series.nearest(value, picked)
    return {
        "nearest": near,
        "next-up": series.next_up(value, picked),
        "next-down": series.next_down(value, picked),
        "error": near / value - 1,
    }


def _judge_preferred(case: Case, say: Remarks) -> None:
    text = case.text
    picked = case.at.word("series")
    say.work(f"{picked}: {text('next-down')} and {text('next-up')}; nearest by ratio {text('nearest')}")
    say.work(f"error = {text('nearest')} / {text('value')} − 1 = {text('error')}")
    made = series.TOLERANCE[picked]
    say.note(f"{picked} goes with parts of ±{format_number(made * 100)} % or better (common practice).")


PREFERRED = Calculator(
    "preferred",
    title="Preferred value",
    summary="The nearest values of a preferred series.",
    group="1 resistors and inputs",
    inputs=(
        Input(
            "value",
            kind="resistance|capacitance|number",
            help="Value wanted",
            example="5.15k, 3.1 nF or 515",
            least=0,
            steady=True,
        ),
        Input("series", kind="choice", help="Preferred series", default="E24", choices=series.NAMES),
    ),
    outputs=(
        Output("nearest", kind="=value", help="Nearest by ratio"),
        Output("next-up", kind="=value", help="At or next above"),
        Output("next-down", kind="=value", help="At or next below"),
        Output("error", kind="ratio", help="Of the nearest"),
    ),
    formula="nearest by ratio: the neighbour whose quotient with the value is closer to 1",
    function=_preferred,
    judge=_judge_preferred,
    sources=(series.SOURCE,),
)


# -- convert ---------------------------------------------------------------------------------------------------------


def _choose_convert(spread: Spread) -> Mapping[str, Chosen]:
    try:
        amount = convert(spread.at.word("value"), spread.at.word("to")).amount
    except UnitError as error:
        raise CalcError(error.message, key="value", hint=error.hint) from None
    return {"amount": (amount.value, amount.low, amount.high)}


def _convert(at: Point) -> Mapping[str, float | str]:
    return {"value": convert_value(at["amount"], convert(at.word("value"), at.word("to")).amount.kind, at.word("to"))}


def _judge_convert(case: Case, say: Remarks) -> None:
    say.work(f"{case.at.word('value')} = {case.outputs['value'].text}")


CONVERT = Calculator(
    "convert",
    title="Units",
    also="inch inches mil thou pound ounce fahrenheit metric imperial units",
    summary="One amount in another unit of the same kind.",
    group="8 units",
    inputs=(
        Input("value", kind="word", help="Amount", example="10.2 kgf cm"),
        Input("to", kind="word", help="Unit wanted", example="N m"),
    ),
    outputs=(Output("value", kind="in:to", help="In that unit"),),
    formula="base factors are exact: inch, pound, standard gravity; the rest follows",
    function=_convert,
    judge=_judge_convert,
    choose=_choose_convert,
    sources=("NIST Special Publication 811 (2008), Appendix B", "AWG sizes: ASTM B258"),
)

CALCULATORS = (MARKING, PREFERRED, CONVERT)
