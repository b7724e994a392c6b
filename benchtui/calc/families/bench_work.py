"""At the bench itself: the iron's setting, and whether a control's thread reaches through the panel."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Chosen, Input, Output, Point, Remarks, Spread
from benchtui.calc.tables.alloys import LIQUIDUS
from benchtui.errors import CalcError
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

# -- tip-temperature -------------------------------------------------------------------------------------------------

FLUX_LIMIT = 350.0
"""°C above which a solder maker says flux spoils."""


def _choose_tip(spread: Spread) -> Mapping[str, Chosen]:
    """The lowest the part's limit may be: a limit printed with a tolerance is kept at its lower end."""
    return {"limit": spread.low("part-limit")} if "part-limit" in spread.at else {}


def _tip(at: Point) -> Mapping[str, float | str]:
    if "melting" in at:
        melting = at["melting"]
    elif at.word("alloy"):
        melting = LIQUIDUS[at.word("alloy")]
    else:
        raise CalcError("is needed", key="melting", hint="type it, or an alloy")
    wanted = melting + at["joint-margin"] + at["reserve"]
    return {
        "setting": min(wanted, at.get("limit", wanted)),
        "wanted-setting": wanted,
        "joint-temperature": melting + at["joint-margin"],
        "melting": melting,
    }


def _judge_tip(case: Case, say: Remarks) -> None:
    text = case.text
    wanted = case.outputs["wanted-setting"].text
    say.work(
        f"setting by rule = {case.outputs['melting'].text} + {text('joint-margin')} + {text('reserve')} = {wanted}"
    )
    if "part-limit" in case.given:
        limit = case.spread.low("part-limit")
        if case.high("wanted-setting") > limit * (1 + 1e-12):
            say.warn(
                f"The rule asks for {wanted}, the part allows {text('part-limit')}: the two do not meet. Never set "
                "more than the part allows; use a bigger tip, or a part made for this solder."
            )
            if limit < case.high("joint-temperature"):
                say.warn(
                    f"The part's limit is below the {case.outputs['joint-temperature'].text} the joint itself needs: "
                    "do not hand-solder this part with this alloy."
                )
        else:
            say.ok(f"The rule's {wanted} is within the part's {text('part-limit')}.")
    else:
        say.note("No limit of the part was typed: look at its sheet, many pots and switches allow 300 °C for 3 s.")
    if case.high("setting") > FLUX_LIMIT:
        say.note("Above 350 °C flux spoils: be quick, and try a bigger tip first.")
    say.note("Makers disagree by some 80 °C on the setting; the part's limit settles it.")


TIP_TEMPERATURE = Calculator(
    "tip-temperature",
    title="Iron setting",
    also="soldering iron solder",
    summary="The iron's setting from the solder's melting point, never above the part's limit.",
    group="4 mechanical",
    inputs=(
        Input("melting", kind="temperature", help="Melting point of the solder", optional=True),
        Input("alloy", kind="choice", help="Or its alloy", optional=True, choices=tuple(LIQUIDUS)),
        Input("joint-margin", kind="temperature-difference", help="Joint above melting", default="50 K", least=0),
        Input("reserve", kind="temperature-difference", help="Tip above joint, 70 to 100 K", default="100 K", least=0),
        Input("part-limit", kind="temperature", help="The part's own limit", optional=True),
    ),
    outputs=(
        Output("setting", kind="temperature", help="Set the iron to"),
        Output("wanted-setting", kind="temperature", help="What the rule alone gives"),
        Output("joint-temperature", kind="temperature", help="At the joint"),
        Output("melting", kind="temperature", help="Melting point taken"),
    ),
    formula="setting = melting + joint-margin + reserve, at most part-limit",
    function=_tip,
    judge=_judge_tip,
    choose=_choose_tip,
    sources=(
        "melting + 50 + 70 to 100 °C: an iron maker's knowledge base; other sources give 280 to 400 °C",
        "melting points: J-STD-006 alloy tables",
    ),
    cautions=("The tip burns, and rosin fume may cause asthma for life: extract it, keep the head out of the plume.",),
)


# -- tolerance-fit ---------------------------------------------------------------------------------------------------


def _left(bushing: float, panel: float, washers: float, nut: float) -> float:
    return round(bushing - panel - washers - nut, 12)


def _choose_fit(spread: Spread) -> Mapping[str, Chosen]:
    worst = _left(spread.low("bushing-length"), spread.high("panel"), spread.high("washers"), spread.high("nut"))
    return {"worst-left": worst}


def _fit(at: Point) -> Mapping[str, float | str]:
    left = _left(at["bushing-length"], at["panel"], at["washers"], at["nut"])
    slack = 1e-9
    fits = "yes" if at["worst-left"] >= -slack else ("not over all tolerances" if left >= -slack else "no")
    return {"thread-left": left, "fits": fits}


def _judge_fit(case: Case, say: Remarks) -> None:
    text = case.text
    say.work(
        f"left = {text('bushing-length')} − {text('panel')} − {text('washers')} − {text('nut')} = {text('thread-left')}"
    )
    worst = format_value(case.low("thread-left"), "length", digits=3)
    if case.outputs["fits"].text == "yes":
        say.ok(f"The nut is full of thread; {worst} is left in the worst case.")
    else:
        say.warn(f"The nut may not be full of thread: {worst} in the worst case. Leave a washer out or use a thin nut.")
    say.note("A lock washer behind the panel uses thread and may lift the locating tab out of its hole.")


TOLERANCE_FIT = Calculator(
    "tolerance-fit",
    title="Bushing through the panel",
    also="bushing panel thickness washer nut",
    summary="Whether a control's bushing is long enough for panel, washers and nut.",
    group="4 mechanical",
    inputs=(
        Input("panel", kind="length", help="Thickness of the panel"),
        Input("washers", kind="sum:length", help="All washers, front and back", example="0.5 mm + 0.7 mm", least=0),
        Input("nut", kind="length", help="Height of the nut"),
        Input("bushing-length", kind="length", help="Thread of the bushing"),
    ),
    outputs=(
        Output("thread-left", kind="length", help="Thread past the nut"),
        Output("fits", kind="text", help="Whether the nut is full"),
    ),
    formula="left = bushing-length − panel − washers − nut",
    function=_fit,
    judge=_judge_fit,
    choose=_choose_fit,
    sources=("sum of thicknesses; lengths from the part's sheet",),
)

CALCULATORS = (TIP_TEMPERATURE, TOLERANCE_FIT)
