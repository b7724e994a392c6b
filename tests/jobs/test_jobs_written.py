"""Results in words: a step that asks for a text is not done without it, and it stands on every page of the unit.

S1000D dialogs, MIL-PRF-87269: results that are no numbers are kept by a kind of their own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import plan, step
from helpers.step_text import step_problems

from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.passport import history, passport
from benchtui.jobs.plan_text import plan_text, read_plan
from benchtui.jobs.plans import Plans
from benchtui.jobs.run_list import record_job
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.ui.kept import fit, part_question
from benchtui.ui.lines.keeping import Keeping
from benchtui.ui.view.step import asked_for
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-001-A"
WEIGH = step("weigh", trace="text", part="weight of the unit with its lead")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"pack": plan(WEIGH, step("close"), design_id="hollin-cue-desk")}, store, clock)


def test_a_step_that_asks_for_a_text_is_not_done_without_it(bench: PlannedBench) -> None:
    run = bench.start("pack", UNIT)
    work = Work(run)
    assert part_question(work.step) == "Weight of the unit with its lead"
    assert asked_for(work.step) == "the weight of the unit with its lead, before this is done"
    with pytest.raises(JobError, match="write down the weight of the unit with its lead first"):
        run.act(ev.StepDone(step="weigh"))
    assert work.go_on().ask == "part"
    assert fit(work, "  ").text == "type the weight of the unit with its lead in words"
    fit(work, "3.4 kg,  by the kitchen scale")
    assert run.state["weigh"].status is Status.DONE
    assert run.state["weigh"].fitted == ("3.4 kg, by the kitchen scale",)
    assert record_job(bench.store, run.job).state == run.state, "a later start finds the same"


def test_a_text_stands_on_the_passport_in_the_history_and_by_lines(bench: PlannedBench) -> None:
    run = bench.start("pack", UNIT)
    work = Work(run)
    fit(work, "3.4 kg")
    page = "\n".join(passport(bench.units.view(UNIT)))
    told = "- weight of the unit with its lead: 3.4 kg (Build one Hollin cue desk, step 1, 2031-"
    assert "## Written down" in page and told in page
    assert any("weight of the unit with its lead: 3.4 kg" in line for line in history(bench.store.events(unit=UNIT)))
    work.look("weigh")
    keeping = Keeping.__new__(Keeping)
    keeping.work, keeping.background = work, _Nothing()  # type: ignore[assignment]
    assert "  Noted: 3.4 kg" in keeping.said()


class _Nothing:
    def changed(self, _: object) -> bool:
        return False

    def notes(self, _: object) -> tuple[str, ...]:
        return ()


def test_a_text_that_is_written_once_more_keeps_the_first(bench: PlannedBench) -> None:
    run = bench.start("pack", UNIT)
    for text in ("3.4 kg", "3.6 kg, with the foam"):
        run.act(ev.TextGiven(step="weigh", what="weight", text=text))
    assert "3.6 kg, with the foam; first 3.4 kg (" in "\n".join(passport(bench.units.view(UNIT)))


def test_nothing_is_no_text(bench: PlannedBench) -> None:
    run = bench.start("pack", UNIT)
    with pytest.raises(JobError, match="a text"):
        run.act(ev.TextGiven(step="weigh", what="weight", text=" "))


def test_the_plan_keeps_what_is_asked_for() -> None:
    assert read_plan(plan_text(plan(WEIGH))) == plan(WEIGH)


def test_the_shipped_work_asks_for_the_weight() -> None:
    # Customs papers list each piece by its weight.
    found = Plans(Library.open()).plan("close-and-pack", design_id="hollin-cue-desk").step("weigh")
    assert (found.trace, found.part) == ("text", "weight of the unit with its lead")


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("sign: It is so.\n    note: weight", "`note:` belongs to a do or observe step, and this is a sign step"),
        ("do: Weigh it.\n    note: weight\n    trace: lot", "`note:` and `trace:` both ask for something"),
    ],
)
def test_a_note_that_cannot_be_asked_for_is_refused(lines: str, told: str) -> None:
    problems = step_problems(lines)
    assert any(told in problem for problem in problems), problems
