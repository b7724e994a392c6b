"""The list before a job is what the plan holds, no more and no less: row B9 (pre-job brief of DOE practice; S1000D)."""

from __future__ import annotations

import pytest
from helpers.jobs import BANK, IRON, PLASTIC, full_plan, plan, step

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.jobs.expand import expand
from benchtui.jobs.look_through import look_through, look_through_lines, steps_said
from benchtui.jobs.plan import Plan
from benchtui.paper.markdown import markdown
from benchtui.paper.sheets import procedure_sheet
from benchtui.paper.source import Source
from benchtui.ui.view.before import about, ahead
from benchtui.ui.view.text import plain

LIBRARY = Library.open()
DESIGN = load_design(LIBRARY.path_of("design", "hollin-cue-desk"))
SHIPPED = ("hollin-assembly", "first-power", "inspect-joints", "test-inputs", "soak", "after-repair", "annual-check")


def laid_out(id: str) -> Plan:
    return expand(LIBRARY.procedure(id), DESIGN, LIBRARY.cautions())


@pytest.mark.parametrize("given", [full_plan(), *map(laid_out, SHIPPED)], ids=["all kinds", *SHIPPED])
def test_the_list_is_the_set_that_the_plan_holds(given: Plan) -> None:
    found = look_through(given)
    keys = {"holds": [step.key for line in found.holds for step in line.steps]}
    keys["readings"] = [step.key for line in found.readings for step in line.steps]
    keys["calls"] = [step.key for line in found.calls for step in line.steps]
    for name, listed in keys.items():
        assert len(listed) == len(set(listed)), name
    assert set(keys["readings"]) == {step.key for step in given.steps if step.limits}
    assert set(keys["calls"]) == {step.key for step in given.steps if step.act == "call"}
    assert {*keys["holds"], *keys["readings"]} >= {step.key for step in given.steps if step.hold or step.required}
    assert set(keys["holds"]) == {s.key for s in given.steps if s.hold or s.critical or (s.required and not s.limits)}
    assert {line.caution.id for line in found.cautions if line.caution} == {
        caution.id for step in given.steps for caution in step.cautions
    }
    for line in found.readings:
        assert {step.limits.text for step in line.steps if step.limits} == {line.limits}
    for line in found.cautions:
        assert line.caution is not None
        assert [s.key for s in line.steps] == [
            s.key for s in given.steps if line.caution.id in {caution.id for caution in s.cautions}
        ]


def test_repeats_are_one_line_and_other_limits_another() -> None:
    lines = look_through_lines(
        plan(
            step("ohms@F1", "measure", limits=BANK, required=True),
            step("ohms@F2", "measure", limits=BANK, required=True),
            step("solder@F1", cautions=(PLASTIC, IRON)),
            step("lid", hold=True),
        ),
        {},
    )
    assert lines == {
        "Nothing goes past these": ("step 4, hold point: do lid",),
        "Readings and their limits": (
            "steps 1 and 2, required test: measure ohms@F1 The same for F2. 2.0 kΩ to 3.0 kΩ",
        ),
        "Cautions": (
            "CAUTION: The iron burns Use its stand (step 3)",
            "NOTICE: Alcohol crazes the panel (step 3)",
        ),
    }


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ([4], "step 4"),
        ([4, 5], "steps 4 and 5"),
        ([4, 5, 6], "steps 4 to 6"),
        ([9, 1, 2, 3, 7], "steps 1 to 3, 7 and 9"),
    ],
)
def test_numbers_of_steps_as_they_are_said(numbers: list[int], said: str) -> None:
    assert steps_said(numbers) == said


def test_it_stands_on_the_page_before_the_work_and_in_print() -> None:
    given = laid_out("first-power")
    titles = {entry.id: entry.title for entry in LIBRARY.entries("procedure")}
    shown = " ".join(plain(ahead(given, titles, 80)).split())
    printed = " ".join(markdown(procedure_sheet(Source(LIBRARY, design="hollin-cue-desk"), "first-power")).split())
    for lines in look_through_lines(given, titles).values():
        for text in lines:
            assert text in shown
            assert text in printed.replace("\\", "")
    assert "; l: list" in plain(about(given, 80))


def test_nothing_to_list_is_said() -> None:
    bare = plan(step("look"))
    assert plain(ahead(bare, {}, 80)).strip() == "No hold point, no reading, no caution."
    assert "l: list" not in plain(about(bare, 80))
