"""The line mode: an Enter that is held or was typed ahead marks nothing, and a unit is told by what is read off it.

MIL-STD-1472E 5.15.8.4 (queued and held keys). Delays and rates of keyboards are those of common systems, from memory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import make_step, plain_plan
from helpers.screens import FakeBench, FakeLibrary
from helpers.script import Script

from benchtui.jobs.plan import Before
from benchtui.jobs.steps import Status
from benchtui.ui.gate import REPEAT_TIME
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.talk import Left, Talk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.plan import Plan
    from benchtui.jobs.run import Run

KEYBOARDS = pytest.mark.parametrize(
    ("delay", "rate"), [(delay, rate) for delay in (0.25, 0.5, 0.66, 1.0) for rate in (30.0, 6.0)]
)


class Typist:
    """Types Enter at moments of a clock of his own, which is that of the conversation."""

    def __init__(self, moments: list[float]) -> None:
        self.moments = moments
        self.now = 0.0
        self.said: list[str] = []

    def hear(self, question: str) -> str:
        self.said.append(question)
        if not self.moments:
            raise EOFError
        self.now = max(self.now, self.moments.pop(0))
        return ""

    def comes(self, seconds: float) -> bool:
        """Lines that come meanwhile are those a program would throw away."""
        if not self.moments or self.moments[0] > self.now + seconds:
            return False
        self.now = self.moments.pop(0)
        return True

    def talk(self) -> Talk:
        return Talk(self.hear, self.said.append, clock=lambda: self.now, comes=self.comes)


def held(delay: float, rate: float, *, start: float = 10.0, repeats: int = 60) -> list[float]:
    return [start, *(start + delay + number / rate for number in range(repeats))]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path) as bench:
        yield bench


def begun(bench: FakeBench, plan: Plan) -> Run:
    bench.plans = {plan.id: plan}
    return bench.start(plan.id, "HCD-003-K")


def does(count: int = 12) -> Plan:
    return replace(plain_plan(), steps=tuple(make_step(n, f"d{n}", "Do it.") for n in range(1, count + 1)))


def work(run: Run, typist: Typist) -> None:
    with pytest.raises(Left):
        JobTalk(typist.talk(), run, emergency=()).go(lambda _: "")


def done(run: Run) -> int:
    return sum(known.status is Status.DONE for known in run.state.steps.values())


@KEYBOARDS
def test_a_held_enter_marks_one_step(bench: FakeBench, delay: float, rate: float) -> None:
    run = begun(bench, does())
    typist = Typist(held(delay, rate))
    work(run, typist)
    assert done(run) == 1
    assert sum("too soon after the last Enter" in said for said in typist.said) == 1


def test_whoever_presses_enter_for_each_step_marks_each(bench: FakeBench) -> None:
    run = begun(bench, does())
    work(run, Typist([2.0 * number for number in range(1, 7)]))
    assert done(run) == 6


@KEYBOARDS
def test_the_enter_after_a_reading_does_not_mark_the_next_step(bench: FakeBench, delay: float, rate: float) -> None:
    run = begun(bench, does())
    typist = Typist(held(delay, rate))
    first = typist.hear
    lines = iter(["note warm"])
    typist.hear = lambda question: next(lines, None) or first(question)  # type: ignore[method-assign]
    typist.moments = typist.moments[1:]  # its first press ended the line with the note
    typist.now = 10.0
    work(run, typist)
    assert done(run) == 0


@KEYBOARDS
def test_a_held_enter_ticks_one_line_of_the_kit(bench: FakeBench, delay: float, rate: float) -> None:
    run = begun(bench, replace(does(), before=Before(tools=tuple(f"tool {n}" for n in range(10)))))
    work(run, Typist(held(delay, rate)))
    assert len(run.state.kit) == 1


def test_ten_lines_of_kit_are_ticked_twice_a_second(bench: FakeBench) -> None:
    run = begun(bench, replace(does(), before=Before(tools=tuple(f"tool {n}" for n in range(10)))))
    work(run, Typist([REPEAT_TIME + 0.5 * number for number in range(10)]))
    assert len(run.state.kit) == 10


def test_from_a_pipe_every_line_counts(bench: FakeBench) -> None:
    run = begun(bench, does())
    with pytest.raises(Left):
        JobTalk(Script(*[""] * 6).talk(), run, emergency=()).go(lambda _: "")
    assert done(run) == 6


def unit(bench: FakeBench, *typed: str, design: str = "hollin-cue-desk") -> tuple[str, str]:
    """The unit that lines name at the bench, and all that was said."""
    script = Script(*typed)
    talk = BenchTalk(FakeLibrary(), bench.store, script.talk())  # type: ignore[arg-type]
    return talk._unit(design), script.text


@pytest.mark.parametrize("typed", ["HCD-001-R", "hcd-001-r", "HCD 001 R", "001-R", "001r", "hcd-001-r\u00ad"])
def test_a_known_unit_is_known_however_its_number_is_typed(bench: FakeBench, typed: str) -> None:
    bench.units.make("hollin-cue-desk", serial="HCD-001-R")
    assert unit(bench, typed)[0] == "HCD-001-R"


def test_a_misread_number_makes_no_unit_and_a_new_one_is_asked_about(bench: FakeBench) -> None:
    bench.units.make("hollin-cue-desk", serial="HCD-001-R")
    named, said = unit(bench, "HCD-001-P", "002-M", "", "HCD-004-D", "y")
    assert "HCD-001-P was misread" in said
    assert "There is no unit 002-M in this record. Is it a new one?" in said
    assert named == "HCD-004-D"
    assert unit(bench, "hcd-002-m")[0] == "HCD-002-M", "the next number was offered, and needs no question"


def test_an_end_that_two_units_have_names_neither(bench: FakeBench) -> None:
    bench.units.make("hollin-cue-desk", serial="HCD-001-R")
    bench.units.make("foot-switch", serial="X1-001-R")
    named, said = unit(bench, "001-R", "HCD-001-R")
    assert "001-R may be X1-001-R or HCD-001-R" in said
    assert named == "HCD-001-R"
