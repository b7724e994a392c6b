"""No unit leaves whose hold points were never passed, nor one whose procedures were called and not gone through.

Rows I3 and H13 (ISO 9001:2015 8.6 and 8.7): a concession takes evidence, and what stands behind a hold point, such as
the first power or the bonding, has none.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import plan, step
from helpers.proven import begun, through

from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.plans import Plans, proves
from benchtui.jobs.run_decisions import may_concede
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from helpers.bench_of_plans import PlannedBench

    from benchtui.jobs.run import Run

NOT_EVEN = "cannot go out, not even as temporary: "
HELD = plan(
    step("mount@F1"),
    step("first-power", hold=True),
    step("label"),
    step("sign", "sign", hold=True),
    design_id="hollin-cue-desk",
)
CALLING = plan(step("mount@F1"), step("power", "call", call="first-power"), step("feet"), design_id="hollin-cue-desk")
POWER = plan(step("plug-in"), step("hot", hold=True), id="first-power", title="First power")


@pytest.fixture(autouse=True)
def _needs(bench: PlannedBench) -> None:
    needs = Needs(
        procedures=(("hollin-assembly", "Build one Hollin cue desk"),),
        proves=lambda id: id in ("hollin-assembly", "first-power"),
    )
    bench.units.needs = lambda _: needs  # type: ignore[method-assign]
    bench.plans["first-power"] = POWER


def temporary(bench: PlannedBench, unit: str) -> str:
    """The state after somebody tried to let it out for tonight; the refusal where it stays."""
    try:
        return str(bench.units.release(unit, by="the builder", conditional="show tonight").data["state"])
    except JobError as error:
        return str(error).partition(NOT_EVEN)[2]


def test_a_build_closed_before_its_last_hold_point_is_finished_before_it_leaves(bench: PlannedBench) -> None:
    unit, run = begun(bench, HELD)
    run.act(ev.StepDone(step="mount@F1"))
    run.close(decision="the van is here")
    assert temporary(bench, unit).startswith("the hold point at step 2 of Build one Hollin cue desk was not passed")
    missing = bench.units.missing(unit)
    assert [line.split(":")[0] for line in missing] == ["step 2 open", "step 4 open", "step 3 open"], "each is named"
    assert len(may_concede(bench.units, unit)) == 1, "the label, and no hold point"
    (work,) = bench.left_open(unit)
    left = bench.open(work.plan, unit)
    left.act(ev.StepDone(step="first-power"))
    left.close(decision="the van is here")
    assert temporary(bench, unit).startswith("the hold point at step 3 of Left open: Build one Hollin cue desk was not")
    (work,) = bench.left_open(unit)
    left = bench.open(work.plan, unit)
    left.act(ev.StepSkipped(step="label", reason="no label here"))
    through(left).close(decision="the label follows")
    assert temporary(bench, unit) == "temporary"


def test_a_unit_that_was_planned_and_never_built_does_not_leave(bench: PlannedBench) -> None:
    bench.plans["look"] = plan(step("look"), id="look", procedure_kind="service")
    unit, run = begun(bench, HELD)
    run.close(decision="the wrong one")
    assert run.state.closed == ev.NOTHING_DONE
    through(bench.start("look", unit)).close()
    assert temporary(bench, unit).startswith("Build one Hollin cue desk was never begun, and there are hold points in")
    # One that was built before there was a record is known to whoever lets it out, and that stays written on it.
    bench.plans["look"] = replace(bench.plans["look"], design_id="hollin-cue-desk")
    through(bench.start("look", "HCD-098-Z")).close()
    assert temporary(bench, "HCD-098-Z") == "temporary"


@pytest.mark.parametrize(("kind", "stays"), [("rework", True), ("service", False)])
def test_rework_that_was_begun_holds_a_unit_as_its_build_does(bench: PlannedBench, kind: str, stays: bool) -> None:
    unit, run = begun(bench, HELD)
    through(run).close()
    bench.plans["fix"] = plan(
        step("fix@F1"), step("no-short", hold=True), id="fix", title="Mend F1", procedure_kind=kind
    )
    run = bench.start("fix", unit)
    assert temporary(bench, unit) == "temporary", "it may have been begun by a slip"
    bench.units.set_state(unit, "in work")
    run.act(ev.StepDone(step="fix@F1"))
    for closed in (False, True):
        if closed:
            run.close(decision="the van is here")
        said = temporary(bench, unit)
        assert said.startswith("the hold point at step 2 of Mend F1") if stays else said == "temporary"
        if not stays:
            bench.units.set_state(unit, "in work")


# -- procedures that are called --------------------------------------------------------------------------------------


def test_a_step_that_calls_what_proves_something_is_not_left_out() -> None:
    library = Library.open()
    desk = Plans(library).plan("hollin-assembly", design_id="hollin-cue-desk")
    duties = {each.call: each.duty for each in desk.steps if each.act == "call"}
    assert {call for call, duty in duties.items() if not duty} == {"strap-test", "check-meter", "set-iron"}
    assert set(duties.values()) == {"", "required procedure"}
    assert not proves(library, "no-such-procedure")


def test_a_call_is_not_passed_by_a_job_in_which_nothing_was_done(bench: PlannedBench) -> None:
    _, run = begun(bench, CALLING)
    run.act(ev.StepDone(step="mount@F1"))
    called = bench.call(run, "power")
    called.close(decision="not now")
    reply = Work(run).returned(called.job, called.state.closed)
    assert (reply.problem, reply.text) == (True, "nothing was done in it, so this step is still to be done")
    with pytest.raises(JobError, match="has not come back yet"):
        run.act(ev.StepDone(step="power"))
    called = bench.call(run, "power")
    through(called).close()
    assert not Work(run).returned(called.job, called.state.closed).problem
    assert run.state["power"].status == "done"


def not_applicable(run: Run, bench: PlannedBench) -> None:
    run.act(ev.StepNotApplicable(step="power", reason="no time"))


def with_nothing_done(run: Run, bench: PlannedBench) -> None:
    # As an older program wrote it.
    called = bench.call(run, "power")
    called.close(decision="not now")
    back = {"step": "power", "called": called.job, "result": called.state.closed}
    bench.store.append("call-returned", unit=run.unit, job=run.job, data=back)
    bench.store.append("step-done", unit=run.unit, job=run.job, data={"step": "power"})


def skipped(run: Run, bench: PlannedBench) -> None:
    run.act(ev.StepSkipped(step="power", reason="no time"))


@pytest.mark.parametrize("how", [not_applicable, with_nothing_done, skipped])
def test_what_an_older_program_let_pass_keeps_its_unit_here_until_it_is_gone_through(
    bench: PlannedBench, how: object
) -> None:
    unit, run = begun(bench, CALLING)
    run.act(ev.StepDone(step="mount@F1"))
    how(run, bench)  # type: ignore[operator]
    job = run.job
    bench._runs.clear()
    run = bench.resume(job)
    run.act(ev.Resumed())
    through(run).close(decision="later")
    (line,) = bench.units.missing(unit)
    assert line.startswith("step 2 ")
    assert may_concede(bench.units, unit) == ()
    assert temporary(bench, unit).startswith("step 2 of Build one Hollin cue desk was not gone through")
    if how is skipped:
        (work,) = bench.left_open(unit)
        left = bench.open(work.plan, unit)
        through(bench.call(left, "power")).close()
        called = left.state["power"].called
        left.act(ev.CallReturned(step="power", called=called, result="complete"))
        through(left).close()
    else:
        through(bench.start("first-power", unit)).close()
    assert bench.units.missing(unit) == ()
