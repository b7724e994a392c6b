"""The line mode: units, defects, looking up, the meter; what a page of the full screen does is there by lines too."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import demo_plan, make_step, plain_plan
from helpers.screens import FakeBench, FakeLibrary
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_batches import known_batches
from benchtui.jobs.run_units import Units
from benchtui.jobs.unit_events import UnitStateSet, WorkaroundSet
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left
from benchtui.ui.lines.units import ACTS, LOOKING
from benchtui.ui.screens.unit import UnitPage

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-003-K"

OFF_BY = ("1 % + 0.3 ohm", "3 digits", "0.8 % + 3 mV", "", "")
"""What a meter may be off in ohms, volts (once as no sheet's figure can be read) and amps, and the end."""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": plain_plan()}) as bench:
        yield bench


def at_the_bench(bench: FakeBench, *lines: str) -> Script:
    """Type lines at the bench until they are used up."""
    script = Script(*lines)
    talk = BenchTalk(FakeLibrary(), bench.store, script.talk())  # type: ignore[arg-type]
    talk.bench = talk.ways.bench = bench
    talk.talk.mind = None
    talk.go()
    return script


def at_the_job(bench: FakeBench, *lines: str) -> Script:
    """Type lines at a new job until they are used up."""
    script = Script(*lines)
    with pytest.raises(Left):
        JobTalk(script.talk(), bench.start("hollin-wiring", UNIT), emergency=()).go(lambda _: "")
    return script


def test_every_act_of_the_page_of_a_unit_is_there_by_lines() -> None:
    # The plain line mode does the same job: by the same keys, in the same words.
    page = {
        binding.key: binding.description
        for binding in UnitPage.BINDINGS
        if len(binding.key) == 1  # type: ignore[union-attr]
    }
    lines = {**LOOKING, **{key: does for key, (does, _) in ACTS.items()}}
    assert lines == page


def test_a_unit_is_looked_at_and_put_into_another_state(bench: FakeBench) -> None:
    bench.start("hollin-wiring", UNIT)
    script = at_the_bench(bench, "units", "1", "s", "held", "a lead is on order", "h", "", "")
    assert "Before it may leave" in script.text
    states = [event.data for event in bench.store.events(kinds=[UnitStateSet.KIND])]
    assert states[-1]["state"] == "held" and states[-1]["reason"] == "a lead is on order"
    assert f"{UNIT} is held." in script.text
    assert "a lead is on order" in script.text.split("HCD-003-K is held.", 1)[1], "it stands in the history"


def test_an_empty_line_gives_an_act_up_and_writes_nothing(bench: FakeBench) -> None:
    bench.start("hollin-wiring", UNIT)
    before = bench.store.events()
    at_the_bench(bench, "units", "1", "s", "", "s", "held", "", "i", "", "w", "", "r", "", "")
    assert bench.store.events() == before


def test_something_temporary_is_put_right_by_lines(bench: FakeBench) -> None:
    bench.start("hollin-wiring", UNIT)
    units = bench.units
    units.write(UNIT, WorkaroundSet(text="F1 does the work of F2"))
    script = at_the_bench(bench, "units", "1", "u", "1", "mapped back", "1", "")
    assert "open no more" in script.text
    assert not units.view(UNIT).workarounds


def test_a_refusal_on_the_way_is_said_and_the_unit_stays_in_sight(bench: FakeBench) -> None:
    bench.start("hollin-wiring", UNIT)
    script = at_the_bench(bench, "units", "1", "r", "", "")
    assert script.text.count("Before it may leave") == 2
    assert "cannot go out, not even as temporary: the hold point at step 7 of Wire the fader bank" in script.text
    assert "goes out as temporary, because" not in script.text, "no reason is typed for nothing"


def test_a_meter_is_written_down_and_chosen(bench: FakeBench) -> None:
    script = at_the_bench(bench, "meter", "", "meter", "another", "blue meter", "2031-13-40", "2031-03-31", *OFF_BY)
    assert "type the day as 2027-03-31" in script.text
    assert "Readings are kept with blue meter from now on." in script.text
    assert "'3 digits' is no share of the reading" in script.text
    assert "meter of this sitting, now blue meter" in script.text
    assert bench.meter is not None
    assert bench.meter.uncertainty("resistance", 1000.0) == pytest.approx(10.3)
    assert bench.meter.uncertainty("voltage", 5.0) == pytest.approx(0.043)
    assert bench.meter.uncertainty("current", 0.1) is None, "what is not known of it is not made up"


def test_words_are_looked_up_in_the_record(bench: FakeBench) -> None:
    run = bench.start("hollin-wiring", UNIT)
    run.act(ev.NoteAdded(text="bag 7 is bad"))
    run.close(decision="goes home")
    script = at_the_bench(bench, "search", "zebra", "bag 7", "1", "search", "unit:hcd", "1", "", "")
    assert "Nothing holds 'zebra'." in script.text
    assert "bag 7 is bad" in script.text
    assert "Before it may leave" in script.text, "a unit that was found is gone to"


def test_a_defect_is_written_down_decided_reworked_and_ended(bench: FakeBench) -> None:
    # ISO 9001:2015 8.7: written down before it is touched, then decided, then put right.
    script = at_the_job(
        bench,
        *["defects", "new", "a grey joint at lug 2"],
        *["defects", "1", "rework", "it is dull"],
        *["defects", "1", "F1 lug 2", "yes", "its sheet allows three"],
        *["defects", "1", "yes", "F1"],
    )
    kinds = [event.kind for event in bench.store.events()]
    for event in (ev.DefectFound, ev.DispositionGiven, ev.ReworkStarted, ev.ReworkDone):
        assert event.KIND in kinds, script.text
    assert "defect D1 is written down" in script.text


def test_a_test_that_must_be_done_is_not_skipped_and_no_reason_is_asked_for(bench: FakeBench) -> None:
    # DOE-STD-1029, row C7.
    script = at_the_job(bench, "", "", "a", "a", "", "", "skip")
    assert "cannot be skipped" in script.text
    assert "skip it for now, because" not in script.text


def test_a_step_is_skipped_only_with_a_reason(bench: FakeBench) -> None:
    script = at_the_job(bench, "skip", "", "skip", "the panel lies so already")
    assert script.text.count("skip it for now, because") == 2
    skipped = bench.store.events(kinds=[ev.StepSkipped.KIND])
    assert [event.data["reason"] for event in skipped] == ["the panel lies so already"]


def test_an_answer_that_fails_asks_what_is_seen(bench: FakeBench) -> None:
    plan = plain_plan()
    lever = plan.places["lever"]
    wrong = next(n for n, each in enumerate(plan.steps[lever].choices, 1) if each.verdict == "fail")
    at_the_job(bench, "", "", "a", "a", "", "", "5.1k", str(wrong), "F1 stays at the top")
    defects = bench.store.events(kinds=[ev.DefectFound.KIND])
    assert [event.data["text"] for event in defects] == ["F1 stays at the top"]


def test_the_kit_is_ticked_in_one_line_once_it_was_read_out(bench: FakeBench) -> None:
    from dataclasses import replace

    tools = ("iron", "side cutters", "meter", "loupe")
    plan = replace(plain_plan(), before=Before(tools=tools), steps=(make_step(1, "look", "Look at it."),))
    bench.plans = {"hollin-wiring": plan}
    script = Script("", "x", "all", "no cutters", "", "h", "all")
    JobTalk(script.talk(), bench.start("hollin-wiring", UNIT), emergency=()).go(lambda _: "")
    assert "Tools, counted out: iron; side cutters; meter; loupe." in script.text
    assert "Tools to count back in: iron; meter; loupe" in script.text.replace("; side cutters", "")
    assert "Closed: complete" in script.text


def test_another_unit_in_work_has_the_serial_number_read_off_the_unit(bench: FakeBench) -> None:
    # The wrong of two look-alike units must not be taken up (S1000D identification before work).
    bench.start("hollin-wiring", "HCD-004-P")
    run = bench.start("hollin-wiring", UNIT)
    run.act(ev.StepBegun(step=run.state.current))
    run.suspend()
    script = Script("HCD-004-P", UNIT)
    with pytest.raises(Left):
        JobTalk(script.talk(), bench.resume(run.job), emergency=()).go(lambda _: "")
    assert f"That is not {UNIT}: look again" in script.text
    assert not bench.resume(run.job).state.identify


def test_all_repeats_of_a_step_are_said(bench: FakeBench) -> None:
    bench.plans = {"hollin-wiring": demo_plan()}
    script = Script("y", "y", *[""] * 7, "", "", "a", "a", "each")
    with pytest.raises(Left):
        JobTalk(script.talk(), bench.start("hollin-wiring", UNIT), emergency=()).go(lambda _: "")
    assert "F1 begun F2 open" in script.text


def test_the_units_of_a_batch_are_taken_in_hand_one_after_the_other(bench: FakeBench) -> None:
    # 21 CFR 820.184: one entry for each unit; the quantities always add up.
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    first, second = batch.units
    script = at_the_bench(bench, "batch", batch.name, first, "", "quit", "", "", second, "quit", "", "", "", "")
    assert f"Batch {batch.name}: 2 planned." in script.text
    assert f"{first}, not begun" in script.text
    assert f"{first}, step 2 of 10" in script.text
    jobs = {job.unit: job for job in bench.open_jobs()}
    assert set(jobs) == {first, second}
    assert {job.batch for job in jobs.values()} == {batch.name}


def test_a_held_unit_is_no_unit_to_take_in_hand(bench: FakeBench) -> None:
    # ISO 9001:2015 8.7: nobody builds on what is held.
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    bench.start("hollin-wiring", batch.units[0], batch=batch.written)
    bench.units.set_state(batch.units[0], "held", reason="a lead is on order")
    script = at_the_bench(bench, "batch", batch.name, "", "")
    assert f"Not in the pass: {batch.units[0]} (held)." in script.text
    assert f"6 {batch.units[1]}, not begun" in script.text


def test_two_batches_of_one_name_are_both_there_by_lines(bench: FakeBench, tmp_path: Path) -> None:
    # A batch is its name and the bench that gave its numbers.
    batch = Batch.make(bench, "hollin-cue-desk", 1)
    with Store.open(tmp_path / "tour.sqlite") as other:
        Units(other).make("hollin-cue-desk", serial="HCD-009-Z", batch=batch.written)
        merge(bench.store, lines(other))
    names = [each.name for each in known_batches(bench.store)]
    assert len(names) == 2
    script = at_the_bench(bench, "batch", "", "")
    for name in names:
        assert f"Batch {name}" in script.text


def test_what_is_said_on_coming_back_has_no_shapes_and_no_rules(bench: FakeBench) -> None:
    # A screen reader reads each character: a cross in brackets for what is done, and a row of 76 dashes.
    run = bench.start("hollin-wiring", UNIT)
    at_the_job_again(bench, run.job, "", "quit", "", "iron hot")
    script = at_the_job_again(bench, run.job, "1")
    assert "Before that 1 Lay the panel face down" in script.text
    assert "iron hot: asked next" in script.text
    assert "(x)" not in script.text
    assert "---" not in script.text
    assert script.said[-1] == "step, or help> "


def at_the_job_again(bench: FakeBench, job: str, *lines: str) -> Script:
    script = Script(*lines)
    with suppress(Left):
        JobTalk(script.talk(), bench.resume(job), emergency=()).go(lambda _: "")
    return script


def test_a_bench_is_given_its_name_by_lines_and_keeps_it(bench: FakeBench) -> None:
    before = len(bench.store.events(kinds=["sitting"]))
    script = at_the_bench(bench, "name", "tour case", "the second builder", "")
    assert "This bench is called tour case, and the second builder sits at it." in script.text
    assert "name of this bench, now tour case" in script.text
    again = at_the_bench(bench, "name", "", "", "")
    assert "What it is called, such as workshop or tour case (nothing: tour case)" in again.text
    assert len(bench.store.events(kinds=["sitting"])) == before + 1
