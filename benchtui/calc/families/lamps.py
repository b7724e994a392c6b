"""Series resistors for indicator lamps, and how much power a part may take when it is warm."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc import pictures
from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.tables import ratings, series
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

LITTLE_HEADROOM = 0.4
"""V across the resistor below which the LED's own spread decides the brightness (estimate)."""

LOW_RAIL = 3.6
"""V; above this a supply is taken for a 5 V rail, which a 3.3 V pin must not see."""


# -- led -------------------------------------------------------------------------------------------------------------


def _window(spread: Spread) -> tuple[float, float]:
    """Smallest and largest value to fit, in ohm, that keeps the current inside its window.

    Over every supply, every forward voltage and the tolerance of the resistor itself, where one was given.
    """
    leds, spare = spread.at["leds"], spread.at.get("resistor-tolerance", 0.0)
    smallest = (spread.high("supply") - leds * spread.low("forward-voltage")) / spread.high("current")
    largest = (spread.low("supply") - leds * spread.high("forward-voltage")) / spread.low("current")
    return smallest / (1 - spare), largest / (1 + spare)


def _choose_led(spread: Spread) -> Mapping[str, Chosen]:
    at = spread.at
    left = at["supply"] - at["leds"] * at["forward-voltage"]
    if left <= 0:
        raise CalcError(
            f"leaves no voltage for the resistor: {format_number(at['leds'])} × "
            f"{format_value(at['forward-voltage'], 'voltage')} is not below {format_value(at['supply'], 'voltage')}",
            key="forward-voltage",
            hint="use a higher rail or fewer LEDs in a string",
        )
    exact = left / at["current"]
    picked = at.word("series")
    chosen = series.next_up(exact, picked)
    if "current" in spread.spans:
        smallest, largest = _window(spread)
        if smallest <= largest:
            # The window is what was asked for: stay inside it, as near above the nominal as it allows.
            inside = series.between(max(smallest, 1e-6), largest, picked)
            chosen = min(inside, key=lambda value: (value < exact * (1 - 1e-9), abs(value - exact)), default=chosen)
    spare = at.get("resistor-tolerance", 0.0)
    hottest = min(exact, chosen * (1 - spare))
    most = spread.high("supply") - at["leds"] * spread.low("forward-voltage")
    rating = ratings.rating_for(most * most / hottest)
    found: dict[str, Chosen] = {
        "fitted": (chosen, chosen * (1 - spare), chosen * (1 + spare)),
        "hottest": hottest,
    }
    return found if rating is None else found | {"rating": rating}


def _led(at: Point) -> Mapping[str, float | str]:
    left = max(0.0, at["supply"] - at["leds"] * at["forward-voltage"])
    current = left / at["fitted"]
    power = left * left / at["hottest"]
    return {
        "resistor": left / at["current"],
        "preferred": at["fitted"],
        "actual-current": current,
        "total-current": current * at["strings"],
        "resistor-power": power,
        "led-power": current * at["forward-voltage"],
        "headroom": left,
    } | ({"rating": at["rating"]} if "rating" in at else {})


def _judge_led(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    say.work(
        f"resistor = ({text('supply')} − {text('leds')} × {text('forward-voltage')}) / {text('current')} "
        f"= {text('resistor')}"
    )
    fitted = case.at["fitted"]
    say.work(
        f"with {format_value(fitted, 'resistance')}: ({text('supply')} − {text('leds')} × {text('forward-voltage')}) / "
        f"{format_value(fitted, 'resistance')} = {text('actual-current')}"
    )
    say.work(f"heat in the resistor = {text('resistor-power')}, worst case {_power(case.high('resistor-power'))}")
    _judge_current(case, say)
    if "rating" in case:
        say.ok(
            f"A resistor rated {text('rating')} or more runs at half or less in the worst case "
            f"({_power(case.high('resistor-power'))})."
        )
    else:
        say.warn(f"{_power(case.high('resistor-power'))} is too much for any resistor listed: use a driver instead.")
    headroom = case.low("headroom")
    if headroom <= 0:
        say.warn("At the lowest supply and the highest forward voltage the LED may stay dark.")
    elif headroom < LITTLE_HEADROOM:
        say.note(
            f"Only {format_value(headroom, 'voltage', digits=2)} may be left across the resistor: "
            "brightness then follows each LED's own spread."
        )
    if "pin-limit" in at and case.spread.high("supply") > LOW_RAIL:
        say.note(
            "An LED on a 5 V rail goes through a transistor or a driver, never straight to a 3.3 V pin: "
            "the pin would be lifted above its own rail."
        )


def _judge_current(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    most = case.high("actual-current")
    if "current" in case.spread.spans:
        smallest, largest = _window(case.spread)
        low, high = case.spread.low("current"), case.spread.high("current")
        words = f"{format_value(low, 'current')} to {format_value(high, 'current')}"
        if largest < smallest:
            say.warn(
                f"No resistor keeps the current within {words} over this spread: widen the window, raise the rail, or "
                "use a constant-current driver."
            )
        else:
            limits = f"{format_value(smallest, 'resistance')} to {format_value(largest, 'resistance')}"
            inside = smallest * (1 - 1e-9) <= at["fitted"] <= largest * (1 + 1e-9)
            say.work(f"any resistor of {limits} keeps the current within {words}")
            if inside:
                say.ok(f"{text('preferred')} keeps the current within {words} in the worst case.")
                if "resistor-tolerance" not in at:
                    say.note("The resistor was taken as exact: type resistor-tolerance to count its own spread too.")
            else:
                say.warn(f"No {at.word('series')} value lies within {limits}: try a finer series.")
    elif most > at["current"] * (1 + 1e-9):
        say.note(
            f"At the highest supply and the lowest forward voltage the current is {format_value(most, 'current')}, "
            f"above the {text('current')} asked for."
        )
    if "pin-limit" in at:
        total = case.high("total-current")
        words = f"{format_value(total, 'current')} against the pin's {text('pin-limit')}"
        if total > at["pin-limit"] * (1 + 1e-9):
            say.warn(f"More current than the pin may give: {words}.")
        else:
            say.ok(f"The pin gives it: {words} in the worst case.")


def _power(watts: float) -> str:
    return format_value(watts, "power", digits=3)


LED = Calculator(
    "led",
    title="LED series resistor",
    also="lamp indicator light brightness ballast",
    summary="The resistor for an indicator lamp, its heat, and the current in the worst case.",
    group="2 lamps",
    inputs=(
        Input("supply", kind="voltage", help="The design's own rail, with its spread", example="3.3 V ±5 %"),
        Input(
            "forward-voltage",
            kind="voltage",
            help="Of one LED at this current, from its sheet",
            example="1.8 V to 2.2 V",
        ),
        Input("current", kind="current", help="Wanted, or a window", example="5 mA or 4 mA to 8 mA"),
        Input("leds", kind="count", help="LEDs in series in one string", default="1", least=1, most=1000),
        Input("strings", kind="count", help="Strings side by side, each with its resistor", default="1", most=1000),
        Input("series", kind="choice", help="Preferred series", default="E24", choices=series.NAMES),
        Input("resistor-tolerance", kind="ratio", help="Of the resistor fitted", optional=True, least=0, most=0.5),
        Input("pin-limit", kind="current", help="Most the pin may give, for all strings together", optional=True),
    ),
    outputs=(
        Output("resistor", kind="resistance", help="Resistance asked for"),
        Output("preferred", kind="resistance", help="Preferred value to fit, the next one up"),
        Output("actual-current", kind="current", help="Current of one string with it"),
        Output("total-current", kind="current", help="Current of all strings"),
        Output("resistor-power", kind="power", help="Heat in one resistor"),
        Output("rating", kind="power", help="Smallest rating that runs at half or less"),
        Output("led-power", kind="power", help="Heat in one LED"),
        Output("headroom", kind="voltage", help="Voltage across the resistor"),
    ),
    formula="resistor = (supply − leds × forward-voltage) / current; heat = (the same difference) × current",
    function=_led,
    judge=_judge_led,
    choose=_choose_led,
    bends=("forward-voltage",),
    rss=("actual-current",),
    sources=(
        "LED series resistor: Ohm's law; worst case at highest supply with lowest forward voltage (common practice)",
        series.SOURCE,
        ratings.SOURCE,
    ),
    picture=pictures.led,
)


# -- derating --------------------------------------------------------------------------------------------------------

FULL_TEMPERATURE = 70.0
ZERO_TEMPERATURE = 155.0
"""°C, of film resistors: full rating up to the first, none at the second (maker's data sheet, metal film resistor)."""
SLOPE_TEMPERATURE = 25.0
"""°C that a slope counts from, as in dissipation tables of integrated circuits."""


def _derating(at: Point) -> Mapping[str, float | str]:
    rated = at["rated-power"]
    if "slope" in at:
        full = at.get("full-power-temperature", SLOPE_TEMPERATURE)
        slope = at["slope"]
    else:
        full = at.get("full-power-temperature", FULL_TEMPERATURE)
        zero = at.get("zero-power-temperature", ZERO_TEMPERATURE)
        if zero <= full:
            raise CalcError("must lie above the full-power temperature", key="zero-power-temperature")
        slope = rated / (zero - full)
    allowed = min(rated, max(0.0, rated - slope * max(0.0, at["ambient"] - full)))
    found: dict[str, float | str] = {"allowed-power": allowed, "share": allowed / rated}
    if "thermal-resistance" in at:
        found["film-temperature"] = at["ambient"] + at.get("power", allowed) * at["thermal-resistance"]
    return found


def _judge_derating(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    if "slope" in at:
        full = at.get("full-power-temperature", SLOPE_TEMPERATURE)
        say.work(
            f"allowed = {text('rated-power')} − {text('slope')} × ({text('ambient')} − "
            f"{format_value(full, 'temperature')}) = {text('allowed-power')}"
        )
        say.source("straight-line power derating from 25 °C: makers' dissipation rating tables")
    else:
        full = at.get("full-power-temperature", FULL_TEMPERATURE)
        zero = at.get("zero-power-temperature", ZERO_TEMPERATURE)
        say.work(
            f"allowed = {text('rated-power')} × ({format_value(zero, 'temperature')} − {text('ambient')}) / "
            f"({format_value(zero, 'temperature')} − {format_value(full, 'temperature')}), at most "
            f"{text('rated-power')}: {text('allowed-power')}"
        )
        say.source(
            "film resistor: full rating to 70 °C, none at 155 °C (maker's data sheet, metal film resistor); the "
            "straight line between is from memory, after IEC 60115 type data sheets"
        )
    if "power" in at:
        words = f"{text('power')} of {format_value(case.low('allowed-power'), 'power', digits=3)} allowed"
        if at["power"] > case.low("allowed-power"):
            say.warn(f"Too much heat at this temperature: {words}.")
        else:
            say.ok(f"Within the limit at this temperature: {words}.")
    if case.high("allowed-power") == 0:
        say.warn("At this temperature the part may take no power at all.")


DERATING = Calculator(
    "derating",
    title="Power at temperature",
    summary="How much of its rating a part may take when its surroundings are warm.",
    group="2 lamps",
    inputs=(
        Input("rated-power", kind="power", help="Rating at the full-power temperature"),
        Input("ambient", kind="temperature", help="Temperature around the part"),
        Input("slope", kind="power-slope", help="Loss of rating per degree, from the sheet", optional=True),
        Input("full-power-temperature", kind="temperature", help="Full rating up to here", optional=True),
        Input("zero-power-temperature", kind="temperature", help="No power from here on", optional=True),
        Input("thermal-resistance", kind="thermal-resistance", help="Film to air, for its temperature", optional=True),
        Input("power", kind="power", help="Power in the part, to be judged", optional=True),
    ),
    outputs=(
        Output("allowed-power", kind="power", help="Power allowed"),
        Output("share", kind="ratio", help="Share of the rating"),
        Output("film-temperature", kind="temperature", help="Temperature of the part itself"),
    ),
    formula="allowed = rated − slope × (ambient − full-power temperature), or a straight line to the zero-power one",
    function=_derating,
    judge=_judge_derating,
    bends=("ambient",),
    sources=(),
)

CALCULATORS = (LED, DERATING)
