"""Resistor dividers, potentiometers under load, and what one bad ground joint does to a whole bank."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc import pictures
from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.pairs import SOURCE_LIMIT, best_pair, bottom_for, parallel, top_for
from benchtui.calc.tables import ratings, series
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

_ADC = "advised source resistance of at most 10 kΩ: makers' data sheets of 8-bit controllers (analogue input circuitry)"
_STEPS = Input(
    "steps", kind="count", help="Highest code sent: 127 for 7 bits, 16383 for 14", default="127", least=1, most=1e6
)


# -- divider ---------------------------------------------------------------------------------------------------------


def _target_ratio(at: Point) -> float:
    """The wanted ratio of output to supply; a target may be typed as a voltage or as a share."""
    ratio = at["target"] if at.word("target-kind") == "ratio" else at["target"] / at["supply"]
    if not 0 < ratio < 1:
        raise CalcError(
            "must lie between 0 and the supply",
            key="target",
            hint="type a voltage below the supply, or a share like 36 %",
        )
    return ratio


def _choose_pair(spread: Spread) -> Mapping[str, Chosen]:
    at = spread.at
    if "target" not in at:
        if "top" not in at or ("bottom" not in at and "load" not in at):
            missing = "top" if "top" not in at else "bottom"
            raise CalcError("is needed", key=missing, hint="type both resistors, or a target to have one found")
        return {}
    ratio = _target_ratio(at)
    load = at.numbers.get("load")
    picked = at.word("series")
    spare = at.get("part-tolerance", 0.0)
    found: dict[str, float] = {}
    if "top" not in at and "bottom" not in at:
        top, bottom = best_pair(
            ratio, picked or "E24", load=load, source_limit=at.get("max-source-resistance", SOURCE_LIMIT)
        )
        found = {"top": top, "bottom": bottom}
    elif "bottom" not in at:
        exact = bottom_for(ratio, at["top"], load)
        found = {"bottom": _nearest_by_output(at, "bottom", exact, picked) if picked else exact}
    elif "top" not in at:
        exact = top_for(ratio, at["bottom"], load)
        found = {"top": _nearest_by_output(at, "top", exact, picked) if picked else exact}
    return {key: (value, value * (1 - spare), value * (1 + spare)) for key, value in found.items()}


def _nearest_by_output(at: Point, key: str, exact: float, picked: str) -> float:
    """Of the two neighbours in the series, the one whose output lies nearer the target."""
    wanted = _target_ratio(at)

    def miss(value: float) -> float:
        return abs(_ratio(at.moved({key: value})) - wanted)

    return min((series.next_up(exact, picked), series.next_down(exact, picked)), key=miss)


def _below(at: Point) -> float:
    """Resistance from output to ground, load included."""
    if "bottom" not in at:
        return at["load"]
    return parallel(at["bottom"], at.numbers.get("load"))


def _ratio(at: Point) -> float:
    below = _below(at)
    return below / (at["top"] + below)


def _divider(at: Point) -> Mapping[str, float | str]:
    ratio = _ratio(at)
    supply, top = at["supply"], at["top"]
    current = supply / (top + _below(at))
    output = supply * ratio
    found: dict[str, float | str] = {
        "output": output,
        "ratio": ratio,
        "current": current,
        "source-resistance": parallel(top, at.numbers.get("bottom")),
        "top-power": current * current * top,
        "top": top,
    }
    if "bottom" in at:
        found["bottom"] = at["bottom"]
        found["bottom-power"] = output * output / at["bottom"]
    if "load" in at:
        found["load-current"] = output / at["load"]
    if "target" in at:
        found["target-error"] = ratio / _target_ratio(at) - 1
    return found


LOAD_SAG = 0.1
"""Share that a load may pull the output down before it is worth a warning; common practice."""


def _judge_divider(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    below = f"({text('bottom')} ∥ {text('load')})" if "bottom" in case and "load" in case else ""
    below = below or text("bottom" if "bottom" in case else "load")
    say.work(f"output = {text('supply')} × {below} / ({text('top')} + {below}) = {text('output')}")
    say.work(f"current = {text('supply')} / ({text('top')} + {below}) = {text('current')}")
    if "bottom" in case:
        say.work(f"source resistance = {text('top')} ∥ {text('bottom')} = {text('source-resistance')}")
    if "target" in at:
        error = case.out("target-error")
        say.work(f"against the target: {format_number(error * 100, digits=2)} %")
        if abs(error) > 0.01:
            say.note(f"The output misses the target by {format_number(abs(error) * 100, digits=2)} %.")
        _judge_target(case, say)
        if "series" not in case and ("top" in case.given) != ("bottom" in case.given):
            key = "bottom" if "top" in case.given else "top"
            near = _nearest_by_output(at, key, at[key], "E24")
            gives = at["supply"] * _ratio(at.moved({key: near}))
            say.note(
                f"The nearest E24 value for {key} is {format_value(near, 'resistance')}; "
                f"with it the output is {format_value(gives, 'voltage')}."
            )
            say.source(series.SOURCE)
        elif "top" not in case.given and "bottom" not in case.given:
            say.source(series.SOURCE)
    if "load" in at and "bottom" in at:
        open_share = at["bottom"] / (at["top"] + at["bottom"]) if "top" in at else 0.0
        sag = 1 - case.out("ratio") / open_share if open_share else 0.0
        if sag > LOAD_SAG:
            say.warn(f"The load pulls the output {format_number(sag * 100, digits=2)} % below what it is without one.")
            say.source("a load of ten times the source resistance or more: common practice")
    source = case.high("source-resistance")
    if source > SOURCE_LIMIT:
        say.note(
            f"The source resistance reaches {format_value(source, 'resistance')}; converter inputs ask for "
            f"{format_value(SOURCE_LIMIT, 'resistance')} or less."
        )
        say.source(_ADC)
    rating = at["rating"]
    hottest = max(case.high(key) for key in ("top-power", "bottom-power") if key in case)
    words = f"{format_value(hottest, 'power', digits=3)} in a {format_value(rating, 'power')} resistor"
    if hottest > ratings.SHARE * rating:
        say.warn(f"Up to {words} is over half its rating.")
    else:
        say.ok(f"At most {words}: under half its rating.")


def _judge_target(case: Case, say: Remarks) -> None:
    """Whether the output stays within a window; above a single target, which may be the most an input stands."""
    share = case.at.word("target-kind") == "ratio"
    kind, key = ("ratio", "ratio") if share else ("voltage", "output")
    low, high = case.low(key), case.high(key)
    words = f"{format_value(low, kind)} to {format_value(high, kind)}"
    if "target" in case.spread.spans:
        least, most = case.spread.low("target"), case.spread.high("target")
        wanted = f"{format_value(least, kind)} to {format_value(most, kind)}"
        if least * (1 - 1e-9) <= low and high <= most * (1 + 1e-9):
            say.ok(f"The output stays within {wanted}: {words} in the worst case.")
        else:
            say.warn(f"The output may leave {wanted}: it is {words} in the worst case.")
    elif high > case.at["target"] * (1 + 1e-6):
        target = case.at["target"]
        lower = format_value(target * target / high, kind, digits=3)
        say.note(
            f"The output may reach {format_value(high, kind)}. If {format_value(target, kind)} is the most its input "
            f"stands, type a lower target: about {lower}."
        )


DIVIDER = Calculator(
    "divider",
    title="Voltage divider",
    also="potential resistors level 5 V to 3.3 V",
    summary="What two resistors and a load give, or which pair gives a target.",
    group="1 resistors and inputs",
    inputs=(
        Input("supply", kind="voltage", help="Voltage across the whole divider", example="5 V ±5 %"),
        Input("top", kind="resistance", help="Resistor from supply to output", optional=True),
        Input("bottom", kind="resistance", help="Resistor from output to ground", optional=True),
        Input("load", kind="resistance", help="What the output drives, to ground", optional=True),
        Input(
            "target",
            kind="voltage|ratio",
            help="Output wanted; what is left out is found",
            optional=True,
            example="1.8 V or 36 %",
        ),
        Input("series", kind="choice", help="Preferred series to choose from", optional=True, choices=series.NAMES),
        Input(
            "part-tolerance", kind="ratio", help="Tolerance of resistors found here", optional=True, least=0, most=0.5
        ),
        Input(
            "max-source-resistance", kind="resistance", help="Largest source resistance of a pair", default="10 kohm"
        ),
        Input("rating", kind="power", help="Power rating of the resistors", default="0.25 W"),
    ),
    outputs=(
        Output("output", kind="voltage", help="Voltage at the output, load connected"),
        Output("ratio", kind="ratio", help="Output over supply"),
        Output("target-error", kind="ratio", help="How far the output lies from the target"),
        Output("top", kind="resistance", help="Top resistor"),
        Output("bottom", kind="resistance", help="Bottom resistor"),
        Output("current", kind="current", help="Current from the supply"),
        Output("load-current", kind="current", help="Current into the load"),
        Output("source-resistance", kind="resistance", help="Resistance the output is seen through"),
        Output("top-power", kind="power", help="Heat in the top resistor"),
        Output("bottom-power", kind="power", help="Heat in the bottom resistor"),
    ),
    formula="output = supply × b / (top + b), where b = bottom ∥ load",
    function=_divider,
    judge=_judge_divider,
    choose=_choose_pair,
    bends=("top", "bottom"),
    rss=("output",),
    sources=("voltage divider: Ohm's law", ratings.SOURCE),
    picture=pictures.divider,
)


# -- pot -------------------------------------------------------------------------------------------------------------


def _wiper(position: float, loading: float) -> float:
    """Wiper voltage as a share of the supply; `position` is the share of the element below the wiper."""
    return position / (1 + loading * position * (1 - position))


def _worst_position(loading: float) -> float:
    """Where a load to ground pulls the wiper furthest off: the root of 2 − 3y + b y (1 − y)², by halving."""
    low, high = 2 / 3, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if 2 - 3 * middle + loading * middle * (1 - middle) ** 2 > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _pot(at: Point) -> Mapping[str, float | str]:
    element, steps = at["element"], at["steps"]
    end = at["residual"] / element
    if end >= 0.5:
        raise CalcError("must be less than half the element", key="residual")
    loading = element / at["load"] if "load" in at else 0.0
    position = end + at["travel"] * (1 - 2 * end)
    share = _wiper(position, loading)
    found: dict[str, float | str] = {}
    if "supply" in at:
        found["output"] = at["supply"] * share
    found |= {"ratio": share, "error": position - share}
    worst = min(max(_worst_position(loading), end), 1 - end)
    found["worst-error"] = worst - _wiper(worst, loading)
    if loading:
        found["worst-travel"] = (worst - end) / (1 - 2 * end)
    found["lowest-code"] = steps * _wiper(end, loading)
    found["highest-code"] = steps * _wiper(1 - end, loading)
    found["source-resistance"] = element * position * (1 - position)
    return found


def _judge_pot(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    steps = format_number(at["steps"])
    if "load" in at:
        loading = at["element"] / at["load"]
        say.work(f"b = element / load = {text('element')} / {text('load')} = {format_number(loading)}")
        say.work("error = b y² (1 − y) / (1 + b y (1 − y)), y = share of the element below the wiper (exact form)")
        say.work(f"worst error = {text('worst-error')} of the supply at {text('worst-travel')} of travel")
        lost = case.high("worst-error") * at["steps"]
        if lost >= 0.5:
            say.note(f"The load bends the travel by up to {format_number(lost, digits=3)} of {steps} steps.")
        if loading > 0.1:
            short = 4 / 27 * loading
            say.note(
                f"The short rule 4/27 × b would say {format_number(short * 100, digits=3)} %; it holds only for a load "
                f"of ten times the element or more, so the exact form is used."
            )
    say.work(f"lowest code = {text('lowest-code')}, highest code = {text('highest-code')} of {steps}")
    if case.high("lowest-code") >= 0.5 or at["steps"] - case.low("highest-code") >= 0.5:
        say.note(
            f"Without end trim the control may stop at {format_number(case.high('lowest-code'), digits=3)} and "
            f"{format_number(case.low('highest-code'), digits=3)} of {steps}."
        )
    if at["element"] / 4 > SOURCE_LIMIT:
        say.note(
            f"At mid travel the wiper's source resistance is {format_value(at['element'] / 4, 'resistance')}; "
            f"converter inputs ask for {format_value(SOURCE_LIMIT, 'resistance')} or less."
        )
        say.source(_ADC)
    if "load" in at and at["load"] > SOURCE_LIMIT:
        say.note(
            f"If this is a ribbon: untouched, its pull-down of {text('load')} is itself the source resistance; "
            "put 10 nF to 100 nF at the pin."
        )


POT = Calculator(
    "pot",
    title="Potentiometer or ribbon under load",
    also="fader knob ribbon wiper taper",
    summary="Where a load or pull-down bends a pot's travel, and which codes its ends reach.",
    group="1 resistors and inputs",
    inputs=(
        Input("supply", kind="voltage", help="Voltage across the element", optional=True),
        Input("element", kind="resistance", help="End-to-end resistance", example="10 kohm ±20 %"),
        Input("travel", kind="ratio", help="Electrical travel from the ground end", default="50 %", least=0, most=1),
        Input("load", kind="resistance", help="Wiper to ground: input, pull-down of a ribbon", optional=True),
        Input("residual", kind="resistance", help="Resistance left at each end stop", default="0 ohm", least=0),
        _STEPS,
    ),
    outputs=(
        Output("output", kind="voltage", help="Voltage at the wiper"),
        Output("ratio", kind="ratio", help="Wiper over supply"),
        Output("error", kind="ratio", help="How far the load pulls the wiper down, of the supply"),
        Output("worst-error", kind="ratio", help="The same where it is largest"),
        Output("worst-travel", kind="ratio", help="Travel where it is largest"),
        Output("lowest-code", kind="number", help="Code at the ground end"),
        Output("highest-code", kind="number", help="Code at the supply end"),
        Output("source-resistance", kind="resistance", help="Resistance the wiper is seen through"),
    ),
    formula="wiper / supply = y / (1 + b y (1 − y)), b = element / load, y = share of the element below the wiper",
    function=_pot,
    judge=_judge_pot,
    bends=("travel", "element", "residual"),
    sources=("loaded potentiometer: Ohm's law, exact form", "residual resistance: from the part's data sheet"),
)


# -- shared-ground ---------------------------------------------------------------------------------------------------


def _shared_ground(at: Point) -> Mapping[str, float | str]:
    bank = at["element"] / at["controls"]
    share = at["joint"] / (at["joint"] + bank)
    return {"lowest-code": share * at["steps"], "lift": share, "bank-resistance": bank}


def _judge_shared_ground(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(f"bank = {text('element')} / {text('controls')} = {text('bank-resistance')}")
    say.work(
        f"lowest code = {text('joint')} / ({text('joint')} + {text('bank-resistance')}) × "
        f"{text('steps')} = {text('lowest-code')}"
    )
    code = case.high("lowest-code")
    if code >= 0.5:
        say.warn(
            f"No control of this bank goes below {format_number(code, digits=3)} of {text('steps')}: "
            "look for one joint in the common ground, not for a fault in each control."
        )
    else:
        say.ok(f"The joint lifts the bank by {format_number(code, digits=2)} of a step, which cannot be seen.")


SHARED_GROUND = Calculator(
    "shared-ground",
    title="Bad joint in a shared ground",
    summary="The lowest code a whole bank can reach when its common ground has resistance.",
    group="1 resistors and inputs",
    inputs=(
        Input("controls", kind="count", help="Pots or faders that share the ground", least=1, most=10_000),
        Input("element", kind="resistance", help="End-to-end resistance of one"),
        Input("joint", kind="resistance", help="Resistance of the joint or wire", least=0),
        _STEPS,
    ),
    outputs=(
        Output("lowest-code", kind="number", help="Lowest code of the whole bank"),
        Output("lift", kind="ratio", help="The same as a share of full scale"),
        Output("bank-resistance", kind="resistance", help="Supply to ground of the whole bank"),
    ),
    formula="lowest code = joint / (joint + element / controls) × steps",
    function=_shared_ground,
    judge=_judge_shared_ground,
    sources=("elements side by side above one resistance: Ohm's law",),
)

CALCULATORS = (DIVIDER, POT, SHARED_GROUND)
