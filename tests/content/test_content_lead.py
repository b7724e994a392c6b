"""The lead in the solder: its WARNING stands at every step with the iron where the design's solder holds lead."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.content.procedure import Procedure
from benchtui.design import load_design
from benchtui.design.leaded import uses_over
from benchtui.errors import JobError
from benchtui.jobs.expand import expand, expand_checklist

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.content.checklist import Checklist
    from benchtui.design.model import Design
    from benchtui.jobs.plan import PlanStep

LIBRARY = Library.open()
CAUTIONS = LIBRARY.cautions()
DESIGNS = {id: load_design(LIBRARY.path_of("design", id)) for id in ("hollin-cue-desk", "foot-switch")}
CONTENT: tuple[Procedure | Checklist, ...] = tuple(
    LIBRARY.procedure(entry.id) if entry.kind == "procedure" else LIBRARY.checklist(entry.id)
    for entry in LIBRARY.entries()
    if entry.kind in ("procedure", "checklist")
)


def lead_free(design: Design) -> Design:
    """The same design, built with solder that holds no lead."""
    solder = replace(design.file.solder, lead=False, alloy="Sn96.5Ag3Cu0.5")
    return replace(design, file=replace(design.file, solder=solder))


def laid_out(design: Design) -> Iterator[tuple[str, PlanStep]]:
    """Every step of every shipped procedure and checklist over the design, each for a first subject of its kind."""
    for content in CONTENT:
        if content.design not in ("any", design.id):
            continue
        for kind in ("control", *{control.kind for control in design.controls}, "bank", "connector", "bus"):
            found = design.subjects(f"each {kind}")
            if not found:
                continue
            if isinstance(content, Procedure):
                try:
                    plan = expand(content, design, CAUTIONS, subject=found[0].id)
                except JobError:
                    continue  # about a kind of subject that this one is not
            else:
                plan = expand_checklist(content, design, CAUTIONS, subject=found[0].id)
            yield from ((f"{content.id} {step.key}", step) for step in plan.steps)


@pytest.mark.parametrize("name", DESIGNS)
def test_every_step_with_the_iron_warns_of_lead(name: str) -> None:
    design = DESIGNS[name]
    assert design.file.solder.lead
    with_iron = {where: step for where, step in laid_out(design) if "iron" in step.uses}
    procedures = {where.split()[0] for where in with_iron}
    assert {
        "solder-lug",
        "re-flow-joint",
        "replace-control",
        f"{'hollin' if len(design.banks) > 2 else name}-assembly",
    } <= (procedures)
    silent = [where for where, step in with_iron.items() if "lead-solder" not in {each.id for each in step.cautions}]
    assert silent == []
    assert all(each.person for step in with_iron.values() for each in step.cautions if each.id == "lead-solder")


@pytest.mark.parametrize("name", DESIGNS)
def test_a_lead_free_design_is_not_warned_of_lead_by_the_iron(name: str) -> None:
    steps = dict(laid_out(lead_free(DESIGNS[name])))
    assert [
        where
        for where, step in steps.items()
        if "tin-lead-solder" not in step.uses and "lead-solder" in {each.id for each in step.cautions}
    ] == []
    assert any("iron" in step.uses for step in steps.values())


def test_a_step_without_the_iron_is_left_alone() -> None:
    assert uses_over(DESIGNS["foot-switch"], ("cutters",)) == ("cutters",)
    assert uses_over(None, ("iron",)) == ("iron",)


def test_a_unit_for_sale_is_told_that_lead_may_not_be_sold() -> None:
    design = DESIGNS["foot-switch"]
    sold = replace(design, file=replace(design.file, for_sale=True))
    plan = expand(LIBRARY.procedure("solder-lug"), sold, CAUTIONS)
    assert {"lead-solder", "lead-not-for-sale"} <= {each.id for step in plan.steps for each in step.cautions}


def test_the_warning_is_read_once_in_a_sitting_and_not_at_every_joint() -> None:
    plan = expand(LIBRARY.procedure("solder-lug"), DESIGNS["foot-switch"], CAUTIONS)
    digests = {each.digest for step in plan.steps for each in step.cautions if each.id == "lead-solder"}
    assert len(digests) == 1
