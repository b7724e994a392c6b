"""Wire: its size, its resistance, what is lost along it, and the gauge or length that keeps the loss small enough."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from benchtui.calc import pictures
from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.strands import read_strands
from benchtui.calc.tables import copper, currents
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value
from benchtui.units.conductor import THICKEST, THINNEST, area_diameter, awg_area, awg_of_area, awg_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

DROP_ALONE = "drop-alone"
"""Choice of a gauge by the drop only, where the current is judged by another table."""

_HARNESS_INSULATION = 105.0
"""°C of the insulation a harness is judged for when nothing else is known: common PVC hook-up wire."""


def _warm(at: Point) -> float:
    """Factor on resistance from 20 °C to the wire's temperature."""
    factor = 1 + at["coefficient"] * (at["temperature"] - copper.REFERENCE)
    if factor <= 0:
        raise CalcError("is so cold that the straight-line coefficient no longer holds", key="temperature")
    return factor


def _per_length(at: Point, area: float) -> float:
    """Resistance in Ω/m at the wire's temperature."""
    rows = copper.IEC_60228.get(at.word("construction"))
    if rows is not None:
        size = next((size for size in rows if abs(size * 1e-6 / area - 1) < 1e-6), None)
        if size is None:
            sizes = ", ".join(format_number(one) for one in rows)
            raise CalcError("is not a size of that class", key="gauge", hint=f"it has {sizes} mm²")
        return rows[size] * 1e-3 * _warm(at)
    return at["resistivity"] * _warm(at) / area * _lay(at)


def _lay(at: Point) -> float:
    """How much longer the strands are than the wire, where only their number is known."""
    written = at.word("strands")
    return copper.STRANDED if written and read_strands(written).area is None else 1.0


def _area(at: Point) -> float:
    """Cross-section of the metal in m²: from the strands, the gauge, a gauge that was found, or a resistance."""
    if at.word("strands"):
        strands = read_strands(at.word("strands"))
        if strands.area is not None:
            return strands.count * strands.area
    if "gauge" in at:
        return at["gauge"]
    if "found-area" in at:
        return at["found-area"]
    if "resistance" in at and "length" in at:
        return at["resistivity"] * _warm(at) * at["length"] / at["resistance"] * _lay(at)
    raise CalcError(
        "is needed", key="gauge", hint="type it, or length, current and max-drop, or length and resistance to find it"
    )


def _allowed_drop(at: Point) -> float | None:
    """The largest drop allowed, in V."""
    if "max-drop" not in at:
        return None
    if at.word("max-drop-kind") == "ratio":
        return at["max-drop"] * at.need("supply", "to turn a percentage of drop into volts")
    return at["max-drop"]


def harness_limit(gauge: int) -> float | None:
    """Current in A that a wire may carry in a bundle with common 105 °C insulation; None where the table has no row."""
    row = currents.NASA.columns["bundle"].get(gauge)
    return None if row is None else row * currents.NASA_INSULATION[_HARNESS_INSULATION]


def _choose_wire(spread: Spread) -> Mapping[str, Chosen]:
    at = spread.at
    if "gauge" in at or at.word("strands") or "resistance" in at:
        return {}
    if "length" not in at or "current" not in at or "max-drop" not in at:
        return {}
    worst = at.moved({key: spread.high(key) for key in ("length", "current", "temperature", "resistivity")})
    allowed = _allowed_drop(at.moved({key: spread.low(key) for key in ("supply", "max-drop") if key in at}))
    assert allowed is not None
    current, by_drop = worst["current"], 0.0
    for gauge in range(THINNEST, THICKEST - 1, -1):
        if 2 * current * worst["length"] * _per_length(worst, awg_area(gauge)) > allowed:
            continue
        by_drop = by_drop or awg_area(gauge)
        limit = harness_limit(gauge)
        if at.word("rule") == DROP_ALONE or (limit is not None and limit >= current):
            return {"found-area": awg_area(gauge), "drop-area": by_drop}
    if by_drop:
        raise CalcError(
            f"{_gauge_text(by_drop)} keeps the drop small enough, but no row of the harness table carries the current",
            key="current",
            hint=f"type rule={DROP_ALONE} and look the current up in the table that holds for your wiring (ampacity)",
        )
    raise CalcError(
        "no gauge of the table keeps the drop small enough", key="max-drop", hint="allow more, or a shorter cable"
    )


def _gauge_text(area: float) -> str:
    """The wire size in words; a size between two AWG numbers names both."""
    number = awg_of_area(area)
    whole = round(number)
    if abs(number - whole) < 1e-4:
        return awg_text(whole)
    size = format_value(area, "conductor", digits=3)
    if not THICKEST < number < THINNEST:
        return size
    thin, thick = ceil(number), ceil(number) - 1
    return f"{size}, between {awg_text(thin)} and {awg_text(thick)}"


def _wire(at: Point) -> Mapping[str, float | str]:
    area = _area(at)
    per_length = _per_length(at, area)
    found: dict[str, float | str] = {
        "gauge": _gauge_text(area),
        "diameter": area_diameter(area),
        "area": area,
        "resistance-per-length": per_length,
    }
    if "drop-area" in at:
        found["gauge-by-drop"] = _gauge_text(at["drop-area"])
    length = at.numbers.get("length")
    allowed = _allowed_drop(at)
    current = at.numbers.get("current")
    if current is None and length is not None and allowed is not None:
        current = allowed / (2 * length * per_length)
        found["most-current"] = current
    if length is None and allowed is not None and "current" in at:
        length = allowed / (2 * at["current"] * per_length)
    elif length is None and "resistance" in at:
        length = at["resistance"] / per_length
    if length is None:
        return found
    found["length"] = length
    found["resistance"] = length * per_length
    if current is not None:
        drop = 2 * current * length * per_length
        found["drop"] = drop
        found["loss"] = drop * current
        if "supply" in at:
            found["drop-percent"] = drop / at["supply"]
            found["far-voltage"] = max(0.0, at["supply"] - drop)
    return found


def _judge_wire(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    if at.word("construction") in copper.IEC_60228:
        say.work(f"largest allowed at 20 °C by IEC 60228, {at.word('construction')}: {text('resistance-per-length')}")
        say.source(copper.IEC_60228_SOURCE)
    else:
        say.work(
            f"area = π/4 × ({format_value(case.out('diameter'), 'length')})² = {case.outputs['area'].text}; "
            f"per length = {text('resistivity')} × {format_number(_warm(at))} / {case.outputs['area'].text} "
            f"= {text('resistance-per-length')}"
        )
        if at["resistivity"] == copper.RESISTIVITY:
            say.source(copper.SOURCE)
    if "drop" in case:
        flows = text("current" if "current" in at else "most-current")
        say.work(
            f"drop, there and back = 2 × {flows} × {case.outputs['length'].text} × "
            f"{text('resistance-per-length')} = {text('drop')}"
        )
        _judge_drop(case, say)
    _judge_strands(case, say)
    if "current" in at:
        _judge_heat(case, say)


def _judge_drop(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    if "supply" in at and case.high("drop") >= at["supply"]:
        say.warn("The wire would lose the whole supply: nothing is left at the far end.")
    allowed = _allowed_drop(at)
    if allowed is not None and "most-current" in case:
        most = format_value(case.low("most-current"), "current", digits=3)
        say.note(
            f"It may carry {most} before it drops {format_value(allowed, 'voltage')}; heat sets a limit of its own."
        )
    elif allowed is not None and "length" in case.given:
        words = f"{format_value(case.high('drop'), 'voltage', digits=3)} of {format_value(allowed, 'voltage')} allowed"
        if case.high("drop") > allowed * (1 + 1e-9):
            say.warn(f"The drop is too large: {words}.")
        else:
            say.ok(f"The drop is small enough: {words}.")
    if allowed is not None and "length" not in case.given:
        longest = format_value(case.low("length"), "length", digits=3)
        say.note(f"The cable may be {longest} long, one way, before it drops {format_value(allowed, 'voltage')}.")
    if "found-area" in at:
        say.note(
            f"{text('gauge')} is the thinnest with a row in the harness table that keeps both the drop and the current."
            if at.word("rule") != DROP_ALONE
            else f"{text('gauge')} is the thinnest that keeps the drop; what it may carry was not looked at."
        )
        if at["drop-area"] != at["found-area"]:
            say.note(f"For the drop alone {text('gauge-by-drop')} would do: type rule={DROP_ALONE} to choose by it.")
    if "gauge" in at and "resistance" in at and "length" in at:
        say.note("The resistance typed was not used: gauge and length give it. Leave one of the three out.")


def _judge_strands(case: Case, say: Remarks) -> None:
    written = case.at.word("strands")
    if not written:
        return
    strands = read_strands(written)
    each = format_value(strands.diameter(case.out("area")), "length", digits=3)
    if strands.area is None:
        say.note(
            f"Read as a wire of that size made of {strands.count} strands of {each}, 2 % longer for their lay; for "
            f"{strands.count} strands of a size each, type strands={strands.count}/32 or {strands.count}/0.2 mm."
        )
        say.source("2 % for the lay of strands: stranded against solid rows of NEC chapter 9 Table 8 (from memory)")
    else:
        say.note(
            f"{strands.count} strands of {each} make {case.outputs['area'].text}; real strandings of one nominal gauge "
            "differ by several per cent."
        )


def _judge_heat(case: Case, say: Remarks) -> None:
    number = awg_of_area(case.out("area"))
    if not THICKEST <= round(number) <= THINNEST:
        return
    # Between two sizes the thinner row counts.
    gauge = ceil(number - 1e-4)
    limit = harness_limit(gauge)
    if limit is None:
        say.note(f"No harness current is given for {awg_text(gauge)}: the table has no row, and none is guessed.")
        return
    current = case.spread.high("current")
    words = (
        f"{format_value(current, 'current')} against {format_value(limit, 'current')} for {awg_text(gauge)} in a "
        "bundle with 105 °C insulation"
    )
    if current > limit:
        say.warn(f"The harness may get warmer than its insulation: {words}.")
    else:
        say.ok(f"The harness stays cool enough: {words}.")
    say.source(currents.NASA.source)


def _wire_picture(case: Case) -> list[str]:
    written = case.at.word("strands")
    if not written:
        return pictures.wire_section(case.out("diameter"))
    strands = read_strands(written)
    return pictures.wire_section(strands.diameter(case.out("area")), strands.count)


WIRE = Calculator(
    "wire",
    title="Wire resistance and drop",
    also="cable AWG drop volts length gauge",
    summary="Size, resistance and drop of a wire, or the gauge or length that an allowed drop asks for.",
    group="3 wire",
    inputs=(
        Input("gauge", kind="conductor", help="AWG, mm² or diameter", optional=True),
        Input("length", kind="length", help="One way", optional=True),
        Input("current", kind="current", help="Current in it", optional=True),
        Input("supply", kind="voltage", help="Voltage at the near end", optional=True),
        Input("temperature", kind="temperature", help="Of the copper", default="20 degC"),
        Input("strands", kind="word", help="7 (of the gauge), 7/32 or 7/0.2 mm (each)", optional=True, example="7/32"),
        Input("max-drop", kind="voltage|ratio", help="Drop allowed there and back", optional=True, example="5 %"),
        Input(
            "rule",
            kind="choice",
            help="A gauge by drop and heat, or by drop alone",
            default="harness",
            choices=("harness", DROP_ALONE),
        ),
        Input("resistance", kind="resistance", help="Of one conductor, to find its size or length", optional=True),
        Input(
            "resistivity",
            kind="resistivity",
            help="Of the metal at 20 °C",
            default=f"{copper.RESISTIVITY * 1e9:g} nohm m",
            example="20 nohm m",
        ),
        Input(
            "coefficient", kind="temperature-coefficient", help="Of its resistance", default=f"{copper.COEFFICIENT:g}/K"
        ),
        Input(
            "construction",
            kind="choice",
            help="Computed, or the largest a class allows",
            default="computed",
            choices=("computed", *copper.IEC_60228),
        ),
    ),
    outputs=(
        Output("gauge", kind="text", help="Wire size"),
        Output("gauge-by-drop", kind="text", help="The thinnest for the drop alone"),
        Output("most-current", kind="current", help="That the drop allows"),
        Output("diameter", kind="length", help="Of the metal as one solid wire"),
        Output("area", kind="area", help="Cross-section of the metal"),
        Output("resistance-per-length", kind="resistance-per-length", help="Of one conductor"),
        Output("length", kind="length", help="One way"),
        Output("resistance", kind="resistance", help="Of one conductor"),
        Output("drop", kind="voltage", help="Lost there and back"),
        Output("drop-percent", kind="ratio", help="The same, of the supply"),
        Output("far-voltage", kind="voltage", help="Left at the far end"),
        Output("loss", kind="power", help="Heat in both conductors"),
    ),
    formula="resistance = resistivity × (1 + coefficient × (temperature − 20 °C)) × length / area; drop = 2 × I × it",
    function=_wire,
    judge=_judge_wire,
    choose=_choose_wire,
    sources=(copper.GAUGE_SOURCE,),
    cautions=(currents.NOT_FOR_MAINS,),
    picture=_wire_picture,
)


# -- temperature-resistance ------------------------------------------------------------------------------------------


def _reference(at: Point) -> float:
    """Temperature in °C that the coefficient belongs to.

    A coefficient belongs to one temperature. Copper's default belongs to 20 °C; a typed one to 20 °C when either of the
    two temperatures is 20 °C, otherwise to the first, as handbooks quote it.
    """
    if "reference" in at:
        return at["reference"]
    if "coefficient" not in at or copper.REFERENCE in (at["from"], at["to"]):
        return copper.REFERENCE
    return at["from"]


def _temperature_resistance(at: Point) -> Mapping[str, float | str]:
    coefficient = at.get("coefficient", copper.COEFFICIENT)
    before, after = (1 + coefficient * (at[key] - at["reference-used"]) for key in ("from", "to"))
    if before <= 0 or after <= 0:
        raise CalcError("is so far off that a straight-line coefficient no longer holds", key="to")
    return {"resistance-at": at["resistance"] * after / before, "factor": after / before}


def _judge_temperature_resistance(case: Case, say: Remarks) -> None:
    text = case.text
    coefficient = text("coefficient") if "coefficient" in case else "0.00393/K"
    reference = format_value(case.at["reference-used"], "temperature")
    say.work(
        f"factor = (1 + {coefficient} × ({text('to')} − {reference})) / (1 + {coefficient} × ({text('from')} − "
        f"{reference})) = {text('factor')}"
    )
    say.note(f"The coefficient is taken to belong to {reference}.")
    if "coefficient" not in case:
        say.source(copper.SOURCE)


TEMPERATURE_RESISTANCE = Calculator(
    "temperature-resistance",
    title="Resistance at another temperature",
    summary="What a winding, wire or element measures when it is warmer or colder.",
    group="3 wire",
    inputs=(
        Input("resistance", kind="resistance", help="Measured at the first temperature"),
        Input("from", kind="temperature", help="Temperature it was measured at"),
        Input("to", kind="temperature", help="Temperature wanted"),
        Input("coefficient", kind="temperature-coefficient", help="Copper's when left out", optional=True),
        Input("reference", kind="temperature", help="Temperature the coefficient belongs to", optional=True),
    ),
    outputs=(
        Output("resistance-at", kind="resistance", help="At the wanted temperature"),
        Output("factor", kind="number", help="Over the measured one"),
    ),
    formula="R(to) = R(from) × (1 + α (to − reference)) / (1 + α (from − reference))",
    function=_temperature_resistance,
    judge=_judge_temperature_resistance,
    choose=lambda spread: {"reference-used": _reference(spread.at)},
    sources=("straight-line temperature coefficient; IEC 60228 uses 0.004/K for copper at 20 °C",),
)

CALCULATORS = (WIRE, TEMPERATURE_RESISTANCE)
