"""Two hunts on one unit: a short that one finds locks the power in both, and the last measurement decides."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from helpers.screens import Clock

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.errors import JobError
from benchtui.faults.events import HuntClosed, RepairDone, ShortBeside, TestAnswered, TriedAgain
from benchtui.faults.run import Hunts
from benchtui.record.store import Store
from benchtui.ui.hunting import Hunting

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.faults.run import HuntRun

DESIGN = load_design(Path(__file__).resolve().parents[2] / "procedures" / "hollin-cue-desk" / "design.yaml")
LOW = TestAnswered(test="T44", outcome="low")
SOUND = TestAnswered(test="T44", outcome="sound")
STEADY = TestAnswered(test="T11", outcome="steady")
BOTH = ("T44", "T11")


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def ours(tmp_path: Path, clock: Clock) -> Iterator[Hunts]:
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield Hunts(Library.open(), store, clock=clock)


def begin(ours: Hunts, subject: str, **more: Any) -> HuntRun:
    model = ours.model("dead-input")
    return ours.start(DESIGN, model=model, unit="0042", scope="control", subject=subject, **more)


def taken_up(ours: Hunts, run: HuntRun) -> HuntRun:
    return ours.resume(run.job, DESIGN)


def test_a_short_found_in_one_hunt_locks_the_power_in_all_that_are_open_on_the_unit(ours: Hunts) -> None:
    other, finder = begin(ours, "F2"), begin(ours, "F3")
    finder.act(LOW)
    later = taken_up(ours, other)
    assert later.state.locks == later.state.due == BOTH
    proposal = later.propose()
    assert (proposal.kind, proposal.do[:7]) == ("test", "USB out")
    assert proposal.why.startswith("Safety goes first. Another hunt on this unit found that a short may be inside")
    # Undo takes back an answer of this hunt, never what another one found.
    with pytest.raises(JobError, match="nothing to take back"):
        later.undo()
    # Measured healthy where it was found: this hunt needs nothing more either, as no new one would.
    assert finder.state.locks == ("T44",)
    finder.act(SOUND)
    assert not taken_up(ours, other).state.locks
    assert not ours.short_left("0042", DESIGN)


def test_a_low_reading_that_is_taken_back_frees_the_other_hunt(ours: Hunts) -> None:
    other, finder = begin(ours, "F2"), begin(ours, "F3")
    finder.act(LOW)
    finder.undo()
    assert not taken_up(ours, other).state.locks
    assert not ours.short_left("0042", DESIGN)


def test_a_sign_noticed_in_a_new_hunt_locks_those_that_are_open(ours: Hunts) -> None:
    other = begin(ours, "B1")
    begin(ours, "F3", signs=("smells",))
    assert "T44" in taken_up(ours, other).state.due


def test_a_hunt_in_hand_learns_of_it_before_it_writes_that_anything_had_power(ours: Hunts) -> None:
    other, finder = begin(ours, "F2"), begin(ours, "F3")
    seen = Hunting(other)
    seen.act(RepairDone(repair="re-terminate"))
    assert other.state.phase == "again"
    finder.act(LOW)
    written = len(ours.store.events(job=other.job))
    reply = seen.act(TriedAgain(gone=True))
    assert reply.problem
    assert reply.text.startswith("another hunt on this unit has found that a short may be inside")
    assert len(ours.store.events(job=other.job)) == written
    assert seen.proposal.why.startswith("Safety goes first.")
    assert seen.move == "T44"
    # Once it is measured away, what was repaired is tried again.
    seen.act(SOUND)
    seen.act(STEADY)
    assert other.state.phase == "again"
    assert other.state.pending == "re-terminate"
    assert taken_up(ours, other).state.phase == "again"


def test_a_measurement_typed_in_ignorance_of_the_short_frees_nothing(ours: Hunts) -> None:
    other, finder = begin(ours, "F2"), begin(ours, "F3")
    finder.act(LOW)
    with pytest.raises(JobError, match="another hunt on this unit"):
        other.act(SOUND)
    assert other.state.locks == BOTH


def test_a_reason_of_its_own_outlasts_what_another_hunt_says(ours: Hunts) -> None:
    own = begin(ours, "F2", signs=("smells",))
    finder = begin(ours, "F3")
    assert finder.state.started.locked
    finder.act(SOUND)
    finder.act(STEADY)
    assert taken_up(ours, own).state.locks == BOTH
    alone = ShortBeside(job="another", found=False)
    own.act(alone)
    assert own.state.locks == BOTH


def test_the_last_measurement_decides_and_not_the_last_close(ours: Hunts) -> None:
    first = begin(ours, "F1")
    first.act(LOW)
    first.act(HuntClosed(result="open"))
    healthy = begin(ours, "F2")
    assert healthy.state.started.locked
    healthy.act(SOUND)
    healthy.act(STEADY)
    assert not ours.short_left("0042", DESIGN)
    finder = begin(ours, "F3")
    assert not finder.state.locks
    finder.act(LOW)
    finder.act(HuntClosed(result="open"))
    assert ours.short_left("0042", DESIGN)
    again = taken_up(ours, healthy)
    assert again.state.locks == BOTH  # it was healthy before the other found the short
    again.act(HuntClosed(result="open"))
    assert ours.short_left("0042", DESIGN)
    assert begin(ours, "F4").state.locks == BOTH


def test_a_repair_whose_proof_is_not_healthy_is_a_short_for_all(ours: Hunts) -> None:
    other, mender = begin(ours, "F2"), begin(ours, "F3")
    mender.act(TestAnswered(test="T12", outcome="stuck"))
    mender.act(RepairDone(repair="rewire-leg"))
    mender.act(TriedAgain(gone=None, unhealthy="T44"))
    assert mender.state.locks
    assert taken_up(ours, other).state.locks == BOTH
    mender.act(HuntClosed(result="open"))
    assert ours.short_left("0042", DESIGN)
    later = taken_up(ours, other)
    later.act(SOUND)
    later.act(STEADY)
    later.act(HuntClosed(result="open"))
    assert not ours.short_left("0042", DESIGN)


def test_a_healthy_measurement_after_the_short_counts_though_the_finder_closes_later(ours: Hunts) -> None:
    finder = begin(ours, "F1")
    finder.act(LOW)
    healthy = begin(ours, "F2")
    healthy.act(SOUND)
    healthy.act(STEADY)
    finder.act(HuntClosed(result="open"))
    assert not ours.short_left("0042", DESIGN)


@pytest.mark.parametrize("minutes", [10.0, 15.0])
def test_a_curtain_time_counts_from_now_however_quick_the_builder_was(
    ours: Hunts, clock: Clock, minutes: float
) -> None:
    run = begin(ours, "F1")
    for test, outcome in (("T12", "stuck"), ("T13", "stuck"), ("T14", "right"), ("T15", "good"), ("T16", "good")):
        run.act(TestAnswered(test=test, outcome=outcome))
    clock.forward(minutes=8)
    assert run.state.elapsed > 12.0, "the model takes longer than this builder did"
    one = Hunting(run)
    assert one.curtain(f"{minutes:g}").text == f"curtain in {minutes:g} min"
    assert run.state.deadline is not None
    assert run.state.deadline - run.elapsed == pytest.approx(minutes)
    clock.forward(minutes=5)
    assert run.state.deadline - run.elapsed == pytest.approx(minutes - 5.0)
    later = taken_up(ours, run)
    assert later.state.deadline is not None
    assert later.state.deadline - later.elapsed == pytest.approx(minutes - 5.0)
    # A slow builder gets no minute more than the clock has, and undo takes the curtain time back.
    run.undo()
    assert run.state.deadline is None
    assert run.state.elapsed > 12.0
