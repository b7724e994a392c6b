"""How many spares to carry, and how long a clean run has to be before it means something."""

from __future__ import annotations

from math import ceil, exp, lgamma, log
from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

MOST_SPARES = 1000
_SLACK = 1e-9
"""Keeps a count that comes out whole from being raised by the last bit."""


TRUSTED = 0.9
"""Confidence below which a number of spares is warned of; our own choice."""


def enough(mean: float, spares: int) -> float:
    """Chance that demand does not exceed the spares: Σ e^−m m^k / k!, k to the number of spares."""
    if mean <= 0:
        return 1.0
    return min(1.0, sum(exp(k * log(mean) - mean - lgamma(k + 1)) for k in range(spares + 1)))


def _share(at: Point, key: str) -> float:
    if key not in at:
        raise CalcError("is needed too", key=key, hint="type it like 90 % or 0.9")
    value = at[key]
    if not 0 < value < 1:
        raise CalcError("must lie between 0 and 1", key=key, hint="type it like 90 % or 0.9")
    return value


# -- spares ----------------------------------------------------------------------------------------------------------


def _choose_spares(spread: Spread) -> Mapping[str, Chosen]:
    """How many to carry: as typed, or enough at the nominal rate and time."""
    at = spread.at
    if "spares" in at:
        return {"carried": at["spares"]}
    wanted = at.get("confidence", 0.95)
    if not 0 < wanted < 1:
        raise CalcError("must lie between 0 and 1", key="confidence", hint="type it like 90 % or 0.9")
    mean = at["quantity"] * at["rate"] * at["time"]
    return {"carried": float(next((n for n in range(MOST_SPARES) if enough(mean, n) >= wanted - 1e-12), MOST_SPARES))}


def _spares(at: Point) -> Mapping[str, float | str]:
    mean = at["quantity"] * at["rate"] * at["time"]
    if mean > 500:
        raise CalcError("so many failures are expected that spares are no answer", key="rate")
    spares = int(at["carried"])
    return {"spares": float(spares), "confidence": enough(mean, spares), "expected": mean}


def _judge_spares(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(f"expected failures = {text('quantity')} × {text('rate')} × {text('time')} = {text('expected')}")
    say.work(
        f"{case.outputs['spares'].text} spares are enough with {case.outputs['confidence'].text} "
        "(Poisson: Σ e^−m m^k / k!)"
    )
    if "spares" in case.given and case.out("confidence") < TRUSTED:
        short = format_value(1 - case.out("confidence"), "ratio", digits=2)
        say.warn(f"With so many the kit falls short on {short} of such tours.")
    say.note(
        "Pots and switches wear out instead of failing at a steady rate: for them count cycles against rated life."
    )


SPARES = Calculator(
    "spares",
    title="Spares for a tour",
    summary="How many spares are enough, or how sure so many make you.",
    group="7 spares and trust",
    inputs=(
        Input("rate", kind="rate", help="Failures of one part", example="0.001/h or 5 per hour"),
        Input("time", kind="time", help="Time in use", example="500 h"),
        Input("quantity", kind="count", help="How many are in use", default="1", least=1, most=100_000),
        Input("confidence", kind="ratio", help="Wanted, 95 % when left out", optional=True),
        Input("spares", kind="count", help="Carried, to find the confidence", optional=True, least=0, most=MOST_SPARES),
    ),
    outputs=(
        Output("spares", kind="count", help="To carry"),
        Output("confidence", kind="ratio", help="Chance that they are enough"),
        Output("expected", kind="number", help="Failures expected"),
    ),
    formula="P = Σ e^−m m^k / k! for k from 0 to spares, m = quantity × rate × time",
    function=_spares,
    judge=_judge_spares,
    choose=_choose_spares,
    sources=("MIL-HDBK-338B section 5.3.8, eq. 5.58",),
)


# -- soak ------------------------------------------------------------------------------------------------------------


def _poisson_mean(failures: int, confidence: float) -> float:
    """Expected failures at which seeing at most so many has the chance 1 − confidence, by halving."""
    low, high = 0.0, 20.0 * (failures + 10)
    for _ in range(200):
        middle = (low + high) / 2
        if enough(middle, failures) > 1 - confidence:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _soak(at: Point) -> Mapping[str, float | str]:
    found: dict[str, float | str] = {}
    if "failure-share" in at:
        shows = _share(at, "failure-share")
        risk = _share(at, "risk") if "risk" in at else 1 - _share(at, "confidence")
        found["runs"] = float(max(1, ceil(log(risk) / log(1 - shows) - _SLACK)))
    elif "reliability" in at:
        found["runs"] = float(max(1, ceil(log(1 - _share(at, "confidence")) / log(_share(at, "reliability")) - _SLACK)))
    if "mtbf" in at:
        found["time"] = at["mtbf"] * _poisson_mean(int(at["failures"]), _share(at, "confidence"))
    if not found:
        raise CalcError(
            "nothing says what is to be shown", key="reliability", hint="type reliability, failure-share or mtbf"
        )
    return found


def _judge_soak(case: Case, say: Remarks) -> None:
    text = case.text
    if "failure-share" in case:
        say.work(f"runs = ⌈ln(risk) / ln(1 − {text('failure-share')})⌉ = {text('runs')}")
        say.note(f"A fault that showed in {text('failure-share')} of the tries would have shown again by then.")
    elif "runs" in case:
        say.work(f"runs = ⌈ln(1 − {text('confidence')}) / ln({text('reliability')})⌉ = {text('runs')}")
        fewer = format_number(max(0.0, case.out("runs") - 1))
        say.note(f"Counted with a uniform prior it is one run fewer ({fewer}).")
    if "time" in case:
        allowed = text("failures")
        say.work(f"time = {text('mtbf')} × x, where at most {allowed} failures in x has the chance 1 − confidence")
        say.work(f"time = {text('time')}; without failures x = −ln(1 − confidence)")
    say.note("One failure starts the count again; wiggling and warming shorten it.")


SOAK = Calculator(
    "soak",
    title="Clean runs and soak time",
    summary="How many clean tries, or hours, before a repair or a unit is believed.",
    group="7 spares and trust",
    inputs=(
        Input("reliability", kind="ratio", help="Chance of a clean try, to be shown", optional=True),
        Input("confidence", kind="ratio", help="How sure", optional=True),
        Input("failure-share", kind="ratio", help="Share of tries the fault showed in before", optional=True),
        Input("risk", kind="ratio", help="Chance of missing it that is accepted", optional=True),
        Input("mtbf", kind="time", help="Mean time between failures, to be shown", optional=True),
        Input("failures", kind="count", help="Failures allowed during the time", default="0", least=0, most=100),
    ),
    outputs=(
        Output("runs", kind="count", help="Clean tries"),
        Output("time", kind="time", help="Length of the soak"),
    ),
    formula="runs = ln(1 − confidence) / ln(reliability), or ln(risk) / ln(1 − share); time = −mtbf ln(1 − confidence)",
    function=_soak,
    judge=_judge_soak,
    sources=(
        "success-run theorem (as in MIL-HDBK-338B); NIST/SEMATECH e-Handbook of Statistical Methods, section 8.3.1.5",
    ),
    cautions=(
        "A soak is not left alone: supply with a current limit, on metal or tile, at most 50 °C with faders fitted.",
    ),
)

CALCULATORS = (SPARES, SOAK)
