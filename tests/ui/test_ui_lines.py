"""The line mode does the same work as the full screen and writes the same events."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import demo_plan
from helpers.screens import FakeBench, FakeLibrary, running
from helpers.script import Script

from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left
from benchtui.ui.screens.step import StepScreen

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LINES = [
    *["y", "y"],
    *[""] * 7,  # tools, parts, materials: all here
    *["", "", "a", "a", "", ""],  # lay out, wipe, two cautions, two solder steps
    *["5.1k", "1"],
    *["a", "", "", "early curtain", ""],  # first power, soak cut short, unplug
    *["", "A. Builder"],
    *["", "", "", "", ""],  # two lines to see to, three tools back
]
"""What is typed from the first line to the closed job."""

KEYS = [
    *["space", "space", "e", "space"],
    *["space", "space", "a", "space", "space"],
    *["5", "full_stop", "1", "k", "enter", "1"],
    *["a", "space", "space", "e", *"curtain", "enter", "space"],
    *["space", "A", "full_stop", "space", *"Builder", "enter"],
    *["space"] * 6,
]
"""The same on the full screen."""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {"hollin-wiring": demo_plan()}) as bench:
        yield bench


def work(bench: FakeBench, lines: list[str]) -> Script:
    script = Script(*lines)
    JobTalk(script.talk(), bench.start("hollin-wiring", "HCD-003-K"), emergency=("pull the plug",)).go(lambda _: "")
    return script


def acts(store: Store) -> list[tuple[str, object]]:
    """The events without what differs by nature: times of timers."""
    return [
        (event.kind, {key: value for key, value in event.data.items() if not key.startswith("boot")})
        for event in store.events()
    ]


async def test_a_job_by_lines_leaves_the_same_events_as_by_keys(bench: FakeBench, tmp_path: Path) -> None:
    work(bench, LINES)
    assert bench.open_jobs() == ()
    async with running(tmp_path) as (app, pilot):
        app.bench.plans = {"hollin-wiring": demo_plan()}  # type: ignore[attr-defined]
        app.go(flows.work_on(app, app.bench.start("hollin-wiring", "HCD-003-K")))
        await pilot.pause()
        for key in KEYS:
            await pilot.press(key)
        assert not isinstance(app.screen, StepScreen)
        assert acts(app.store) == acts(bench.store)


def test_an_empty_line_cannot_pass_a_caution(bench: FakeBench) -> None:
    with pytest.raises(Left):
        work(bench, [*LINES[:11], "", "", "", ""])
    state = bench.look(bench.open_jobs()[0].job)
    assert state.current == "solder@F1"
    assert state.acknowledged == frozenset()


def test_the_end_of_the_input_puts_the_work_aside(bench: FakeBench) -> None:
    with pytest.raises(Left):
        work(bench, LINES[:13])
    state = bench.look(bench.open_jobs()[0].job)
    assert state.suspended is not None
    assert state.suspended.forced


def test_a_caution_is_said_in_full_before_its_step(bench: FakeBench) -> None:
    script = Script(*LINES[:13], "quit", "", "")
    JobTalk(script.talk(), bench.start("hollin-wiring", "HCD-003-K"), emergency=()).go(lambda _: "")
    said = "\n".join(script.said)
    order = ("WARNING: Rosin fume", "If not: a cough", "CAUTION: The iron's tip", "Solder the three wires of F1")
    assert [said.index(part) for part in order] == sorted(said.index(part) for part in order)


def test_help_emergency_and_nonsense_are_answered(bench: FakeBench) -> None:
    script = Script(*LINES[:9], "help", "!", "xyzzy", "[/]", "list", "quit", "red wire", "iron hot")
    JobTalk(script.talk(), bench.start("hollin-wiring", "HCD-003-K"), emergency=("pull the plug",)).go(lambda _: "")
    said = "\n".join(script.said)
    for part in ("Enter alone: done", "pull the plug", "'xyzzy' is no command", "'[/]' is no command", "10 open"):
        assert part in said
    left = bench.look(bench.open_jobs()[0].job).suspended
    assert left is not None
    assert (left.next_act, left.bench) == ("red wire", ("iron hot",))


def test_what_a_step_keeps_is_kept_by_lines_too(bench: FakeBench, tmp_path: Path) -> None:
    # IPC-1782 5.1 (lots), NASA as-run redlines, S1000D urgent changes and applicability: the same acts as by keys.
    from dataclasses import replace

    from helpers.demo_plan import make_step, plain_plan

    steps = (make_step(1, "fit", "Fit F1.", on="F1", trace="lot"), make_step(2, "look", "Look at it."))
    bench.plans = {"hollin-wiring": replace(plain_plan(), steps=steps)}
    picture = tmp_path / "f1.jpg"
    picture.write_bytes(b"a joint")
    first = [
        *["", "", "2231"],  # done: the lot is asked for, nothing is no lot
        *["part", "fader knob", "F1", "K9", "", "", ""],  # in place of the fader, or beside it? Nothing: go back
        *["part", "fader knob", "F1", "K9", "", "", "beside"],
        *["part", "knob", "F1", "K8", "", "old knob", ""],  # what was touched for it? Nothing: go back
        *["part", "knob", "F1", "K8", "", "old knob", "plain"],
        *["part", "washer", "F2", "", "", "", f"file {tmp_path / 'none'}", f"file {picture}"],
        *["change Look twice.", "one look was not enough", "2026-03-09", "note !bag 7 is bad", "hidden", "newer"],
        *["quit", "", "iron hot"],
    ]
    said = "\n".join(work(bench, first).said)
    for part in (
        "Lot of the part for F1",
        "type it as it stands there",
        "In place of the fader, lot 2231 at F1, or beside it?",
        "nothing was kept",
        "kept: fader knob at F1, lot K9",
        "Came out at F1: old knob. What was touched for it?",
        "kept: knob at F1, lot K8. It went in for old knob",
        "there is no file",
        "kept with this step: f1.jpg",
        "Changed by hand, because one look was not enough. Written was: Look at it.",
        "There is none: every step",
        "this job goes by the newest text",
    ):
        assert part in said
    said = "\n".join(work(bench, [""]).said)
    assert "Read this before the work begins: bag 7 is bad" in said
    assert not bench.store.events(kinds=["notice-read"]), "an empty line is no sign of having read it"
    said = "\n".join(work(bench, ["a", "ahead", "quit", "", ""]).said)
    assert len(bench.store.events(kinds=["notice-read"])) == 1
    assert "Earlier: deviation until 2026-03-09: Look twice." in said


def test_a_wait_that_is_over_and_what_is_left_on_are_said_at_the_bench(
    bench: FakeBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from benchtui.ui.lines.bench import BenchTalk

    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")
    with pytest.raises(Left):
        work(bench, [*LINES[:20], ""])
    script = Script("", "")
    talk = BenchTalk(FakeLibrary(), bench.store, script.talk())  # type: ignore[arg-type]
    talk.bench = bench
    talk.talk.mind = None
    bench.clock.forward(minutes=40)  # type: ignore[attr-defined]
    talk.go()
    assert "left POWER ON; the wait is over" in script.text


def test_picking_goes_by_number_or_by_word() -> None:
    script = Script("zebra", "wire", "2")
    picked = script.talk().pick("Which?", [("a", "red wire"), ("b", "black wire"), ("c", "lamp")])
    assert picked == "b"
    assert "Nothing holds 'zebra'." in script.said


def test_the_line_mode_does_not_load_the_screen_library() -> None:
    code = "import sys, benchtui.ui.lines; print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
