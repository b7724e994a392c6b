"""No job is begun by a text with a mistake, on its own, over a batch or by a call: a caution may be lacking.

MIL-DTL-23618H and ANSI Z535.6 put the caution before its step; a text that hides one is not worked by.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.screens import Clock, until
from helpers.script import Script

from benchtui import paths
from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.run import Bench
from benchtui.jobs.run_batch import Batch
from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.app import BenchApp
from benchtui.ui.judge import Judge
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.screens.pick import PickScreen
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HEAD = """\
procedure: {id}
title: {title}
kind: assembly
revision: 1
design: hollin-cue-desk
purpose: A lead is made.
before:
  conditions: none
  tools: none
  parts: none
  materials: none
minutes: 10
after: none
steps:
"""
LOOK = "  - id: look\n    do: Look at the lead from end to end.\n    minutes: 3\n"
WIPE = "  - id: wipe\n    do: Wipe the lead with isopropyl alcohol.\n    minutes: 3\n"
CALL = "  - id: clean\n    call: clean-lead\n    why: It has to be clean.\n"
SAID = (
    r"not begun: the text of Clean a lead has a mistake: .*clean-lead\.yaml:\d+:\d+: step 'wipe': "
    r".*; add isopropanol to `uses`, then begin again"
)


def put(folder: Path, id: str, title: str, steps: str) -> Path:
    path = folder / f"{id}.yaml"
    path.write_text(HEAD.format(id=id, title=title) + steps, encoding="utf-8")
    return path


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "own" / "procedures"
    folder.mkdir(parents=True)
    put(folder, "clean-lead", "Clean a lead", LOOK + WIPE)
    put(folder, "make-lead", "Make a lead", LOOK + CALL)
    return folder


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        yield store


def library_of(own: Path) -> Library:
    return Library.open([*paths.content_roots(), own])


def bench_of(own: Path, store: Store) -> Bench:
    return Bench(library_of(own), store, clock=Clock(), judge=Judge())


def test_a_job_is_not_begun_by_a_text_without_its_caution_and_nothing_is_written(own: Path, store: Store) -> None:
    bench = bench_of(own, store)
    with pytest.raises(JobError) as refused:
        bench.start("clean-lead", "HCD-001-R")
    assert str(refused.value).startswith("not begun: the text of Clean a lead has a mistake: ")
    assert "clean-lead.yaml:18:5: step 'wipe': the text speaks of" in str(refused.value)
    assert str(refused.value).endswith("; add isopropanol to `uses`, then begin again")
    assert not store.events()
    assert not store.units()
    put(own, "clean-lead", "Clean a lead", LOOK + WIPE + "    uses: [isopropanol]\n")
    assert bench.start("clean-lead", "HCD-001-R").plan.step("wipe").cautions


def test_a_batch_is_not_begun_by_it_on_any_of_its_units(own: Path, store: Store) -> None:
    bench = bench_of(own, store)
    batch = Batch.make(bench, "hollin-cue-desk", 3)
    before = store.events()
    with pytest.raises(JobError, match=SAID):
        batch.start("clean-lead")
    assert store.events() == before
    assert not batch.runs()


def test_a_step_does_not_call_it_and_is_open_for_when_the_file_is_right(own: Path, store: Store) -> None:
    bench = bench_of(own, store)
    run = bench.start("make-lead", "HCD-001-R")
    run.act(ev.StepDone(step="look"))
    before = store.events()
    with pytest.raises(JobError, match=SAID):
        bench.call(run, "clean")
    assert store.events() == before
    assert not run.state["clean"].called
    put(own, "clean-lead", "Clean a lead", LOOK)
    called = bench.call(run, "clean")
    put(own, "clean-lead", "Clean a lead", LOOK + WIPE)
    assert bench.call(run, "clean") is called, "what is under way keeps the text it has"


def test_a_batch_does_not_call_it(own: Path, store: Store) -> None:
    bench = bench_of(own, store)
    batch = Batch.make(bench, "hollin-cue-desk", 2)
    batch.start("make-lead")
    batch.done("look")
    before = store.events()
    with pytest.raises(JobError, match=SAID):
        batch.call("clean")
    assert store.events() == before


def test_a_design_with_a_mistake_begins_no_job_either(tmp_path: Path, own: Path, store: Store) -> None:
    path = Library.open().path_of("design", "hollin-cue-desk")
    text = path.read_text(encoding="utf-8")
    other = tmp_path / "own" / "design.yaml"
    other.write_text(text.replace("design: hollin-cue-desk", "design: hollin-cue-desk\nno-such-key: 1", 1), "utf-8")
    bench = Bench(Library.open([*paths.content_roots(), tmp_path / "own"]), store, clock=Clock(), judge=Judge())
    put(own, "make-lead", "Make a lead", LOOK)
    with pytest.raises(Exception, match="no-such-key"):
        bench.start("make-lead", "HCD-001-R")
    assert not store.events()


def test_a_text_is_judged_once_as_long_as_no_file_changes(
    own: Path, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    from benchtui.ui import judge

    asked = []

    def counted(library: Library, plan: object) -> tuple[()]:
        asked.append(plan)
        return ()

    monkeypatch.setattr(judge, "mistakes_of", counted)
    bench = bench_of(own, store)
    for _ in range(3):
        bench.trusted("make-lead")
    assert len(asked) == 1
    put(own, "make-lead", "Make a lead", LOOK + LOOK.replace("look", "again"))
    bench.trusted("make-lead")
    assert len(asked) == 2


# -- full screen and line mode -------------------------------------------------------------------------------------


async def test_the_screen_says_it_before_a_serial_number_is_asked_for(tmp_path: Path, own: Path, store: Store) -> None:
    app = BenchApp(library_of(own), store, clock=Clock(), sums=tmp_path / "sums.jsonl")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.go(flows.start_job(app, "clean-lead"))
        text = await until(pilot, "not begun")
        flat = " ".join(text.split())
        assert "the text of Clean a lead has a mistake" in flat
        assert "step 'wipe'" in flat
        assert "then begin again" in flat, "the end of the sentence is what to do"
        assert not store.events()


async def test_the_screen_says_it_where_a_step_calls_such_a_text(tmp_path: Path, own: Path, store: Store) -> None:
    app = BenchApp(library_of(own), store, clock=Clock(), sums=tmp_path / "sums.jsonl")
    run = app.bench.start("make-lead", "HCD-001-R")
    run.act(ev.StepDone(step="look"))
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(StepScreen(run))
        await pilot.pause()
        await pilot.press("space")
        flat = " ".join((await until(pilot, "not begun")).split())
        assert "step 'wipe'" in flat
        assert not run.state["clean"].called


async def test_a_new_batch_gets_no_serial_numbers_for_it(
    tmp_path: Path, own: Path, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    from benchtui.ui import batch_plan, batches

    (own / "make-lead.yaml").unlink()
    app = BenchApp(library_of(own), store, clock=Clock(), sums=tmp_path / "sums.jsonl")
    only = [entry for entry in app.library.entries("procedure") if entry.id == "clean-lead"]
    monkeypatch.setattr(batch_plan, "_builds", lambda *_: only)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.go(batches.build_batch(app))
        await until(pilot, "Plan a new batch")
        await pilot.press("enter")
        await until(pilot, "For which design?")
        assert isinstance(app.screen, PickScreen)
        await pilot.press(*"hollin", "enter")
        await until(pilot, "not begun")
        assert not store.units()


def test_nor_does_one_that_is_planned_by_lines(own: Path, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    from benchtui.ui import batch_plan

    (own / "make-lead.yaml").unlink()
    library = library_of(own)
    only = [entry for entry in library.entries("procedure") if entry.id == "clean-lead"]
    monkeypatch.setattr(batch_plan, "_builds", lambda *_: only)
    script = Script("batch", "Plan a new batch", "hollin", "")
    BenchTalk(library, store, script.talk()).go()
    assert "not begun: the text of Clean a lead has a mistake" in script.text
    assert not store.units()


def test_the_line_mode_says_it_and_goes_on(own: Path, store: Store) -> None:
    script = Script("start", "Clean a lead", "1", "")
    BenchTalk(library_of(own), store, script.talk()).go()
    assert "not begun: the text of Clean a lead has a mistake" in script.text
    assert not store.events()


def test_the_line_mode_says_it_where_a_step_calls_such_a_text(own: Path, store: Store) -> None:
    bench = bench_of(own, store)
    run = bench.start("make-lead", "HCD-001-R")
    run.act(ev.StepDone(step="look"))
    script = Script("", "q", "", "")
    JobTalk(script.talk(), run, emergency=()).go(lambda _: "")
    assert "not begun: the text of Clean a lead has a mistake" in script.text
