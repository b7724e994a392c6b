"""A released unit that is worked on in a service is in work, and what was taken out of it keeps it here.

Source: ISO 9001:2015 8.6 and 8.7.1: what was proven before a unit was opened is proven once it was tested again.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import plan, step
from helpers.proven import SOLDERED, built, through

from benchtui.content.library import Library
from benchtui.jobs import events as ev
from benchtui.jobs.named import NOTHING
from benchtui.jobs.plan_text import plan_text, read_plan
from benchtui.jobs.plans import Plans

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.plan import Plan

OUT = plan(
    step("nut@F1"),
    step("lift@F1"),
    id="free-from-panel",
    title="Take it out",
    procedure_kind="service",
    design_id="hollin-cue-desk",
    put_back="back-in-panel",
)
BACK = plan(
    step("set-in@F1"), id="back-in-panel", title="Put it back", procedure_kind="service", design_id="hollin-cue-desk"
)


def released(bench: PlannedBench, *plans: Plan) -> str:
    bench.plans |= {each.id: each for each in plans}
    unit = built(bench, SOLDERED)
    bench.units.release(unit, by="Ann")
    return unit


def test_the_first_work_of_a_service_puts_a_released_unit_in_work(bench: PlannedBench) -> None:
    unit = released(bench, OUT)
    run = bench.start("free-from-panel", unit, subject="F1")
    run.act(ev.StepBegun(step="nut@F1"))
    assert bench.units.view(unit).state == "released", "a page marks the step in hand by itself: it may be a slip"
    run.act(ev.StepDone(step="nut@F1"))
    view = bench.units.view(unit)
    assert view.state == "in work"
    assert view.last_state is not None and view.last_state.reason == "Take it out was begun"


@pytest.mark.parametrize(
    ("first", "state"),
    [
        (step("plug", about="nothing"), "released"),
        (step("label", about="papers"), "released"),
        (step("on", begins="power-on"), "released"),
        (step("look", "observe"), "released"),
        (step("open"), "in work"),
    ],
)
def test_plugging_in_and_looking_is_no_work_on_the_unit(bench: PlannedBench, first: object, state: str) -> None:
    sweep = plan(first, step("last"), id="sweep", procedure_kind="service", design_id="hollin-cue-desk")  # type: ignore[arg-type]
    unit = released(bench, sweep)
    run = bench.start("sweep", unit)
    run.act(ev.StepDone(step=run.state.current))
    assert bench.units.view(unit).state == state


def test_what_was_taken_out_keeps_the_unit_here_until_it_is_back(bench: PlannedBench) -> None:
    unit = released(bench, OUT, BACK)
    out = through(bench.start("free-from-panel", unit, subject="F1"))
    out.close()
    line = f"F1 is still out: Take it out (job {out.job}); back-in-panel puts it back"
    assert bench.units.missing(unit) == (line,)
    through(bench.start("back-in-panel", unit, subject="F2")).close()
    assert bench.units.missing(unit) == (line,), "another control went back"
    through(bench.start("back-in-panel", unit, subject="F1")).close()
    assert bench.units.missing(unit) == ()
    again = through(bench.start("free-from-panel", unit, subject="F1"))
    again.close()
    assert len(bench.units.missing(unit)) == 1, "it is out once more"


def test_what_goes_on_where_putting_back_was_left_off_puts_it_back_too(bench: PlannedBench) -> None:
    two = replace(BACK, steps=(*BACK.steps, *plan(step("torque@F1")).steps))
    unit = released(bench, OUT, two)
    through(bench.start("free-from-panel", unit, subject="F1")).close()
    back = bench.start("back-in-panel", unit, subject="F1")
    back.act(ev.StepDone(step="set-in@F1"))
    back.close(decision="curtain")
    assert any("still out" in line for line in bench.units.missing(unit))
    through(bench.open(bench.units.left_open(unit)[0].plan, unit)).close()
    assert not any("still out" in line for line in bench.units.missing(unit))


@pytest.mark.parametrize("only", [{"about": "nothing"}, {"about": "papers"}, {"ends": "power-on"}])
def test_a_photograph_takes_nothing_out(bench: PlannedBench, only: dict[str, str]) -> None:
    unit = released(bench, replace(OUT, steps=(*plan(step("photo@F1", **only)).steps, *OUT.steps)))
    run = bench.start("free-from-panel", unit, subject="F1")
    run.act(ev.StepDone(step="photo@F1"))
    run.close(decision="wrong control")
    assert not any("still out" in line for line in bench.units.missing(unit))


def test_a_new_part_in_its_place_is_no_part_that_is_out(bench: PlannedBench) -> None:
    unit = released(bench, OUT)
    through(bench.start("free-from-panel", unit, subject="F1")).close()
    fix = plan(step("fit@F1"), id="fix", procedure_kind="rework", design_id="hollin-cue-desk")
    bench.plans["fix"] = fix
    run = bench.start("fix", unit, subject="F1")
    run.act(ev.PartFitted(step="fit@F1", part="fader", place="F1", lot="22", replaces="fader", reason="worn"))
    through(run).close()
    assert not any("still out" in line for line in bench.units.missing(unit))


def test_a_new_part_of_which_no_old_one_was_known_is_in_too(bench: PlannedBench) -> None:
    # What rework puts in says itself what it touched, so that its part is no exchange by itself.
    unit = released(bench, OUT)
    through(bench.start("free-from-panel", unit, subject="F1")).close()
    fix = plan(
        step("fit@F1", trace="lot"), id="fix", procedure_kind="rework", design_id="hollin-cue-desk", subject="F1"
    )
    bench.plans["fix"] = fix
    run = bench.start("fix", unit, subject="F1")
    run.act(ev.PartFitted(step="fit@F1", part="fader", place="F1", lot="22", touched=NOTHING))
    through(run).close()
    assert not any("still out" in line for line in bench.units.missing(unit))


def test_a_take_out_by_mistake_leaves_nothing_out(bench: PlannedBench) -> None:
    unit = released(bench, OUT)
    run = bench.start("free-from-panel", unit, subject="F1")
    run.close(decision="wrong desk", untouched=True)
    assert bench.units.missing(unit) == ()


def test_the_plan_keeps_what_puts_it_back_and_an_older_text_names_nothing() -> None:
    assert read_plan(plan_text(OUT)).put_back == "back-in-panel"
    assert read_plan(plan_text(replace(OUT, put_back=""))).put_back == ""
    assert '"put_back"' not in plan_text(BACK)


def test_the_shipped_procedures_say_what_taking_out_touches_and_what_puts_it_back() -> None:
    plans = Plans(Library.open())
    for name, back in (("free-from-panel", "back-in-panel"), ("back-in-panel", "")):
        made = plans.plan(name, design_id="hollin-cue-desk", subject="F1")
        assert (made.touched, made.put_back) == (("F1",), back)
