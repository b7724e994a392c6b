"""A unit that is built, heated and tested again, for tests of what is still proven of it."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, full_plan, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.steps import Status
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from benchtui.jobs.plan import Plan
    from benchtui.jobs.run import Run

RAIL = full_plan().step("rail")
SHORT = plan(step("mount@F1"), step("mount@F2"), full_plan().step("bank"), RAIL, design_id="hollin-cue-desk")
AGAIN = "to be tested again after later work: measure "
SOLDERED = plan(
    step("solder@F1"),
    step("ohms@F1", "measure", limits=BANK, required=True),
    step("solder@F2"),
    step("ohms@F2", "measure", limits=BANK, required=True),
    RAIL,
    step("last"),
    design_id="hollin-cue-desk",
)


@contextmanager
def bench_on(folder: Path) -> Iterator[PlannedBench]:
    """A bench on a record of its own, where the build is all that a unit has to go through."""
    clock = Clock()
    with Store.open(folder / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": SHORT}, store, clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one Hollin cue desk"),))  # type: ignore[method-assign]
        yield bench


def begun(bench: PlannedBench, the_plan: Plan | None = None) -> tuple[str, Run]:
    """A new unit, and the job that builds it."""
    if the_plan is not None:
        bench.plans["hollin-assembly"] = the_plan
    unit = bench.units.make("hollin-cue-desk")
    return unit, bench.start("hollin-assembly", unit)


def through(run: Run, *, until: str = "", typed: Mapping[str, str] | None = None) -> Run:
    """Everything done up to a step, or to the end; a signature and an answer are given where they are asked for."""
    values = {"bank": "2.5", "rail": "3.3"} | dict(typed or {})
    while (here := run.current()) is not None and here.key != until:
        if here.limits:
            run.read(values.get(here.key, values.get(here.step_id, "2.5")))
        if here.choices:
            run.act(ev.ChoiceMade(step=here.key, choice=here.choices[0].text))
        if here.act == "sign":
            run.act(ev.SignedOff(step=here.key, name="the builder", meaning="did"))
        run.act(ev.StepDone(step=here.key))
    return run


def rework_begun(run: Run, number: str = "D1", subject: str = "F1") -> None:
    """A defect was written down and decided, and its rework has begun."""
    run.act(ev.DefectFound(defect=number, text="cold joint", subject=subject))
    run.act(ev.DispositionGiven(defect=number, disposition="rework", reason="to drawing"))
    run.act(ev.ReworkStarted(defect=number, joint=f"{subject} lug 2", attempts=4))


def built(bench: PlannedBench, the_plan: Plan | None = None) -> str:
    """A unit that was built to the end."""
    unit, run = begun(bench, the_plan)
    through(run).close()
    return unit


def heated(bench: PlannedBench, unit: str) -> None:
    """A rework job on F1 was gone through."""
    bench.plans["fix"] = plan(step("fix@F1"), id="fix", procedure_kind="rework", design_id="hollin-cue-desk")
    through(bench.start("fix", unit, subject="F1")).close()


def marks(run: Run) -> dict[str, str]:
    """The steps that are not done, with their marks."""
    return {key: known.status.value for key, known in run.state.steps.items() if known.status is not Status.DONE}
