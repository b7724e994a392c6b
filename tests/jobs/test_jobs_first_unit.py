"""The first-unit record of a design: when it is due, for which unit, what it holds, and who signs it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import plan, step
from helpers.proven import SHORT, begun, built, heated, through

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.first_unit import Circumstances, characteristics, circumstances_of, first_unit_due, summed_up
from benchtui.jobs.passport import passport
from benchtui.jobs.run_first_unit import first_unit, sign
from benchtui.jobs.run_sitting import sit_down
from benchtui.jobs.unit_events import FirmwareLoaded, UnitStateSet
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

    from helpers.bench_of_plans import Clock, PlannedBench

NONE = "no unit of this design has one"


def test_a_first_unit_is_recorded_again_when_something_that_matters_changed(bench: PlannedBench) -> None:
    # Row H14 (AS9102 4.6, from memory).
    before = Circumstances(design_revision="1", procedures={"build": 1}, place="home", time="2028-01-01T10:00:00+01:00")
    assert first_unit_due(before, None) == ("no unit of this design has one",)
    assert first_unit_due(replace(before, time="2029-12-01T10:00:00+01:00"), before) == ()
    assert first_unit_due(replace(before, time="2030-01-02T10:00:00+01:00"), before) == (
        "no unit was built for 2 years",
    )
    assert first_unit_due(replace(before, place=""), before) == (), "where nobody said where the bench is, it stayed"
    moved = replace(before, design_revision="2", procedures={"build": 3, "new": 1}, place="a barn", hardware="B")
    assert len(first_unit_due(moved, before)) == 4
    through(bench.start("hollin-assembly", "HCD-001-D"))
    record = characteristics(bench.units.view("HCD-001-D"))
    assert [(line.what, line.result, line.verdict) for line in record] == [
        ("bank", "2.5 kΩ", "pass"),
        ("rail", "3.3 V", "pass"),
    ]


def test_the_first_unit_is_signed_with_its_release_and_the_next_one_needs_none(bench: PlannedBench) -> None:
    # Row H14 (AS9102 4.6, from memory); one signature covers all of its forms (AS9102C form 1, from memory).
    one, two = (built(bench) for _ in range(2))
    assert first_unit(bench.units, one).line == f"This is the first unit, and its first-unit record is due: {NONE}"
    assert first_unit(bench.units, two).line == f"A first-unit record is due, with {one} first: {NONE}"
    assert first_unit(bench.units, two).short == f"First-unit record due, with {one} first: {NONE}"
    released = bench.units.release(one, by="the builder")
    assert released.data["state"] == "released"
    view = bench.units.view(one)
    assert [(signed.by, signed.because) for signed in view.first_unit] == [("the builder", (NONE,))]
    assert view.first_unit[0].told == "2 characteristics: 2 pass"
    assert view.first_unit[0].procedures == ("hollin-assembly 1",)
    assert not view.conflicts, "the release names what was known before it, and the signature stands behind it"
    page = "\n".join(passport(view))
    assert f"- first-unit record signed by the builder on 2031-03-01 09:00, due since {NONE}; 2 char" in page
    assert first_unit(bench.units, two).why == ()
    bench.units.release(two, by="the builder")
    assert bench.units.view(two).first_unit == ()


def test_a_unit_that_waits_or_is_gone_is_not_the_first(bench: PlannedBench) -> None:
    one, _ = begun(bench)
    two, three = bench.units.make("hollin-cue-desk"), built(bench)
    assert first_unit(bench.units, two).first == one
    bench.units.set_state(one, "held", reason="a bad board")
    assert first_unit(bench.units, one).first == three, "one in work goes before one that is only planned"
    bench.units.set_state(three, "scrapped", reason="fell")
    assert first_unit(bench.units, one).first == two
    assert first_unit(bench.units, three).line == "", "nothing is asked of a unit that is gone"
    bench.units.set_state(two, "scrapped", reason="fell")
    assert first_unit(bench.units, one).line == f"A first-unit record is due: {NONE}"


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"revision": 3}, "the procedure hollin-assembly went from revision 1 to 3"),
        ({"design_revision": "5"}, "the design went from revision 4 to 5"),
    ],
)
def test_a_change_of_the_design_or_the_procedure_asks_for_a_new_record(
    bench: PlannedBench, fields: dict[str, object], why: str
) -> None:
    # Row H14 (AS9102 4.6, from memory).
    bench.units.release(built(bench, replace(SHORT, design_revision="4")), by="the builder")
    unit = built(bench, replace(SHORT, **{"design_revision": "4", **fields}))  # type: ignore[arg-type]
    assert first_unit(bench.units, unit).why == (why,)
    bench.units.release(unit, by="the builder")
    assert bench.units.view(unit).first_unit[0].because == (why,)


def test_another_bench_and_years_without_a_unit_ask_for_a_new_record(bench: PlannedBench) -> None:
    # Row H14 (AS9102 4.6, from memory): the years count from the last unit that was built, not from the last record.
    clock: Clock = bench.clock  # type: ignore[assignment]
    sit_down(bench, place="the barn")
    bench.units.release(built(bench), by="the builder")
    for _ in range(2):
        clock.forward(days=500)
        unit = built(bench)
        assert first_unit(bench.units, unit).why == ()
        bench.units.release(unit, by="the builder")
    sit_down(bench, place="The  Barn")
    assert first_unit(bench.units, built(bench)).why == ()
    sit_down(bench, place="the attic")
    clock.forward(days=800)
    unit = built(bench)
    assert first_unit(bench.units, unit).why == (
        "the bench moved from the barn to the attic",
        "no unit was built for 2 years",
    )


def test_a_test_that_was_made_again_counts_as_it_came_out_then(bench: PlannedBench) -> None:
    # AS9102 form 3, from memory: the result that counts, and the meter it was taken with.
    unit = built(bench)
    assert [line.verdict for line in characteristics(bench.units.view(unit))] == ["pass", "pass"]
    heated(bench, unit)
    found = characteristics(bench.units.view(unit))
    assert [line.stands for line in found] == ["", ""]
    assert found[0].verdict == "pass; to be taken again after later work"
    assert summed_up(found) == "2 characteristics: 2 to be taken again"
    through(bench.open(bench.units.retest_plan(unit), unit), typed={"bank": "2.6"}).close()
    found = characteristics(bench.units.view(unit))
    assert [(line.number, line.result, line.stands) for line in found] == [(1, "2.6 kΩ", "pass"), (2, "3.3 V", "pass")]
    assert found[0].at == "Build one Hollin cue desk, step 3"


def test_a_build_that_was_begun_once_more_by_a_slip_takes_nothing_off_the_record(bench: PlannedBench) -> None:
    whole = replace(SHORT, steps=(*SHORT.steps, *plan(step("inner", "call", call="inner")).steps))
    bench.plans["inner"] = plan(SHORT.steps[2], id="inner", design_id="hollin-cue-desk")
    unit, run = begun(bench, whole)
    through(run, until="inner")
    inner = through(bench.call(run, "inner"))
    inner.close()
    run.act(ev.CallReturned(step="inner", called=inner.job, result=inner.state.closed))
    through(run).close()
    before = bench.units.view(unit)
    assert len(characteristics(before)) == 3
    bench.clock.forward(days=1)  # type: ignore[attr-defined]
    bench.start("hollin-assembly", unit).close(decision="wrong unit")
    after = bench.units.view(unit)
    assert characteristics(after) == characteristics(before)
    assert circumstances_of(after, place="") == circumstances_of(before, place="")


def test_what_was_left_out_says_why(bench: PlannedBench) -> None:
    unit, run = begun(bench, replace(SHORT, steps=tuple(replace(step, required=False) for step in SHORT.steps)))
    through(run, until="bank")
    run.act(ev.StepNotApplicable(step="bank", reason="no bank on this one"))
    line = characteristics(bench.units.view(unit))[0]
    assert (line.result, line.verdict, line.stands) == ("", "not applicable: no bank on this one", "")


def test_only_a_whole_unit_is_signed_and_one_released_before_may_be(bench: PlannedBench) -> None:
    unit, run = begun(bench)
    with pytest.raises(JobError, match="is not whole yet: Build one Hollin cue desk"):
        sign(bench.units, unit, by="the builder")
    through(run).close()
    with pytest.raises(JobError, match="this needs a name"):
        sign(bench.units, unit, by=" ")
    # A program of the time before there were such records has released it.
    for state in ("accepted", "released"):
        bench.store.append(UnitStateSet.KIND, unit=unit, data=UnitStateSet(state=state, by="the builder").to_data())
    assert first_unit(bench.units, unit).line == "", "it has left the bench, and nobody is told to do anything"
    bench.units.write(unit, FirmwareLoaded(name="desk", version="1.2"))
    sign(bench.units, unit, by="the builder")
    assert bench.units.view(unit).first_unit[0].because == (NONE,)
    assert first_unit(bench.units, built(bench)).why == ()


def test_one_that_goes_out_as_temporary_signs_nothing(bench: PlannedBench) -> None:
    unit = built(bench)
    heated(bench, unit)
    bench.units.release(unit, by="the builder", conditional="show tonight")
    assert bench.units.view(unit).first_unit == ()
    assert first_unit(bench.units, unit).why == (NONE,)


def test_a_record_that_another_bench_signed_counts_here(bench: PlannedBench, tmp_path: Path) -> None:
    bench.units.release(built(bench), by="the builder")
    with Store.open(tmp_path / "tour.sqlite") as other:
        merge(other, lines(bench.store))
        assert [event.kind for event in other.events(kinds=["first-unit"])] == ["first-unit"]
    again = merge(bench.store, lines(bench.store))
    assert again.added == 0
