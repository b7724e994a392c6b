"""Threads that strip: the metal that shears in the hole and on the screw, and how deep a screw has to go."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc.calculator import Calculator, Input, Output, Point, Remarks
from benchtui.calc.threads import Limits, Thread, external_area, internal_area, limits_of, read_thread
from benchtui.errors import CalcError
from benchtui.units import format_number, format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.result import Case

_RULES = "minimum engagement 1.25 d in steel or cast iron, 2 d in aluminium: an engine maker's service notes"


def _thread(at: Point) -> Thread:
    thread = read_thread(at.word("thread"))
    if not thread.pitch:
        raise CalcError("needs its pitch", key="thread", hint="type it like M5 or 1/4-20")
    return thread


def _limits(at: Point, thread: Thread) -> Limits:
    usual = limits_of(thread)
    limits = Limits(
        at.get("major-min", usual.major_min),
        at.get("screw-pitch-min", usual.screw_pitch_min),
        at.get("hole-pitch-max", usual.hole_pitch_max),
        at.get("hole-minor-max", usual.hole_minor_max),
    )
    if internal_area(limits, thread.pitch, thread.pitch) <= 0 or external_area(limits, thread.pitch, thread.pitch) <= 0:
        raise CalcError("with these limits of size the threads do not touch", key="major-min")
    return limits


def _strip(at: Point) -> Mapping[str, float | str]:
    thread = _thread(at)
    limits = _limits(at, thread)
    length = at.get("engagement", thread.diameter)
    inside, outside = internal_area(limits, thread.pitch, 1.0), external_area(limits, thread.pitch, 1.0)
    # The screw breaks first when its own thread carries twice the stress area in shear (FED-STD-H28).
    equal = 2 * thread.stress_area / outside
    found: dict[str, float | str] = {
        "internal-area": inside * length,
        "external-area": outside * length,
        "engagement": equal,
        "stress-area": thread.stress_area,
    }
    if "screw-strength" in at and "hole-strength" in at:
        share = outside * at["screw-strength"] / (inside * at["hole-strength"])
        found["engagement"] = equal * max(1.0, share)
    if "shear-strength" in at:
        found["strip-force"] = at["shear-strength"] * inside * length
        if "force" in at:
            found["engagement"] = at["force"] / (at["shear-strength"] * inside)
    return found


def _of_what(at: Point) -> str:
    """Which materials an engagement was worked out for."""
    if "hole-strength" in at and "screw-strength" in at:
        return "(by the two strengths typed)"
    return "(equal materials)"


def _judge_strip(case: Case, say: Remarks) -> None:
    at, text = case.at, case.text
    thread = _thread(at)
    limits = _limits(at, thread)
    sizes = [
        format_value(size, "length")
        for size in (limits.major_min, limits.hole_pitch_max, limits.screw_pitch_min, limits.hole_minor_max)
    ]
    say.work(
        f"limits of {thread.name}: smallest major {sizes[0]}, largest pitch of the hole {sizes[1]}, smallest pitch of "
        f"the screw {sizes[2]}, largest minor {sizes[3]}"
    )
    length = at.get("engagement", thread.diameter)
    say.work(
        f"areas over {format_value(length, 'length')}: hole {text('internal-area')}, screw {text('external-area')}"
    )
    needed = case.outputs["engagement"]
    if "force" in at and "shear-strength" in at:
        say.work(f"to hold {text('force')} at {text('shear-strength')}: {needed.text} of engagement")
    else:
        say.work(f"the screw breaks before it strips from {needed.text} of engagement on {_of_what(at)}")
    if "force" in at and "shear-strength" not in at:
        say.note("The force was not used: type the shear strength of the hole's material too.")
    if "engagement" in case.given and needed.value is not None:
        most = needed.max if needed.max is not None else needed.value
        words = f"{format_value(length, 'length')} against {format_value(most, 'length')}"
        judged = ("force" in at and "shear-strength" in at) or ("hole-strength" in at and "screw-strength" in at)
        if length < most:
            say.warn(f"The thread strips first: {words} needed.")
        elif judged:
            say.ok(f"Deep enough: {words} needed.")
        else:
            say.note(f"Deep enough if hole and screw are of one material: {words} needed. A softer hole needs more.")
    shares = format_number(case.out("engagement") / thread.diameter, digits=3)
    say.note(f"That is {shares} d; thumb rules ask for 1.25 d in steel and 2 d in aluminium.")
    say.source(_RULES)
    if "hole-strength" not in at and "shear-strength" not in at:
        say.note("A softer hole needs more: type screw-strength and hole-strength, or force and shear-strength.")


THREAD_STRIP = Calculator(
    "thread-strip",
    title="Thread stripping",
    summary="Shear areas of a thread, the force that strips it, and how deep a screw has to go.",
    group="4 mechanical",
    inputs=(
        Input("thread", kind="word", help="Thread", example="M4 or 10-24"),
        Input("engagement", kind="length", help="Length engaged; one diameter when left out", optional=True),
        Input("shear-strength", kind="pressure", help="Of the hole's material", optional=True),
        Input("force", kind="force", help="Pull to be held", optional=True),
        Input("screw-strength", kind="pressure", help="Tensile, of the screw", optional=True),
        Input("hole-strength", kind="pressure", help="Tensile, of the hole's material", optional=True),
        Input("major-min", kind="length", help="Smallest major diameter of the screw", optional=True),
        Input("hole-pitch-max", kind="length", help="Largest pitch diameter of the hole", optional=True),
        Input("hole-minor-max", kind="length", help="Largest minor diameter of the hole", optional=True),
        Input("screw-pitch-min", kind="length", help="Smallest pitch diameter of the screw", optional=True),
    ),
    outputs=(
        Output("internal-area", kind="area", help="Sheared in the hole"),
        Output("external-area", kind="area", help="Sheared on the screw"),
        Output("strip-force", kind="force", help="Pull that strips the hole"),
        Output("engagement", kind="length", help="From which the screw breaks first, or the force is held"),
        Output("stress-area", kind="area", help="Tensile stress area"),
    ),
    formula="hole: π L/P × Ds (P/2 + 0.577 (Ds − En)); screw: π L/P × Kn (P/2 + 0.577 (Es − Kn))",
    function=_strip,
    judge=_judge_strip,
    bends=("hole-minor-max",),
    sources=(
        "stripping areas: FED-STD-H28; checked against Bickford, Design and Behavior of Bolted Joints, 4th ed.",
        "limits of size: 6g/6H by ISO 965-1, 2A/2B by ASME B1.1 (formulas from memory)",
    ),
)

CALCULATORS = (THREAD_STRIP,)
