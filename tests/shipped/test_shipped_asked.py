"""What the shipped work asks for, in which order it may be done, how often, and how long it says that it takes."""

from __future__ import annotations

import pytest

from benchtui.content.library import Library
from benchtui.jobs.plans import Plans

LIBRARY = Library.open()
PLANS = Plans(LIBRARY)
CALLING = [
    (entry.id, design)
    for entry in LIBRARY.entries("procedure")
    for design in ("hollin-cue-desk", "foot-switch")
    if LIBRARY.procedure(entry.id).design == design
]


@pytest.mark.parametrize(("id", "design"), CALLING)
def test_a_call_takes_about_as_long_as_the_page_it_leads_to_says(id: str, design: str) -> None:
    for step in LIBRARY.procedure(id).steps:
        if step.call:
            takes = sum(each.minutes for each in PLANS.plan(step.call, design_id=design).steps)
            assert abs(step.minutes - takes) <= max(2.0, 0.25 * takes), f"{id}, {step.id}: {step.minutes} and {takes}"


def test_the_close_of_each_repair_takes_what_its_page_says() -> None:
    takes = sum(step.minutes for step in PLANS.plan("after-repair", design_id="hollin-cue-desk").steps)
    said = {
        step.minutes
        for entry in LIBRARY.entries("procedure")
        for step in LIBRARY.procedure(entry.id).steps
        if step.call == "after-repair"
    }
    assert len(said) == 1 and abs(said.pop() - takes) < 1


@pytest.mark.parametrize("id", ["build-harness", "inspect-joints"])
def test_work_that_allows_any_order_within_a_section_does_not_insist_on_one(id: str) -> None:
    # DOE-STD-1029: an order is asked for only where the work needs one.
    plan = PLANS.plan(id, design_id="hollin-cue-desk")
    assert plan.order == "free"
    assert any(step.hold for step in plan.steps), "the hold points keep their place"


def test_what_is_set_up_anew_until_it_is_good_has_a_limit() -> None:
    crimps = PLANS.plan("build-harness", design_id="hollin-cue-desk")
    ends = PLANS.plan("test-inputs", design_id="hollin-cue-desk")
    assert {step.tries for step in crimps.steps if step.step_id == "pull-samples"} == {3}
    assert {step.tries for step in ends.steps if step.limits and step.limits.point.startswith("sent-")} == {3}


def test_a_question_what_was_found_has_an_answer_for_a_bad_joint_whose_wires_are_right() -> None:
    plan = PLANS.plan("mend-end-leads", design_id="hollin-cue-desk", subject="F3")
    answers = [choice for choice in plan.step("find@F3").choices if choice.verdict == "pass"]
    assert any(choice.text.startswith("all as the list says") for choice in answers)
