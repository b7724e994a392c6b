"""The job that makes void tests again can be walked: its own steps switch power on and off, and waits are kept."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from helpers.builder import Builder
from helpers.jobs import BANK, plan, step
from helpers.proven import built, heated

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.plan import Plan, PlanStep
    from benchtui.jobs.run import Run


def measured(key: str, about: str = "") -> PlanStep:
    return replace(step(key, "measure", limits=BANK, required=True), about=about)


def page(**lines: tuple[str, ...]) -> Before:
    return Before(**lines)


OHMS = replace(
    plan(step("set"), measured("ohms@F1"), id="inspect", title="Inspect", design_id="hollin-cue-desk"),
    before=page(conditions=("the lead is out",), tools=("meter",)),
    after=("the lid is on",),
)
POWER = replace(
    plan(
        step("limit"),
        replace(step("on"), begins="power-on"),
        step("load"),
        measured("current"),
        replace(step("off"), ends="power-on"),
        measured("label", "papers"),
        id="power",
        title="First power",
        design_id="hollin-cue-desk",
    ),
    before=page(conditions=("inspect is passed",), tools=("meter", "USB meter")),
    after=("the lead is out",),
)


def walk(bench: PlannedBench, run: Run) -> None:
    Builder(lambda seconds: bench.clock.forward(seconds=seconds)).finish(run)


def retest(bench: PlannedBench, *plans: Plan) -> tuple[str, Plan]:
    unit = built(bench)
    for each in plans:
        bench.plans[each.id] = each
        walk(bench, bench.start(each.id, unit))
    heated(bench, unit)
    # The build of the helpers has tests of its own, which stand before these.
    return unit, bench.units.retest_plan(unit)


def test_power_comes_on_and_goes_off_around_a_test_that_needs_it(bench: PlannedBench) -> None:
    # ISO 9001:2015 8.7.1: what was put right is shown to conform; by steps that a builder can walk.
    unit, again = retest(bench, OHMS, POWER)
    keys = [each.key for each in again.steps]
    assert keys[keys.index("before-inspect") :] == ["before-inspect", "ohms@F1", "before-power", "on", "current", "off"]
    assert [(each.begins, each.ends) for each in again.steps if each.begins or each.ends] == [
        ("power-on", ""),
        ("", "power-on"),
    ]
    assert [each.number for each in again.steps] == list(range(1, len(keys) + 1))
    walk(bench, bench.open(again, unit))
    assert bench.units.missing(unit) == ()


def test_what_has_to_be_so_is_that_of_the_procedures_of_its_own_tests(bench: PlannedBench) -> None:
    # The last one of the build asks whether every test is passed, and none of its tests is made again here.
    pack = replace(
        plan(measured("serial", "papers"), id="pack", title="Close", design_id="hollin-cue-desk"),
        before=page(conditions=("every test is passed",)),
        after=("the weight is noted",),
    )
    _, again = retest(bench, OHMS, POWER, pack)
    assert again.before == page(tools=("meter", "USB meter"))
    assert again.after == ("the lid is on", "the lead is out")
    # What comes to be so in this job is asked where it is, and not before the job.
    assert {each.key: each.detail for each in again.steps if each.step_id == "before"} == {
        "before-inspect": ("the lead is out",),
        "before-power": ("inspect is passed",),
    }


SOAK = plan(
    step("supply"),
    replace(step("start"), begins="soak-fire"),
    step("log-start"),
    step("day", "wait", seconds=60.0),
    measured("log"),
    step("after-log"),
    replace(step("stop"), ends="soak-fire"),
    id="soak",
    title="Soak",
    design_id="hollin-cue-desk",
)


def test_a_test_that_comes_after_a_wait_is_made_again_after_the_wait(bench: PlannedBench) -> None:
    # A log says nothing before its day has passed, and nothing where it was not started.
    _, again = retest(bench, SOAK)
    keys = [each.key for each in again.steps]
    assert keys[keys.index("start") :] == ["start", "log-start", "day", "log", "stop"]


def test_a_wait_is_the_same_one_in_the_job_that_makes_its_tests_again_or_does_what_was_left_open(
    bench: PlannedBench,
) -> None:
    # Row C13: the last wait counts, whichever job it was in. It was cut short, waited out, and cut short again.
    unit = built(bench)
    bench.plans["soak"] = SOAK

    def waits(run: Run, *, short: bool) -> list[str]:
        hands = Builder(lambda seconds: bench.clock.forward(seconds=seconds))
        hands.begin(run)
        while (here := run.current()) is not None:
            if short and here.act == "wait":
                run.start_wait()
                run.end_wait(reason="the van is here")
                run.act(ev.StepDone(step=here.key))
            else:
                hands.step(run)
        run.close()
        return [line for line in bench.units.missing(unit) if "cut short" in line]

    assert len(waits(bench.start("soak", unit), short=True)) == 1
    heated(bench, unit)
    assert waits(bench.open(bench.units.retest_plan(unit), unit), short=False) == []
    heated(bench, unit)
    again = bench.open(bench.units.retest_plan(unit), unit)
    (line,) = waits(again, short=True)
    assert again.job in line
    left = bench.start("soak", unit)
    left.act(ev.StepDone(step="supply"))
    left.close(decision="the van is here")
    (work,) = bench.left_open(unit)
    assert waits(bench.open(work.plan, unit), short=False) == []
    assert bench.units.missing(unit) == ()


def test_two_procedures_that_switch_on_by_one_id_each_do_it(bench: PlannedBench) -> None:
    other = replace(POWER, id="inputs", title="Test every input", before=Before(), after=())
    tighter = replace(measured("current"), limits=replace(BANK, high=2700.0, text="2.0 kΩ to 2.7 kΩ"))
    other = replace(other, steps=(other.steps[1], tighter, other.steps[4]))
    unit, again = retest(bench, POWER, other)
    keys = [each.key for each in again.steps if each.begins or each.ends]
    assert keys == ["power:on", "power:off", "inputs:on", "inputs:off"]
    # What was made again is void after the next work, and its power comes on once more.
    walk(bench, bench.open(again, unit))
    heated(bench, unit)
    assert [each.key for each in bench.units.retest_plan(unit).steps] == [each.key for each in again.steps]
