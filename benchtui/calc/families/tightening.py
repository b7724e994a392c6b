"""Tightening torque of screws, and what must not be tightened by a screw's strength at all."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.tables import screws
from benchtui.calc.threads import STRESS_SOURCE, Thread, read_thread
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

_WEAK = {
    "bushing": "a control's bushing",
    "fader-frame": "a fader's frame",
    "insert": "a threaded insert",
    "plastic": "a plastic thread",
}
"""What a screw or nut may go into that is weaker than any property class."""

_NO_SHEET = "without a sheet, 0.5 N·m in metal and never above 0.59 N·m for an M7 nut, half of that on acrylic"
_NO_SHEET_SOURCE = (
    "0.59 N·m is the lowest M7 nut limit of the makers' data sheets read; 0.5 N·m and half on acrylic: common practice"
)
_STRIP_TEST = "strip a scrap part of the same kind and work at half of that torque (common practice)"


def _refuse_class(at: Point, thread: Thread) -> None:
    """Strength of the screw says nothing about a weaker part.

    Raises:
        CalcError: A strength was typed for such a part.
    """
    named = next((key for key in ("class", "proof", "yield") if key in at), None)
    if named is None:
        return
    if at.word("into") in _WEAK:
        raise CalcError(
            f"a screw's strength is no guide for {_WEAK[at.word('into')]}",
            key=named,
            hint="leave it out and type part-limit from the part's own sheet",
        )
    if thread.bushing:
        raise CalcError(
            f"{thread.name} is the thread of a control's bushing, which is in no property class",
            key=named,
            hint="leave it out and type part-limit from the part's own sheet; " + _NO_SHEET,
        )


def _nut_factor(at: Point, thread: Thread) -> float:
    """K: typed, from friction, or by finish."""
    if "nut-factor" in at:
        return at["nut-factor"]
    if "thread-friction" in at:
        if not thread.pitch:
            raise CalcError("needs its pitch for the long form", key="thread", hint="type it like M3 or 1/4-20")
        friction = at["thread-friction"]
        return thread.nut_factor(friction, at.get("head-friction", friction), at.numbers.get("bearing-diameter"))
    if "preload" in at and "torque" in at:
        return at["torque"] / (at["preload"] * thread.diameter)
    return screws.FINISHES[at.word("finish")]


def _strength(at: Point, thread: Thread) -> screws.Strength | None:
    return screws.strength(at.word("class"), thread.diameter) if at.word("class") else None


def _by_yield(at: Point) -> bool:
    """Whether the preload is a share of yield with torsion, as in published torque tables."""
    return "proof" not in at and "thread-friction" in at and ("yield" in at or "class" in at)


def _wanted_preload(at: Point, thread: Thread, factor: float) -> float | None:
    """Preload in N before any limit of the part; None when nothing says how hard to tighten."""
    if "preload" in at:
        return at["preload"]
    if "torque" in at:
        return at["torque"] / (factor * thread.diameter)
    strength = _strength(at, thread)
    stress = at.numbers.get("proof") or at.numbers.get("yield") or (strength.proof if strength else 0.0)
    if not stress:
        if "part-limit" in at:
            return at["limit"] / (factor * thread.diameter)
        return None
    if not thread.pitch:
        raise CalcError("needs its pitch for a stress area", key="thread", hint="type it like M3 or 1/4-20")
    if _by_yield(at):
        share = at.get("utilisation", screws.OF_YIELD)
        limit = at.numbers.get("yield") or (strength.yield_ if strength else 0.0)
        return thread.preload_at_yield(share * limit, at["thread-friction"], plastic=at.word("torsion") != "elastic")
    return at.get("utilisation", screws.REUSABLE) * stress * thread.stress_area


def _choose_torque(spread: Spread) -> Mapping[str, Chosen]:
    """The lowest the part's limit may be: a limit printed with a tolerance is kept at its lower end."""
    return {"limit": spread.low("part-limit")} if "part-limit" in spread.at else {}


def _torque(at: Point) -> Mapping[str, float | str]:
    thread = read_thread(at.word("thread"))
    _refuse_class(at, thread)
    factor = _nut_factor(at, thread)
    found: dict[str, float | str] = {"nut-factor": factor}
    if thread.pitch:
        found["stress-area"] = thread.stress_area
    strength = _strength(at, thread)
    if strength and thread.pitch:
        found["proof-load"] = strength.proof * thread.stress_area
        found["ultimate-load"] = strength.ultimate * thread.stress_area
    elif "proof" in at and thread.pitch:
        found["proof-load"] = at["proof"] * thread.stress_area
    wanted = _wanted_preload(at, thread, factor)
    if wanted is None:
        return found
    formula = factor * thread.diameter * wanted
    torque = min(formula, at["limit"]) if "limit" in at else formula
    preload = torque / (factor * thread.diameter)
    scatter = at.get("scatter", screws.SCATTER.get(at.word("finish"), screws.SCATTER_OTHER))
    if "part-limit" in at or not _weak(at, thread):
        # Clear of the published breaking torque, and the preload with its scatter below the load that stretches the
        # screw. Where nothing says how strong the screw is, nothing is suggested.
        load = _stretching(at, thread, found)
        known = load < inf or "part-limit" in at or _breaking(at, thread) < inf
        safe = min(screws.BREAKING_SHARE * _breaking(at, thread), factor * thread.diameter * load / (1 + scatter))
        if known:
            found["suggested-torque"] = min(torque, safe)
    found |= {
        "torque": torque,
        "formula-torque": formula,
        "preload": preload,
        "preload-min": preload * (1 - scatter),
        "preload-max": preload * (1 + scatter),
    }
    if thread.pitch:
        found["stress"] = preload / thread.stress_area
    return found


def _stretching(at: Point, thread: Thread, found: Mapping[str, float | str]) -> float:
    """Load in N that stretches the screw for good: its proof load, else yield times stress area; endless if unknown."""
    if "proof-load" in found:
        return float(found["proof-load"])
    return at["yield"] * thread.stress_area if "yield" in at and thread.pitch else inf


def _weak(at: Point, thread: Thread) -> bool:
    """Whether the screw or nut goes into something weaker than any property class."""
    return at.word("into") in _WEAK or thread.bushing


def _breaking(at: Point, thread: Thread) -> float:
    """Published minimum breaking torque in N·m; endless where none is published."""
    return screws.BREAKING.get(at.word("class"), {}).get(round(thread.diameter * 1e3, 3), inf)


def _judge_torque(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    thread = read_thread(at.word("thread"))
    if thread.pitch:
        say.work(f"stress area of {thread.name} = {text('stress-area')}")
        say.source(STRESS_SOURCE)
    if "torque" not in case.outputs:
        if _weak(at, thread):
            say.note("Type part-limit, from the part's own sheet: nothing else says how tight.")
            _judge_no_sheet(at, thread, say)
        else:
            say.note("Nothing says how tight: type class, proof, yield, preload, torque or part-limit.")
        return
    factor, formula = case.outputs["nut-factor"].text, case.outputs["formula-torque"].text
    wanted = case.out("formula-torque") / (case.out("nut-factor") * thread.diameter)
    _judge_strength(case, say, thread, wanted)
    if "thread-friction" in at and "nut-factor" not in at:
        if "bearing-diameter" in at:
            say.work("K d = P/2π + 0.577 × thread friction × d2 + head friction × bearing-diameter / 2")
            say.source("three-term torque: VDI 2230 / ISO 16047 form")
        else:
            say.work("K = (dm/2d) (tan λ + f sec 30°) / (1 − f tan λ sec 30°) + 0.625 × head friction")
            say.source("nut factor from friction: Shigley 9th ed. Eq. 8-26")
    elif "nut-factor" not in at and not ("preload" in at and "torque" in at):
        say.source(screws.FINISH_SOURCE)
    say.work(
        f"torque = K × d × preload = {factor} × {format_value(thread.diameter, 'length')} × "
        f"{format_value(wanted, 'force')} = {formula}"
    )
    _judge_limits(case, say, thread)


def _judge_strength(case: Case, say: Remarks, thread: Thread, wanted: float) -> None:
    at, text = case.at, case.text
    strength = _strength(at, thread)
    if strength and "proof-load" in case.outputs:  # a bare diameter has no stress area
        say.source(strength.source)
        say.work(
            f"proof load = {format_value(strength.proof, 'pressure')} × {text('stress-area')} = {text('proof-load')}"
        )
    if "preload" in at or "torque" in at or ("proof" not in at and "yield" not in at and not strength):
        pass
    elif _by_yield(at):
        edition = (
            "plastic reserve, editions from 2001 on" if at.word("torsion") != "elastic" else "elastic, before 2001"
        )
        share = at.get("utilisation", screws.OF_YIELD)
        say.work(f"preload: tension and torsion together reach {format_number(share * 100)} % of yield ({edition})")
        say.note(f"Torsion is taken as {edition}; the other edition differs by 7 to 20 %.")
        say.source("preload at a share of yield with torsion: VDI 2230 type formula")
    else:
        share = at.get("utilisation", screws.REUSABLE)
        say.work(f"preload = {format_number(share * 100)} % of proof: {format_value(wanted, 'force')}")
        say.source("75 % of proof load for reusable joints: Shigley Eq. 8-31 (from memory)")
    if "preload" in at and "torque" in at and "nut-factor" in at:
        say.note("The torque typed was not used: preload and nut factor give it.")
    most, preload = case.high("preload-max"), case.out("preload")
    load = _stretching(at, thread, {key: one.value for key, one in case.outputs.items() if one.value is not None})
    strongest = screws.CLASSES["12.9"]
    if load == inf and thread.pitch and preload > strongest.ultimate * thread.stress_area:
        say.warn(
            f"No screw of this size bears {format_value(preload, 'force')}: even class 12.9 breaks at "
            f"{format_value(strongest.ultimate * thread.stress_area, 'force')}."
        )
        say.source(strongest.source)
    elif load == inf and not _weak(at, thread) and "part-limit" not in at:
        say.note("Nothing says how strong the screw is, so no torque is suggested: type its class.")
    if most <= load:
        return
    safe = format_value(case.out("torque") * load / most, "torque")
    named = f"its {'proof' if 'proof-load' in case else 'yield'} load {format_value(load, 'force')}"
    ultimate = case.outputs.get("ultimate-load")
    if ultimate is not None and ultimate.value and preload >= ultimate.value:
        say.warn(
            f"The screw breaks: {format_value(preload, 'force')} against the {ultimate.text} at which it may break. "
            f"Use {safe} at most."
        )
    elif preload > load:
        say.warn(
            f"The screw stretches for good: {format_value(preload, 'force')} is above {named}. Use {safe} at most."
        )
    else:
        say.warn(
            f"With the scatter the preload may reach {format_value(most, 'force')}, above "
            f"{named.replace('its', 'the', 1)}: at {safe} it stays below."
        )


def _judge_limits(case: Case, say: Remarks, thread: Thread) -> None:
    at, text = case.at, case.text
    low, high = (format_value(value, "force") for value in (case.low("preload-min"), case.high("preload-max")))
    say.note(f"Tightened by torque the preload is not known: it lies anywhere from {low} to {high}.")
    say.source(screws.SCATTER_SOURCE)
    suggested = case.outputs["suggested-torque"].text if "suggested-torque" in case else ""
    if "part-limit" in at:
        limit = at["limit"]
        if case.high("formula-torque") > limit * (1 + 1e-9) and ("class" in at or "proof" in at or "yield" in at):
            say.warn(
                f"The part's own limit of {text('part-limit')} wins over the formula's "
                f"{case.outputs['formula-torque'].text}."
            )
        elif case.high("formula-torque") > limit * (1 + 1e-9):
            say.warn(f"{case.outputs['formula-torque'].text} is above the part's own limit of {text('part-limit')}.")
        else:
            say.ok(f"Within the part's own limit of {text('part-limit')}.")
        if not screws.PANEL_NUT_LEAST <= limit <= screws.PANEL_NUT_MOST:
            say.note("Nut limits of panel parts lie between 0.05 and 6 N·m: look for a lost decimal point.")
    elif _weak(at, thread):
        say.warn("Type part-limit: nothing else says what this part stands, so no torque is suggested.")
        _judge_no_sheet(at, thread, say)
    else:
        say.note("This holds for the screw alone: a thin tapped frame, an insert or plastic gives way earlier.")
    breaking = _breaking(at, thread)
    if breaking < inf:
        share = case.out("torque") / breaking
        words = f"{format_number(share * 100, digits=2)} % of the published minimum breaking torque {breaking:g} N·m"
        if share > screws.BREAKING_SHARE:
            say.warn(f"{case.outputs['torque'].text} is {words}; work at {suggested or 'the part limit'} at most.")
        else:
            say.ok(f"{case.outputs['torque'].text} is {words}.")
        say.source(screws.BREAKING_SOURCE)
    if at.word("class").startswith("A"):
        say.note("Stainless screws gall: lubricate them, and turn slowly.")


def _judge_no_sheet(at: Point, thread: Thread, say: Remarks) -> None:
    """What to do for a weak part whose data sheet says nothing."""
    if at.word("into") == "bushing" or (thread.bushing and at.word("into") == "bolt"):
        say.note(f"For a control's nut {_NO_SHEET}.")
        say.source(_NO_SHEET_SOURCE)
    else:
        say.note(f"Without a sheet for {_WEAK.get(at.word('into'), 'this part')}, {_STRIP_TEST}.")


TORQUE = Calculator(
    "torque",
    title="Tightening torque",
    also="bolt screw nut Nm",
    summary="Torque for a preload and back, its scatter, and the part's own limit.",
    group="4 mechanical",
    inputs=(
        Input("thread", kind="word", help="Thread or diameter", example="M3, M7x0.75, 4-40 or 0.19 in"),
        Input("into", kind="choice", help="What it goes into", default="bolt", choices=("bolt", *_WEAK)),
        Input("class", kind="choice", help="Property class", optional=True, choices=tuple(screws.CLASSES)),
        Input("proof", kind="pressure", help="Proof stress instead of a class", optional=True),
        Input("yield", kind="pressure", help="Yield instead of a class", optional=True),
        Input("utilisation", kind="ratio", help="Share used: 75 % of proof, 90 % of yield", optional=True, most=1),
        Input("nut-factor", kind="number", help="K", optional=True, least=0.01, most=2),
        Input(
            "finish", kind="choice", help="Surface: K and scatter", default="unknown", choices=tuple(screws.FINISHES)
        ),
        Input("thread-friction", kind="number", help="Friction of the threads", optional=True, least=0.01, most=1),
        Input("head-friction", kind="number", help="Friction under the head", optional=True, least=0, most=1),
        Input("bearing-diameter", kind="length", help="Mean diameter under the head", optional=True),
        Input("torsion", kind="choice", help="Edition of the yield formula", optional=True,
              choices=("plastic", "elastic")),
        Input("preload", kind="force", help="Preload wanted or known", optional=True),
        Input("torque", kind="torque", help="Torque to be turned into preload", optional=True),
        Input("scatter", kind="ratio", help="Of the preload, tightening by torque", optional=True, least=0, most=0.9),
        Input("part-limit", kind="torque", help="The part's own limit, from its sheet", optional=True),
    ),
    outputs=(
        Output("torque", kind="torque", help="Torque, never above the part's limit"),
        Output("suggested-torque", kind="torque", help="The same, clear of stretching and breaking the screw"),
        Output("formula-torque", kind="torque", help="What the formula alone gives"),
        Output("preload", kind="force", help="Preload at that torque"),
        Output("preload-min", kind="force", help="Lowest, with the scatter"),
        Output("preload-max", kind="force", help="Highest, with the scatter"),
        Output("nut-factor", kind="number", help="K"),
        Output("stress-area", kind="area", help="Tensile stress area"),
        Output("stress", kind="pressure", help="Tension in the screw"),
        Output("proof-load", kind="force", help="Load at proof stress"),
        Output("ultimate-load", kind="force", help="Least load at which it breaks"),
    ),
    formula="torque = K × diameter × preload; preload = utilisation × proof stress × stress area",
    function=_torque,
    judge=_judge_torque,
    choose=_choose_torque,
    bends=("thread-friction",),
    sources=("torque = K d F: Shigley 9th ed. Eq. 8-27",),
    cautions=("A part's own torque limit always wins over a formula.",),
)  # fmt: skip

CALCULATORS = (TORQUE,)
