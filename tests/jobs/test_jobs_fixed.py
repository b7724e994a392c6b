"""What is fixed of a unit can be put right, and the steps that are for it follow (row A5: S1000D applicability)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from helpers.bench_of_plans import PlannedBench
from helpers.jobs import plan, step
from helpers.proven import RAIL, bench_on, through

from benchtui.content.library import Library
from benchtui.content.procedure import Applies
from benchtui.errors import JobError, Place
from benchtui.jobs.applies import UnitFacts, is_for, not_for
from benchtui.jobs.plan import Hidden
from benchtui.jobs.plans import duty
from benchtui.jobs.run_decisions import may_concede
from benchtui.jobs.unit_events import UnitFixed
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.plan import Plan

BRIDGE = step("bridge", text="close the bridge")
WHOLE = plan(step("mount@F1"), BRIDGE, RAIL, design_id="hollin-cue-desk")
RULE = Applies(hardware=("B",), place=Place("f"))


class Fitting(PlannedBench):
    """Leaves the bridge out of the plan where it is not for the unit."""

    def plan(self, id: str, *, design_id: str = "", subject: str = "", unit: str = "") -> Plan:
        because = not_for(RULE, self.units.facts(unit))
        if not because:
            return WHOLE
        steps = tuple(each for each in WHOLE.steps if each.key != BRIDGE.key)
        return replace(
            WHOLE, steps=steps, hidden=(Hidden(step_id="bridge", text=BRIDGE.text, because=because),)
        ).numbered()


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Fitting]:
    with bench_on(tmp_path) as planned:
        bench = Fitting({}, planned.store, planned.clock)  # type: ignore[arg-type]
        bench.units.needs = planned.units.needs  # type: ignore[method-assign]
        yield bench


def as_a(bench: Fitting) -> str:
    """A desk that was said to be A, and was built and released as one."""
    unit = bench.units.make("hollin-cue-desk", hardware="A", asked=("ribbon",))
    through(bench.start("hollin-assembly", unit)).close()
    bench.units.release(unit, by="the builder")
    return unit


def test_a_slip_in_the_revision_is_put_right_and_the_steps_that_were_left_out_are_done(bench: Fitting) -> None:
    unit = as_a(bench)
    view = bench.units.correct(unit, UnitFacts(hardware="B"), reason="the board says B", by="the builder")
    assert (view.facts.hardware, view.state, view.conflicts) == ("B", "in work", ())
    (line,) = bench.units.missing(unit)
    assert line.startswith("left out, and it is for this unit: close the bridge")
    (work,) = bench.left_open(unit)
    assert [each.key for each in work.plan.steps] == ["bridge"]
    run = bench.open(work.plan, unit)
    assert bench.left_open(unit) == (), "it is in hand"
    through(run).close()
    assert bench.left_open(unit) == ()
    assert not [line for line in bench.units.missing(unit) if "left out" in line]


def test_a_job_that_is_open_is_offered_the_steps_that_were_left_out(bench: Fitting) -> None:
    unit = bench.units.make("hollin-cue-desk", hardware="A")
    run = bench.start("hollin-assembly", unit)
    assert run.newer() is None
    bench.units.correct(unit, UnitFacts(hardware="B"), reason="the board says B", by="the builder")
    newer = run.newer()
    assert newer is not None
    assert newer[0].has("bridge")


def test_an_option_is_put_right_both_ways(bench: Fitting) -> None:
    unit = as_a(bench)
    for options in (("ribbon",), ()):
        said = UnitFacts(options=options, asked=("ribbon",))
        view = bench.units.correct(unit, said, reason="looked again", by="the builder")
        assert (view.facts.options, view.conflicts, view.state) == (options, (), "released")
    with pytest.raises(JobError, match="the record has it so already"):
        bench.units.correct(unit, UnitFacts(hardware="A"), reason="looked", by="the builder")


@pytest.mark.parametrize(("reason", "by"), [("", "the builder"), ("the board says B", " ")])
def test_nothing_is_put_right_without_a_reason_and_a_name(bench: Fitting, reason: str, by: str) -> None:
    unit = as_a(bench)
    with pytest.raises(JobError, match="this needs a"):
        bench.units.correct(unit, UnitFacts(hardware="B"), reason=reason, by=by)
    assert bench.units.facts(unit).hardware == "A"


def test_one_bench_that_says_it_otherwise_later_disagrees_with_nobody(bench: Fitting) -> None:
    unit = as_a(bench)
    bench.units.write(unit, UnitFixed(hardware="B", options=("ribbon",), asked=("ribbon",)))
    view = bench.units.view(unit)
    assert (view.conflicts, view.facts.hardware, view.facts.options) == ((), "B", ("ribbon",))
    assert bench.units.facts(unit) == view.facts


def other_of(bench: Fitting, folder: Path) -> Fitting:
    other = Fitting({}, Store.open(folder / "other.sqlite", clock=bench.clock), bench.clock)  # type: ignore[arg-type]
    merge(other.store, lines(bench.store))
    return other


def test_two_benches_that_put_it_right_otherwise_disagree_until_one_that_knows_both_does(
    bench: Fitting, tmp_path: Path
) -> None:
    # Row H15: merged in both orders, both come to the same.
    unit = as_a(bench)
    other = other_of(bench, tmp_path)
    for each, hardware in ((bench, "B"), (other, "C")):
        each.units.correct(unit, UnitFacts(hardware=hardware), reason=f"it says {hardware}", by="somebody")
    ours, theirs = list(lines(bench.store)), list(lines(other.store))
    merge(bench.store, theirs)
    merge(other.store, ours)
    here, there = bench.units.view(unit), other.units.view(unit)
    assert (here.facts, here.conflicts) == (there.facts, there.conflicts)
    assert [each.kind for each in here.conflicts if "hardware" in each.message] == ["unit-fixed"]
    settled = "B" if here.facts.hardware == "C" else "C"
    bench.units.correct(unit, UnitFacts(hardware=settled), reason="both looked", by="somebody")
    view = bench.units.view(unit)
    assert view.facts.hardware == settled
    assert not [each for each in view.conflicts if "hardware" in each.message]
    other.store.close()


@pytest.mark.parametrize(
    ("rule", "unit"),
    [
        ({"hardware": ("B", "C")}, {"hardware": "A"}),
        ({"options": ("dim", "ribbon")}, {"asked": ("dim", "ribbon")}),
        ({"options": ("dim",)}, {"asked": ("dim",), "options": ("ribbon",)}),
    ],
)
def test_why_a_step_was_left_out_tells_for_which_units_it_is(rule: dict[str, Any], unit: dict[str, Any]) -> None:
    because = not_for(replace(RULE, **{"hardware": (), **rule}), UnitFacts(**unit))
    assert because
    assert not is_for(because, UnitFacts(**unit))
    so = {key: (value[-1] if key == "hardware" else value[-1:]) for key, value in rule.items()}
    assert is_for(because, UnitFacts(**{**unit, **so}))


@pytest.mark.parametrize(
    ("what", "concedable", "leaves"),
    [
        ("", True, True),
        ("required test", False, True),
        ("hold point", False, False),
        ("required procedure", False, False),
    ],
)
def test_a_test_that_was_left_out_is_not_signed_away_and_a_hold_point_keeps_the_unit_here(
    bench: Fitting, what: str, concedable: bool, leaves: bool
) -> None:
    # Row I3 (ISO 9001:2015 8.7.1 d): a concession takes evidence, and of what was left out by a slip there is none.
    unit = as_a(bench)
    whole = bench.units.needs("")
    bench.units.needs = lambda _: replace(whole, duty=lambda _, step: what if step == "bridge" else "")  # type: ignore[method-assign]
    bench.units.correct(unit, UnitFacts(hardware="B"), reason="it says B", by="the builder")
    (line,) = bench.units.missing(unit)
    assert may_concede(bench.units, unit) == ((line,) if concedable else ())
    if leaves:
        assert bench.units.release(unit, by="the builder", conditional="show").data["state"] == "temporary"
    else:
        with pytest.raises(JobError, match="not even as temporary: left out, and it is for this unit"):
            bench.units.release(unit, by="the builder", conditional="show")


def test_the_text_tells_which_step_may_not_be_left_out() -> None:
    library = Library.open()
    steps = ("sign-off", "bond-ohms", "first-power", "feet", "strap", "no-such-step")
    assert [duty(library, "hollin-assembly", step) for step in steps] == [
        "hold point",
        "required test",
        "required procedure",
        *("", "", ""),
    ]
    assert duty(library, "no-such-procedure", "feet") == ""
