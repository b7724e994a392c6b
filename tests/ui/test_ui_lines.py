"""The line mode does the same work as the full screen and writes the same events."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.screens import Clock, FakeBench, FakeLibrary, running

from benchtui.record.store import Store
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left, Talk
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
    *["space", "space", "a", "a", "space", "space"],
    *["5", "full_stop", "1", "k", "enter", "1"],
    *["a", "space", "space", "e", *"curtain", "enter", "space"],
    *["space", "A", "full_stop", "space", *"Builder", "enter"],
    *["space"] * 6,
]
"""The same on the full screen."""


class Script:
    """A person who types lines and writes down what is said."""

    def __init__(self, lines: list[str]) -> None:
        self.lines: Iterator[str] = iter(lines)
        self.said: list[str] = []

    def hear(self, question: str) -> str:
        self.said.append(question)
        try:
            return next(self.lines)
        except StopIteration:
            raise EOFError from None

    def talk(self) -> Talk:
        return Talk(self.hear, self.said.append)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    clock = Clock()
    with Store.open(tmp_path / "lines.sqlite", clock=clock) as store:
        bench = FakeBench(FakeLibrary(), store, clock=clock)  # type: ignore[arg-type]
        bench.plans = {"hollin-wiring": demo_plan()}
        yield bench


def work(bench: FakeBench, lines: list[str]) -> Script:
    script = Script(lines)
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
    script = Script([*LINES[:13], "quit", "", ""])
    JobTalk(script.talk(), bench.start("hollin-wiring", "HCD-003-K"), emergency=()).go(lambda _: "")
    said = "\n".join(script.said)
    order = ("WARNING: Rosin fume", "If not: a cough", "CAUTION: The iron's tip", "Solder the three wires of F1")
    assert [said.index(part) for part in order] == sorted(said.index(part) for part in order)


def test_help_emergency_and_nonsense_are_answered(bench: FakeBench) -> None:
    script = Script([*LINES[:9], "help", "!", "xyzzy", "[/]", "list", "quit", "red wire", "iron hot"])
    JobTalk(script.talk(), bench.start("hollin-wiring", "HCD-003-K"), emergency=("pull the plug",)).go(lambda _: "")
    said = "\n".join(script.said)
    for part in ("Enter alone: done", "pull the plug", "'xyzzy' is no command", "'[/]' is no command", "10 open"):
        assert part in said
    left = bench.look(bench.open_jobs()[0].job).suspended
    assert left is not None
    assert (left.next_act, left.bench) == ("red wire", ("iron hot",))


def test_picking_goes_by_number_or_by_word() -> None:
    script = Script(["zebra", "wire", "2"])
    picked = script.talk().pick("Which?", [("a", "red wire"), ("b", "black wire"), ("c", "lamp")])
    assert picked == "b"
    assert "Nothing holds 'zebra'." in script.said


def test_the_line_mode_does_not_load_the_screen_library() -> None:
    code = "import sys, benchtui.ui.lines; print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
