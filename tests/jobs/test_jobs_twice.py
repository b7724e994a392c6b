"""Row E15: a reading taken twice, the second time with the first out of sight (DOE-STD-1036; that it may stand in for a
second person is our own inference)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import BANK, after, plan, read, started, step

from benchtui.content.rules import apart
from benchtui.errors import JobError, UnitError
from benchtui.jobs import events as ev
from benchtui.jobs.passport import history, passport
from benchtui.jobs.run_where import readings_with
from benchtui.jobs.steps import Status
from benchtui.jobs.twice import WAITS, covered, covered_of, too_far
from benchtui.record.search import look
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Plan

UNIT = "HCD-001-R"


def twice(**fields: object) -> Plan:
    """A reading that is taken twice, and a step after it."""
    bank = step("bank", "measure", limits=BANK, required=True, twice="2 %", apart=0.02, **fields)
    return plan(bank, step("close"))


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[PlannedBench]:
    clock = Clock()
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        yield PlannedBench({"hollin-assembly": twice()}, store, clock)


def test_a_second_reading_is_asked_for_and_both_are_kept() -> None:
    state = after(started(twice()), read("bank", "2.5k", 2500.0, "pass"))
    assert state["bank"].readings == () and state["bank"].to_read
    with pytest.raises(JobError, match="take the second reading first"):
        after(state, ev.StepDone(step="bank"))
    state = after(state, read("bank", "2.51k", 2510.0, "pass"))
    assert [reading.typed for reading in state["bank"].readings] == ["2.5k", "2.51k"]
    assert [reading.blind for reading in state["bank"].readings] == [False, True]
    assert after(state, ev.StepDone(step="bank"))["bank"].status is Status.DONE


def test_two_that_are_too_far_apart_are_both_taken_again_without_a_reason() -> None:
    state = after(started(twice()), read("bank", "2.4k", 2400.0, "pass"), read("bank", "2.5k", 2500.0, "pass"))
    assert state["bank"].differ and state["bank"].status is Status.BEGUN
    with pytest.raises(JobError, match="more than 2 % apart"):
        after(state, ev.StepDone(step="bank"))
    state = after(state, read("bank", "2.5k", 2500.0, "pass"))
    assert not state["bank"].differ and state["bank"].first is not None
    state = after(state, read("bank", "2.5k", 2500.0, "pass"), ev.StepDone(step="bank"))
    assert len(state["bank"].readings) == 4


def test_one_outside_its_limits_fails_at_once_whichever_it_is() -> None:
    # There is nothing to confirm: what is wrong is seen to first.
    failed = after(started(twice()), read("bank", "9k", 9000.0, "fail", asked="so?"))
    assert failed["bank"].status is Status.FAILED and len(failed["bank"].readings) == 1
    second = after(
        started(twice()), read("bank", "2.5k", 2500.0, "pass"), read("bank", "9k", 9000.0, "fail", asked="so?")
    )
    assert second["bank"].status is Status.FAILED
    assert [reading.typed for reading in second["bank"].readings] == ["2.5k", "9k"]
    # Measured again it is a first one once more, with its reason, and its second needs none.
    again = after(failed, read("bank", "2.5k", 2500.0, "pass", reason="probe slipped"))
    assert again["bank"].first is not None and not again["bank"].asks_why
    again = after(again, read("bank", "2.5k", 2500.0, "pass"), ev.StepDone(step="bank"))
    assert again["bank"].status is Status.DONE


def test_a_pair_counts_as_one_try() -> None:
    state = after(started(twice(tries=1)), read("bank", "2.4k", 2400.0, "pass"), read("bank", "2.5k", 2500.0, "pass"))
    with pytest.raises(JobError, match="1 is the limit"):
        after(state, read("bank", "2.5k", 2500.0, "pass"))


@pytest.mark.parametrize(
    "end",
    [
        ev.StepFailed(step="bank", reason="it drifts"),
        ev.StepReopened(step="bank", reason="taken back"),
        ev.JobClosed(result="closed with open items", decision="the van is here"),
    ],
    ids=lambda event: event.KIND,
)
def test_a_first_reading_without_its_second_is_never_lost(end: ev.JobEvent) -> None:
    state = after(started(twice()), read("bank", "2.5k", 2500.0, "pass"))
    if isinstance(end, ev.StepReopened):
        state = after(state, ev.StepHeld(step="bank", reason="the meter is flat"))
    state = after(state, end)
    assert [reading.typed for reading in state["bank"].readings] == ["2.5k"]
    assert state["bank"].first is None


def test_how_far_apart_is_a_share_of_the_larger_or_an_amount() -> None:
    share = step("a", "measure", limits=BANK, twice="2 %", apart=apart("2 %", "resistance"))
    assert not too_far(share, 98.0, 100.0) and too_far(share, 97.9, 100.0)
    amount = replace(share, twice="0.2 ohm", apart=apart("0.2 ohm", "resistance"))
    assert not too_far(amount, 0.1, 0.3) and too_far(amount, 0.1, 0.31)
    assert too_far(amount, None, 0.3) and not too_far(amount, None, None)
    for wrong in ("0 %", "120 %", "2 V", "-1 ohm"):
        with pytest.raises(UnitError):
            apart(wrong, "resistance")


def _begun(bench: PlannedBench) -> JobState:
    unit = bench.units.make("hollin-cue-desk")
    run = bench.start("hollin-assembly", unit)
    return run.read("2.517k")


def test_no_page_of_the_record_tells_the_first_before_the_second(bench: PlannedBench) -> None:
    state = _begun(bench)
    store = bench.store
    pages = [*history(store.events(unit=state.unit)), *passport(bench.units.view(state.unit))]
    pages += [str(event.data) for event in covered_of(store, look(store, "bank").events)]
    pages += [str(event.data) for event in readings_with(store, "")]
    assert not [line for line in pages if "2.517" in line or "2517" in line]
    assert any(WAITS in line for line in pages)
    bench.resume(state.job).read("2.52k")
    pages = [*history(store.events(unit=state.unit)), *passport(bench.units.view(state.unit))]
    assert [line for line in pages if "2.517" in line] and not [line for line in pages if WAITS in line]


def test_a_second_with_another_meter_brings_the_first_into_sight(bench: PlannedBench) -> None:
    state = _begun(bench)
    store = bench.store
    first = [event for event in store.events(job=state.job) if event.kind == "reading"]
    assert "typed" not in covered(first)[0].data
    bench.resume(state.job).read("2.52k")
    # Picked out alone, it is looked up with its job.
    assert covered_of(store, first)[0].data["typed"] == "2.517k"


def test_after_a_restart_the_first_is_still_out_of_sight(bench: PlannedBench) -> None:
    state = _begun(bench)
    again = bench.look(state.job)
    assert again["bank"].first is not None and again["bank"].readings == ()
