"""What meets the world outside the panel: the MIDI current loop, batteries on the road, and ears."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Input, Output, Point, Remarks
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

HOUR = 3600.0

# -- midi-loop -------------------------------------------------------------------------------------------------------

LOOP_CURRENT = 5e-3
"""A; a receiver turns on below this (IEC 63035:2017 clause 4.1)."""


def _midi_loop(at: Point) -> Mapping[str, float | str]:
    left = max(0.0, at["supply"] - at["led-voltage"] - at["driver-low"])
    if "resistance" in at:
        return {"current": left / at["resistance"], "resistance": at["resistance"]}
    current = at.need("current", "when the resistance is left out")
    return {"current": current, "resistance": left / current}


def _judge_midi_loop(case: Case, say: Remarks) -> None:
    text = case.text
    drops = f"{text('supply')} − {text('led-voltage')} − {text('driver-low')}"
    if "resistance" in case.given and "current" in case.given:
        say.note("The current typed was not used: the resistance gives it. Leave one of them out.")
    if "resistance" in case.given:
        say.work(f"current = ({drops}) / {text('resistance')} = {case.outputs['current'].text}")
    else:
        say.work(f"total resistance = ({drops}) / {text('current')} = {case.outputs['resistance'].text}")
    low, high = case.low("current"), case.high("current")
    if "resistance" not in case.given:
        # The resistance found is then fitted, and the supply and the LED have their spread all the same.
        spread = case.spread
        most = spread.high("supply") - spread.low("led-voltage") - spread.low("driver-low")
        least = spread.low("supply") - spread.high("led-voltage") - spread.high("driver-low")
        low, high = max(0.0, least) / case.out("resistance"), most / case.out("resistance")
    if low < 0.9 * LOOP_CURRENT:
        say.warn(f"{format_value(low, 'current', digits=3)} may be too little; the standard's loop current is 5 mA.")
    else:
        say.ok(f"{format_value(low, 'current', digits=3)} or more turns a receiver on; the standard asks for 5 mA.")
    if high > 2 * LOOP_CURRENT:
        say.note(
            f"{format_value(high, 'current', digits=3)} is far above the 5 mA of the standard: a value may be wrong."
        )


MIDI_LOOP = Calculator(
    "midi-loop",
    title="MIDI current loop",
    also="optocoupler five-pin DIN",
    summary="Current through the loop, or the total resistance for a current.",
    group="6 power, MIDI, hearing",
    inputs=(
        Input("supply", kind="voltage", help="Supply of the sender"),
        Input("led-voltage", kind="voltage", help="Across the receiver's LED"),
        Input("resistance", kind="resistance", help="All resistors of the loop together", optional=True),
        Input("driver-low", kind="voltage", help="Left across the driver", default="0 V", least=0),
        Input("current", kind="current", help="Wanted, to find the resistance", optional=True),
    ),
    outputs=(
        Output("current", kind="current", help="In the loop"),
        Output("resistance", kind="resistance", help="All resistors together"),
    ),
    formula="current = (supply − led-voltage − driver-low) / resistance",
    function=_midi_loop,
    judge=_judge_midi_loop,
    sources=("MIDI 1.0 current loop: IEC 63035:2017 clause 4.1; 3.3 V senders: MIDI Association CA-033 (2014)",),
)


# -- battery ---------------------------------------------------------------------------------------------------------

FREE_ENERGY = 100.0
APPROVED_ENERGY = 160.0
"""W·h up to which a lithium battery flies in the cabin freely, and with the airline's approval."""


def flight_rule(energy: float) -> str:
    """What the airline rules say of a lithium battery of that energy in W·h."""
    if energy <= FREE_ENERGY * (1 + 1e-9):
        return "cabin only, terminals covered; no approval needed up to 100 W·h"
    if energy <= APPROVED_ENERGY * (1 + 1e-9):
        return "cabin only, terminals covered; airline approval, at most two (100 to 160 W·h)"
    return "not as passenger baggage (above 160 W·h)"


def _battery(at: Point) -> Mapping[str, float | str]:
    energy = at["voltage"] * at["capacity"]
    found: dict[str, float | str] = {"energy": energy}
    if "load" in at:
        hours = energy / at["load"] if at.word("load-kind") == "power" else at["capacity"] / at["load"]
        found["runtime"] = hours * HOUR
    found["flight-rule"] = flight_rule(energy)
    return found


def _judge_battery(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(f"energy = {text('voltage')} × {text('capacity')} = {text('energy')}")
    if "runtime" in case:
        say.work(f"runtime at {text('load')} = {text('runtime')}, with nothing lost on the way")
        say.note("Converters and an ageing cell take their share: plan with two thirds of this (estimate).")
    rule = flight_rule(case.high("energy"))
    if case.high("energy") > FREE_ENERGY * (1 + 1e-9):
        say.warn(f"By air, if lithium: {rule}.")
    else:
        say.ok(f"By air, if lithium: {rule}.")
    say.note("Rules change yearly and some airlines are stricter: look before each trip. A swollen cell never flies.")


BATTERY = Calculator(
    "battery",
    title="Battery",
    summary="Energy, runtime, and whether it may fly.",
    group="6 power, MIDI, hearing",
    inputs=(
        Input("voltage", kind="voltage", help="Rated voltage"),
        Input("capacity", kind="charge", help="Rated capacity"),
        Input("load", kind="power|current", help="What is drawn", optional=True, example="2.5 W or 300 mA"),
    ),
    outputs=(
        Output("energy", kind="energy", help="Rated energy"),
        Output("runtime", kind="time", help="At that load"),
        Output("flight-rule", kind="text", help="As spare in passenger baggage"),
    ),
    formula="energy = voltage × capacity; runtime = energy / power, or capacity / current",
    function=_battery,
    judge=_judge_battery,
    sources=("lithium batteries by air: IATA dangerous goods summary (2026) and FAA text: 100 and 160 W·h",),
    cautions=("Lithium cells: never puncture, never charge unattended; swollen, dented or hot ones are handed in.",),
)


# -- sound-exposure --------------------------------------------------------------------------------------------------

_RULES = {"niosh": (85.0, 3.0), "osha": (90.0, 5.0)}
"""Level in dB(A) allowed for 8 h, and the dB that halve the time."""


def _sound(at: Point) -> Mapping[str, float | str]:
    base, exchange = _RULES[at.word("rule")]
    return {"allowed-time": 8 * HOUR * 2.0 ** ((base - at["level"]) / exchange)}


def _judge_sound(case: Case, say: Remarks) -> None:
    base, exchange = _RULES[case.at.word("rule")]
    say.work(
        f"time = 8 h / 2^(({case.text('level')} − {format_number(base)}) / {format_number(exchange)}) "
        f"= {case.text('allowed-time')}"
    )
    level = case.spread.high("level")
    strict = 8 * HOUR * 2.0 ** ((85.0 - level) / 3.0)
    if case.at.word("rule") == "osha":
        say.note(f"The stricter NIOSH figure is {format_value(strict, 'time')}; ears follow that one.")
    if level >= 85:
        say.warn(
            f"At most {format_value(strict, 'time', digits=3)} a day by the stricter rule. Hearing does not come back: "
            "turn down before plugging in, headphones off the ears at first power."
        )
    else:
        say.ok("Below 85 dB(A): no limit for a working day by either rule.")


SOUND_EXPOSURE = Calculator(
    "sound-exposure",
    title="Sound exposure",
    also="headphone headphones ears hearing loud decibel dB",
    summary="How long a sound level may be worked in.",
    group="6 power, MIDI, hearing",
    inputs=(
        Input("level", kind="sound-level", help="A-weighted level", example="94 dB", least=0, most=200),
        Input("rule", kind="choice", help="Whose limit", default="niosh", choices=tuple(_RULES)),
    ),
    outputs=(Output("allowed-time", kind="time", help="Allowed per day"),),
    formula="time = 8 h / 2^((level − 85) / 3), or with 90 and 5",
    function=_sound,
    judge=_judge_sound,
    sources=("NIOSH REL 85 dB(A) 8 h, 3 dB exchange", "OSHA 29 CFR 1910.95: 90 dB(A) 8 h, 5 dB exchange"),
)

CALCULATORS = (MIDI_LOOP, BATTERY, SOUND_EXPOSURE)
