"""What a passport must tell to be a proof: meter and its date, first readings, hunts, parts, open items, the record.

21 CFR 820.184 and ISO 9001:2015 7.1.5 and 8.6: by what a reading was taken, what was found, and what is still open.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, plan, step

from benchtui.faults.told import hunt_lines, teller
from benchtui.jobs import events as ev
from benchtui.jobs.passport import Beside, passport
from benchtui.jobs.readings import Meter
from benchtui.jobs.run_passport import beside
from benchtui.jobs.unit_events import WorkaroundUndone
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record.verify import changed_of, verify
from benchtui.ui.unit_acts import nothing_void
from benchtui.ui.view.passport import passport_lines
from benchtui.ui.view.shapes import SPOKEN
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-001-A"
BUILD = plan(
    step("mount@F1", trace="lot"),
    step("bank", "measure", limits=BANK, required=True, touches=("F1", "F2")),
    step("close"),
    design_id="hollin-cue-desk",
)


def a_bench(folder: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(folder / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"build": BUILD}, store, clock)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    yield from a_bench(tmp_path)


def page_of(bench: PlannedBench) -> str:
    view = bench.units.view(UNIT)
    return "\n".join(passport(view, beside(bench.store, view, lambda events: teller(events, bench.store.text))))


def test_a_reading_stands_with_its_meter_the_date_of_it_and_why_it_was_used_past_that(bench: PlannedBench) -> None:
    # ISO 9001:2015 7.1.5: the reason why a meter past its date was used is part of the reading.
    run = bench.start("build", UNIT)
    run.act(ev.PartFitted(step="mount@F1", part="fader", place="F1", lot="2407"))
    run.act(ev.StepDone(step="mount@F1"))
    bench.meter = Meter(id="m-7", due="2001-01-01")
    run.read("3.9k", step="bank", override="borrowed, ours is on tour")
    run.read("2.5k", step="bank", override="borrowed, ours is on tour", reason="probe slipped")
    row = next(line for line in page_of(bench).splitlines() if line.startswith("| ") and "2.5 kΩ" in line)
    assert "| m-7 (calibrated until 2001-01-01), past that because: borrowed, ours is on tour |" in row
    assert "first 3.9 kΩ, fail, 2031-" in row and "again because: probe slipped" in row
    assert "| pass on reading 2 | 2031-" in row
    assert "- F1: fader, lot 2407, written down 2031-" in page_of(bench)
    assert "- readings: 1 inside the limits" in page_of(bench)


def test_readings_without_a_meter_are_counted(bench: PlannedBench) -> None:
    run = bench.start("build", UNIT)
    run.act(ev.PartFitted(step="mount@F1", part="fader", place="F1", lot="2407"))
    run.act(ev.StepDone(step="mount@F1"))
    run.read("2.5k", step="bank")
    page = page_of(bench)
    assert "| not named |" in page and "- readings without the name of a meter: 1" in page


def hunted(bench: PlannedBench, *kinds: tuple[str, dict[str, object]]) -> None:
    bench.store.append("hunt-started", unit=UNIT, job="H1", data={"title": "Find the fault: fader F3"})
    for kind, data in kinds:
        bench.store.append(kind, unit=UNIT, job="H1", data=data)


def test_a_fault_that_a_work_around_stands_in_for_is_named_until_it_is_put_right(bench: PlannedBench) -> None:
    bench.start("build", UNIT)
    hunted(
        bench,
        ("hunt-test", {"test": "element", "outcome": "inside", "typed": ["10.1k"]}),
        ("hunt-workaround", {"workaround": "spare-control"}),
        ("hunt-again", {"gone": True}),
        ("hunt-closed", {"result": "work-around", "done": "mapped to K6"}),
    )
    page = page_of(bench)
    assert "- Find the fault: fader F3, begun 2031-" in page
    assert "still there: a work-around stands in for it" in page
    assert "(read 10.1k)" in page
    assert "the work-around tried: it serves" in page and "the symptom tried again" not in page
    assert "- still in a temporary state: mapped to K6 (the fault still stands: Find the fault: fader F3)" in page
    assert "- a fault still stands: Find the fault: fader F3" in page
    (set_by,) = bench.units.view(UNIT).workarounds
    bench.units.write(UNIT, WorkaroundUndone(workaround=set_by))
    page = page_of(bench)
    assert "the work-around was put right since" in page and "still stands" not in page


@pytest.mark.parametrize(
    ("ends", "stands"),
    [
        ((), "still there: the hunt has not come to an end"),
        ((("hunt-closed", {"result": "fixed"}),), "mended"),
        ((("hunt-closed", {"result": "open"}),), "left open"),
        ((("hunt-closed", {"result": "not reproduced"}),), "could not be reproduced"),
    ],
)
def test_each_end_of_a_hunt_says_whether_the_fault_stands(
    bench: PlannedBench, ends: tuple[tuple[str, dict[str, object]], ...], stands: str
) -> None:
    bench.start("build", UNIT)
    hunted(bench, *ends)
    (hunt,) = beside(bench.store, bench.units.view(UNIT)).hunts
    assert hunt.stands == stands
    rows = passport_lines(
        bench.units.view(UNIT), (), width=200, shapes=SPOKEN, beside=beside(bench.store, bench.units.view(UNIT))
    )
    assert f"Find the fault: fader F3: {stands}" in plain(rows)


def test_a_fault_that_was_left_open_is_found_by_a_later_hunt_on_it(bench: PlannedBench) -> None:
    bench.start("build", UNIT)
    hunted(bench, ("hunt-closed", {"result": "open"}))
    for kind, data in (("hunt-started", {"title": "Find the fault: fader F3"}), ("hunt-closed", {"result": "fixed"})):
        bench.store.append(kind, unit=UNIT, job="H2", data=data)
    assert [hunt.stands for hunt in beside(bench.store, bench.units.view(UNIT)).hunts] == [
        "left open; a later hunt has found it",
        "mended",
    ]


def test_what_was_taken_back_in_a_hunt_is_not_told(bench: PlannedBench) -> None:
    bench.start("build", UNIT)
    hunted(bench, ("hunt-test", {"test": "element", "outcome": "inside", "typed": ["9.9k"]}), ("hunt-withdrawn", {}))
    assert "9.9k" not in page_of(bench)


def test_a_repair_after_a_work_around_is_tried_as_a_repair() -> None:
    class Kept:
        job, time = "H1", "2031-03-01T09:00:00+00:00"

        def __init__(self, kind: str, **data: object) -> None:
            self.kind, self.data = kind, data

    events = [
        Kept("hunt-workaround", workaround="w"),
        Kept("hunt-again", gone=False),
        Kept("hunt-repair", repair="r"),
        Kept("hunt-again", gone=True),
    ]
    told = [words for _, words in hunt_lines(events, None)]
    assert told[1] == "the work-around tried: it does not serve" and told[3] == "the symptom tried again: gone"


def test_defects_stand_with_what_became_of_them(bench: PlannedBench) -> None:
    run = bench.start("build", UNIT)
    run.act(ev.DefectFound(defect="D1", text="cold joint", step="bank", subject="F3"))
    run.act(ev.DispositionGiven(defect="D1", disposition="rework", reason="it can be heated once more"))
    page = page_of(bench)
    assert "- D1 at F3, Build one Hollin cue desk: cold joint: decided; rework, because it can be heated once" in page


def test_a_record_that_was_changed_says_so_on_passport_and_page(bench: PlannedBench) -> None:
    # ISO 9001:2015 7.5.3, 21 CFR Part 11.10: a record that was altered is no proof, and its pages say so.
    run = bench.start("build", UNIT)
    run.act(ev.NoteAdded(step="close", text="panel edge chipped"))
    assert changed_of(bench.store, UNIT) == () and "does not verify" not in page_of(bench)
    bench.store.connection.execute("UPDATE event SET data = replace(data, 'panel', 'qanel') WHERE kind = 'note'")
    assert len(changed_of(bench.store, UNIT)) == 1 and verify(bench.store)
    page = page_of(bench)
    assert page.index("does not verify") < page.index("## Verdict")
    told = beside(bench.store, bench.units.view(UNIT))
    rows = plain(passport_lines(bench.units.view(UNIT), (), width=200, shapes=SPOKEN, beside=told))
    assert "Its record does not verify: what stands here is no proof" in rows and "(note, 2031-" in rows


def parted(row: str) -> dict[str, str]:
    """Reading to the bench that the row names for it."""
    _, _, last, _, _, taken, _, before = (cell.strip() for cell in row.strip("|").split("|"))
    first = before.partition(";")[0]
    bench = {name: text for name in ("Workshop", "Van") for text in (taken, first) if f"the bench of {name}" in text}
    return {
        (last if text is taken else first.split(",")[0].removeprefix("first ")): name for name, text in bench.items()
    }


def test_each_reading_names_its_own_bench_where_two_measured(tmp_path: Path) -> None:
    ways = []
    for name in ("here", "there"):
        (tmp_path / name).mkdir()
        ways.append(a_bench(tmp_path / name))
    here, there = (next(way) for way in ways)
    run = here.start("build", UNIT)
    run.act(ev.PartFitted(step="mount@F1", part="fader", place="F1", lot="2407"))
    run.act(ev.StepDone(step="mount@F1"))
    merge(there.store, lines(here.store))
    here.store.append("sitting", data={"name": "Workshop", "place": "", "meter": ""})
    there.store.append("sitting", data={"name": "Van", "place": "", "meter": ""})
    run.read("2.5k", step="bank")
    there.clock.forward(seconds=60)
    other = there.resume(run.job)
    other.act(ev.Resumed())
    other.read("3.9k", step="bank")
    merge(here.store, lines(there.store))
    merge(there.store, lines(here.store))
    for bench in (here, there):
        page = page_of(bench)
        row = next(line for line in page.splitlines() if line.startswith("| ") and "3.9 kΩ" in line)
        assert parted(row)["2.5 kΩ"] == "Workshop" and parted(row)["3.9 kΩ"] == "Van"
        assert "at another bench" not in row
    for way in ways:
        way.close()


def test_steps_that_are_open_again_in_an_open_job_are_named_where_no_test_is_void(bench: PlannedBench) -> None:
    run = bench.start("build", UNIT)
    run.act(ev.PartFitted(step="mount@F1", part="fader", place="F1", lot="L1"))
    run.act(ev.StepDone(step="mount@F1"))
    run.read("2.5k", step="bank")
    run.act(ev.StepDone(step="bank"))
    assert nothing_void(bench.units.view(UNIT)) == "no test was made void by later work here"
    run.act(ev.PartFitted(part="fader", place="F1", lot="L2", replaces="fader", reason="worn"))
    assert nothing_void(bench.units.view(UNIT)) == (
        "step 2 of Build one Hollin cue desk to be tested again: take that job up, it is open"
    )


def test_without_what_the_record_tells_beside_the_page_is_whole_all_the_same(bench: PlannedBench) -> None:
    bench.start("build", UNIT)
    view = bench.units.view(UNIT)
    assert passport(view) == passport(view, Beside())
