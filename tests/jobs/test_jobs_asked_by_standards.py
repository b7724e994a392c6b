"""What the open standards ask of the work before a job and of its text, where no other test says so.

Rows B1, B2, B4, C1, G1 and J6 (S1000D preliminary requirements and explicit "none"; 21 CFR 820.184; MIL-STD-2106A;
Gawande 2009; IEC/IEEE 82079-1). The clauses are from memory where the document is not free.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.demo_plan import demo_plan
from helpers.jobs import at, plan, started, step

from benchtui.content.checklist import read_checklist
from benchtui.content.library import Library
from benchtui.content.nodes import compose
from benchtui.content.procedure import read_procedure
from benchtui.design import load_design
from benchtui.design.bill import bill
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.expand import expand_checklist
from benchtui.jobs.plan import Before
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_build import still_to_build
from benchtui.jobs.state import advance
from benchtui.record.store import Store
from benchtui.ui.view.before import HEADINGS, before_rows
from benchtui.ui.view.shapes import ASCII

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """\
procedure: mend-lead
title: Mend a lead
kind: rework
revision: 1
design: any
purpose: A broken lead is made whole again.
before:
  conditions: none
  tools: none
  parts: none
  materials: none
minutes: 10
after: none
steps:
  - id: look
    observe: Look at both ends of the lead.
    accept: the broken end is found
"""


def problems(text: str) -> list[str]:
    node, found = compose(text, file="f")
    assert node is not None
    assert not found
    return [str(problem) for problem in read_procedure(node, file="f")[1]]


def test_the_page_before_the_work_has_each_heading_and_says_none_where_there_is_nothing() -> None:
    # Row B1 (S1000D preliminary requirements; MIL-STD-40051 initial set-up).
    full = [row.text for row in before_rows(started(demo_plan(), conditions=False), ASCII)]
    empty = [row.text for row in before_rows(started(plan(step("look"), before=Before())), ASCII)]
    for rows in (full, empty):
        assert [text for text in rows if text in ("Is it so?", *HEADINGS.values())] == ["Is it so?", *HEADINGS.values()]
    assert empty.count("none") == len(HEADINGS) + 1


@pytest.mark.parametrize("heading", ["conditions", "tools", "parts", "materials", "after"])
def test_a_heading_that_is_not_there_or_empty_is_refused_and_none_is_an_answer(heading: str) -> None:
    # Row B2 (S1000D: each list has its own explicit "none").
    assert problems(GOOD) == []
    lines = GOOD.splitlines(keepends=True)
    without = "".join(line for line in lines if line.strip() != f"{heading}: none")
    assert any(heading in said and "missing" in said for said in problems(without))
    silent = GOOD.replace(f"{heading}: none", f"{heading}:")
    assert any(heading in said for said in problems(silent))


def test_parts_are_bought_for_the_units_of_a_batch_that_are_left_to_build(tmp_path: Path) -> None:
    # Row B4 (21 CFR 820.184 quantity; AS9100 accountability): eight units, three done, the list is for five.
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"build": plan(step("look"), id="build")}, store, clock)
        batch = Batch.make(bench, "hollin-cue-desk", 8)
        for unit in batch.units[:3]:
            run = bench.start("build", unit, batch=batch.name)
            run.act(ev.StepDone(step="look"))
            run.close()
        assert batch.left_to_build("build") == batch.units[3:]
        left = still_to_build(store, "hollin-cue-desk", ["build"])
    assert left.units == 5
    design = load_design(Library.open().path_of("design", "hollin-cue-desk"))
    for one, many in zip(bill(design), bill(design, units=left.units), strict=True):
        assert many.build == pytest.approx(5 * one.build), one.title


def test_a_step_has_one_act() -> None:
    # Row C1 (MIL-STD-2106A App. B: each action or observation is a step of its own; STE rule 5.2).
    two = GOOD.replace("    accept:", "    do: Mark it.\n    accept:")
    assert any("a step has one act" in said for said in problems(two))


def test_every_part_of_the_shipped_designs_names_the_source_of_its_figures() -> None:
    # Row J6 (IEC/IEEE 82079-1: supplied data with their source): torque and soldering limits come from a named sheet.
    library = Library.open()
    for entry in library.entries("design"):
        for part in load_design(entry.path).parts.values():
            if part.solder is not None:
                assert part.solder.source.strip(), (entry.id, part.id)


CHECKLIST = """\
checklist: load-in
title: Load-in
revision: 1
design: any
style: {style}
when: When the case stands in the venue
aim: It works here
items:
  - id: case
    text: The case
    response: closed, no dent
  - id: fader
    text: The faders
    response: all move
"""


@pytest.mark.parametrize(("style", "order"), [("read-do", "strict"), ("do-confirm", "any")])
def test_a_list_is_read_line_by_line_or_worked_from_memory_and_confirmed(style: str, order: str) -> None:
    # Row G1 (Gawande, The Checklist Manifesto, 2009: read-do and do-confirm).
    node, _ = compose(CHECKLIST.replace("{style}", style), file="f")
    assert node is not None
    checklist, found = read_checklist(node, file="f")
    assert checklist is not None
    assert not found
    laid_out = expand_checklist(checklist, None, {}, digest="0" * 64)
    assert laid_out.order == order
    state = started(laid_out)
    last = laid_out.steps[-1].key
    if order == "any":
        assert advance(state, ev.StepDone(step=last), time=at(1))[last].settled
    else:
        with pytest.raises(JobError, match="comes first"):
            advance(state, ev.StepDone(step=last), time=at(1))
