"""Resistors with capacitors: filters, debouncing a contact, and emptying a charged capacitor."""

from __future__ import annotations

from math import exp, log, pi
from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Input, Output, Point, Remarks
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

TOUCHABLE = 60.0
"""V DC above which a part is not touched (IEC 61140 and product standards)."""


def _check_fraction(at: Point) -> None:
    if not 0 < at["fraction"] < 1:
        raise CalcError("must lie between 0 and 1", key="fraction", hint="type it like 0.7 or 70 %")


# -- rc --------------------------------------------------------------------------------------------------------------


def _rc(at: Point) -> Mapping[str, float | str]:
    tau = at["resistance"] * at["capacitance"]
    found: dict[str, float | str] = {"time-constant": tau, "corner-frequency": 1 / (2 * pi * tau)}
    if "supply" in at:
        found["peak-current"] = at["supply"] / at["resistance"]
        found["energy"] = 0.5 * at["capacitance"] * at["supply"] ** 2
        if "time" in at:
            left = exp(-at["time"] / tau)
            share = left if at.word("direction") == "discharge" else 1 - left
            found["voltage-at"] = at["supply"] * share
    if "fraction" in at:
        _check_fraction(at)
        falling = at.word("direction") == "discharge"
        found["time-to"] = -tau * log(at["fraction"] if falling else 1 - at["fraction"])
    return found


def _judge_rc(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(f"time constant = {text('resistance')} × {text('capacitance')} = {text('time-constant')}")
    say.work(f"corner = 1 / (2π × {text('time-constant')}) = {text('corner-frequency')}")
    falling = case.at.word("direction") == "discharge"
    if "voltage-at" in case:
        form = "exp(−t / RC)" if falling else "(1 − exp(−t / RC))"
        say.work(f"after {text('time')}: {text('supply')} × {form} = {text('voltage-at')}")
    if "time-to" in case:
        form = "−RC ln(fraction)" if falling else "−RC ln(1 − fraction)"
        say.work(f"to reach {text('fraction')}: {form} = {text('time-to')}")
    if "supply" in case and case.spread.high("supply") > TOUCHABLE:
        say.warn(f"Above {format_number(TOUCHABLE)} V DC the capacitor is not touched, nor its leads.")


RC = Calculator(
    "rc",
    title="Resistor and capacitor",
    summary="Time constant, corner frequency, and how a capacitor charges or empties.",
    group="5 time and signals",
    inputs=(
        Input("resistance", kind="resistance", help="Resistance"),
        Input("capacitance", kind="capacitance", help="Capacitance"),
        Input("supply", kind="voltage", help="Charged to, or from", optional=True),
        Input("time", kind="time", help="Time after the step", optional=True, least=0),
        Input("fraction", kind="ratio", help="Share of the supply to be reached", optional=True, most=0.999999),
        Input("direction", kind="choice", help="Way it goes", default="charge", choices=("charge", "discharge")),
    ),
    outputs=(
        Output("time-constant", kind="time", help="R × C"),
        Output("corner-frequency", kind="frequency", help="Where a low-pass is 3 dB down"),
        Output("voltage-at", kind="voltage", help="At that time"),
        Output("time-to", kind="time", help="Until that share is reached"),
        Output("peak-current", kind="current", help="At the first moment"),
        Output("energy", kind="stored-energy", help="In the full capacitor"),
    ),
    formula="corner = 1 / (2π R C); charge: V (1 − exp(−t / RC)); discharge: V exp(−t / RC)",
    function=_rc,
    judge=_judge_rc,
    sources=("first-order RC circuit: any circuits textbook",),
)


# -- debounce --------------------------------------------------------------------------------------------------------


def _debounce(at: Point) -> Mapping[str, float | str]:
    _check_fraction(at)
    steps = -log(1 - at["fraction"])
    found: dict[str, float | str] = {}
    resistance = at.numbers.get("resistance")
    if resistance is None:
        wanted = at.need("time", "when the resistance is left out")
        resistance = wanted / (at["capacitance"] * steps) - at.get("pull-up", 0.0)
        if resistance <= 0:
            raise CalcError("is already slower than the time wanted", key="pull-up")
    opening = (resistance + at.get("pull-up", 0.0)) * at["capacitance"]
    found["resistance"] = resistance
    found["time-to"] = opening * steps
    found["open-time-constant"] = opening
    found["close-time-constant"] = resistance * at["capacitance"]
    if "bounce" in at:
        found["settled"] = "yes" if opening * steps >= at["bounce"] else "no"
    return found


def _judge_debounce(case: Case, say: Remarks) -> None:
    text = case.text
    whole = text("resistance") + (f" + {text('pull-up')}" if "pull-up" in case else "")
    say.work(f"time = −({whole}) × {text('capacitance')} × ln(1 − {text('fraction')}) = {text('time-to')}")
    if "bounce" in case:
        words = f"{format_value(case.low('time-to'), 'time')} against a bounce of up to {text('bounce')}"
        if case.low("time-to") >= case.spread.high("bounce"):
            say.ok(f"The filter outlasts the bounce: {words}.")
        else:
            say.note(f"The filter is shorter than the bounce ({words}): firmware must finish the job.")
    say.note("A slow edge wants an input with hysteresis (a Schmitt trigger).")


DEBOUNCE = Calculator(
    "debounce",
    title="Debouncing a contact",
    also="button switch bounce contact",
    summary="How long an RC filter holds off a bouncing contact, or the resistor that holds it off long enough.",
    group="5 time and signals",
    inputs=(
        Input("resistance", kind="resistance", help="From the contact to the capacitor", optional=True),
        Input("capacitance", kind="capacitance", help="At the input"),
        Input("fraction", kind="ratio", help="Share of the supply read as changed", default="0.7", most=0.999999),
        Input("bounce", kind="time", help="Longest bounce, from the sheet", optional=True),
        Input("pull-up", kind="resistance", help="In series when the contact opens", optional=True),
        Input("time", kind="time", help="Time wanted, to find the resistance", optional=True),
    ),
    outputs=(
        Output("time-to", kind="time", help="Until an opening contact is seen"),
        Output("settled", kind="text", help="Whether it outlasts the bounce"),
        Output("resistance", kind="resistance", help="From the contact to the capacitor"),
        Output("open-time-constant", kind="time", help="Opening, with the pull-up"),
        Output("close-time-constant", kind="time", help="Closing"),
    ),
    formula="time = −(resistance + pull-up) × capacitance × ln(1 − fraction)",
    function=_debounce,
    judge=_judge_debounce,
    sources=("RC debounce: instrument maker's application note; J. Ganssle, A Guide to Debouncing (from memory)",),
)


# -- discharge -------------------------------------------------------------------------------------------------------


def _discharge(at: Point) -> Mapping[str, float | str]:
    if at["to"] >= at["from"]:
        raise CalcError("must lie below the first voltage", key="to")
    return {
        "time": at["resistance"] * at["capacitance"] * log(at["from"] / at["to"]),
        "energy": 0.5 * at["capacitance"] * at["from"] ** 2,
        "peak-current": at["from"] / at["resistance"],
        "peak-power": at["from"] ** 2 / at["resistance"],
    }


def _judge_discharge(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(
        f"time = {text('resistance')} × {text('capacitance')} × ln({text('from')} / {text('to')}) = {text('time')}"
    )
    say.work(f"the resistor takes {text('peak-power')} at first; the capacitor holds {text('energy')}")
    if case.spread.high("from") > TOUCHABLE:
        say.warn(
            f"{text('from')} is above {format_number(TOUCHABLE)} V DC: treat it as live meanwhile. A mains supply is "
            "not opened for this; unplug it, wait, and hand it to a licensed person."
        )


DISCHARGE = Calculator(
    "discharge",
    title="Emptying a capacitor",
    also="capacitor bleed mains supply",
    summary="How long a resistor takes to bring a capacitor down to a voltage.",
    group="5 time and signals",
    inputs=(
        Input("capacitance", kind="capacitance", help="Capacitance"),
        Input("resistance", kind="resistance", help="Resistor across it"),
        Input("from", kind="voltage", help="Voltage at first"),
        Input("to", kind="voltage", help="Voltage wanted"),
    ),
    outputs=(
        Output("time", kind="time", help="Time it takes"),
        Output("energy", kind="stored-energy", help="Energy held at first"),
        Output("peak-current", kind="current", help="At the first moment"),
        Output("peak-power", kind="power", help="In the resistor at first"),
    ),
    formula="time = resistance × capacitance × ln(from / to)",
    function=_discharge,
    judge=_judge_discharge,
    sources=(
        "discharge through a resistor: any circuits textbook",
        "60 V DC touch limit: IEC 61140 and product standards",
    ),
    cautions=(
        "Measure that it is empty before touching anything; follow the local code for anything that meets mains.",
    ),
)

CALCULATORS = (RC, DEBOUNCE, DISCHARGE)
