"""Jobs written before a rule was known are read as they were: nothing that was accepted then is refused now.

Rows H2 and H3 (21 CFR 11.10(e); ALCOA enduring): `old_jobs/rules_N.jsonl` is the export of a job kept by the program of
that time, with every act in it that a later rule forbids.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.events import RULES, read_event
from benchtui.jobs.run_list import record_job, record_jobs
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from collections.abc import Iterator

OLD = Path(__file__).parent / "old_jobs"
UNIT, JOB = "HCD-001-R", "JDR4EH"
SECOND = "JLM7EH"
"""Of the unit HCD-004-X."""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        for number in range(RULES):
            merge(store, (OLD / f"rules_{number}.jsonl").read_text(encoding="utf-8").split("\n"))
        yield store


def test_there_is_a_job_of_every_earlier_set_of_rules() -> None:
    assert sorted(path.name for path in OLD.glob("*.jsonl")) == [f"rules_{number}.jsonl" for number in range(RULES)]


def test_an_old_job_is_read_to_its_end_with_every_event_in_it(store: Store) -> None:
    folded = record_job(store, JOB)
    assert folded.conflicts == ()
    assert folded.state.closed == "complete"
    assert folded.state.rules == 0
    assert [reading.typed for reading in folded.state["bank"].readings] == ["3.4k", "3.4k", "3.4k", "2.5k"]
    assert {job.job: job.closed for job in record_jobs(store)}[JOB] == "complete"
    assert verify(store) == ()


def test_a_job_of_the_first_rules_is_read_to_its_end_with_every_event_in_it(store: Store) -> None:
    # Done with a reading from before a rework, a signature from before what it stands for, a called job that an edit
    # took away, a wrong answer called not applicable: kept as it was accepted, and known to the gate.
    folded = record_job(store, SECOND)
    assert folded.conflicts == ()
    assert (folded.state.closed, folded.state.rules) == ("complete", 1)
    assert {known.status.value for known in folded.state.steps.values()} == {"done", "not applicable"}


def test_the_unit_of_an_old_job_is_as_it_was_and_its_tests_that_rework_made_void_are_named(store: Store) -> None:
    # The rework named "f1", which no test knew by that name: the job stays closed, and the gate says it now.
    units = PlannedBench({}, store, Clock()).units
    assert units.view(UNIT).state == "released"
    missing = units.missing(UNIT)
    assert "to be tested again after later work: measure bank" in missing
    assert "F1 lug 2 was reworked 2 times, and its part bears 1" in missing, "one joint, however it was typed"


def test_an_old_job_goes_on_by_the_rules_of_today_once_it_is_taken_up_again(store: Store) -> None:
    old = read_event("job-started", {"plan": "x", "procedure": "p"})
    assert isinstance(old, ev.JobStarted)
    assert old.rules == 0
    assert ev.JobStarted(plan="x", procedure="p").to_data()["rules"] == RULES
    assert read_event("resumed", {}) == ev.Resumed(rules=0)
    source = store.events(job=JOB)
    # The same job, left before its waits: what follows is held against the rules of the program that follows.
    begun = next(place for place, event in enumerate(source) if event.kind == "choice")
    for event in source[:begun]:
        store.append(event.kind, unit=UNIT, job="JLEFT", data=dict(event.data))
    run = PlannedBench({}, store, Clock()).resume("JLEFT")
    assert run.state.rules == 0
    run.act(ev.Resumed())
    assert run.state.rules == RULES
    with pytest.raises(JobError, match="answered with no: the lid is open"):
        run.act(ev.StepBegun(step="lamps"))
