"""The shipped builds read as a strict builder would: nothing of the design is left without its step."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.design.facts import board_parts
from benchtui.design.model import Control, Design
from benchtui.design.wiring import wires
from benchtui.jobs.expand import expand
from benchtui.jobs.plan import Plan, PlanStep
from benchtui.units import format_value

LIBRARY = Library.open()
BUILDS = {"hollin-cue-desk": "hollin-assembly", "foot-switch": "foot-switch-assembly"}


@cache
def design(id: str) -> Design:
    return load_design(LIBRARY.path_of("design", id))


@cache
def plans(id: str) -> tuple[Plan, ...]:
    """The assembly of a design and every procedure it calls, each once."""
    waiting, found = [BUILDS[id]], dict[str, Plan]()
    while waiting:
        name = waiting.pop(0)
        if name not in found:
            found[name] = expand(LIBRARY.procedure(name), design(id), LIBRARY.cautions())
            waiting += [step.call for step in found[name] if step.call]
    return tuple(found.values())


def every_step(id: str) -> list[PlanStep]:
    return [step for plan in plans(id) for step in plan]


def about(id: str, control: Control) -> list[PlanStep]:
    return [step for step in every_step(id) if step.subject and step.subject.id == control.id]


both = pytest.mark.parametrize("id", BUILDS)


@both
def test_every_wire_is_cut_once_and_every_crimp_made_proved_and_put_in(id: str) -> None:
    harness = next(plan for plan in plans(id) if plan.id == "build-harness")
    runs = wires(design(id))
    for step_id, wanted in (
        ("cut", [run.id for run in runs]),
        ("crimp", [run.id for run in runs if run.connector]),
        ("insert", [run.id for run in runs if run.connector]),
        ("through", [run.id for run in runs if run.connector]),
    ):
        listed = Counter(wire.id for step in harness if step.step_id == step_id for wire in step.wires)
        assert listed == Counter(wanted), step_id
    assert all(wire.length for step in harness if step.step_id == "cut" for wire in step.wires)


@both
def test_every_wire_is_soldered_at_its_control(id: str) -> None:
    soldered = Counter(
        wire.id
        for step in every_step(id)
        if step.act == "do" and "iron" in step.uses and step.step_id.startswith("wire-")
        for wire in step.wires
    )
    assert soldered == Counter(run.id for run in wires(design(id)))


@both
def test_every_control_is_mounted_wired_seen_and_tried(id: str) -> None:
    for control in design(id).controls:
        steps = about(id, control)
        sections = {step.section for step in steps}
        assert {"Mount", "Wire", "Look"} <= sections, control.id
        tried = {"Faders", "Rotary controls", "Switches", "Ribbons and lamps"}
        assert sections & tried, control.id
        assert any(step.required for step in steps if step.section in tried), control.id
        assert any(step.limits and step.limits.power == "off" for step in steps), control.id


@both
def test_every_nut_and_screw_is_tightened_at_its_own_torque(id: str) -> None:
    for control in design(id).controls:
        mount = control.part.mount
        if mount is None or mount.torque is None:
            continue
        words = format_value(mount.torque.value, "torque")
        at = [step for step in about(id, control) if words in step.text]
        assert {"Mount", "Close"} & {step.section for step in at} >= {"Mount"}, control.id
        assert len(at) >= 2, f"{control.id}: tightened, and tried again before the lid"


@both
def test_every_small_part_behind_a_connector_is_soldered(id: str) -> None:
    texts = " ".join(step.text for step in every_step(id))
    for connector in design(id).connectors:
        assert board_parts(design(id), connector.id) in texts, connector.id


@both
def test_what_the_bill_counts_is_put_somewhere(id: str) -> None:
    """Words that tell of each thing of the bill which is no control and no wire."""
    texts = " ".join(" ".join((step.text, *step.detail)) for step in every_step(id)).lower()
    words = {
        "knob": "knob", "bezel": "bezel", "foot": "feet", "label": "serial number on two labels",
        "star-washer": "star washer", "cap-slide": "push the cap", "stand-off": "stand-offs", "carrier": "carrier",
        "panel": "panel", "case": "lid", "box": "box", "screw": "screw", "washer": "washer",
    }  # fmt: skip
    file = design(id).file
    fitted = {part for control in design(id).controls for part in control.fitted}
    for part in {*fitted, *(extra.part for extra in file.extras)}:
        key = part if part in words else part.partition("-")[0]
        assert words[key] in texts, part


@both
def test_every_step_that_uses_the_iron_names_its_limit_or_follows_one_that_does(id: str) -> None:
    for plan in plans(id):
        for step in plan:
            if "iron" in step.uses and "solder" in step.text.lower() and step.limits is None and not step.choices:
                told = " ".join((step.text, *step.detail))
                assert "°C" in told or plan.id in ("set-iron", "solder-lug"), f"{plan.id}: {step.key}"


@both
def test_the_power_is_off_at_the_end_of_each_procedure(id: str) -> None:
    for plan in plans(id):
        standing: set[str] = set()
        for step in plan:
            standing |= {step.begins} - {""}
            standing -= {step.ends}
        assert standing == set(), plan.id
