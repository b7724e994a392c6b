"""Lots and serial numbers in the shipped work: asked once for each bag, found again by unit and place.

IPC-1782 5.1: material traceability by incoming lot or serial number, asked for while the label is at hand.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock
from helpers.step_text import step_problems

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.errors import RecordError
from benchtui.jobs import events as ev
from benchtui.jobs.parts import NOT_MARKED
from benchtui.jobs.passport import passport
from benchtui.jobs.run import Bench
from benchtui.jobs.run_where import where_used
from benchtui.record.store import Store
from benchtui.ui.kept import fit, part_question
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.run import Run

LIBRARY = Library.open()
DESIGN = "hollin-cue-desk"
UNIT = "HCD-001-D"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield Bench(LIBRARY, store, clock=clock)


def at(run: Run, step: str) -> Work:
    """The step in sight, as one jumps to it."""
    work = Work(run)
    work.look(step)
    return work


def test_each_shipped_build_asks_for_each_kind_of_part_once(bench: Bench) -> None:
    counts = {}
    for id, design in (("hollin-assembly", DESIGN), ("foot-switch-assembly", "foot-switch")):
        asked = [step for step in bench.plan(id, design_id=design).steps if step.trace]
        assert {step.trace for step in asked if step.part == "controller board"} == {"serial"}
        counts[id] = Counter(step.part for step in asked)
    lots = ("fader", "rotary control", "encoder", "ribbon", "lamp", "multiplexer", "controller board")
    assert counts["hollin-assembly"] == Counter(lots)
    assert counts["foot-switch-assembly"] == Counter(("button", "lamp", "controller board"))


def test_the_places_of_a_bag_are_all_controls_of_its_kind(bench: Bench) -> None:
    desk = load_design(LIBRARY.path_of("design", DESIGN))
    with_bag = {step.part: step.fits for step in bench.plan("hollin-assembly").steps if step.trace}
    assert with_bag["fader"] == tuple(control.id for control in desk.controls if control.kind == "fader")
    assert with_bag["multiplexer"] == ("M1",)
    assert with_bag["controller board"] == ("board",)


def test_one_lot_is_kept_for_every_place_and_found_by_each(bench: Bench) -> None:
    run = bench.start("hollin-assembly", UNIT)
    work = at(run, "fader-bag")
    assert part_question(work.step) == "Lot of the fader for F1 to F8 (-: not marked)"
    fit(work, "2407")
    assert [use.place for use in where_used(bench.units, lot="2407")] == [f"F{n}" for n in range(1, 9)]
    assert run.state["fader-bag"].fitted == ("2407",), "one bag is one line"
    assert "- F3: fader, lot 2407, written down" in "\n".join(passport(bench.units.view(UNIT)))


def test_a_lot_that_was_mistyped_is_put_right_and_nothing_came_out_for_it(bench: Bench) -> None:
    run = bench.start("hollin-assembly", UNIT)
    fit(at(run, "fader-bag"), "2470")
    fit(at(run, "fader-bag"), "2407")
    view = bench.units.view(UNIT)
    faders = [part for part in view.parts if part.part == "fader"]
    assert len(faders) == 8
    assert not any(part.exchange or part.removed for part in faders)
    assert where_used(bench.units, lot="2470") == ()
    assert [use.place for use in where_used(bench.units, lot="2407")] == [f"F{n}" for n in range(1, 9)]
    assert run.state["fader-bag"].fitted == ("2407",)
    assert "came out" not in "\n".join(passport(view))


def test_a_mistyped_lot_of_rework_leaves_the_old_part_out(bench: Bench) -> None:
    build = bench.start("hollin-assembly", UNIT)
    fit(at(build, "fader-bag"), "2407")
    run = bench.start("replace-control", UNIT, subject="F3", design_id=DESIGN)
    key = next(step.key for step in run.plan.steps if step.trace)
    fit(at(run, key), "9")
    fit(at(run, key), "2408")
    there = [part for part in bench.units.view(UNIT).parts if part.place == "F3"]
    assert [(part.lot, bool(part.removed)) for part in there] == [("2407", True), ("2408", False)]


def test_not_marked_is_an_answer_and_nothing_is_none(bench: Bench) -> None:
    run = bench.start("hollin-assembly", UNIT)
    work = at(run, "ribbon-bag")
    assert fit(work, " ").problem
    assert not bench.store.events(kinds=["part-fitted"])
    fit(work, "-")
    assert [use.place for use in where_used(bench.units, lot=NOT_MARKED)] == ["R1", "R2"]


def test_all_places_of_a_bag_are_on_the_disk_or_none(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    run = bench.start("hollin-assembly", UNIT)
    work = at(run, "lamp-bag")
    before = run.state

    def full(*_: object, **__: object) -> None:
        raise RecordError("no space left on the disk")

    with monkeypatch.context() as patch:
        patch.setattr(bench.store, "append_all", full)
        assert fit(work, "L-77").problem
    assert run.state == before
    fit(work, "L-77")
    assert len({event.time for event in bench.store.events(kinds=["part-fitted"])}) == 1


def test_a_part_that_rework_puts_in_takes_the_place_of_the_old_one_even_from_the_same_bag(bench: Bench) -> None:
    build = bench.start("hollin-assembly", UNIT)
    fit(at(build, "fader-bag"), "2407")
    fit(at(build, "board-number"), "B-11")
    rework = bench.start("replace-control", UNIT, subject="F3", design_id=DESIGN)
    work = at(rework, "put-in@F3")
    assert part_question(work.step) == "Lot of the part for F3 (-: not marked)"
    fit(work, "2407")
    parts = bench.units.view(UNIT).parts
    assert [(part.lot, bool(part.removed)) for part in parts if part.place == "F3"] == [("2407", True), ("2407", False)]
    assert rework.state["new-fader@F3"].status == "open", "what was found on the new part stays as it is"
    assert not any(part.removed for part in parts if part.place == "F4")


def test_another_board_takes_the_firmware_with_it(bench: Bench) -> None:
    build = bench.start("hollin-assembly", UNIT)
    fit(at(build, "board-number"), "B-11")
    build.act(ev.FirmwareLoaded(name="hollin", version="1.2"))
    assert bench.units.view(UNIT).firmware
    swap = bench.start("swap-board", UNIT, design_id=DESIGN)
    fit(at(swap, "set-in"), "B-12")
    view = bench.units.view(UNIT)
    assert [part.serial for part in view.parts_now()] == ["B-12"]
    assert view.firmware is None


def test_the_chip_that_is_exchanged_is_the_one_of_the_control_at_hand(bench: Bench) -> None:
    for subject in ("", "F3"):
        plan = bench.plan("socketed-multiplexer", design_id=DESIGN, subject=subject)
        assert plan.step("press").fits == ("M1",)
    # The foot switch has none: the step stays, and asks for nothing.
    assert bench.plan("socketed-multiplexer", design_id="foot-switch").step("press").trace == ""


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("do: Go.\n    fits: each fader", "`fits:` belongs to a step with `trace: lot` or `serial`"),
        ("do: Go.\n    part: fader", "`part:` belongs to a step with `trace: lot` or `serial`"),
        ("do: Go.\n    trace: lot\n    fits: each fader", "`fits:` needs `part:`"),
        (
            "do: Go.\n    trace: lot\n    part: fader\n    fits: each fader\n    for: each fader",
            "`fits:` and `for:` both say where the part goes",
        ),
        (
            "do: Go.\n    trace: serial\n    part: fader\n    fits: each fader",
            "one serial number is on one part, and `fits:` names several",
        ),
    ],
)
def test_what_a_bag_cannot_say_is_refused(lines: str, told: str) -> None:
    problems = step_problems(lines)
    assert any(told in problem for problem in problems), problems
