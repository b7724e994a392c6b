"""The iron in every shipped procedure, calls gone into: on before the first joint, at one setting, off before power."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.design.facts import facts
from benchtui.errors import BenchError
from benchtui.jobs.expand import expand

if TYPE_CHECKING:
    from benchtui.jobs.plan import PlanStep

LIBRARY = Library.open()
DESIGNS = {id: load_design(LIBRARY.path_of("design", id)) for id in ("hollin-cue-desk", "foot-switch")}
SUBJECTS = {
    "hollin-cue-desk": ("", "F3", "K2", "R1", "B6", "T2", "E1", "L3", "A"),
    "foot-switch": ("", "B1", "L1"),
}

ON = re.compile(r"\bswitch the iron on\b", re.I)
OFF = re.compile(r"\bswitch the iron off\b", re.I)
SETTING = re.compile(r"\b(?:tip at|set it to|at the most, at) (\d+ °C)", re.I)
STAYS_HOT = {"set-iron"}
"""What is called only to make the iron ready, and says so at its end."""


@cache
def walk(id: str, name: str, subject: str) -> tuple[PlanStep, ...]:
    """Every step in the order it is done, calls gone into."""
    found: list[PlanStep] = []
    for step in expand(LIBRARY.procedure(name), DESIGNS[id], LIBRARY.cautions(), subject=subject):
        found += walk(id, step.call, subject) if step.call else (step,)
    return tuple(found)


def walks() -> list[tuple[str, str, str]]:
    """Each shipped procedure with each subject that it can be about."""
    found = []
    for entry in LIBRARY.entries("procedure"):
        for id, subjects in SUBJECTS.items():
            for subject in subjects:
                try:
                    steps = walk(id, entry.id, subject)
                except BenchError:
                    continue  # of another design, or about a kind that this one is not
                if any("iron" in step.uses for step in steps):
                    found.append((id, entry.id, subject))
    return found


WALKS = walks()


def test_every_procedure_that_uses_the_iron_is_walked() -> None:
    with_iron = {
        entry.id
        for entry in LIBRARY.entries("procedure")
        if any("iron" in step.uses for step in LIBRARY.procedure(entry.id).steps)
    }
    assert with_iron <= {name for _, name, _ in WALKS}
    assert len(with_iron) > 15


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_the_iron_is_on_for_each_joint_and_off_before_vapour_power_and_the_end(
    id: str, name: str, subject: str
) -> None:
    """Found at a bench: after most repairs the iron was still hot when the unit got power."""
    hot = False
    for step in walk(id, name, subject):
        if ON.search(step.text):
            assert "iron" in step.uses, step.key
            hot = True
        elif OFF.search(step.text):
            assert "iron" in step.uses, step.key
            hot = False
        elif "iron" in step.uses:
            assert hot, f"{step.key}: a joint, and nothing says that the iron is switched on"
        if hot:
            assert not {"isopropanol", "contact-cleaner", "first-power", "power-on-open-lid"} & set(step.uses), step.key
            assert step.begins != "power-on", step.key
    assert hot == (name in STAYS_HOT)


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_every_tip_is_at_the_setting_that_the_iron_was_given(id: str, name: str, subject: str) -> None:
    """No setting changes in the middle, so that no part is met with the heat meant for another."""
    setting = ""
    for step in walk(id, name, subject):
        for text in (step.text, *step.detail):
            for found in SETTING.findall(text):
                if ON.search(step.text) and not setting:
                    setting = found
                assert found == setting, f"{step.key}: {found}, and the iron is set to {setting or 'nothing'}"


@pytest.mark.parametrize("id", DESIGNS)
def test_the_setting_is_over_no_part_s_own_limit(id: str) -> None:
    """Makers' data sheets, as the design quotes them."""
    design = DESIGNS[id]
    for control in design.controls:
        said = facts(design, design.subject(control.id))["solder.temperature"]
        if control.part.solder is not None and control.part.solder.by_hand:
            assert float(said.split()[0]) <= control.part.solder.temperature.value, control.id


@pytest.mark.parametrize("id", DESIGNS)
def test_a_part_that_bears_one_try_is_never_given_a_second(id: str) -> None:
    design = DESIGNS[id]
    for control in design.controls:
        solder = control.part.solder
        said = facts(design, design.subject(control.id))["solder.again"]
        assert solder is not None
        assert (said == "one try only") == (solder.attempts == 1), control.id
    assert {facts(design, None)["solder.again"]} == {
        "one try only"
        if any(control.part.solder and control.part.solder.attempts == 1 for control in design.controls)
        else "30 s before a second try"
    }
