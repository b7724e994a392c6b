"""The order of the build and of each repair: what has to be seen or measured before it is covered, stuck or lit."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.design.wiring import wires
from benchtui.errors import JobError
from benchtui.jobs.expand import expand

if TYPE_CHECKING:
    from benchtui.jobs.plan import PlanStep

LIBRARY = Library.open()
DESIGNS = {id: load_design(LIBRARY.path_of("design", id)) for id in ("hollin-cue-desk", "foot-switch")}
BUILDS = {"hollin-cue-desk": "hollin-assembly", "foot-switch": "foot-switch-assembly"}
AT_LUGS = {"contact-closed", "diode-forward", "diode-reverse", "lamp-forward", "wire-loop", "feed-loop"}
LIT = {"idle-current", "all-on-current", "vbus", "vref"}

both = pytest.mark.parametrize("id", DESIGNS)


@cache
def walk(id: str, name: str, subject: str = "") -> tuple[PlanStep, ...]:
    """Every step in the order it is done, calls gone into."""
    found: list[PlanStep] = []
    for step in expand(LIBRARY.procedure(name), DESIGNS[id], LIBRARY.cautions(), subject=subject):
        found += walk(id, step.call, subject) if step.call else (step,)
    return tuple(found)


def places(steps: tuple[PlanStep, ...], *ids: str) -> list[int]:
    return [place for place, step in enumerate(steps) if step.step_id in ids]


SLEEVED = [
    *((id, name, "") for id, name in BUILDS.items()),
    *(("hollin-cue-desk", "replace-control", subject) for subject in ("F3", "K2", "B6", "T2", "E1")),
    ("hollin-cue-desk", "replace-lamp", "L3"),
    ("foot-switch", "replace-control", "B1"),
    ("foot-switch", "replace-lamp", "L1"),
    *(
        ("hollin-cue-desk", name, subject)
        for name, subject in (("mend-end-leads", "F3"), ("re-terminate", "T2"), ("remake-common", "A"))
    ),
]


@pytest.mark.parametrize(("id", "name", "subject"), SLEEVED)
def test_a_joint_is_seen_and_measured_at_its_lug_before_its_sleeve_hides_it(id: str, name: str, subject: str) -> None:
    steps = walk(id, name, subject)
    (shrunk,) = [place for place, step in enumerate(steps) if "hot-air" in step.uses]
    joints = [place for place, step in enumerate(steps) if "iron" in step.uses]
    looks = "loupe" if name in BUILDS.values() else "look"
    seen = [place for place in places(steps, looks) if place < shrunk]
    assert max(joints) < min(seen)
    covered = steps[shrunk:]
    assert not any(step.limits and step.limits.point in AT_LUGS for step in covered)


@both
def test_no_lamp_is_lit_before_there_is_firmware_to_light_it(id: str) -> None:
    steps = walk(id, BUILDS[id])
    (load,) = [place for place, step in enumerate(steps) if step.trace == "firmware"]
    lit = [place for place, step in enumerate(steps) if step.limits and step.limits.point in LIT]
    assert {steps[place].limits.point for place in lit if steps[place].limits} == (
        LIT if DESIGNS[id].divider_banks else LIT - {"vref"}
    )
    assert load < min(lit)
    assert not any(re.search(r"lamps on\b", step.text) for step in steps[:load])


def test_a_ribbon_is_measured_while_it_can_still_be_sent_back() -> None:
    for subject in ("", "R1"):
        steps = walk("hollin-cue-desk", "replace-control" if subject else "hollin-assembly", subject)
        measured = [place for place, step in enumerate(steps) if step.limits and step.limits.point == "ribbon-element"]
        assert min(measured) < min(places(steps, "stick-ribbon"))


def test_a_ribbon_goes_without_an_iron_and_its_tail_comes_out_first() -> None:
    steps = walk("hollin-cue-desk", "replace-control", "R1")
    assert not any({"iron", "hot-air"} & set(step.uses) for step in steps)
    ids = [step.step_id for step in steps]
    assert ids.index("tail-out") < ids.index("photo") < ids.index("lift-out") < ids.index("ribbon-tail")


def test_the_diode_comes_off_the_old_button_before_it_goes_onto_the_new_one() -> None:
    ids = [step.step_id for step in walk("hollin-cue-desk", "replace-control", "B6")]
    assert ids.index("unsolder") < ids.index("diode-off") < ids.index("lift-out") < ids.index("diode")


@pytest.mark.parametrize(
    ("name", "subject"),
    [
        ("replace-lamp", "F3"),
        ("clean-ribbon", "F3"),
        ("replace-control", "L3"),
        ("fit-pull-up", "F3"),
        ("fit-pull-up", "L3"),
        ("replace-diode", "K2"),
    ],
)
def test_a_procedure_for_another_kind_is_refused_and_not_cut_short(name: str, subject: str) -> None:
    with pytest.raises(JobError, match=f"{subject} is of the kind") as caught:
        walk("hollin-cue-desk", name, subject)
    assert "another procedure" in caught.value.hint


@pytest.mark.parametrize(("subject", "bus"), [("A", "GA"), ("A", "VA"), ("B", "GB")])
def test_a_second_way_names_the_wire_that_is_wanted_and_no_other(subject: str, bus: str) -> None:
    desk = DESIGNS["hollin-cue-desk"]
    (step,) = [
        step
        for step in walk("hollin-cue-desk", "remake-common", subject)
        if step.step_id == "second-way" and step.subject and step.subject.id == bus
    ]
    runs = wires(desk, bus)
    assert step.text.endswith(f"from {runs[-1].start} to {runs[0].start}.")
    assert runs[0].colour in step.text
    assert step.wires == ()


def test_re_torque_ends_where_its_callers_go_on() -> None:
    """The lid is the caller's, and a step asks about it where nobody called."""
    procedure = LIBRARY.procedure("re-torque")
    assert not any("lid" in line for line in procedure.after)
    assert procedure.steps[-1].id == "lid"


@both
def test_a_step_that_asks_for_the_torque_driver_gives_the_figure_to_set(id: str) -> None:
    for name in (BUILDS[id], "annual-check", "after-repair"):
        for step in walk(id, name):
            if "torque-driver" in step.uses:
                assert re.search(r"\d N·m|\d N m|own sheet", step.text), f"{name} {step.key}: {step.text}"


@both
@pytest.mark.parametrize("name", ["load-firmware", "test-inputs", "first-power"])
def test_the_strap_comes_off_before_power_in_each_procedure_by_itself(id: str, name: str) -> None:
    steps = walk(id, name)
    power = [place for place, step in enumerate(steps) if step.begins == "power-on"]
    assert min(places(steps, "strap-off")) < min(power)


def test_nothing_is_asked_of_controls_that_the_foot_switch_has_not() -> None:
    for step in walk("foot-switch", "foot-switch-assembly"):
        words = " ".join((step.text, *step.detail, step.accept))
        assert not re.search(r"\b(?:to|at|near) the middle\b", words), f"{step.key}: {words}"
        assert "Ribbons" not in step.section and "Faders" not in step.section, step.key


@both
def test_the_supply_is_on_before_its_limit_is_set(id: str) -> None:
    for name in ("soak", "first-power"):
        steps = walk(id, name)
        assert places(steps, "supply")[0] < places(steps, "limit")[0], name


@both
def test_the_panel_is_bare_where_it_is_bonded_before_the_wire_is_screwed_on(id: str) -> None:
    steps = walk(id, BUILDS[id])
    assert places(steps, "bond-bare") < places(steps, "bond", "bond-panel")
