"""What was written down is found again; a record that can only be read says so; a batch is one line of the bench."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.demo_plan import plain_plan
from helpers.screens import FakeBench, FakeLibrary, running, screen_text, until

from benchtui.jobs import events as ev
from benchtui.jobs.plan import Before
from benchtui.jobs.run_batch import Batch
from benchtui.record import search
from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.app import BenchApp
from benchtui.ui.screens.step import StepScreen
from benchtui.ui.view.bench import by_batch
from benchtui.ui.view.lookup import past_rows
from benchtui.ui.view.rows import Row, found
from benchtui.ui.work import Work

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"hollin-wiring": plain_plan()}, store, clock)


@pytest.mark.parametrize("indexed", [True, False])
@pytest.mark.parametrize(
    "typed",
    ["crackles near the top", "top crackles", "crack near", "fader bank crackles", "crackles HCD-003-K", "TOP, near"],
)
def test_a_note_is_found_by_several_words_in_any_order_and_by_what_it_is_about(
    bench: PlannedBench, monkeypatch: pytest.MonkeyPatch, typed: str, indexed: bool
) -> None:
    if not indexed:
        monkeypatch.setattr(search, "has_index", lambda db: False)
    work = Work(bench.start("hollin-wiring", "HCD-003-K"))
    work.note("It crackles near the top.")
    assert [event.kind for event in search.look(bench.store, typed).events] == ["note"]
    assert [row.text for row in past_rows(bench.store, typed)][1:] == ["note: It crackles near the top."]
    assert not search.look(bench.store, f"{typed} violet").events


def test_a_defect_and_the_reason_of_a_reading_are_found(bench: PlannedBench) -> None:
    run = bench.start("hollin-wiring", "HCD-003-K")
    work = Work(run)
    work.fail("grey joint at the lug")
    run.act(ev.NoteAdded(step=run.state.current, text="looks cold"))
    kinds = {event.kind for event in search.look(bench.store, "joint grey").events}
    assert "defect" in kinds


def test_the_jobs_of_a_batch_are_one_line_with_all_they_have_called(bench: PlannedBench) -> None:
    bench.start("hollin-wiring", "HCD-009-R")
    batch = Batch.make(bench, "hollin-cue-desk", 3)
    batch.start("hollin-wiring")
    run = batch.runs()[batch.units[0]]
    bench.start("hollin-wiring", batch.units[0], caller=(run.job, run.state.current))
    groups = by_batch(bench.open_jobs())
    assert sorted(len(group) if isinstance(group, tuple) else 1 for group in groups) == [1, 4]


async def test_the_line_of_a_batch_opens_its_units(tmp_path: Path) -> None:
    async with running(tmp_path, plans={"hollin-wiring": plain_plan()}) as (app, pilot):
        batch = Batch.make(app.bench, "hollin-cue-desk", 2)
        batch.start("hollin-wiring")
        app.screen.on_screen_resume()  # type: ignore[attr-defined]
        await until(pilot, "Batch B1, 2 units")
        assert "Wire the fader bank, unit" not in screen_text(app)
        await pilot.press("home", "enter")
        await until(pilot, "All units together")
        for unit in batch.units:
            assert f"{unit}: Wire the fader bank" in screen_text(app)
        await pilot.press("enter")
        await until(pilot, "0 done · 2 left")


async def test_a_record_that_another_program_writes_is_marked_on_the_work(tmp_path: Path) -> None:
    clock = Clock()
    file = tmp_path / "record.sqlite"
    with Store.open(file, clock=clock) as first:
        run = PlannedBench({"hollin-wiring": plain_plan()}, first, clock).start("hollin-wiring", "HCD-003-K")
        with Store.open(file, clock=clock) as second:
            app = BenchApp(FakeLibrary(), second, clock=clock)  # type: ignore[arg-type]
            app.bench = FakeBench(FakeLibrary(), second, clock=clock)  # type: ignore[arg-type]
            async with app.run_test(size=(80, 24)) as pilot:
                app.go(flows.take_up(app, run.job))
                await until(pilot, "READ ONLY")
                assert isinstance(app.screen, StepScreen)
                text = screen_text(app)
                assert text.splitlines()[0].startswith(" READ ONLY ")
                assert "is writing to this record" in text
                await pilot.pause()
                await pilot.press("space")
                assert "nothing was saved" in " ".join(screen_text(app).split())
                await pilot.press("q", "q")
                await until(pilot, "The bench")
                assert len(second.events(job=run.job)) == 1


async def test_the_end_page_goes_from_tick_to_tick_and_back_to_what_is_open(tmp_path: Path) -> None:
    tools = ("iron", "meter", "cutters")
    first = replace(plain_plan().steps[0], cautions=(), key="look", step_id="look")
    plan = replace(plain_plan(), steps=(first,), before=Before(tools=tools), after=("the iron is off",))
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        run = app.bench.start(plan.id, "HCD-003-K")
        for tool in tools:
            run.act(ev.KitTicked(heading="tools", item=tool))
        run.act(ev.StepDone(step="look"))
        app.push_screen(StepScreen(run))
        await until(pilot, "to the end page")
        await pilot.press("space")
        await until(pilot, "To see to")
        await pilot.press("left")
        await until(pilot, "open again")  # no empty page: the step that is open, or else the last one
        await pilot.press("space")
        await until(pilot, "To see to")
        for left in (3, 2, 1):
            await pilot.press(*(["end", "up", "up"] if left == 1 else []), "space")  # also by its line of what is open
            await until(pilot, f"Still open: {left}")
        await pilot.press("space")
        await until(pilot, "▸ Close the job: complete")


def test_ones_own_note_stands_before_what_holds_the_words_only_in_its_text() -> None:
    named = Row(id="start:corner", text="Round a thin corner")
    hidden = Row(id="start:mend", text="Mend a row of the matrix", words="a thin wire at the corner")
    note = Row(id="open:J1", text="note: thin at the corner")
    heading = Row(text="Written down before")
    assert [row.text for row in found([hidden, named], "thin corner", [heading, note])] == [
        named.text,
        heading.text,
        note.text,
        "In the text of",
        hidden.text,
    ]
    assert found([hidden, named], "thin corner", []) == [hidden, named]
