"""Work makes void what it can have changed: papers and the bare board are not looked at again for a joint."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.jobs import BANK, plan, step
from helpers.proven import begun, bench_on, built, rework_begun, through

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.jobs import events as ev
from benchtui.jobs import quality
from benchtui.jobs.expand import expand
from benchtui.jobs.plan import Subject
from benchtui.jobs.quality import is_voided, voided

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.plan import PlanStep

JOINT = frozenset({"F1"})
ALL: frozenset[str] = frozenset()


def about(word: str) -> PlanStep:
    return replace(step("look", "observe", required=True), about=word)


@pytest.mark.parametrize(
    ("word", "joint", "all_of_it"),
    [
        ("", True, True),
        ("power", True, True),
        ("unit", False, True),
        ("firmware", False, True),
        ("papers", False, False),
        ("bare", False, False),
    ],
)
def test_what_a_test_without_a_subject_is_about_tells_which_work_makes_it_void(
    word: str, joint: bool, all_of_it: bool
) -> None:
    # Row I4 (J-STD-001 rework: what was disturbed is tested again). Nothing said is the strictest: a test of the power.
    assert (is_voided(about(word), JOINT), is_voided(about(word), ALL)) == (joint, all_of_it)


def test_a_joint_made_once_more_after_its_test_opens_the_tests_of_the_power_alone() -> None:
    solder = replace(step("solder@F1"), uses=("iron",))
    words = ("", "power", "unit", "firmware", "papers", "bare")
    assert [word for word in words if quality.tests_work_of(about(word), solder)] == ["", "power"]
    # A label stuck on after they were compared is compared again: the step and the test are of one procedure.
    assert quality.tests_work_of(about("papers"), step("label"))


@pytest.mark.parametrize(
    ("said", "falls"),
    [
        ("", ["", "power", "unit", "firmware", "papers", "bare"]),
        ("papers", ["papers"]),
        ("power", ["", "power"]),
        ("nothing", []),
    ],
)
def test_a_do_step_that_says_what_it_is_about_opens_the_tests_of_that_alone(said: str, falls: list[str]) -> None:
    words = ("", "power", "unit", "firmware", "papers", "bare")
    by = replace(step("label"), about=said)
    assert [word for word in words if quality.tests_work_of(about(word), by)] == falls
    # A label at a fader is no work on the fader.
    at_fader = replace(step("label@F1"), about=said)
    fader = replace(step("ohms@F1", "measure", limits=BANK, required=True))
    assert quality.tests_work_of(fader, at_fader) == (said == "")


def test_a_label_or_a_photograph_that_was_skipped_and_is_made_later_opens_no_test_of_the_unit(tmp_path: Path) -> None:
    # Left open and done later, a cosmetic step asks for no test again; the bonding wire does, without any tool named.
    for said, void in (("papers", ["of-papers"]), ("nothing", []), ("", [f"of-{word}" for word in ABOUTS])):
        (folder := tmp_path / f"_{said}").mkdir()
        with bench_on(folder) as bench:
            unit, run = begun(bench, plan(step("mark", about=said), *ABOUT.values(), design_id="hollin-cue-desk"))
            run.act(ev.StepSkipped(step="mark", reason="no label here"))
            through(run).close(decision="the label is made tomorrow")
            (work,) = bench.left_open(unit)
            through(bench.open(work.plan, unit)).close()
            assert [proof.step.key for proof in bench.units.view(unit).void] == void


@pytest.mark.parametrize(("skipped", "void"), [("serial-label", set()), ("bond-panel", {"bond-ohms"})])
def test_what_was_left_out_of_a_desk_and_is_done_later_asks_for_the_tests_of_that(skipped: str, void: set[str]) -> None:
    library = Library.open()
    design = load_design(library.path_of("design", "hollin-cue-desk"))
    desk = expand(library.procedure("hollin-assembly"), design, library.cautions())
    assert {each.step_id for each in quality.outdated(desk, desk.step(skipped))} == void


def test_a_feed_is_tested_again_when_it_or_several_that_hang_on_it_were_touched() -> None:
    feed = Subject(id="GND1", kind="bus", title="feed GND1")
    test = replace(step("feed", "measure", limits=BANK, required=True), subject=feed, touches=("GND1", "F1", "F2"))
    touched = ({"F1"}, {"F1", "F2"}, {"GND1"}, {"P9"}, ALL)
    assert [is_voided(test, frozenset(each)) for each in touched] == [False, True, True, False, True]


def test_for_a_joint_of_one_fader_a_desk_is_asked_for_what_the_joint_can_have_changed() -> None:
    # The tests of the fader, its plug and its wires, and those of the power: V+ to ground at the plug, the currents,
    # the supply, the reference and the heat with all lamps on. Common practice after iron inside.
    library = Library.open()
    design, cautions = load_design(library.path_of("design", "hollin-cue-desk")), library.cautions()
    asked: Counter[str] = Counter()
    for id in (entry.id for entry in library.entries("procedure")):
        procedure = library.procedure(id)
        builds = id == "soak" or (procedure.kind == "assembly" and procedure.design in ("any", design.id))
        if builds and not any(each.for_.startswith("the ") for each in procedure.steps):
            plan = expand(procedure, design, cautions)
            asked.update(each.step_id for each in voided(plan, JOINT) if each.required)
    assert asked == Counter(
        {
            **dict.fromkeys(("through", "apart", "neighbours", "plug", "bank-ohms"), 1),
            **dict.fromkeys(("idle", "all-on", "vbus", "vref", "heat-lit", "lamps-shift", "tap"), 1),
            **dict.fromkeys(("raw-fader-low", "raw-fader-high", "fader-sweep", "fader-low", "fader-high"), 1),
        }
    )


RENUMBERED = {"made": "x", "was": "HCD-009-X", "serial": "HCD-001-R", "reason": "two had it", "by": "the builder"}
ABOUTS = ("power", "unit", "firmware", "papers", "bare")
ABOUT = {about: step(f"of-{about}", "measure", limits=BANK, required=True, about=about) for about in ABOUTS}


@pytest.mark.parametrize(
    ("kind", "data", "falls"),
    [
        ("unit-renumbered", RENUMBERED, {"papers", "firmware"}),
        ("part-fitted", {"part": "carrier", "place": "carrier", "replaces": "carrier", "reason": "cracked"}, {"bare"}),
        ("part-fitted", {"part": "carrier board with headers", "place": "unit", "replaces": "carrier"}, {"bare"}),
        ("part-fitted", {"part": "carrier screws", "place": "carrier", "replaces": "screws"}, set()),
        ("part-fitted", {"part": "fader", "place": "F1", "replaces": "fader", "reason": "worn"}, set()),
    ],
)
def test_papers_and_bare_boards_are_tested_again_when_the_number_or_the_board_is_another_one(
    tmp_path: Path, kind: str, data: dict[str, str], falls: set[str]
) -> None:
    # Row I4: five labels that agree tell nothing of a new number, and the old carrier nothing of the new one.
    with bench_on(tmp_path) as bench:
        whole = plan(step("mount@F1"), *ABOUT.values(), design_id="hollin-cue-desk")
        unit = built(bench, whole)
        bench.store.append(kind, unit=unit, data=data)
        void = {proof.step.about for proof in bench.units.view(unit).void}
        assert void & {"papers", "bare"} == falls & {"papers", "bare"}
        assert falls <= void


def test_rework_that_names_all_makes_void_what_was_found_on_the_bare_board(tmp_path: Path) -> None:
    with bench_on(tmp_path) as bench:
        unit = built(bench, plan(step("mount@F1"), *ABOUT.values(), design_id="hollin-cue-desk"))
        bench.plans["fix"] = plan(step("fix"), id="fix", procedure_kind="service", design_id="hollin-cue-desk")
        run = bench.start("fix", unit)
        rework_begun(run)
        run.act(ev.ReworkDone(defect="D1", touched=("all",)))
        assert {proof.step.about for proof in bench.units.view(unit).void} == {*ABOUTS} - {"papers"}
