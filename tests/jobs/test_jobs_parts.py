"""Parts of a unit: another one in the same place is an exchange, and what was in it at its release is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.missing import Needs
from benchtui.jobs.parts import parts_of
from benchtui.jobs.passport import passport
from benchtui.jobs.run_decisions import concede, may_concede
from benchtui.jobs.run_where import where_firmware
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.run import Run

BUILD = plan(
    step("mount@F1", trace="lot"),
    step("ohms@F1", "measure", limits=BANK, required=True),
    step("close"),
    design_id="hollin-cue-desk",
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        service = plan(step("look"), id="service", title="Service", procedure_kind="service")
        bench = PlannedBench({"hollin-assembly": BUILD, "service": service}, store, clock)
        bench.units.needs = lambda _: Needs(procedures=(("hollin-assembly", "Build one Hollin cue desk"),))  # type: ignore[method-assign]
        yield bench


def passed(bench: PlannedBench) -> Run:
    """A desk with fader F1 of lot L1, its test passed."""
    run = bench.start("hollin-assembly", bench.units.make("hollin-cue-desk"))
    run.act(ev.PartFitted(step="mount@F1", part="fader", place="F1", lot="L1"))
    run.act(ev.StepDone(step="mount@F1"))
    run.read("2.5")
    run.act(ev.StepDone(step="ohms@F1"))
    return run


def heat(run: Run, defect: str, joint: str = "F1 lug 2") -> None:
    run.act(ev.DefectFound(defect=defect, text="cold joint", subject="F1"))
    run.act(ev.DispositionGiven(defect=defect, disposition="rework", reason="to drawing"))
    run.act(ev.ReworkStarted(defect=defect, joint=joint, attempts=2))
    run.act(ev.ReworkDone(defect=defect, touched=("F1",)))


# -- another one in the same place -----------------------------------------------------------------------------------


def test_a_part_over_another_is_an_exchange_though_nobody_said_what_came_out(bench: PlannedBench) -> None:
    # ISO 9001:2015 8.5.2 and 8.6; row I4: the test was passed with the old fader.
    run = passed(bench)
    heat(run, "D1")
    run.read("2.5", reason="tested again")
    run.act(ev.StepDone(step="ohms@F1"))
    assert bench.units.view(run.unit).joints == {"F1 lug 2": (1, 2)}
    run.act(ev.PartFitted(step="close", part="Fader", place="f1", lot="L2"))
    written = bench.store.events(unit=run.unit, kinds=["part-fitted"])[-1]
    assert written.data["replaces"] == "fader, lot L1"
    assert run.state["ohms@F1"].status == "reopened"
    view = bench.units.view(run.unit)
    assert [(part.lot, part.out is None) for part in view.parts] == [("L1", False), ("L2", True)]
    assert view.joints == {}, "its joints were never heated again"
    assert [proof.step.key for proof in view.void] == []
    run.close(decision="later")
    assert any("ohms@F1" in line for line in bench.units.missing(run.unit))


def test_what_was_signed_of_a_joint_of_one_part_says_nothing_of_the_next_part(bench: PlannedBench) -> None:
    # Row I5 (J-STD-001 practice) and ISO 9001:2015 8.7.1 d: a concession is for what was seen when it was signed.
    run = passed(bench)
    for defect in ("D1", "D2"):
        heat(run, defect)
    line = "F1 lug 2 was reworked 2 times, and its part bears 1"
    assert may_concede(bench.units, run.unit) == (line,)
    concede(bench.units, run.unit, line, reason="looks well", by="ann")
    assert may_concede(bench.units, run.unit) == ()
    for lot, first in (("L2", "D3"), ("L3", "D5")):
        bench.clock.forward(minutes=1)  # type: ignore[attr-defined]
        run.act(ev.PartFitted(part="fader", place="F1", lot=lot, replaces="fader", reason="worn"))
        assert may_concede(bench.units, run.unit) == ()
        heat(run, first)
        heat(run, f"D{int(first[1]) + 1}")
        minute = int(first[1]) // 2
        again = line.replace(",", f" since its part was changed (2031-03-01 09:0{minute}:00, lot {lot}),")
        assert may_concede(bench.units, run.unit) == (again,)
        assert again in bench.units.missing(run.unit)
        concede(bench.units, run.unit, again, reason="looks well", by="ann")


@pytest.mark.parametrize(
    ("part", "place", "lot"),
    [("fader", "F1", "L1"), ("knob", "F1", "K7"), ("fader knob", "F1", "K9"), ("fader", "F2", "L2")],
    ids=["the same piece twice", "another thing at the same control", "with a word of the other", "another place"],
)
def test_what_takes_no_other_part_s_place_leaves_the_tests_as_they_are(
    bench: PlannedBench, part: str, place: str, lot: str
) -> None:
    run = passed(bench)
    run.act(ev.PartFitted(step="close", part=part, place=place, lot=lot))
    assert run.state["ohms@F1"].status == "done"
    assert [each.lot for each in bench.units.view(run.unit).parts_now()] == list(dict.fromkeys(("L1", lot)))


def test_a_knob_that_went_in_for_another_touched_nothing_that_a_test_is_about(bench: PlannedBench) -> None:
    # It was asked before it was kept. The fader stays in, its joints keep their count, and its test holds.
    run = passed(bench)
    heat(run, "D1")
    run.read("2.5", reason="tested again")
    run.act(ev.StepDone(step="ohms@F1"))
    for lot, said in (
        ("K1", {}),
        ("K2", {"replaces": "fader knob, lot K1", "reason": "changed", "touched": ("none",)}),
    ):
        run.act(ev.PartFitted(step="close", part="fader knob", place="F1", lot=lot, **said))  # type: ignore[arg-type]
    assert run.state["ohms@F1"].status == "done"
    view = bench.units.view(run.unit)
    assert [part.lot for part in view.parts_now()] == ["L1", "K2"]
    assert (view.joints, view.void) == ({"F1 lug 2": (1, 2)}, ())


def test_in_a_record_from_elsewhere_a_part_over_another_makes_the_tests_before_it_void(bench: PlannedBench) -> None:
    run = passed(bench)
    run.act(ev.StepDone(step="close"))
    run.close()
    assert bench.units.missing(run.unit) == ()
    data = ev.PartFitted(part="fader", place="F1", lot="L2").to_data()
    bench.store.append("part-fitted", unit=run.unit, data=data)
    assert bench.units.missing(run.unit) == ("to be tested again after later work: measure ohms@F1",)


def test_a_released_unit_whose_part_was_covered_by_another_is_in_work(bench: PlannedBench) -> None:
    run = passed(bench)
    run.act(ev.StepDone(step="close"))
    run.close()
    bench.units.release(run.unit, by="the builder")
    bench.start("service", run.unit).act(ev.PartFitted(part="fader", place="F1", lot="L2"))
    assert bench.units.view(run.unit).state == "in work"


@pytest.mark.parametrize(
    ("first", "second", "inside"),
    [
        ({"part": "feet", "place": "unit", "lot": "A"}, {"part": "cable", "place": "unit", "lot": "B"}, ["A", "B"]),
        ({"part": "feet", "place": "unit", "lot": "A"}, {"part": "feet", "place": "unit", "lot": "B"}, ["B"]),
        ({"part": "fader", "place": "F1", "lot": "A"}, {"part": "slider", "place": "F1", "lot": "B"}, ["A", "B"]),
        ({"part": "fader 60 mm", "place": "F1", "lot": "A"}, {"part": "fader", "place": "F1", "lot": "B"}, ["A", "B"]),
        (
            {"part": "LED", "place": "F1", "lot": "A"},
            {"part": "LED", "place": "F1", "lot": "B", "beside": True},
            ["A", "B"],
        ),
        (
            {"part": "fader", "place": "F1", "lot": "A"},
            {"part": "slider", "place": "F1", "lot": "B", "replaces": "the worn one"},
            ["B"],
        ),
    ],
)
def test_what_came_out_for_a_part(
    bench: PlannedBench, first: dict[str, str], second: dict[str, str], inside: list[str]
) -> None:
    parts = parts_of([bench.store.append("part-fitted", unit="U1", data=data) for data in (first, second)])
    assert [part.lot for part in parts if part.out is None] == inside


def test_the_lot_of_what_is_at_no_one_place_typed_again_makes_no_test_void(bench: PlannedBench) -> None:
    # Common practice: what the steps of a build fit in the unit at large stands there side by side.
    run = passed(bench)
    for part, lot in (("Fit the feet", "L5"), ("Fit the cable", "L6"), ("Fit the feet", "L7")):
        run.act(ev.PartFitted(step="close", part=part, place="unit", lot=lot))
    assert run.state["ohms@F1"].status == "done"
    assert [part.lot for part in bench.units.view(run.unit).parts_now()] == ["L1", "L6", "L7"]


# -- as built --------------------------------------------------------------------------------------------------------


def test_screws_of_another_lot_make_no_test_void(bench: PlannedBench) -> None:
    run = passed(bench)
    for lot in ("A", "B"):
        run.act(ev.PartFitted(step="close", part="board screws M2.5", place="board", lot=lot))
    assert run.state["ohms@F1"].status == "done"
    assert [part.lot for part in bench.units.view(run.unit).parts_now()] == ["L1", "B"]


def test_what_was_in_a_unit_at_its_release_does_not_hang_on_the_clock(bench: PlannedBench) -> None:
    # Row H10 (ISO 9001 8.5.2): the clock is set back three hours after the release.
    run = passed(bench)
    run.act(ev.StepDone(step="close"))
    run.close()
    assert bench.units.view(run.unit).as_released() is None
    bench.units.release(run.unit, by="the builder")
    bench.clock.forward(hours=-3)  # type: ignore[attr-defined]
    later = bench.start("service", run.unit)
    later.act(ev.PartFitted(part="fader", place="F1", lot="L2", replaces="fader", reason="worn"))
    view = bench.units.view(run.unit)
    assert [part.lot for part in view.as_released() or ()] == ["L1"]
    assert [part.lot for part in view.parts_now()] == ["L2"]
    page = [line for line in passport(view) if line.startswith("- F1")]
    assert page == [
        "- F1: fader, lot L1, written down 2031-03-01 09:00, taken out 2031-03-01 06:00 (after its release)",
        "- F1: fader, lot L2, written down 2031-03-01 06:00 (after its release)",
    ]


# -- firmware --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "data", "known"),
    [
        ("part-fitted", {"part": "board", "place": "board", "serial": "N2", "replaces": "board", "reason": "dead"}, ""),
        ("part-fitted", {"part": "controller board", "place": "board", "serial": "N2", "replaces": "board"}, ""),
        ("part-fitted", {"part": "board screws", "place": "board", "lot": "B", "replaces": "board screws"}, "1.2"),
        ("part-fitted", {"part": "carrier board", "place": "board", "lot": "B", "replaces": "carrier board"}, "1.2"),
        ("part-fitted", {"part": "screw for the board", "place": "board", "lot": "B", "replaces": "screw"}, "1.2"),
        ("part-fitted", {"part": "board with headers", "place": "board", "lot": "B", "replaces": "board"}, ""),
        ("part-fitted", {"part": "module", "place": "board", "lot": "B", "replaces": "module"}, ""),
        ("part-fitted", {"part": "whole unit", "place": "unit", "replaces": "whole unit", "reason": "fell"}, ""),
        ("hunt-repair", {"repair": "replace-board"}, ""),
        ("part-fitted", {"part": "fader", "place": "F1", "lot": "L2", "replaces": "fader", "reason": "worn"}, "1.2"),
        ("part-fitted", {"part": "feet", "place": "unit", "lot": "L2", "replaces": "feet", "reason": "lost"}, "1.2"),
        ("hunt-repair", {"repair": "replace-control"}, "1.2"),
    ],
)
def test_the_firmware_of_a_board_that_came_out_says_nothing_of_the_new_one(
    bench: PlannedBench, kind: str, data: dict[str, str], known: str
) -> None:
    # ISO 9001:2015 8.6: each board runs what was loaded onto it.
    unit = bench.units.make("hollin-cue-desk")
    line = "its firmware is not written down since its board was exchanged"
    for event in (ev.PartFitted(part="board", place="board", serial="N1"), ev.FirmwareLoaded(name="d", version="1.2")):
        bench.units.write(unit, event)
    assert line not in bench.units.missing(unit)
    bench.store.append(kind, unit=unit, job="H1", data=data)
    view = bench.units.view(unit)
    assert (view.firmware.version if view.firmware else "") == known
    assert (line in bench.units.missing(unit)) is not bool(known)
    assert [use.unit for use in where_firmware(bench.units, "1.2")] == ([unit] if known else [])
    bench.units.write(unit, ev.FirmwareLoaded(name="d", version="1.3"))
    assert line not in bench.units.missing(unit)
