"""Procedures laid out over the shipped design."""

from __future__ import annotations

import pytest

from benchtui.content.library import Library
from benchtui.content.nodes import compose
from benchtui.content.procedure import read_procedure
from benchtui.design import load_design
from benchtui.design.testpoints import expected
from benchtui.errors import DesignError, JobError
from benchtui.jobs.applies import UnitFacts
from benchtui.jobs.expand import expand
from benchtui.jobs.plan import Plan
from benchtui.jobs.plan_text import plan_text, read_plan

LIBRARY = Library.open()
DESIGN = load_design(LIBRARY.path_of("design", "hollin-cue-desk"))
CAUTIONS = LIBRARY.cautions()

HEAD = """
procedure: trial
title: A trial
kind: assembly
revision: 3
design: any
purpose: To try the laying-out.
before: {conditions: none, tools: none, parts: [bill], materials: none}
minutes: 5
after: none
steps:
"""


def laid_out(steps: str, *, subject: str = "", unit: UnitFacts | None = None, design: bool = True) -> Plan:
    """The plan of a procedure with these steps."""
    node, _ = compose(HEAD + steps)
    assert node is not None
    procedure, _ = read_procedure(node, file="trial.yaml")
    assert procedure is not None
    return expand(procedure, DESIGN if design else None, CAUTIONS, subject=subject, unit=unit)


def test_a_step_repeats_over_its_subjects_with_its_texts_filled() -> None:
    # Row C14 (S1000D process loops; AS9102 form 3).
    plan = laid_out("  - {id: turn, section: Look, for: each fader, do: 'Move {control} to its stop.'}\n")
    faders = [control.id for control in DESIGN.controls if control.kind == "fader"]
    assert [step.key for step in plan.steps] == [f"turn@{name}" for name in faders]
    assert [step.text for step in plan.steps] == [f"Move {name} to its stop." for name in faders]
    assert plan.steps[1].repeat == (2, len(faders))
    assert plan.repeats("turn") == plan.steps
    assert [step.number for step in plan.steps] == list(range(1, len(faders) + 1))


def test_limits_of_a_reading_come_from_the_design_with_their_working() -> None:
    bank = DESIGN.banks[0].id
    plan = laid_out("  - {id: ohms, for: each bank, measure: 'Measure.', reading: {point: bank-ohms}}\n")
    limits, own = plan.steps[0].limits, expected(DESIGN, "bank-ohms", bank)
    assert limits is not None
    assert (limits.low, limits.nominal, limits.high) == (own.low, own.nominal, own.high)
    assert limits.working
    assert limits.sources
    assert limits.power == "off"


def test_one_subject_is_chosen_when_the_job_starts_and_others_kinds_drop_out() -> None:
    steps = (
        "  - {id: any, for: the control, do: 'Look at {control}.'}\n"
        "  - {id: slide, for: the fader, do: 'Slide {control}.'}\n"
        "  - {id: turn, for: the pot, do: 'Turn {control}.'}\n"
        "  - {id: bank, for: the bank, do: 'Look at {bank}.'}\n"
    )
    plan = laid_out(steps, subject="F3")
    bank = DESIGN.control("F3").bank
    assert [step.key for step in plan.steps] == ["any@F3", "slide@F3", f"bank@{bank}"]
    assert plan.subject == "F3"
    assert bank in plan.steps[0].touches
    assert "F3" in plan.steps[2].touches
    with pytest.raises(JobError, match="this is about one control: choose which"):
        laid_out(steps)


def test_a_step_not_for_this_unit_is_listed_with_the_reason() -> None:
    # Row A5 (S1000D applicability).
    steps = "  - {id: a, do: Do it.}\n  - {id: b, do: Do that., applies: {hardware: [A]}}\n"
    assert len(laid_out(steps).steps) == 2
    plan = laid_out(steps, unit=UnitFacts(serial="HCD-001-R", hardware="B"))
    assert [step.key for step in plan.steps] == ["a"]
    assert [(each.step_id, each.because) for each in plan.hidden] == [("b", "it is for hardware A, and this unit is B")]
    assert read_plan(plan_text(plan)) == plan


def test_cautions_follow_from_what_a_step_uses_and_stand_worst_first() -> None:
    # Rows D1, D2 and D11 (MIL-DTL-23618H; ANSI Z535.6).
    plan = laid_out("  - {id: a, do: Solder the lug., uses: [iron, tin-lead-solder], begins: power-on}\n")
    signals = [caution.signal for caution in plan.steps[0].cautions]
    assert signals == sorted(signals, key=("DANGER", "WARNING", "CAUTION", "NOTICE").index)
    assert {"power-on"} <= {caution.id for caution in plan.steps[0].cautions}
    assert all(caution.digest for caution in plan.steps[0].cautions)


def test_what_needs_a_design_says_so() -> None:
    for steps in (
        "  - {id: a, for: each fader, do: Look.}\n",
        "  - {id: a, do: 'Set {solder.temperature}.'}\n",
        "  - {id: a, measure: Measure., reading: {point: vbus}}\n",
    ):
        with pytest.raises(JobError, match="first"):
            laid_out(steps, design=False)
    with pytest.raises(DesignError):
        laid_out("  - {id: a, do: 'Look at {nothing.known}.'}\n")


def test_the_bill_of_the_design_stands_in_for_the_word() -> None:
    plan = laid_out("  - {id: a, do: Look.}\n")
    assert "bill" not in plan.before.parts
    assert len(plan.before.parts) > 5


def test_the_shipped_assembly_is_laid_out_once_per_control_with_its_wires() -> None:
    plan = expand(LIBRARY.procedure("hollin-assembly"), DESIGN, CAUTIONS)
    assert len(plan) > 150
    assert any(step.wires for step in plan.steps)
    assert all("{" not in text for step in plan.steps for text in (step.text, *step.detail, step.accept))
    assert read_plan(plan_text(plan)) == plan


def test_a_control_of_another_design_is_a_mistake_and_not_an_empty_plan() -> None:
    with pytest.raises(DesignError, match="Z9"):
        laid_out("  - {id: a, for: the control, do: 'Look at {control}.'}\n", subject="Z9")


def test_the_connector_of_a_chosen_control_is_known() -> None:
    plan = laid_out("  - {id: a, for: the connector, do: 'Find {board-parts}.'}\n", subject="R1")
    assert [step.key for step in plan.steps] == [f"a@{DESIGN.control('R1').connector}"]
    assert "pull-down" in plan.steps[0].text
