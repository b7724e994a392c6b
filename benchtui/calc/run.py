"""Texts in, result out: the one path that the form, the command line, a step's panel and the tests all take."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Final

from benchtui.calc.bands import root_sum_square, worst_case
from benchtui.calc.calculator import Point, Remarks, Spread
from benchtui.calc.entry import Given, read
from benchtui.calc.result import Case, Result, Value, value_in, value_of
from benchtui.errors import CalcError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.calculator import Calculator


UNSURE: Final = "not over all tolerances"
"""What stands in place of "yes" where the answer is yes at the nominal values only."""


def run(calculator: Calculator, texts: Mapping[str, str]) -> Result:
    """Answer one case.

    Args:
        calculator: From the catalogue.
        texts: What was typed, by key; an empty text counts as left out.

    Raises:
        CalcError: One sentence on what is wrong, with the key of the input at fault.
    """
    given = read_all(calculator, texts)
    try:
        return _answer(calculator, given)
    except (ArithmeticError, ValueError) as error:
        if isinstance(error, CalcError):
            raise
        raise CalcError("these values give no answer", hint="look at the largest and the smallest of them") from None


def read_all(calculator: Calculator, texts: Mapping[str, str]) -> dict[str, Given]:
    """Every input as typed or by its default, in the order of the form.

    Raises:
        CalcError: One of them is not understood, or missing.
    """
    for key in texts:
        calculator.input(key)
    given: dict[str, Given] = {}
    for entry in calculator.inputs:
        text = texts.get(entry.key, "").strip() or entry.default
        if text:
            given[entry.key] = read(entry, text)
        elif entry.required:
            choices = f": {', '.join(entry.choices)}" if entry.choices else ""
            raise CalcError("is needed", key=entry.key, hint=f"it is {_lower(entry.help)}{choices}")
    return given


def check_typed(calculator: Calculator, texts: Mapping[str, str]) -> None:
    """Read what is typed, whether or not something else is still missing.

    Raises:
        CalcError: One of the texts is not understood.
    """
    for entry in calculator.inputs:
        text = texts.get(entry.key, "").strip()
        if text:
            read(entry, text)


def spread_of(calculator: Calculator, given: Mapping[str, Given]) -> Spread:
    """The point of a case, parts chosen, with the span of everything that has a tolerance.

    Raises:
        CalcError: No part can be chosen.
    """
    numbers = {key: one.amount.value for key, one in given.items() if one.amount is not None}
    words = {key: one.word for key, one in given.items() if one.amount is None}
    # Where an input may be of several kinds, the function has to know which it was.
    words |= {
        f"{one.key}-kind": given[one.key].kind for one in calculator.inputs if "|" in one.kind and one.key in given
    }
    spans = {
        key: (one.amount.low, one.amount.high)
        for key, one in given.items()
        if one.amount is not None and not one.amount.exact
    }
    if calculator.choose is not None:
        for key, chosen in calculator.choose(Spread(Point(numbers, words), spans)).items():
            if isinstance(chosen, tuple):
                numbers[key] = chosen[0]
                if chosen[1] != chosen[2]:
                    spans[key] = chosen[1:]
            else:
                numbers[key] = chosen
    return Spread(Point(numbers, words), spans)


def _answer(calculator: Calculator, given: Mapping[str, Given]) -> Result:
    spread = spread_of(calculator, given)
    at, spans = spread.at, spread.spans
    values = calculator.function(at)
    texts: dict[str, list[str]] = {}
    bands = worst_case(calculator.function, at, spans, bends=calculator.bends, texts=texts) if spans else {}
    outputs = _outputs(calculator, given, values, bands)
    for key, variants in texts.items():
        if len(variants) > 1 and key in outputs:
            outputs[key] = Value("text", _over_tolerances(variants))
    for key in calculator.rss if spans else ():
        if key in outputs:
            half = root_sum_square(calculator.function, at, spans, key)
            outputs[f"{key}-rss"] = value_of(half, outputs[key].kind, None)
    case = Case(spread, given, outputs)
    remarks = Remarks()
    calculator.judge(case, remarks)
    return Result(
        calculator.name,
        given,
        outputs,
        tuple(remarks.verdicts),
        tuple(remarks.working),
        tuple(dict.fromkeys((*remarks.sources, *calculator.sources))),
        calculator.cautions,
        tuple(calculator.picture(case)) if calculator.picture is not None else (),
    )


def _outputs(
    calculator: Calculator,
    given: Mapping[str, Given],
    values: Mapping[str, float | str],
    bands: Mapping[str, tuple[float, float]],
) -> dict[str, Value]:
    outputs: dict[str, Value] = {}
    for entry in calculator.outputs:
        if entry.key not in values:
            continue
        value = values[entry.key]
        if not isinstance(value, str) and not isfinite(value):
            raise CalcError("these values give no answer", hint="look at the largest and the smallest of them")
        if entry.kind.startswith("in:"):
            outputs[entry.key] = value_in(value, given[entry.kind[3:]].word, bands.get(entry.key))
            continue
        kind = given[entry.kind[1:]].kind if entry.kind.startswith("=") else entry.kind
        outputs[entry.key] = value_of(value, kind, bands.get(entry.key), digits=entry.digits)
    return outputs


def _over_tolerances(variants: list[str]) -> str:
    """A text output that is not the same over all tolerances: an answer of yes is then no answer."""
    return UNSURE if set(variants) <= {"yes", "no", UNSURE} else " or ".join(variants)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
