"""A batch by lines: one command for all its units, one entry a unit, the same as by the keys of its page."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import demo_plan, make_step, plain_plan
from helpers.jobs import IRON, plan, step
from helpers.screens import FakeBench, FakeLibrary, running, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.jobs.batch import Cell
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_sitting import add_meter, sit_down
from benchtui.jobs.sitting import MeterKnown
from benchtui.jobs.steps import Status
from benchtui.record.store import Store
from benchtui.ui.lines.batch_pass import BatchTalk
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.talk import Left
from benchtui.ui.screens.batch import BatchScreen
from benchtui.ui.view.batch_said import matrix_said, spread_said

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.plan import Plan

TO_THE_READING = ("", "", "a", "a", "", "")
"""Two steps, two cautions, two steps: then the first reading of the plain plan."""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": plain_plan()}) as bench:
        yield bench


def started(bench: FakeBench, quantity: int, procedure: str = "hollin-wiring") -> Batch:
    batch = Batch.make(bench, "hollin-cue-desk", quantity)
    batch.start(procedure)
    return batch


def again_of(bench: FakeBench, batch: Batch) -> Batch:
    again = Batch(bench, batch.name)
    again.start(batch.procedure)
    return again


def go_over(bench: FakeBench, batch: Batch, *lines: str) -> Script:
    """Type lines in a pass over a batch until they are used up."""
    script = Script(*lines)
    here = BenchTalk(FakeLibrary(), bench.store, script.talk())  # type: ignore[arg-type]
    here.bench = here.ways.bench = bench
    here.units = here.ways.units = bench.units
    here.talk.mind = None
    try:
        BatchTalk(here, batch, batch.procedure).go()
    except Left:
        script.said.append("(the lines are used up)")
    return script


def acts(store: Store) -> list[tuple[str, str, object]]:
    return [(event.kind, event.unit, dict(event.data)) for event in store.events()]


async def test_a_pass_by_lines_leaves_the_same_events_as_by_keys(bench: FakeBench, tmp_path: Path) -> None:
    # 21 CFR 820.184: batch, lot or unit; one entry with its own serial number each.
    batch = started(bench, 3)
    script = go_over(bench, batch, *TO_THE_READING, "5k", "5.1k", "5k", "quit", "", "")
    assert f"reading of {batch.units[0]}, or help> " in script.said
    assert f"{batch.units[1]}: 5.1 kΩ: pass." in script.text
    assert "Done for 3 units." in script.said
    assert f"{batch.units[1]}: 5.1 kΩ: pass." in script.text
    async with running(tmp_path) as (app, pilot):
        app.bench.plans = {"hollin-wiring": plain_plan()}  # type: ignore[attr-defined]
        group = started(app.bench, 3)  # type: ignore[arg-type]
        app.push_screen(BatchScreen(group, "hollin-wiring", "Wire the fader bank"))
        await pilot.pause()
        keys = ("space", "space", "a", "space", "space", "space", *"5k", "enter", *"5.1k", "enter", *"5k", "enter")
        for key in keys:
            await pilot.press("full_stop" if key == "." else key)
        there = acts(app.store)
        assert [act for act in acts(bench.store) if act[0] != "suspended"] == there


def test_the_caution_of_a_step_is_said_once_and_kept_for_each_unit(bench: FakeBench) -> None:
    # ANSI Z535.6: an empty line does not pass it, and what is kept is kept by the digest of its words for every unit.
    built = plan(step("a"), step("s", cautions=(IRON,)), step("z"), design_id="hollin-cue-desk")
    bench.plans = {built.id: built}
    batch = started(bench, 3, built.id)
    script = go_over(bench, batch, "", "", "a", "", "quit", "", "")
    assert "Read the caution first" in script.text
    read = bench.store.events(kinds=["caution-acknowledged"])
    assert sorted(event.unit for event in read) == sorted(batch.units)
    assert {run.state["s"].status for run in batch.runs().values()} == {Status.DONE}


def test_a_number_is_no_reason_to_use_a_meter_past_its_calibration_at_any_unit(bench: FakeBench) -> None:
    # ISO 9001:2015 7.1.5: what is measured with it is kept with the reason, and a reading typed ahead is none.
    add_meter(bench.store, MeterKnown(id="blue", name="blue", due="2026-01-01"))
    sit_down(bench, meter="blue")
    batch = started(bench, 2)
    script = go_over(bench, batch, *TO_THE_READING, "5k", "6k", "5k", "it agrees with ours", "5.1k", "quit", "", "")
    assert "5 kΩ is read. The meter's calibration has run out. It is used because" in script.text
    assert "5 kΩ is not kept yet: say in words why this meter may be used" in script.text
    kept = [
        (event.unit, event.data["typed"], event.data["override"]) for event in bench.store.events(kinds=["reading"])
    ]
    assert kept == [
        (unit, typed, "it agrees with ours") for unit, typed in zip(batch.units, ("5k", "5.1k"), strict=True)
    ]


async def test_nor_on_the_page_of_the_batch(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        add_meter(app.store, MeterKnown(id="blue", name="blue", due="2026-01-01"))
        sit_down(app.bench, meter="blue")
        batch = started(app.bench, 2)  # type: ignore[arg-type]
        app.push_screen(BatchScreen(batch, "hollin-wiring", "Wire the fader bank"))
        await pilot.pause()
        await pilot.press("space", "space", "a", "space", "space", "space", *"5k", "enter")
        await until(pilot, "5 kΩ is read. The meter's calibration has run out")
        await pilot.press(*"6k", "enter")
        await until(pilot, "5 kΩ is not kept yet: say in words")
        await pilot.press("escape", *"5k", "enter")
        await until(pilot, "5 kΩ is read. The meter's calibration has run out")
        assert not app.store.events(kinds=["reading"])


def test_a_held_unit_drops_out_and_comes_back(bench: FakeBench) -> None:
    # ISO 9001:2015 8.7: one bad unit does not stop the others.
    batch = started(bench, 3)
    first = batch.units[0]
    script = go_over(bench, batch, "hold", first, "scratched", "", "where", "hold", first, "polished", "quit", "", "")
    assert f"{first} is held and drops out." in script.text
    assert "Done for 2 units." in script.text
    assert "Batch B1: 2 in work, 1 held." in script.text
    assert f"Not in the pass: {first} (held)." in script.text
    assert f"{first} is free and takes part again." in script.text
    done = {event.unit for event in bench.store.events(kinds=["step-done"])}
    assert done == set(batch.units[1:])


def test_a_unit_whose_reading_fails_waits_and_is_measured_again(bench: FakeBench) -> None:
    batch = started(bench, 2)
    first, second = batch.units
    script = go_over(bench, batch, *TO_THE_READING, "9k", "5k", "m 5k", "1", "quit", "", "")
    assert f"{first}: outside the limits. It waits, and the others go on." in script.text
    assert f"reading of {second}, or help> " in script.said
    assert f"{first}: It failed. Why again? 1 probe slipped" in script.text
    readings = bench.store.events(kinds=["reading"])
    assert [(event.unit, event.data["typed"]) for event in readings] == [(first, "9k"), (second, "5k"), (first, "5k")]
    assert readings[-1].data["reason"] == "probe slipped"


def test_a_unit_in_hand_goes_on_with_the_others_afterwards(bench: FakeBench) -> None:
    batch = started(bench, 2)
    first = batch.units[0]
    script = go_over(bench, batch, "unit", first, first, "note a scratch", "quit", "", "", "", "quit", "", "")
    assert [event.unit for event in bench.store.events(kinds=["note"])] == [first]
    assert "Done for 2 units." in script.text


def test_what_is_left_on_is_asked_once_for_units_left_alike(bench: FakeBench) -> None:
    batch = started(bench, 3)
    go_over(bench, batch, "", "quit", "the switch", "iron hot")
    script = go_over(bench, again_of(bench, batch), "1", "quit", "", "")
    assert script.text.count("When you left: iron hot.") == 1
    assert len(bench.store.events(kinds=["resumed"])) == 3


def test_the_page_before_the_work_is_gone_through_once(bench: FakeBench) -> None:
    bench.plans = {"hollin-wiring": demo_plan()}
    batch = started(bench, 3)
    script = go_over(bench, batch, "y", "y", "", "all", "", "", "", "", "", "", "", "quit", "", "")
    assert "They are listed for one unit: count out 3 times as many." in script.text
    assert "Done for 3 units." in script.text
    asked = bench.store.events(kinds=["condition-answered"])
    assert len(asked) == 3 * len(demo_plan().before.conditions)


def short() -> Plan:
    return plan(make_step(1, "a", "Do it."), make_step(2, "b", "Do it."), design_id="hollin-cue-desk")


def test_the_jobs_are_closed_together_at_the_end(bench: FakeBench) -> None:
    built = short()
    bench.plans = {built.id: built}
    batch = started(bench, 3, built.id)
    script = go_over(bench, batch, "", "", "close", *[""] * 20)
    assert script.text.count("Closed: complete.") == 1
    assert f"{batch.units[2]} closed: complete." in script.text
    assert {event.unit for event in bench.store.events(kinds=["job-closed"])} == set(batch.units)


def test_the_last_mark_is_taken_back_for_all_of_them(bench: FakeBench) -> None:
    batch = started(bench, 2)
    script = go_over(bench, batch, "", "undo", "quit", "", "")
    assert f"Taken back for {', '.join(batch.units)}." in script.text
    assert {event.unit for event in bench.store.events(kinds=["step-reopened"])} == set(batch.units)


def test_the_end_of_the_input_puts_every_unit_aside(bench: FakeBench) -> None:
    batch = started(bench, 2)
    go_over(bench, batch, "")
    left = bench.store.events(kinds=[ev.Suspended.KIND])
    assert {event.unit for event in left if event.data["forced"]} == set(batch.units)


def test_where_each_unit_is_is_said_stage_by_stage() -> None:
    def cell(status: Status, settled: int) -> Cell:
        return Cell(settled=settled, of=4, status=status)

    cells = {"Panel": cell(Status.DONE, 4), "Wires": cell(Status.BEGUN, 1), "Test": cell(Status.OPEN, 0)}
    assert matrix_said({"HCD-001-R": cells}) == ["HCD-001-R: done: Panel; Wires: begun, 1 of 4 steps; not begun: Test."]


def test_a_reading_that_stands_out_is_said_with_its_unit(bench: FakeBench) -> None:
    # NIST/SEMATECH e-Handbook 1.3.5.17: the modified z-score, from 3.5 on.
    batch = started(bench, 5)
    typed = ("5k", "5.01k", "5.02k", "5k", "5.4k")
    script = go_over(bench, batch, *TO_THE_READING, *typed, "spread", "spread all", "quit", "", "")
    last = batch.units[-1]
    assert f"{last} stands out with 5.4 kΩ: pass." in script.text
    assert "1 measurement was taken. In 1 of them a unit stands out from the others." in script.text
    assert "5 units: lowest 5 kΩ, middle 5.01 kΩ, highest 5.4 kΩ." in script.text
    assert spread_said((), every=True) == ["Nothing was measured yet."]


def test_the_bench_says_a_batch_in_one_line_and_goes_to_it(bench: FakeBench) -> None:
    batch = started(bench, 3)
    batch.done(batch.runs()[batch.units[0]].state.current)
    bench.units.set_state(batch.units[1], "held", reason="a lead is on order")
    script = Script("1", "where", "every reading", "", "")
    here = BenchTalk(FakeLibrary(), bench.store, script.talk())  # type: ignore[arg-type]
    here.bench = here.ways.bench = bench
    here.talk.mind = None
    here.go()
    assert "1 Batch B1, 3 units: Wire the fader bank" in script.text
    assert "1 not in the pass" in script.text
    assert "Nothing was measured yet." in script.text
    assert f"{batch.units[0]}: Prepare: begun, 1 of 2 steps; not begun:" in script.text


def test_a_reading_taken_twice_and_a_witness_are_asked_for_by_lines_as_on_the_page(bench: FakeBench) -> None:
    # Rows E15 and I1, in a pass over a batch.
    steps = (
        make_step(1, "polarity", "Hold the plug against the drawing.", witness=True),
        replace(plain_plan().step("bank-ohms"), twice="2 %", apart=0.02),
        make_step(3, "close", "Close the lid."),
    )
    bench.plans = {"hollin-wiring": replace(plain_plan(), steps=steps).numbered()}
    batch = started(bench, 2)
    script = go_over(bench, batch, "witness Ann", "", "5.13k", "", "5.14k", "5.1k", "5.5k", "5.1k", "5.11k")
    said, _, _ = script.text.partition(" are more than 2 % apart")
    assert "Ann looks on, at 2 units" in said
    assert "5.13" not in said, "neither before nor after is the first reading said again"
    states = [run.state for run in again_of(bench, batch).runs().values()]
    assert [len(state["bank-ohms"].readings) for state in states] == [2, 4]
    assert [state["polarity"].witnessed for state in states] == [("Ann",)] * 2
    assert {state.current for state in states} == {"close"}
