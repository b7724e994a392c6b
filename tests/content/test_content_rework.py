"""Every rework and service procedure walked over both shipped designs and each kind of control, calls gone into.

The rules are the trade's own (common practice): the lead is out before the iron is near and before anything is plugged
inside; what was unplugged, soldered or washed is measured before it is powered; the strap is off before the unit is
powered open; what comes off is put back; one act stands in a step.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.errors import BenchError
from benchtui.jobs.expand import expand

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.jobs.plan import PlanStep

LIBRARY = Library.open()
CAUTIONS = LIBRARY.cautions()
DESIGNS = {id: load_design(LIBRARY.path_of("design", id)) for id in ("hollin-cue-desk", "foot-switch")}
REWORK = [entry.id for entry in LIBRARY.entries("procedure") if entry.procedure_kind == "rework"]
CLEANING = ["clean-control", "clean-fader", "clean-pot", "clean-switch", "clean-ribbon", "wash-control"]

POWER = re.compile(r"\bplug the (?:unit|bare board|USB lead)\b|\bplug it into the (?:computer|hub)\b", re.I)
LEAD_OUT = re.compile(r"\bpull the USB lead out\b", re.I)
PROVED = re.compile(r"supply to ground", re.I)


def subjects(design: Design) -> tuple[str, ...]:
    """The first control of each kind, and a bank."""
    kinds = {control.kind: control.id for control in reversed(design.controls)}
    return (*kinds.values(), *(bank.id for bank in design.divider_banks[:1]))


@cache
def walk(id: str, name: str, subject: str) -> tuple[PlanStep, ...]:
    """Every step in the order it is done, calls gone into."""
    found: list[PlanStep] = []
    for step in expand(LIBRARY.procedure(name), DESIGNS[id], CAUTIONS, subject=subject):
        found += walk(id, step.call, subject) if step.call else (step,)
    return tuple(found)


def walks() -> list[tuple[str, str, str]]:
    found = []
    for id, design in DESIGNS.items():
        for name in (*REWORK, *CLEANING):
            for subject in subjects(design):
                try:
                    steps = walk(id, name, subject)
                except BenchError:
                    continue  # about a kind of subject that this one is not
                if steps:
                    found.append((id, name, subject))
    return found


WALKS = walks()


def test_each_is_walked() -> None:
    assert {name for _, name, _ in WALKS} == {*REWORK, *CLEANING}
    assert len({(id, name) for id, name, _ in WALKS}) > 40


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_no_iron_no_ohms_and_no_plug_inside_while_the_unit_is_powered(id: str, name: str, subject: str) -> None:
    powered = False
    for step in walk(id, name, subject):
        if LEAD_OUT.search(step.text) or step.ends == "power-on":
            powered = False
        if powered:
            assert not {"iron", "ohms-range", "isopropanol", "contact-cleaner"} & set(step.uses), step.key
            assert "hot-plug" not in {caution.id for caution in step.cautions}, step.key
        if step.begins == "power-on" or POWER.search(step.text):
            powered = True


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_supply_to_ground_is_measured_before_power_comes_back(id: str, name: str, subject: str) -> None:
    touched, proved, strap = "", True, False
    for step in walk(id, name, subject):
        cautions = {caution.id for caution in step.cautions}
        if {"iron", "contact-cleaner"} & set(step.uses) or "hot-plug" in cautions:
            touched, proved = step.key, False
        if step.limits is not None and step.limits.kind == "resistance" and PROVED.search(step.text):
            proved = True
        strap = strap or bool(re.search(r"\bput the strap on\b", step.text, re.I))
        if re.search(r"\btake the wrist strap off\b", step.text, re.I):
            strap = False
        if step.step_id == "bare-board":
            continue  # a new board with nothing plugged to it has nothing to measure; each connector is, as it goes on
        if step.begins == "power-on" or POWER.search(step.text):
            assert proved, f"{step.key}: power, and nothing was measured since {touched}"
            if "power-on-open-lid" in step.uses or "power-on" in cautions:
                assert not strap, f"{step.key}: the strap is still on"


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_power_with_the_lid_open_warns_of_strap_headphones_and_port(id: str, name: str, subject: str) -> None:
    seen: set[str] = set()
    for step in walk(id, name, subject):
        shown = {caution.id for caution in step.cautions}
        seen |= shown
        if step.begins == "power-on" and "power-on-open-lid" in step.uses:
            assert {"strap-near-mains", "power-on"} <= shown, step.key
            assert {"hearing", "first-power-host"} <= seen, f"{step.key}: neither here nor at an earlier power-up"


@pytest.mark.parametrize("name", REWORK)
def test_every_rework_ends_with_the_proof_that_nothing_else_broke(name: str) -> None:
    """Its parts, called by others, leave that to their callers."""
    parts = {"socketed-multiplexer", "soldered-multiplexer"}
    calls = {step.call for step in LIBRARY.procedure(name).steps}
    assert name in parts or calls & {"after-repair", "test-inputs"}


@pytest.mark.parametrize("name", [*REWORK, *CLEANING, "free-from-panel", "back-in-panel"])
def test_a_step_that_may_be_left_out_says_how(name: str) -> None:
    for step in LIBRARY.procedure(name).steps:
        if re.match(r"If\b", step.text):
            assert "skip this step" in " ".join(step.texts), step.id


def test_one_name_cleans_every_kind_of_control() -> None:
    """Fault finding names one procedure for all of them."""
    for design in DESIGNS.values():
        for control in design.controls:
            plan = expand(LIBRARY.procedure("clean-control"), design, CAUTIONS, subject=control.id)
            assert len(plan.steps) == 1, control.id
    desk = DESIGNS["hollin-cue-desk"]
    calls = {
        control.kind: expand(LIBRARY.procedure("clean-control"), desk, CAUTIONS, subject=control.id).steps[0].call
        for control in desk.controls
    }
    assert calls["fader"] == "clean-fader"
    assert calls["pot"] == "clean-pot"
    assert calls["ribbon"] == "clean-ribbon"
    assert {calls[kind] for kind in ("toggle", "encoder", "button-matrix")} == {"clean-switch"}


@pytest.mark.parametrize("subject", ["F3", "K2", "T2", "E1"])
def test_a_control_of_a_plastic_panel_comes_out_before_the_cleaner_and_goes_back_when_dry(subject: str) -> None:
    ids = [step.step_id for step in walk("hollin-cue-desk", "wash-control", subject)]
    assert ids.index("panel") < ids.index("lift") < ids.index("squirt") < ids.index("dry") < ids.index("set-in")
    torques = [id for id in ids if id.startswith("torque-")]
    assert len(torques) == 1


def test_the_multiplexer_is_asked_about_before_it_is_touched_and_a_socket_meets_no_braid() -> None:
    ids = [step.step_id for step in walk("hollin-cue-desk", "replace-multiplexer", "F3")]
    assert ids[0] == "held"
    socketed = LIBRARY.procedure("socketed-multiplexer")
    assert not any("iron" in step.uses or "braid" in " ".join(step.texts) for step in socketed.steps)


@pytest.mark.parametrize("name", ["fit-pull-down", "fit-pull-up"])
def test_an_old_resistor_is_out_and_its_place_measured_before_the_new_one_goes_in(name: str) -> None:
    steps = {step.id: place for place, step in enumerate(LIBRARY.procedure(name).steps)}
    assert steps["place"] < steps["old-out"] < steps["empty"] < steps["new-value"] < steps["fit"]
    empty = next(step for step in LIBRARY.procedure(name).steps if step.id == "empty")
    assert empty.required


def test_a_second_way_is_named_by_side_colour_and_gauge_and_only_where_it_is_wanted() -> None:
    steps = walk("hollin-cue-desk", "remake-common", "A")
    second = [step for step in steps if step.step_id == "second-way"]
    assert [step.subject.id for step in second if step.subject] == ["GA", "VA"]
    for step, colour in zip(second, ("black", "red"), strict=True):
        assert re.search(rf": {colour} \d+ AWG from F8 lug \d to F1 lug \d\.$", step.text)
        assert "Skip it if" in " ".join(step.detail)
