"""How much current a wire may carry, by the table that is asked for and no other."""

from __future__ import annotations

from math import ceil, sqrt
from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Input, Output, Point, Remarks
from benchtui.calc.tables import currents
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value
from benchtui.units.conductor import awg_of_area, awg_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

RULES = ("nec-310.16", "nec-400.5", "nasa-single", "nasa-bundle", "iec-60364", "iec-60204")


def _table(at: Point) -> currents.CurrentTable:
    return {
        "nec-310.16": currents.NEC_310_16,
        "nec-400.5": currents.NEC_400_5,
        "nasa-single": currents.NASA,
        "nasa-bundle": currents.NASA,
        "iec-60364": currents.IEC_60364,
        "iec-60204": currents.IEC_60204,
    }[at.word("rule")]


def _conductors(at: Point) -> int:
    default = 3 if at.word("rule").startswith("nec") else 1
    return int(at.get("conductors", default))


def _insulation(at: Point) -> float:
    """Insulation temperature in °C: typed, or what the table is for."""
    rule = at.word("rule")
    least = {"nec-310.16": 60.0, "nec-400.5": 60.0}.get(rule, 200.0 if "nasa" in rule else 70.0)
    typed = at.get("insulation", least)
    if typed < least and not rule.startswith("nasa"):
        raise CalcError(
            f"this table is for insulation of {format_value(least, 'temperature')} and more",
            key="insulation",
            hint="no table here holds for a cooler one",
        )
    return typed


def _column(at: Point) -> str:
    """Name of the column of the rule's table.

    Raises:
        CalcError: The table has no such column.
    """
    rule, method = at.word("rule"), at.word("method")
    if rule == "nec-310.16":
        column = format_number(_insulation(at))
        if column not in currents.NEC_310_16.columns:
            raise CalcError(
                f"Table 310.16 has no column for {column} °C", key="insulation", hint="it has 60, 75 and 90"
            )
        return column
    if rule == "nec-400.5":
        if method == "heater":
            return "heater"
        return "two" if _conductors(at) <= 2 else "three"
    if rule.startswith("nasa"):
        bundled = rule == "nasa-bundle" or _conductors(at) >= currents.NASA_BUNDLE
        return "bundle" if bundled else "single"
    column = (method or "b2").upper()
    if column not in _table(at).columns:
        names = ", ".join(_table(at).columns)
        raise CalcError(f"this table has no method {column}", key="method", hint=f"it has {names}")
    return column


def _row(at: Point) -> float:
    """Current of the table in A, or the base current typed instead.

    Raises:
        CalcError: The table has no row for this wire; none is ever extrapolated.
    """
    table, rows = _table(at), _table(at).columns[_column(at)]
    if "base-current" in at:
        return at["base-current"]
    area = at.need("gauge", "to find its row in the table")
    if table.metric:
        size = next((size for size in rows if abs(size * 1e-6 / area - 1) < 1e-6), None)
        named = f"{format_value(area, 'conductor', digits=3)}"
        sizes = ", ".join(format_number(one) for one in rows) + " mm²"
    else:
        number = awg_of_area(area)
        size = next((size for size in rows if abs(size - number) < 1e-3), None)
        whole = abs(number - round(number)) < 1e-3
        named = awg_text(round(number)) if whole else format_value(area, "conductor", digits=3)
        ordered = sorted(rows)
        sizes = f"{awg_text(int(ordered[-1]))} to {awg_text(int(ordered[0]))}"
    if size is None:
        raise CalcError(
            f"{named} has no row in this table, and none is guessed", key="gauge", hint=f"the table has {sizes}"
        )
    row = rows[size]
    if at.word("rule") == "nec-310.16" and at.word("edition") == "before-2011":
        row = currents.NEC_310_16_OLD.get(_column(at), {}).get(int(size), row)
    return row


def _ambient_factor(at: Point) -> float:
    """Factor for the surrounding temperature.

    Raises:
        CalcError: It is so warm that the table allows no current.
    """
    rule, table = at.word("rule"), _table(at)
    ambient, limit = at.get("ambient", table.base), _insulation(at)
    if rule.startswith("nasa"):
        if ambient > table.base:
            raise CalcError(f"this table holds up to {format_value(table.base, 'temperature')}", key="ambient")
        return 1.0
    edge = ambient
    if rule.startswith("nec"):
        # The table has bands of 5 °C; the upper edge of a band counts, and the first row is 10 °C.
        edge = max(10.0, 5.0 * ceil(ambient / 5.0 - 1e-9))
    if edge >= limit:
        raise CalcError("is so warm that this insulation may carry no current", key="ambient")
    return round(sqrt((limit - edge) / (limit - table.base)), 2)


def _bundle_factor(at: Point) -> float:
    """Factor for wires beside each other.

    Raises:
        CalcError: More circuits than the table has.
    """
    rule, count = at.word("rule"), _conductors(at)
    if rule.startswith("nec"):
        return next((share for most, share in currents.NEC_BUNDLE if count <= most), currents.NEC_BUNDLE_MORE)
    if rule.startswith("nasa"):
        # MIL-STD-975M appendix A (from memory); from 15 wires on the table's own bundle column is taken instead.
        return (29 - count) / 28 if _column(at) == "single" else 1.0
    # Between two rows the larger count's factor is the safe one.
    share = next((share for most, share in currents.IEC_GROUP if count <= most), None)
    if share is None:
        raise CalcError("the table ends at 20 circuits, and none is guessed", key="conductors")
    return share


def _insulation_factor(at: Point) -> float:
    """Share of the table's current that the insulation allows (NASA tables only).

    Raises:
        CalcError: The table has no such insulation.
    """
    if not at.word("rule").startswith("nasa"):
        return 1.0
    # The next lower temperature of the list is the safe one.
    fitting = [temperature for temperature in currents.NASA_INSULATION if temperature <= _insulation(at) + 1e-9]
    if not fitting:
        raise CalcError(
            "this table starts at 105 °C insulation", key="insulation", hint="use wire rated 105 °C or more"
        )
    return currents.NASA_INSULATION[max(fitting)]


def _ampacity(at: Point) -> Mapping[str, float | str]:
    row, ambient, bundle = _row(at), _ambient_factor(at), _bundle_factor(at)
    insulation = _insulation_factor(at)
    found: dict[str, float | str] = {
        "current": row * ambient * bundle * insulation,
        "table-current": row,
        "ambient-factor": ambient,
        "bundle-factor": bundle,
        "insulation-factor": insulation,
    }
    if at.word("rule") == "nec-310.16" and "gauge" in at:
        number = awg_of_area(at["gauge"])
        limit = next((amps for size, amps in currents.OVERCURRENT.items() if abs(size - number) < 1e-3), None)
        if limit is not None:
            found["overcurrent-limit"] = limit
    return found


def _judge_ampacity(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    rule = at.word("rule")
    say.work(
        f"current = {text('table-current')} × {text('ambient-factor')} (ambient) × {text('bundle-factor')} (bundle) × "
        f"{text('insulation-factor')} (insulation) = {case.outputs['current'].text}"
    )
    if rule.startswith("nasa"):
        say.note(currents.NOT_FOR_MAINS)
    else:
        say.warn(currents.NOT_FOR_MAINS)
    table = _table(at)
    say.source(table.source + (", edition before 2011" if at.word("edition") == "before-2011" else ""))
    if rule.startswith("nec"):
        say.source(currents.NEC_AMBIENT_SOURCE)
        say.source(currents.NEC_BUNDLE_SOURCE)
        if "overcurrent-limit" in case:
            say.note(
                f"Whatever the table gives, the fuse or breaker of this wire is at most {text('overcurrent-limit')}."
            )
            say.source(currents.OVERCURRENT_SOURCE)
    elif rule.startswith("nasa"):
        if "insulation" not in at:
            cool = case.out("current") * currents.NASA_INSULATION[105.0]
            say.warn(
                f"This is for 200 °C insulation: common 105 °C hook-up wire may carry {format_value(cool, 'current')}. "
                "Type the insulation of yours."
            )
        if case.out("bundle-factor") != 1:
            say.note(
                "Between one wire and fifteen the share is (29 − wires) / 28, MIL-STD-975M, from memory: a low trust."
            )
            say.source("MIL-STD-975M appendix A, bundle share (from memory)")
    else:
        say.source(currents.IEC_AMBIENT_SOURCE)
        say.source(currents.IEC_GROUP_SOURCE)
    say.note(
        f"Only this table was used ({rule}); tables of other standards give other figures and are not to be mixed."
    )


AMPACITY = Calculator(
    "ampacity",
    title="Current a wire may carry",
    also="cable amps fuse breaker heat",
    summary="By one named table, with its factors for warm surroundings and bundles.",
    group="3 wire",
    inputs=(
        Input("gauge", kind="conductor", help="AWG for NEC and NASA, mm² for IEC", optional=True, steady=True),
        Input("rule", kind="choice", help="Table", choices=RULES),
        Input(
            "insulation",
            kind="temperature|number",
            help="Temperature the insulation stands, °C",
            optional=True,
            least=0,
            steady=True,
            example="90 degC or 90",
        ),
        Input("ambient", kind="temperature", help="Around the wires", optional=True),
        Input("conductors", kind="count", help="Carrying ones together; circuits for IEC", optional=True, least=1),
        Input("method", kind="choice", help="IEC method, or heater cord", optional=True,
              choices=("B1", "B2", "C", "E", "heater")),
        Input("edition", kind="choice", help="Of NEC 310.16", default="2011-on", choices=("2011-on", "before-2011")),
        Input("base-current", kind="current", help="Instead of the table's", optional=True),
    ),
    outputs=(
        Output("current", kind="current", help="Allowed in each conductor"),
        Output("table-current", kind="current", help="Before the factors"),
        Output("ambient-factor", kind="number", help="For the surroundings"),
        Output("bundle-factor", kind="number", help="For wires together"),
        Output("insulation-factor", kind="number", help="For the insulation"),
        Output("overcurrent-limit", kind="current", help="Largest fuse or breaker"),
    ),
    formula="current = table × ambient factor × bundle factor × insulation factor",
    function=_ampacity,
    judge=_judge_ampacity,
    sources=(),
    cautions=(
        "These tables are for building wire, cords and flight harnesses: for chassis and mains follow the local code "
        "and a licensed electrician.",
    ),
)  # fmt: skip

CALCULATORS = (AMPACITY,)
