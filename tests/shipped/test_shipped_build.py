"""The shipped builds read as a strict builder would: nothing of the design is left without its step."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.design.bill import bill
from benchtui.design.facts import board_parts
from benchtui.design.model import Control, Design
from benchtui.design.wiring import wires
from benchtui.jobs.expand import expand
from benchtui.jobs.plan import Plan, PlanStep
from benchtui.units import format_value

if TYPE_CHECKING:
    from pathlib import Path

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
        tried = {"Faders", "Rotary controls", "Switches", "Ribbons", "Lamps"}
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


_NUMBERS = {"a": 1, "the": 1, "its": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}

FITTED_BY: dict[str, tuple[tuple[str, str], ...]] = {
    "screw-m3x6": (("mount-fader", "screws"), ("stand-offs", "screw each"),
                   ("panel-screws", "screws"), ("mount-carrier", "screws"), ("lid-screws", "screws")),
    "bond-screw": (("bond", "screw"), ("bond-panel", "screw")),
    "nut-m3": (("bond", "nut"), ("bond-panel", "nut")),
    "washer-m3": (("mount-fader", "screws"),),  # "a washer under each head"
    "cap-slide": (("fit-cap", "cap"),),
    "knob-18": (("fit-knob", "knob"),),
    "knob-25": (("fit-knob-encoder", "knob"),),
    "bezel": (("mount-lamp", "bezel"), ("lamp", "bezel")),
    "stand-off": (("stand-offs", "stand-offs"),),
    "carrier": (("mount-carrier", "carrier"),),
    "case": (("seat-panel", "case"),),
    "box": (("stand-offs", "box"),),
    "foot": (("feet", "feet"),),
    "star-washer": (("bond", "star washer"), ("bond-panel", "star washer")),
    "label": (("serial-label", "labels"),),
    "panel": (("prop-panel", "panel"), ("prop-panel", "lid")),
    "usb-lead": (("power", "USB lead"),),
}  # fmt: skip
"""For each part that is no control and no small part: the steps that put it in, and the word before which its number
stands. A step that stands once for each control counts once for each."""


def counted(text: str, word: str) -> int:
    """The number that stands before a word: "its two screws" is 2. No number is one."""
    found = re.search(rf"(?:\b(\w+) )?(?:\b\w+ )??{word}\b", text)
    if found is None:
        return 0
    numbers = [_NUMBERS[each] for each in found[0].lower().split() if each in _NUMBERS]
    return max(numbers, default=1)


def fitted(id: str, part: str) -> int:
    """How many pieces of a part the steps of a build put in."""
    own = design(id).file
    number = 0
    for step in every_step(id):
        for step_id, word in FITTED_BY.get(part, ()):
            if step.step_id != step_id:
                continue
            if step_id == "lid-screws":  # the screws of the panel itself, where the panel is the lid
                if not any(each.step_id == "seat-panel" for each in every_step(id)):
                    number += sum(hole.what == "fixing screw" for hole in own.panel.holes)
                continue
            each_one = counted(step.text, word)
            if word == "screw each":
                each_one = counted(step.text, "stand-offs")
            number += each_one
    return number


def soldered(id: str, part: str) -> int:
    """How many pieces of a small part are soldered to the carrier, or into a wire, as the texts of the steps say."""
    title = re.escape(design(id).part(part).title)
    number = 0
    for step in every_step(id):
        if step.step_id in ("carrier-low", "carrier-parts"):
            for pins in re.findall(rf"{title}, [a-z -]+, at pins? ([\d, toand]+)", step.text):
                first, *last = map(int, re.findall(r"\d+", pins))
                number += (last[-1] - first + 1) if " to " in pins else 1 + len(last)
        elif step.step_id == "carrier-capacitor" and re.search(title, step.text):
            number += 1
        elif step.step_id == "wire-ribbon" and "resistor" in " ".join(step.detail):
            assert step.subject is not None
            limiter = design(id).control(step.subject.id).limiter
            number += limiter is not None and limiter.id == part
        elif step.step_id == "fit-diode" and design(id).part(part).kind == "diode":
            number += 1
    return number


USED_UP = {"crimp", "crimp-contact", "tie", "wire-label", "sleeve", "solder"}
"""Ids of what the bill counts by length or weight, or with a surplus: no step says how many."""


@both
def test_the_steps_put_in_as_many_of_each_part_as_the_bill_counts(id: str) -> None:
    """The number for one unit, against the steps: a screw without a step, or a step without a screw, is told."""
    own = design(id)
    controls = Counter(control.part.id for control in own.controls)
    for line in bill(own):
        part, number = line.part.id, line.each
        if part in controls:
            mounted = {step.subject.id for step in every_step(id) if step.section == "Mount" and step.subject}
            assert sum(own.control(each).part.id == part for each in mounted) == number, part
        elif line.part.kind in ("resistor", "capacitor", "diode"):
            assert soldered(id, part) == number, part
        elif line.part.kind == "connector":
            headers = [step for step in every_step(id) if step.step_id in ("carrier-headers", "carrier-header")]
            assert sum(own.connector(s.subject.id).part == part for s in headers if s.subject) == number, part
        elif line.part.kind in ("board", "multiplexer"):
            chips = [step.text for step in every_step(id) if step.step_id in ("fit-chips", "fit-board")]
            assert len(chips) == number == 1 and line.part.kind in chips[0], part
        elif line.part.kind != "wire" and part not in USED_UP:
            assert fitted(id, part) == number, part


@pytest.mark.parametrize(
    ("id", "old", "new", "part"),
    [
        ("hollin-cue-desk", "{part: screw-m3x6, quantity: 16}", "{part: screw-m3x6, quantity: 17}", "screw-m3x6"),
        ("hollin-cue-desk", "{part: stand-off, quantity: 6}", "{part: stand-off, quantity: 4}", "stand-off"),
        ("foot-switch", "{part: foot, quantity: 4}", "{part: foot, quantity: 6}", "foot"),
        ("foot-switch", "{part: label, quantity: 2}", "{part: label, quantity: 3}", "label"),
    ],
)
def test_a_piece_more_or_less_in_the_bill_than_in_the_steps_is_told(
    id: str, old: str, new: str, part: str, tmp_path: Path
) -> None:
    text = LIBRARY.path_of("design", id).read_text(encoding="utf-8")
    assert old in text
    altered = tmp_path / "design.yaml"
    altered.write_text(text.replace(old, new), encoding="utf-8")
    wanted = next(line.each for line in bill(load_design(altered)) if line.part.id == part)
    assert wanted != fitted(id, part)


def test_the_number_of_pieces_is_read_out_of_a_text() -> None:
    assert counted("Start its two screws by hand, a washer under each head.", "screws") == 2
    assert counted("Tighten its four fixing screws crosswise.", "screws") == 4
    assert counted("Push the cap of F1 onto its lever.", "cap") == 1
    assert counted("Wipe the panel.", "screws") == 0


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
