"""The test sheet of a unit: what stands in the record is printed beside what is still to be read, in every passage."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock
from helpers.builder import Builder
from helpers.jobs import BANK, after, plan, read, started, step

from benchtui import cli
from benchtui.content.library import Library
from benchtui.jobs import events as ev
from benchtui.jobs.passages import Passage
from benchtui.jobs.plan import Choice
from benchtui.jobs.run import Bench
from benchtui.jobs.run_list import unit_jobs
from benchtui.paper.document import TICK, GuardedTable, Heading, Lines, Table
from benchtui.paper.html import html
from benchtui.paper.markdown import markdown
from benchtui.paper.sheets import called_from, procedure_sheet
from benchtui.paper.source import Source
from benchtui.paper.steps import VERDICTS
from benchtui.paper.tested import NO_VERDICT, passage_blocks, passages
from benchtui.paper.tested import test_sheet as sheet
from benchtui.paths import shipped
from benchtui.print_command import main
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.jobstate import JobState
    from benchtui.paper.document import Document

LIBRARY = Library.open([shipped("procedures"), shipped("checklists")])
UNIT = "WFS-001-A"
BUILD = "foot-switch-assembly"


class AtBench:
    """A bench, a builder, and how far the foot switch has come."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.bench = Bench(LIBRARY, store, clock=clock)
        self.worker = Builder(lambda seconds: clock.forward(seconds=seconds))

    def jobs(self) -> tuple[JobState, ...]:
        return unit_jobs(self.store, UNIT)

    def sheet(self) -> Document:
        return sheet(Source(LIBRARY, design="foot-switch"), unit=UNIT, jobs=self.jobs())


@pytest.fixture
def at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[AtBench]:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield AtBench(store, clock)


def rows(document: Document) -> list[tuple[str, ...]]:
    tables = [block for block in document.blocks if isinstance(block, Table)]
    tables += [block.table for block in document.blocks if isinstance(block, GuardedTable)]
    return [row for table in tables for row in table.rows]


def readings(jobs: tuple[JobState, ...]) -> int:
    return sum(len(known.readings) for job in jobs for known in job.steps.values())


def test_every_reading_of_a_built_unit_is_printed_with_date_and_verdict(at: AtBench) -> None:
    at.worker.finish(at.bench.start(BUILD, UNIT))
    document = at.sheet()
    measured = [row for row in rows(document) if "power" in row[2] or re.search(r"\d{4}-\d\d-\d\d", row[4])]
    assert readings(at.jobs()) > 10
    assert not any(row[4] == "" or TICK in row[5] for row in rows(document)), "nothing is left blank"
    assert sum(bool(re.search(r"\(\d{4}-\d\d-\d\d \d\d:\d\d\)", row[4])) for row in measured) >= readings(at.jobs())
    assert {row[5] for row in measured} <= {"pass", "near limit"}
    text = markdown(document)
    assert f"{readings(at.jobs())} readings stand in the record, as of" in text


def test_a_build_begun_once_more_by_a_slip_leaves_the_sheet_as_it_was(at: AtBench) -> None:
    at.worker.finish(at.bench.start(BUILD, UNIT))
    before = rows(at.sheet())
    at.bench.start(BUILD, UNIT).close(decision="wrong unit")
    assert rows(at.sheet()) == before


def test_an_unfinished_unit_has_readings_beside_blanks(at: AtBench) -> None:
    run = at.bench.start(BUILD, UNIT)
    at.worker.begin(run)
    while readings(at.jobs()) < 1:
        at.worker.step(run)
    found = rows(at.sheet())
    taken = [row for row in found if row[4]]
    blank = [row for row in found if not row[4]]
    assert taken and blank
    assert all(TICK in row[5] for row in blank)
    assert '<td class="blank">' in html(at.sheet())


def test_meter_first_reading_and_the_one_that_counts_are_told_apart(at: AtBench) -> None:
    run = at.bench.start(BUILD, UNIT)
    at.worker.begin(run)
    while (step := run.current()) is not None and step.limits is None:
        at.worker.step(run)
    assert step and step.limits
    for caution in run.state.unread(step.key):
        run.acknowledge(caution)
    low = ev.ReadingTaken(
        step=step.key, typed="1 m", value=0.001, quantity=step.limits.kind, verdict="fail", meter="DM1"
    )
    run.act(low)
    good = at.worker.reading(run, step, at.worker.value(run, step))
    run.act(good)
    row = next(row for row in rows(at.sheet()) if row[0] == str(step.number) and row[4])
    assert "1 m fail (DM1, " in row[4]
    assert good.typed in row[4]
    assert row[5] == "pass on reading 2"
    assert "- Meter: DM1" in markdown(at.sheet())


def printed(state: JobState) -> tuple[str, ...]:
    """Reading and verdict of the first test of a job, as its table has them."""
    found = [*passage_blocks([Passage(plan=state.plan, job=state)], level=2)]
    (table,) = [block.table for block in found if isinstance(block, GuardedTable)]
    return table.rows[0][4:]


def test_what_was_opened_again_has_its_blank_also_once_it_was_begun_anew() -> None:
    state = after(started(plan(step("bank", "measure", limits=BANK))), read("bank", "2.5k", 2500.0, "pass"))
    state = after(state, ev.StepDone(step="bank"))
    assert printed(state) == ("2.5 kΩ (2031-03-01 09:01)", "pass")
    state = after(state, ev.StepReopened(step="bank"))
    assert printed(state) == ("2.5 kΩ (2031-03-01 09:01); void since, again:", VERDICTS)
    state = after(state, ev.StepBegun(step="bank"))
    assert printed(state) == ("2.5 kΩ (2031-03-01 09:01); void since, again:", VERDICTS)
    state = after(state, ev.StepSkipped(step="bank", reason="no time"))
    assert printed(state) == ("2.5 kΩ (2031-03-01 09:01); skipped: no time", VERDICTS)


def test_an_answer_that_was_opened_again_has_its_blank_too() -> None:
    choices = (Choice(text="clean"), Choice(text="bridged", verdict="fail"))
    look = step("look", "choose", required=True, choices=choices)
    state = after(started(plan(look)), ev.ChoiceMade(step="look", choice="clean"), ev.StepDone(step="look"))
    assert printed(state) == ("clean (2031-03-01 09:01)", "pass")
    state = after(state, ev.StepReopened(step="look"), ev.StepBegun(step="look"))
    assert printed(state) == ("clean; void since, again:", NO_VERDICT)


def test_two_readings_too_far_apart_prove_nothing() -> None:
    bank = step("bank", "measure", limits=BANK, twice="2 %", apart=0.02)
    state = after(started(plan(bank)), read("bank", "2.4k", 2400.0, "pass"), read("bank", "2.5k", 2500.0, "pass"))
    reading, verdict = printed(state)
    assert reading.endswith("; the two readings are more than 2 % apart, again:") and verdict == VERDICTS


def test_what_was_begun_short_and_other_work_is_on_the_sheet(at: AtBench) -> None:
    run = at.bench.start(BUILD, UNIT)
    run.act(ev.KitTicked(heading="tools", item=run.plan.before.tools[0], found=False))
    run.act(ev.StartedShort(missing=(run.plan.before.tools[0],), reason="borrowed one for the day"))
    at.worker.finish(at.bench.start("strap-test", UNIT, design_id="foot-switch"))
    document = at.sheet()
    lines = [line for block in document.blocks if isinstance(block, Lines) for line in block.lines]
    assert any("begun without" in line and "borrowed one for the day" in line for line in lines)
    titles = [block.text for block in document.blocks if isinstance(block, Heading)]
    assert "From other work on this unit" in titles
    assert any(title.startswith("Test the wrist strap, begun ") for title in titles)


def test_without_a_record_every_field_is_blank() -> None:
    source = Source(LIBRARY, design="foot-switch")
    assert all(row[4] == "" for row in rows(sheet(source)))
    assert "The record holds no work on WFS-009" in markdown(sheet(source, unit="WFS-009"))


# -- a procedure that is called twice --------------------------------------------------------------------------------


def test_a_procedure_called_twice_is_tested_twice() -> None:
    source = Source(LIBRARY, design="hollin-cue-desk")
    gone = passages(source, "hollin-assembly")
    times = [passage.called for passage in gone if passage.plan.id == "check-meter"]
    assert len(times) == len(set(times)) >= 2
    titles = [block.text for block in sheet(source).blocks if isinstance(block, Heading)]
    name = source.titles["check-meter"]
    assert [title for title in titles if title.startswith(name)] == [
        f"{name}, {number} of {len(times)}" for number in range(1, len(times) + 1)
    ]


def test_a_printed_procedure_says_where_each_called_one_belongs() -> None:
    source = Source(LIBRARY, design="hollin-cue-desk")
    where = called_from(source, "hollin-assembly")
    text = markdown(procedure_sheet(source, "hollin-assembly"))
    for id, places in where.items():
        title = source.titles[id]
        here = text[text.index(f"# {title}\n") :]
        if len(places) == 1:
            assert f"Called by {places[0]}." in here
        else:
            assert f"Gone through {len(places)} times." in here
            for place in places:
                assert f"- [ ] for {place}" in here


# -- the command -----------------------------------------------------------------------------------------------------


def test_the_command_takes_the_readings_from_the_record(
    at: AtBench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at.worker.finish(at.bench.start(BUILD, UNIT))
    words = ["test-sheet", "--design", "foot-switch", "--record", str(tmp_path / "record.sqlite"), "--out", "-"]
    assert main([*words, "--unit", "001-A", "--format", "markdown"]) == 0
    text = capsys.readouterr().out
    assert f"- Unit: {UNIT}" in text  # number and check letter are enough
    assert f"{readings(at.jobs())} readings stand in the record, as of" in text


def test_the_design_of_a_test_sheet_is_known_by_its_unit_and_by_its_title(
    at: AtBench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at.bench.start(BUILD, UNIT)
    words = ["test-sheet", "--unit", UNIT, "--record", str(tmp_path / "record.sqlite"), "--out", "-"]
    title = next(entry.title for entry in LIBRARY.entries("design") if entry.id == "foot-switch")
    assert main(words) == 0
    by_unit = capsys.readouterr().out
    assert main([*words, "--design", title.upper()]) == 0
    assert capsys.readouterr().out == by_unit
    assert UNIT in by_unit


def test_the_bill_is_for_the_units_still_to_build(
    at: AtBench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for _ in range(4):
        at.bench.units.make("foot-switch")
    words = ["bill", "--design", "foot-switch", "--record", str(tmp_path / "record.sqlite"), "--out=-"]
    assert main([*words, "--format=markdown"]) == 0
    text = capsys.readouterr().out
    assert "For 4 units still to build in the record" in text
    assert "| For 4 |" in text
    assert main([*words, "--format=markdown", "--units", "7"]) == 0
    assert "For 7 units, as asked for." in capsys.readouterr().out


def test_what_the_record_knows_to_be_open_is_printed_and_not_left_to_a_tick(at: AtBench) -> None:
    at.bench.start(BUILD, UNIT)
    source = Source(LIBRARY, design="foot-switch")
    missing = ("defect D1 found: lug loose", "step 6 skipped")
    text = markdown(sheet(source, unit=UNIT, jobs=at.jobs(), state="temporary", missing=missing))
    assert "By the record this unit is temporary" in text
    assert "defect D1 found: lug loose" in text
    assert "nothing is open" not in text
    assert "the 2 open by the record" in text
    assert "nothing is open" in markdown(at.sheet())


def test_the_first_unit_record_has_each_characteristic_with_reading_meter_and_verdict(
    at: AtBench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    # AS9102 form 3, from memory: number, characteristic, requirement, result, tooling used.
    monkeypatch.chdir(tmp_path)
    record = ["--record", str(tmp_path / "record.sqlite"), "--out", "-", "--format", "markdown"]
    assert main(["first-unit", "--design", "foot-switch", "--format", "markdown", "--out", "-"]) == 0
    blank = capsys.readouterr().out
    assert "\n- foot-switch-assembly, revision " in blank and "Unit: \\_" in blank
    asked = re.search(r"(\d+) characteristics: \1 not measured\.", blank)
    assert asked, blank[:600]
    at.worker.finish(at.bench.start(BUILD, UNIT))
    assert main(["first-unit", "--unit", UNIT.lower(), *record]) == 0
    due = capsys.readouterr().out
    assert "This is the first unit, and its first-unit record is due: no unit of this design has one." in due
    assert f"{asked[1]} characteristics: " in due and "not measured" not in due, "what was blank before is filled in"
    assert re.search(r"\| 1 \| – \| thickness of the panel \(.*step 6.*\) \| 1.9 mm to 2.1 mm \| .+ \| pass \| ", due)
    at.bench.units.release(UNIT, by="the builder")
    assert main(["first-unit", "--unit", UNIT, *record]) == 0
    signed = capsys.readouterr().out
    assert "- Signed by: the builder" in signed and "is due:" not in signed
    assert "foot-switch-assembly, revision " in signed and "first-power, revision " in signed
    assert main(["first-unit", "--unit", UNIT, "--record", str(tmp_path / "record.sqlite")]) == 0
    assert f"First-unit record is in foot-switch-first-unit-{UNIT}.html" in capsys.readouterr().out
    assert cli.main(["print", "first-unit", "--unit", "WFS-009-X", "--design", "foot-switch", *record]) == 2
    assert "the record has no unit 'WFS-009-X'" in capsys.readouterr().err
