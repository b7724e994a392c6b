"""Power over USB: what a port has left, how long a cable may be, and what a Type-C source says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Input, Output, Point, Remarks
from benchtui.calc.tables import copper, usb
from benchtui.errors import CalcError
from benchtui.units import format_value
from benchtui.units.conductor import awg_of_area

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

# -- usb-budget ------------------------------------------------------------------------------------------------------


def _budget(at: Point) -> Mapping[str, float | str]:
    limit = usb.PORTS[at.word("port")].current
    total = at["loads"]
    found: dict[str, float | str] = {"total": total, "left": limit - total, "limit": limit}
    charge = at.get("capacitance", 0.0) * usb.INRUSH_VOLTAGE
    if "capacitance" in at:
        found["inrush-charge"] = charge
    heavy = charge > usb.INRUSH_CAPACITANCE * usb.INRUSH_VOLTAGE * (1 + 1e-9)
    found["verdict"] = "too much" if total > limit * (1 + 1e-9) else ("too much at attach" if heavy else "fits")
    return found


def _judge_budget(case: Case, say: Remarks) -> None:
    text = case.text
    port = usb.PORTS[case.at.word("port")]
    say.work(f"left = {text('limit')} − {text('total')} = {text('left')}")
    most = format_value(case.high("total"), "current")
    if case.high("total") > port.current * (1 + 1e-9):
        say.warn(f"Up to {most} is more than the {text('limit')} of {port.words}.")
    else:
        say.ok(f"At most {most} of the {text('limit')} of {port.words}.")
    if port.lowest < 4.75:
        say.note(f"Such a port may have no more than {port.lowest:g} V: look at the voltage too.")
    if "capacitance" in case.given:
        say.work(f"charge at attach = {text('capacitance')} × 5 V = {text('inrush-charge')}")
        if case.spread.high("capacitance") > usb.INRUSH_CAPACITANCE * (1 + 1e-9):
            say.warn(f"{text('capacitance')} is more than the 10 µF a port may be asked to charge at attach.")
        say.source(usb.INRUSH_SOURCE)
    say.note(f"When the computer sleeps: {usb.SUSPEND}.")


USB_BUDGET = Calculator(
    "usb-budget",
    title="Current from a USB port",
    also="power current port hub milliamps",
    summary="Adds up what a unit draws and says whether the port gives it.",
    group="6 power, MIDI, hearing",
    inputs=(
        Input("port", kind="choice", help="Port it hangs on", choices=tuple(usb.PORTS)),
        Input("loads", kind="sum:current", help="Currents added up", example="40 mA + 16 x 5 mA", least=0),
        Input("capacitance", kind="capacitance", help="Between the supply pins at attach", optional=True),
    ),
    outputs=(
        Output("total", kind="current", help="All loads"),
        Output("limit", kind="current", help="What the port gives"),
        Output("left", kind="current", help="To spare"),
        Output("inrush-charge", kind="electric-charge", help="Drawn at attach"),
        Output("verdict", kind="text", help="Whether it fits"),
    ),
    formula="left = limit of the port − sum of the loads; charge = capacitance × 5 V",
    function=_budget,
    judge=_judge_budget,
    sources=(usb.SOURCE,),
)


# -- usb-cable -------------------------------------------------------------------------------------------------------


def _per_length(at: Point) -> float | None:
    if "resistance-per-length" in at:
        return at["resistance-per-length"]
    if "gauge" not in at:
        return None
    number = awg_of_area(at["gauge"])
    known = next((ohms for size, ohms in usb.CABLE.items() if abs(size - number) < 1e-3), None)
    return copper.RESISTIVITY * copper.STRANDED / at["gauge"] if known is None else known


def _cable_budget(at: Point) -> float:
    """Resistance allowed in each conductor, in Ω."""
    if "budget-resistance" in at:
        return at["budget-resistance"]
    if "current" in at and "min-voltage" in at:
        if at["min-voltage"] >= at["supply"]:
            raise CalcError("must lie below the port's voltage", key="min-voltage")
        return (at["supply"] - at["min-voltage"]) / (2 * at["current"])
    return usb.CABLE_BUDGET


def _cable(at: Point) -> Mapping[str, float | str]:
    budget = _cable_budget(at)
    found: dict[str, float | str] = {"conductor-resistance": budget}
    per_length = _per_length(at)
    if per_length is not None:
        found["length"] = min(budget / per_length, usb.CABLE_LONGEST)
        found["resistance-per-length"] = per_length
    if "current" in at:
        found["drop"] = 2 * at["current"] * budget
        found["far-voltage"] = max(0.0, at["supply"] - 2 * at["current"] * budget)
    return found


def _judge_cable(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    if "length" in case:
        say.work(
            f"length = {text('conductor-resistance')} / {case.outputs['resistance-per-length'].text} = {text('length')}"
        )
        if case.high("length") >= usb.CABLE_LONGEST:
            say.note("By resistance it could be longer; the delay of the signals ends it at 5 m.")
    else:
        say.note("Type gauge or resistance-per-length for the longest cable.")
    if "budget-resistance" not in at and not ("current" in at and "min-voltage" in at):
        say.note("Taken: 0.190 Ω of wire in each conductor, what a USB 2.0 cable may have.")
    say.source(usb.CABLE_SOURCE)
    if "drop" in case:
        say.work(f"drop, there and back = 2 × {text('current')} × {text('conductor-resistance')} = {text('drop')}")
        low = format_value(case.low("far-voltage"), "voltage")
        if case.low("far-voltage") < 4.4:
            say.warn(f"Only {low} may be left at the unit; below 4.40 V it counts as a fault.")
        elif case.low("far-voltage") < 4.5:
            say.note(f"{low} is left at the unit; 4.50 V and more is good.")
        else:
            say.ok(f"{low} or more is left at the unit.")


USB_CABLE = Calculator(
    "usb-cable",
    title="USB cable",
    also="lead voltage drop length",
    summary="The longest cable of a gauge, and what it loses.",
    group="6 power, MIDI, hearing",
    inputs=(
        Input("gauge", kind="conductor", help="Of the power pair", optional=True),
        Input("resistance-per-length", kind="resistance-per-length", help="Instead of the gauge", optional=True),
        Input("budget-resistance", kind="resistance", help="Allowed in each conductor", optional=True),
        Input("current", kind="current", help="Drawn by the unit", optional=True),
        Input("min-voltage", kind="voltage", help="Least wanted at the unit", optional=True),
        Input("supply", kind="voltage", help="At the port", default="4.75 V"),
    ),
    outputs=(
        Output("length", kind="length", help="Longest cable"),
        Output("drop", kind="voltage", help="Lost there and back"),
        Output("far-voltage", kind="voltage", help="Left at the unit"),
        Output("conductor-resistance", kind="resistance", help="Allowed in each conductor"),
        Output("resistance-per-length", kind="resistance-per-length", help="Of each conductor"),
    ),
    formula="length = allowed resistance / resistance per length; drop = 2 × current × resistance",
    function=_cable,
    judge=_judge_cable,
    sources=(usb.SOURCE,),
)


# -- usb-c-sense -----------------------------------------------------------------------------------------------------


def _sense(at: Point) -> Mapping[str, float | str]:
    if "source-current" in at:
        voltage = at["source-current"] * at["pull-down"]
    else:
        supply = at.need("supply", "with a pull-up, or type source-current")
        pull_up = at.need("pull-up", "with a supply, or type source-current")
        voltage = supply * at["pull-down"] / (pull_up + at["pull-down"])
    said = next((words for edge, words in usb.SENSE if voltage < edge), "out of range")
    return {"voltage": voltage, "advertised": said}


def _judge_sense(case: Case, say: Remarks) -> None:
    text = case.text
    if "source-current" in case:
        say.work(f"voltage = {text('source-current')} × {text('pull-down')} = {text('voltage')}")
    else:
        say.work(
            f"voltage = {text('supply')} × {text('pull-down')} / ({text('pull-up')} + {text('pull-down')}) "
            f"= {text('voltage')}"
        )
    say.work(f"that says: {text('advertised')}")
    classes = {
        next((words for edge, words in usb.SENSE if voltage < edge), "out of range")
        for voltage in (case.low("voltage"), case.high("voltage"))
    }
    if len(classes) > 1:
        say.warn(f"Over the tolerances it may be read as {' or '.join(sorted(classes))}.")
    elif "out of range" in classes or "none" in classes:
        say.warn("No source of the standard gives this voltage at the pin.")
    else:
        say.ok("Read the same over all tolerances.")
    say.note("One pull-down missing: works one way up only. Both missing: dead from a Type-C source.")


USB_C_SENSE = Calculator(
    "usb-c-sense",
    title="Type-C current sensing",
    summary="The voltage at the configuration pin and the current the source says it gives.",
    group="6 power, MIDI, hearing",
    inputs=(
        Input("pull-down", kind="resistance", help="At the sink, 5.1 kΩ", example="5.1 kohm ±10 %"),
        Input(
            "source-current", kind="current", help="Current source of the port", optional=True, example="330 uA ±8 %"
        ),
        Input("pull-up", kind="resistance", help="Or its pull-up", optional=True),
        Input("supply", kind="voltage", help="And what it pulls up to", optional=True),
    ),
    outputs=(
        Output("voltage", kind="voltage", help="At the pin"),
        Output("advertised", kind="text", help="What the source says it gives"),
    ),
    formula="voltage = source-current × pull-down, or supply × pull-down / (pull-up + pull-down)",
    function=_sense,
    judge=_judge_sense,
    sources=(usb.SENSE_SOURCE,),
)

CALCULATORS = (USB_BUDGET, USB_CABLE, USB_C_SENSE)
