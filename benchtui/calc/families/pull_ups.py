"""Pull-ups of switches and of the two-wire bus: the window between too strong and too weak, and a value inside it."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.tables import bus, series
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

WETTING = 1e-3
"""A at 5 V that makers of ordinary small switches state as the least for dependable contact."""


def _ohms(value: float) -> str:
    return format_value(value, "resistance")


def _window(at: Point) -> tuple[float | None, float | None]:
    """Smallest and largest pull-up, in ohm; None where nothing given sets that end."""
    smallest = None
    if "sink-current" in at:
        smallest = max(0.0, at["supply"] - at["vol"]) / at["sink-current"]
    ends: list[float] = []
    if "leakage" in at and "vih" in at:
        if at["supply"] <= at["vih"]:
            raise CalcError("must lie below the supply", key="vih")
        ends.append((at["supply"] - at["vih"]) / at["leakage"])
    if "capacitance" in at and "rise-time" in at:
        ends.append(at["rise-time"] / (bus.RISE * at["capacitance"]))
    return smallest, min(ends, default=None)


def _pick(spread: Spread, picked: str, wish: float | None) -> Mapping[str, Chosen]:
    """A preferred value inside the window of the worst case: the wish if it lies inside, else its geometric middle."""
    at = spread.at
    strong = at.moved({"supply": spread.high("supply")} | _ends(spread, "vol", "sink-current", low=True))
    weak = at.moved(
        {"supply": spread.low("supply")}
        | _ends(spread, "rise-time", low=True)
        | _ends(spread, "vih", "leakage", "capacitance", low=False)
    )
    smallest, largest = _window(strong)[0], _window(weak)[1]
    sure = 0.0 if smallest is not None and largest is not None and smallest > largest else 1.0
    return {"sure": sure, **_fitting(at.word("series") or picked, smallest, largest, wish)}


def _fitting(picked: str, smallest: float | None, largest: float | None, wish: float | None) -> Mapping[str, Chosen]:
    """The value to fit inside a window, by key "fitted"; nothing where there is none."""
    if largest is None and smallest is None:
        return {} if wish is None else {"fitted": series.next_down(wish, picked)}
    if largest is None:
        assert smallest is not None
        return {"fitted": series.next_up(max(smallest, 1.0), picked)}
    if smallest is None or smallest <= 0:
        return {"fitted": series.next_down(min(largest, wish) if wish else largest, picked)}
    if smallest > largest:
        return {}
    inside = series.between(smallest, largest, picked)
    if not inside:
        return {}
    if wish is not None and (fitting := [value for value in inside if value <= wish * (1 + 1e-9)]):
        return {"fitted": fitting[-1]}
    middle = inside[0] if wish is not None else sqrt(smallest * largest)
    return {"fitted": min(inside, key=lambda value: abs(value / middle - 1))}


def _ends(spread: Spread, *keys: str, low: bool) -> dict[str, float]:
    return {key: spread.low(key) if low else spread.high(key) for key in keys if key in spread.at}


def _results(at: Point) -> dict[str, float | str]:
    smallest, largest = _window(at)
    found: dict[str, float | str] = {}
    if smallest is not None:
        found["minimum"] = smallest
    if largest is not None:
        found["maximum"] = largest
    if "fitted" in at:
        found["preferred"] = at["fitted"]
    resistor = at.numbers.get("resistor", at.numbers.get("fitted"))
    if resistor is not None:
        found["contact-current"] = at["supply"] / resistor
    return found


def _feasible(at: Point, found: dict[str, float | str]) -> dict[str, float | str]:
    if "minimum" in found and "maximum" in found:
        window = float(found["minimum"]) <= float(found["maximum"])
        found["feasible"] = "no" if not window else "yes" if at.get("sure", 1.0) else "not over all tolerances"
    return found


def _judge_window(case: Case, say: Remarks) -> None:
    at = case.at
    if "minimum" in case and "maximum" in case:
        smallest, largest = case.high("minimum"), case.low("maximum")
        if smallest > largest:
            say.warn(
                f"There is no answer: it may not be below {_ohms(smallest)} nor above {_ohms(largest)}. Less "
                "capacitance or leakage, a slower edge, or a driver that sinks more opens the window."
            )
        elif "preferred" not in case:
            say.warn(f"No {at.word('series')} value lies between {_ohms(smallest)} and {_ohms(largest)}.")
    if "resistor" in at or "preferred" in case:
        value = at.get("resistor", 0.0) or case.out("preferred")
        named = _ohms(value)
        below = "minimum" in case and value < case.high("minimum") * (1 - 1e-9)
        above = "maximum" in case and value > case.low("maximum") * (1 + 1e-9)
        if below:
            say.warn(f"{named} is too strong: the least is {_ohms(case.high('minimum'))} in the worst case.")
        elif above:
            say.warn(f"{named} is too weak: the most is {_ohms(case.low('maximum'))} in the worst case.")
        elif "minimum" in case or "maximum" in case:
            say.ok(f"{named} lies inside the window in the worst case.")


# -- pull-up ---------------------------------------------------------------------------------------------------------


def _choose_pull_up(spread: Spread) -> Mapping[str, Chosen]:
    at = spread.at
    wish = spread.low("supply") / at["wetting-current"]
    return _pick(spread, at.word("series"), wish)


def _pull_up(at: Point) -> Mapping[str, float | str]:
    found = _feasible(at, _results(at))
    found["wetting-maximum"] = at["supply"] / at["wetting-current"]
    return found


def _judge_pull_up(case: Case, say: Remarks) -> None:
    text, at = case.text, case.at
    if "minimum" in case:
        say.work(f"minimum = ({text('supply')} − {text('vol')}) / {text('sink-current')} = {text('minimum')}")
    if "leakage" in at and "vih" in at:
        by_leakage = (at["supply"] - at["vih"]) / at["leakage"]
        say.work(f"maximum by leakage = ({text('supply')} − {text('vih')}) / {text('leakage')} = {_ohms(by_leakage)}")
    if "capacitance" in at and "rise-time" in at:
        by_rise = at["rise-time"] / (bus.RISE * at["capacitance"])
        say.work(
            f"maximum by rise time = {text('rise-time')} / ({bus.RISE} × {text('capacitance')}) = {_ohms(by_rise)}"
        )
        say.source(bus.SOURCE)
    say.work(
        f"for {text('wetting-current')} through the contact = {text('supply')} / {text('wetting-current')} "
        f"= {text('wetting-maximum')}"
    )
    _judge_window(case, say)
    if "contact-current" in case:
        current = case.low("contact-current")
        if current < at["wetting-current"] * (1 - 1e-9):
            say.note(
                f"The contact carries {format_value(current, 'current', digits=3)}, less than the "
                f"{text('wetting-current')} at which switch makers promise dependable contact; it may well work, and a "
                "type for small currents will."
            )
    for one, other in (("capacitance", "rise-time"), ("vih", "leakage")):
        for key, partner in ((one, other), (other, one)):
            if key in at and partner not in at:
                say.note(f"{key} counts only together with {partner.replace('-', ' ')}: type that too.")
    if "minimum" not in case and "maximum" not in case:
        say.note(
            "Only the contact current was looked at: type vih and leakage, sink-current, or capacitance and rise-time "
            "for the window."
        )


PULL_UP = Calculator(
    "pull-up",
    title="Pull-up of a switch input",
    also="button switch contact pullup",
    summary="The window for a pull-up, a value inside it, and the current through the contact.",
    group="1 resistors and inputs",
    inputs=(
        Input("supply", kind="voltage", help="The design's own rail", example="3.3 V ±5 %"),
        Input("vih", kind="voltage", help="Lowest voltage read as high", optional=True),
        Input("leakage", kind="current", help="All leakage at the input", optional=True, example="2 uA"),
        Input("sink-current", kind="current", help="Most the low driver or pin may sink", optional=True),
        Input("vol", kind="voltage", help="Low level while it sinks that", default="0.4 V", least=0),
        Input("capacitance", kind="capacitance", help="At the input, wiring included", optional=True),
        Input("rise-time", kind="time", help="Longest rise from 0.3 to 0.7 of the supply", optional=True),
        Input("wetting-current", kind="current", help="Least current for the contact", default="1 mA"),
        Input("resistor", kind="resistance", help="A pull-up you have, to be judged", optional=True),
        Input("series", kind="choice", help="Preferred series", default="E24", choices=series.NAMES),
    ),
    outputs=(
        Output("minimum", kind="resistance", help="Strongest allowed"),
        Output("maximum", kind="resistance", help="Weakest allowed"),
        Output("feasible", kind="text", help="Whether there is a window"),
        Output("wetting-maximum", kind="resistance", help="Weakest that wets the contact"),
        Output("preferred", kind="resistance", help="Value to fit"),
        Output("contact-current", kind="current", help="Current through the closed contact"),
    ),
    formula="minimum = (supply − vol) / sink-current; maximum = (supply − vih) / leakage and rise-time / (0.8473 C)",
    function=_pull_up,
    judge=_judge_pull_up,
    choose=_choose_pull_up,
    sources=(
        "pull-up limits: Ohm's law with the input's data sheet",
        "wetting current 1 mA at 5 V: a switch maker's notes on micro loads (a guarantee, no point of failure)",
        series.SOURCE,
    ),
)


# -- i2c-pull-up -----------------------------------------------------------------------------------------------------


def _with_mode(at: Point) -> Point:
    """The point with the figures of the mode where none were typed."""
    mode = bus.MODES[at.word("mode")]
    weak = at["supply"] <= bus.LOW_SUPPLY
    low = bus.LOW_SHARE * at["supply"] if weak else mode.low
    sink = min(mode.sink, bus.LOW_SINK) if weak else mode.sink
    return at.moved(
        {"rise-time": at.get("rise-time", mode.rise), "sink-current": at.get("sink-current", sink)}
        | {"vol": at.get("vol", low)}
    )


def _choose_i2c(spread: Spread) -> Mapping[str, Chosen]:
    return _pick(Spread(_with_mode(spread.at), spread.spans), spread.at.word("series"), None)


def _i2c(at: Point) -> Mapping[str, float | str]:
    found = _feasible(at, _results(_with_mode(at)))
    found.pop("contact-current", None)
    return found


def _judge_i2c(case: Case, say: Remarks) -> None:
    text = case.text
    at = _with_mode(case.at)
    vol, sink = format_value(at["vol"], "voltage"), format_value(at["sink-current"], "current")
    rise = format_value(at["rise-time"], "time")
    say.work(f"minimum = ({text('supply')} − {vol}) / {sink} = {text('minimum')}")
    if "maximum" in case:
        say.work(f"maximum = {rise} / ({bus.RISE} × {text('capacitance')}) = {text('maximum')}")
        most = bus.MODES[at.word("mode")].capacitance
        if case.spread.high("capacitance") > most:
            say.warn(f"{text('capacitance')} is more than the {format_number(most * 1e12)} pF this mode allows.")
    if at["supply"] <= bus.LOW_SUPPLY and "sink-current" not in case.given:
        say.note("At 2 V and less the low level is 20 % of the supply at 2 mA.")
    _judge_window(case, say)


I2C_PULL_UP = Calculator(
    "i2c-pull-up",
    title="Pull-up of a two-wire bus",
    also="I2C two-wire sensor bus",
    summary="The window for the pull-ups of a two-wire (I²C) bus, and a value inside it.",
    group="1 resistors and inputs",
    inputs=(
        Input("supply", kind="voltage", help="Supply of the pull-ups", example="3.3 V ±5 %"),
        Input("capacitance", kind="capacitance", help="Of the whole bus, wiring included", optional=True),
        Input("mode", kind="choice", help="Speed of the bus", default="fast", choices=tuple(bus.MODES)),
        Input("vol", kind="voltage", help="Low level, instead of the mode's", optional=True, least=0),
        Input("sink-current", kind="current", help="Sink current, instead of the mode's", optional=True),
        Input("rise-time", kind="time", help="Longest rise, instead of the mode's", optional=True),
        Input("resistor", kind="resistance", help="A pull-up you have, to be judged", optional=True),
        Input("series", kind="choice", help="Preferred series", default="E24", choices=series.NAMES),
    ),
    outputs=(
        Output("minimum", kind="resistance", help="Strongest allowed"),
        Output("maximum", kind="resistance", help="Weakest allowed"),
        Output("feasible", kind="text", help="Whether there is a window"),
        Output("preferred", kind="resistance", help="Value to fit"),
    ),
    formula="minimum = (supply − vol) / sink-current; maximum = rise-time / (0.8473 × capacitance)",
    function=_i2c,
    judge=_judge_i2c,
    choose=_choose_i2c,
    sources=(bus.SOURCE, series.SOURCE),
)

CALCULATORS = (PULL_UP, I2C_PULL_UP)
