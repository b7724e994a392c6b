"""Analogue inputs: their step, how slow a source they stand, and the noise nothing gets below."""

from __future__ import annotations

from math import exp, log, log10, sqrt
from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Input, Output, Point, Remarks
from benchtui.calc.entry import ABSOLUTE_ZERO
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

BOLTZMANN = 1.380649e-23
"""J/K, exact in the SI."""


def _kelvin(at: Point) -> float:
    return at["temperature"] - ABSOLUTE_ZERO


# -- adc -------------------------------------------------------------------------------------------------------------


def _adc(at: Point) -> Mapping[str, float | str]:
    bits = int(at["bits"])
    codes = 2.0**bits
    found: dict[str, float | str] = {}
    if "reference" in at:
        lsb = at["reference"] / (codes - 1 if at.word("convention") == "2^n-1" else codes)
        found["lsb"] = lsb
        found["quantisation-noise"] = lsb / sqrt(12)
    found["snr"] = 20 * log10(codes) + 10 * log10(1.5)
    if "sample-capacitance" in at:
        found["sampling-noise"] = sqrt(BOLTZMANN * _kelvin(at) / at["sample-capacitance"])
    if "clock" in at and "cycles" in at:
        time = at["cycles"] / at["clock"]
        found["sample-time"] = time
        if "sample-capacitance" in at:
            switch = at.get("switch-resistance", 0.0)
            allowed = time / (at["sample-capacitance"] * log(4 * codes)) - switch
            found["max-source-resistance"] = max(0.0, allowed)
            if "source-resistance" in at:
                whole = at["source-resistance"] + switch
                found["settling-error"] = exp(-time / (whole * at["sample-capacitance"]))
    return found


def _judge_adc(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    bits = int(at["bits"])
    if "lsb" in case:
        codes = f"{2**bits} − 1" if at.word("convention") == "2^n-1" else f"{2**bits}"
        say.work(f"step = {text('reference')} / {codes} = {text('lsb')}")
        other = at["reference"] / (2**bits if at.word("convention") == "2^n-1" else 2**bits - 1)
        say.note(
            f"Data sheets divide by 2^N, many drivers by 2^N − 1: the other convention gives "
            f"{format_value(other, 'voltage', digits=5)}."
        )
    say.work(f"best signal-to-noise = 6.02 × {bits} + 1.76 = {text('snr')}")
    if "max-source-resistance" in case:
        say.work(
            f"largest source = {text('sample-time')} / ({text('sample-capacitance')} × ln 2^{bits + 2}) − switch "
            f"= {text('max-source-resistance')} for a quarter step"
        )
        if case.high("max-source-resistance") == 0:
            say.warn("Even a source without resistance does not settle in this time: sample longer.")
    if "settling-error" in case:
        steps = case.high("settling-error") * 2**bits
        words = f"{format_number(steps, digits=2)} of a step for a full-scale change"
        if steps <= 0.25 * (1 + 1e-9):
            say.ok(f"It settles to {words}.")
        else:
            say.warn(f"It is off by {words}: sample longer, or lower the source resistance.")
    if "lsb" in case and "sampling-noise" in case and case.out("sampling-noise") > case.out("lsb") / 2:
        say.note("The sampling noise is more than half a step: average several readings.")


ADC = Calculator(
    "adc",
    title="Analogue input",
    summary="Step, sample time, the largest source resistance, and the noise of a converter.",
    group="5 time and signals",
    inputs=(
        Input("bits", kind="count", help="Resolution", least=1, most=32),
        Input("reference", kind="voltage", help="Full-scale voltage", optional=True),
        Input("convention", kind="choice", help="What a step is a share of", default="2^n", choices=("2^n", "2^n-1")),
        Input("clock", kind="frequency", help="Converter clock", optional=True),
        Input("cycles", kind="number", help="Clock cycles of sampling", optional=True, least=0.001),
        Input("sample-capacitance", kind="capacitance", help="From the sheet", optional=True),
        Input("switch-resistance", kind="resistance", help="From the sheet", optional=True, least=0),
        Input("source-resistance", kind="resistance", help="Of what drives the input", optional=True),
        Input("temperature", kind="temperature", help="For the sampling noise", default="27 degC"),
    ),
    outputs=(
        Output("lsb", kind="voltage", help="One step"),
        Output("sample-time", kind="time", help="Time the input is sampled"),
        Output("max-source-resistance", kind="resistance", help="Settles to a quarter step"),
        Output("settling-error", kind="ratio", help="Left of a full-scale change"),
        Output("snr", kind="sound-level", help="Best signal-to-noise ratio"),
        Output("quantisation-noise", kind="voltage", help="Step / √12"),
        Output("sampling-noise", kind="voltage", help="√(kT/C)"),
    ),
    formula="step = reference / 2^N; source ≤ sample-time / (C ln 2^(N+2)) − switch; SNR = 6.02 N + 1.76 dB",
    function=_adc,
    judge=_judge_adc,
    sources=(
        "largest source for a quarter step: a controller maker's data sheet, analogue input equation",
        "quantisation and kT/C noise: converter textbooks; k exact in the SI (9th edition)",
    ),
)


# -- thermal-noise ---------------------------------------------------------------------------------------------------


def _thermal_noise(at: Point) -> Mapping[str, float | str]:
    if _kelvin(at) < 0:
        raise CalcError("is below absolute zero", key="temperature")
    return {"rms": sqrt(4 * BOLTZMANN * _kelvin(at) * at["resistance"] * at["bandwidth"])}


def _judge_thermal_noise(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(f"rms = √(4 k × {_kelvin(case.at):.2f} K × {text('resistance')} × {text('bandwidth')}) = {text('rms')}")


THERMAL_NOISE = Calculator(
    "thermal-noise",
    title="Noise of a resistor",
    summary="The noise any resistance makes at a temperature in a bandwidth.",
    group="5 time and signals",
    inputs=(
        Input("resistance", kind="resistance", help="Resistance"),
        Input("bandwidth", kind="frequency", help="Noise bandwidth"),
        Input("temperature", kind="temperature", help="Of the resistor", default="27 degC"),
    ),
    outputs=(Output("rms", kind="voltage", help="Noise voltage"),),
    formula="rms = √(4 k T R B)",
    function=_thermal_noise,
    judge=_judge_thermal_noise,
    sources=("Johnson and Nyquist (1928); k exact in the SI",),
)

CALCULATORS = (ADC, THERMAL_NOISE)
