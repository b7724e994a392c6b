"""The shipped procedures walked as a builder walks them, into each call and back: what stands before what, and why."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.design.wiring import wires
from benchtui.jobs.expand import expand

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.jobs.plan import Plan, PlanStep

LIBRARY = Library.open()
BUILDS = {"hollin-cue-desk": "hollin-assembly", "foot-switch": "foot-switch-assembly"}
OF_EACH_KIND = ("F3", "K2", "R1", "B6", "T2", "E1")

both = pytest.mark.parametrize("id", BUILDS)


@cache
def design(id: str) -> Design:
    return load_design(LIBRARY.path_of("design", id))


@cache
def plan(id: str, name: str, subject: str = "") -> Plan:
    return expand(LIBRARY.procedure(name), design(id), LIBRARY.cautions(), subject=subject)


@cache
def walk(id: str, name: str, subject: str = "") -> tuple[PlanStep, ...]:
    """Every step in the order it is done, calls gone into."""
    found: list[PlanStep] = []
    for step in plan(id, name, subject):
        found += walk(id, step.call, subject) if step.call else (step,)
    return tuple(found)


def build(id: str) -> tuple[PlanStep, ...]:
    return walk(id, BUILDS[id])


def places(steps: tuple[PlanStep, ...], *ids: str) -> list[int]:
    return [place for place, step in enumerate(steps) if step.step_id in ids]


# -- power and the iron ------------------------------------------------------------------------------------------------

_IN = re.compile(r"\bplug (?:the unit|the USB lead|the board) in(?:to)?\b", re.I)
_OUT = re.compile(r"\bpull the USB lead out\b", re.I)

WALKS = [
    *((id, name, "") for id, name in BUILDS.items()),
    *((id, name, "") for id in BUILDS for name in ("annual-check", "after-repair", "soak")),
    *(("hollin-cue-desk", "replace-control", subject) for subject in OF_EACH_KIND),
    ("foot-switch", "replace-control", "B1"),
]


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_a_lead_goes_in_once_and_no_ohms_are_read_while_it_is_in(id: str, name: str, subject: str) -> None:
    plugged = False
    for step in walk(id, name, subject):
        if _OUT.search(step.text):
            plugged = False
        if _IN.search(step.text):
            assert not plugged, f"{step.key}: it is plugged in already"
            plugged = True
        if step.limits is not None and step.limits.kind == "resistance":
            assert not plugged, f"{step.key}: ohms while the lead is in"
    if name in BUILDS.values():
        assert not plugged


@pytest.mark.parametrize(("id", "name", "subject"), WALKS)
def test_no_connector_is_moved_while_the_lead_is_in(id: str, name: str, subject: str) -> None:
    plugged = False
    for step in walk(id, name, subject):
        plugged = (plugged or bool(_IN.search(step.text))) and not _OUT.search(step.text)
        if any(caution.id == "hot-plug" for caution in step.cautions):
            assert not plugged, step.key


@both
def test_the_iron_is_off_where_a_solvent_is_used_and_at_the_end(id: str) -> None:
    hot = False
    for step in build(id):
        if "iron" in step.uses:
            hot = "Switch the iron off" not in step.text
        assert not (hot and "isopropanol" in step.uses), step.key
    assert not hot


# -- nuts, marks and knobs ---------------------------------------------------------------------------------------------


@both
def test_nuts_are_tried_again_after_the_soak_then_marked_and_knobs_hide_them_last(id: str) -> None:
    steps = build(id)
    first = [place for place, step in enumerate(steps) if step.section == "Mount" and "torque-driver" in step.uses]
    (day,) = places(steps, "day")  # of the soak
    again = [
        place
        for place, step in enumerate(steps)
        if step.section == "Nuts and screws" and "torque" in step.text + " ".join(step.uses)
    ]
    (mark,) = places(steps, "mark")
    assert max(first) < day < min(again) <= max(again) < mark
    for place in places(steps, "fit-knob", "fit-knob-encoder"):
        assert mark < place
    assert not any(
        "knob" in step.text and "on" in step.text.split() for step in steps[:mark] if step.step_id.startswith("fit")
    )


@pytest.mark.parametrize("name", ["re-torque", "annual-check"])
def test_each_knob_that_hides_a_nut_comes_off_and_goes_on_again(name: str) -> None:
    steps = walk("hollin-cue-desk", name)
    for control in design("hollin-cue-desk").controls:
        if control.kind not in ("pot", "encoder"):
            continue
        order = [step.step_id for step in steps if step.subject and step.subject.id == control.id]
        off = next(n for n, step_id in enumerate(order) if step_id.startswith("pull-knob"))
        on = next(n for n, step_id in enumerate(order) if step_id.startswith("fit-knob"))
        assert off < order.index(control.kind) < on, control.id


def test_the_desk_is_turned_once_for_all_its_caps() -> None:
    steps = build("hollin-cue-desk")
    (up,), caps, (down,) = places(steps, "front-up"), places(steps, "fit-cap"), places(steps, "front-down")
    assert caps == list(range(up + 1, down))
    assert not any(step.text.startswith(("Turn the panel", "Turn the desk")) for step in steps if step.subject)


@both
def test_the_panel_stands_on_blocks_before_anything_on_its_front_can_be_crushed(id: str) -> None:
    steps = build(id)
    (prop,) = places(steps, "prop-panel")
    wired = [place for place, step in enumerate(steps) if step.section == "Wire" and "iron" in step.uses]
    (lugs,), (edge,) = places(steps, "edge"), places(steps, "prop")
    assert prop < min(wired)
    assert lugs < min(places(steps, "button-closed", "matrix-closed"))
    assert edge < min(places(steps, "bank-ohms", "no-short", "plug"))


# -- values before and after teaching ----------------------------------------------------------------------------------


@both
def test_raw_values_are_read_before_the_ends_are_taught_and_sent_values_after(id: str) -> None:
    """The circuit's window is for the raw value; what is sent fills the range of the message (MIDI 1.0)."""
    taught: set[str] = set()
    seen: Counter[str] = Counter()
    for step in build(id):
        subject = step.subject.id if step.subject else ""
        if step.step_id.startswith("calibrate"):
            taught.add(subject)
        point = step.limits.point if step.limits else ""
        if point in ("lowest-code", "mid-code", "highest-code"):
            assert subject not in taught, step.key
            assert "raw value" in step.text, step.key
        if point in ("sent-lowest", "sent-highest"):
            assert subject in taught, step.key
            assert "the value it sends" in step.text, step.key
        if point:
            seen[point] += 1
    dividers = [control.id for control in design(id).controls if control.kind in ("fader", "pot", "ribbon")]
    assert taught == set(dividers)
    assert seen["lowest-code"] == seen["highest-code"] == len(dividers)
    assert seen["sent-lowest"] == seen["sent-highest"] == 2 * len(dividers)  # after the soak once more


@pytest.mark.parametrize("subject", OF_EACH_KIND)
def test_a_new_control_is_proved_in_every_way_its_kind_can_be(subject: str) -> None:
    steps = walk("hollin-cue-desk", "replace-control", subject)
    ids = [step.step_id for step in steps]
    points = [step.limits.point for step in steps if step.limits and step.subject and step.subject.id == subject]
    kind = design("hollin-cue-desk").control(subject).kind
    if kind in ("fader", "pot", "ribbon"):
        assert {"lowest-code", "highest-code", "sent-lowest", "sent-highest"} <= set(points)
        assert ids.index("ends") < ids.index("sweep-before" if "sweep-before" in ids else "bank")
    wanted = {
        "fader": {"pull-cap", "fit-cap"},
        "pot": {"pull-knob", "fit-knob"},
        "ribbon": {"stick-ribbon", "ribbon-tail"},
        "button-matrix": {"matrix-diode", "matrix-button-works", "matrix-corner"},
        "toggle": {"toggle-works"},
        "encoder": {"pull-knob-encoder", "fit-knob-encoder", "encoder-works", "encoder-press"},
    }[kind]
    assert wanted <= set(ids)
    if kind == "button-matrix":
        assert "diode-forward" in points and ids.index("diode") < ids.index("solder") < ids.index("matrix-diode")


# -- wires and diodes --------------------------------------------------------------------------------------------------


def test_a_diode_goes_in_before_its_wires_and_lists_none() -> None:
    steps = build("hollin-cue-desk")
    diodes = [step for step in steps if step.step_id == "fit-diode"]
    assert len(diodes) == 16
    for step in diodes:
        assert step.wires == ()
        assert step.subject is not None
        lug = design("hollin-cue-desk").control(step.subject.id).part.lugs["common"]
        assert f"lug {lug.lug}, the {lug.name}" in step.text
    assert max(places(steps, "fit-diode")) < min(places(steps, "wire-button"))


@both
def test_where_a_lug_takes_two_wires_the_step_says_to_solder_them_in_one_go(id: str) -> None:
    ends = Counter(end for run in wires(design(id)) for end in (run.start, run.end) if " pin " not in end)
    shared = {end.split()[0] for end, number in ends.items() if number > 1}
    assert shared
    steps = [step for step in build(id) if step.step_id.startswith("wire-") and step.subject]
    for step in steps:
        assert step.subject is not None
        if step.subject.id in shared:
            assert "in one go" in " ".join(step.detail), step.key


# -- words -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [entry.id for entry in LIBRARY.entries("procedure")])
def test_every_choice_answers_a_question(name: str) -> None:
    for step in LIBRARY.procedure(name).steps:
        if step.choose:
            assert "?" in step.choose, f"{name}: {step.id}"


def test_sweep_90_works_controls_and_never_a_connector_of_lamps() -> None:
    desk = design("hollin-cue-desk")
    about = {step.subject.id for step in plan("hollin-cue-desk", "sweep-90") if step.subject}
    assert about == {bank.id for bank in desk.divider_banks}
    assert not any(step.subject for step in plan("foot-switch", "sweep-90"))


@both
def test_the_same_bank_is_measured_once_before_first_power(id: str) -> None:
    steps = build(id)
    (power,) = places(steps, "bare-board")
    rails = Counter(step.key for step in steps[:power] if step.limits and step.limits.point == "bank-ohms")
    assert set(rails.values()) <= {1}
    assert len(rails) == len(design(id).divider_banks)


STAGES = ("build-harness", "inspect-unpowered", "first-power", "load-firmware", "test-inputs", "soak", "close-and-pack")


@both
def test_the_stages_stand_in_the_order_of_their_letters(id: str) -> None:
    own = plan(id, BUILDS[id])
    calls = [step.call for step in own if step.call in STAGES]
    assert calls == list(STAGES)
    sections = list(dict.fromkeys(step.section for step in own))
    assert sections.index("Carrier") < sections.index("Harness") < sections.index("Mount") < sections.index("Wire")


# -- tools -------------------------------------------------------------------------------------------------------------

TOOLS = (
    ("strap", r"\bwrist strap\b"), ("meter", r"\bprobes?\b|\bmeter\b"), ("1 kΩ resistor", r"\bknown resistor\b"),
    ("iron", r"\biron\b"), ("brass wool", r"\bbrass wool\b"), ("scrap lug", r"\bscrap lug\b"),
    ("chisel tip", r"\bchisel tip\b"), ("loupe", r"\bloupe\b"), ("callipers", r"\bcallipers\b"),
    ("steel rule", r"\bsteel rule\b"), ("straight edge", r"\bstraight edge\b"), ("flat pliers", r"\bpliers\b"),
    ("spring scale", r"\bspring scale\b|\bpull each\b"), ("hot-air gun", r"\bhot-air gun\b"), ("card", r"\bthe card\b"),
    ("brush", r"\bbrush\b"), ("isopropanol", r"\bisopropanol\b"), ("deburring blade", r"\bdeburring blade\b"),
    ("soapy water", r"\bsoapy water\b"), ("cloth", r"\bcloth\b|\bdry it\b"), ("blocks", r"\bblocks\b"),
    ("USB meter", r"\bUSB meter\b"), ("supply", r"\benclosed supply\b"), ("hub", r"\bthe hub\b"),
    ("computer", r"\bcomputer\b|\bmonitor\b"), ("tile", r"\btile\b"), ("mapping sheet", r"\bmapping sheet\b"),
    ("paint pen", r"\bpaint across\b"), ("strips of paper", r"\bstrips of paper\b"), ("bag", r"\bits bag\b"),
    ("foam", r"\bfoam\b"), ("camera", r"\bphotograph\b"), ("scale for the weight", r"\bweigh\b"),
    ("plastic handle", r"\bhandle of the driver\b"), ("screws of the knobs", r"\bknob\b.*\bscrew\b"),
    ("vice", r"\bvice\b"),
    ("die", r"\bdie\b"), ("stripper", r"\bstrip (?:the|about)\b"), ("solder", r"\bsolder\b"), ("sleeve", r"\bsleeve\b"),
    ("ties", r"\bties?\b"), ("labels", r"\blabels?\b"), ("thermometer", r"\bthermometer\b"),
)  # fmt: skip
"""What a step takes in hand, and the words of the step that tell."""

USES = {
    "iron": "iron",
    "torque-driver": "torque driver",
    "cutters": "cutters",
    "hot-air": "hot-air gun",
    "crimp-tool": "crimp tool",
    "isopropanol": "isopropanol",
    "file": "safety glasses",
    "ohms-range": "meter",
}


def _texts(step: PlanStep) -> str:
    where = step.limits.where if step.limits else ""
    return " ".join((step.text, *step.detail, step.accept, where))


@both
def test_the_page_before_the_build_lists_every_tool_that_its_steps_take_in_hand(id: str) -> None:
    """Also those of the procedures that it calls: nobody fetches a tool in the middle of a joint."""
    before = plan(id, BUILDS[id]).before
    listed = " ".join((*before.tools, *before.materials)).lower()
    for step in build(id):
        for tool, words in TOOLS:
            if re.search(words, _texts(step), re.I):
                assert tool.lower() in listed, f"{step.key}: {tool}"
        for use, tool in USES.items():
            if use in step.uses:
                assert tool in listed, f"{step.key}: {tool}"
        if step.limits is not None and step.limits.kind == "force":
            assert "spring scale" in listed, step.key


@both
def test_a_leg_of_a_lamp_is_shielded_from_the_heat(id: str) -> None:
    lamps = [step for step in build(id) if step.step_id == "wire-lamp"]
    assert lamps
    assert all("pliers" in " ".join(step.detail) for step in lamps)


@both
def test_the_annual_check_pulls_each_connector_once_and_plugs_it_in_once(id: str) -> None:
    steps = walk(id, "annual-check")
    moved = Counter(
        (step.step_id, step.subject.id)
        for step in steps
        if step.subject and step.subject.kind == "connector" and "plug" in step.text.lower()
    )
    connectors = [each.id for each in design(id).connectors]
    assert moved == Counter({(step_id, each): 1 for step_id in ("unplug", "connectors") for each in connectors})
    (no_short,) = places(steps, "no-short")
    assert max(places(steps, "connectors")) < no_short < min(places(steps, "power"))
