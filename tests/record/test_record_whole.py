"""An export that is not whole is refused (ALCOA "complete", "original"; PIC/S PI 041-1); nothing is half taken in.

A line that is gone says nothing by itself. Here it was a defect, and the unit could have been released without it.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan

from benchtui.errors import RecordDamagedError
from benchtui.jobs import run_list
from benchtui.jobs.events import JobStarted
from benchtui.jobs.run_list import record_job, record_jobs
from benchtui.jobs.run_units import Units
from benchtui.record import views
from benchtui.record.event import canonical, text_digest
from benchtui.record.export import lines
from benchtui.record.merge import merge
from benchtui.record.store import Store
from benchtui.record.verify import verify
from benchtui.record.whole import totals

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def exported(tmp_path: Path) -> list[str]:
    """A unit with one job and a defect."""
    with Store.open(tmp_path / "workshop.sqlite") as store:
        plan = {"title": "Assembly", "plan": text_digest("the plan")}
        store.append("job-started", unit="HCD-001-R", job="J1", data=plan, texts=["the plan"])
        store.append("defect", unit="HCD-001-R", job="J1", data={"defect": "D1", "text": "the lid is cracked"})
        store.append("job-closed", unit="HCD-001-R", job="J1", data={"result": "open items"})
        return list(lines(store))


def without(exported: list[str], word: str) -> list[str]:
    return [line for line in exported if word not in line]


@pytest.mark.parametrize(
    "word", ['"kind":"defect"', '"kind":"job-started"', '"kind":"job-closed"', '"text":"the plan"']
)
def test_a_line_taken_out_is_refused(tmp_path: Path, exported: list[str], word: str) -> None:
    short = without(exported, word)
    with Store.open(tmp_path / "laptop.sqlite") as store:
        with pytest.raises(RecordDamagedError, match="3 lines follow the first one, and it says 4") as refused:
            merge(store, short)
        assert "nothing was taken in" in str(refused.value)
        assert "export it again there" in str(refused.value)
        assert store.events() == ()
        assert merge(store, exported).added == 3
        assert verify(store) == ()


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ('"kind":"job-started"', "the beginning of job J1 is neither in the file nor here"),
        ('"text":"the plan"', "the text that event .*:1 goes by is not in the file"),
    ],
)
def test_what_leads_nowhere_is_refused_though_the_sum_is_right(
    tmp_path: Path, exported: list[str], word: str, words: str
) -> None:
    # The bench could not read such a job; before, one of them kept the first screen from coming up.
    short = without(exported, word)
    short[0] = canonical({**json.loads(short[0]), **totals(short[1:])})
    with Store.open(tmp_path / "laptop.sqlite") as store:
        with pytest.raises(RecordDamagedError, match=words):
            merge(store, short)
        assert store.events() == ()
        assert store.jobs() == ()


def test_a_file_cut_off_is_refused_in_the_middle_of_a_line_and_between_two(tmp_path: Path, exported: list[str]) -> None:
    text = "\n".join(exported) + "\n"
    with Store.open(tmp_path / "laptop.sqlite") as store:
        for length in range(len(exported[0]), len(text) - 1, 7):
            with pytest.raises(RecordDamagedError, match="nothing was taken in"):
                merge(store, text[:length].split("\n"))
        assert store.events() == ()
        assert merge(store, text.split("\n")).added == 3


def test_two_lines_that_change_places_or_stand_twice_are_refused(tmp_path: Path, exported: list[str]) -> None:
    with Store.open(tmp_path / "laptop.sqlite") as store:
        with pytest.raises(RecordDamagedError, match="not those that were written"):
            merge(store, [*exported[:2], exported[3], exported[2], exported[4]])
        with pytest.raises(RecordDamagedError, match="5 lines follow the first one, and it says 4"):
            merge(store, [*exported, exported[-1]])


def test_an_export_of_an_earlier_version_is_taken_in_and_what_it_cannot_tell_is_said(
    tmp_path: Path, exported: list[str]
) -> None:
    old = [canonical({"record": "benchtui", "format": 1, "unit": ""}), *exported[1:]]
    with Store.open(tmp_path / "laptop.sqlite") as store:
        merged = merge(store, old)
        assert merged.added == 3
        assert "that no line of it is missing cannot be told" in merged.told
        assert list(lines(store)) == exported, "and it goes on with its sum"


@pytest.mark.parametrize("gone", ["DELETE FROM text", "DELETE FROM event WHERE kind = 'job-started'"])
def test_what_a_record_lacks_itself_keeps_nobody_from_taking_the_rest_in(tmp_path: Path, gone: str) -> None:
    # An earlier version could lose a text; such a job stays unread everywhere, and holds its unit until it is decided.
    body = text_digest("the plan")
    began = JobStarted(
        plan=body, procedure="a", title="Assembly", revision=1, digest=body, procedure_kind="assembly", design="d"
    )
    with Store.open(tmp_path / "workshop.sqlite") as store:
        store.append(began.KIND, unit="HCD-001-R", job="J1", data=began.to_data(), texts=["the plan"])
        store.append("step-done", unit="HCD-001-R", job="J1", data={"step": "a"})
        store.append("note", unit="HCD-002-F", data={"text": "another one"})
        store.connection.execute(gone)
        views.rebuild(store.connection)
        exported = list(lines(store))
        assert "lacks" not in json.loads(next(lines(store, unit="HCD-002-F"))), "what it has is whole"
    with Store.open(tmp_path / "laptop.sqlite") as store:
        assert merge(store, exported).added == len(exported) - 1
        view = Units(store).view("HCD-001-R")
        assert "this job cannot be read" in view.conflicts[0].text
        assert list(lines(store)) == exported
        short = json.loads(exported[0])
        del short["lacks"]
    with Store.open(tmp_path / "van.sqlite") as store, pytest.raises(RecordDamagedError, match="nothing was taken in"):
        merge(store, [canonical(short), *exported[1:]])


def test_the_ends_of_lines_may_be_those_of_another_system(tmp_path: Path, exported: list[str]) -> None:
    with Store.open(tmp_path / "laptop.sqlite") as store:
        assert merge(store, "\r\n".join(exported).split("\n")).added == 3


def test_a_job_that_cannot_be_read_does_not_take_the_others_along(tmp_path: Path) -> None:
    body = text_digest("the plan")
    began = JobStarted(
        plan=body, procedure="a", title="Assembly", revision=1, digest=body, procedure_kind="assembly", design="d"
    )
    with Store.open(tmp_path / "record.sqlite") as store:
        store.append(began.KIND, job="J1", data=began.to_data(), texts=["the plan"])
        store.append("hunt-started", job="J2", data={"title": "F3 is dead"})
        store.append("step-done", job="J3", data={"step": "a"})
        store.connection.execute("DELETE FROM text")
        found = {job.job: job for job in record_jobs(store)}
        assert "has no text" in found["J1"].text
        assert found["J2"].title == "F3 is dead"
        assert "has no beginning in this record" in found["J3"].text


@pytest.mark.parametrize(
    ("act", "where"),
    [
        ("UPDATE job SET unit = 'HCD-009-X'", "job J1"),
        ("UPDATE job SET title = 'x'", "job J1"),
        ("UPDATE job SET first_kind = 'note'", "job J1"),
        ("UPDATE job SET first_time = '1999'", "job J1"),
        ("UPDATE job SET last_time = '1999'", "job J1"),
        ("UPDATE job SET last_clock = 99", "job J1"),
        ("UPDATE unit SET first_time = '1999'", "unit HCD-001-R"),
        ("UPDATE unit SET last_time = '1999'", "unit HCD-001-R"),
        ("UPDATE unit SET last_clock = 99", "unit HCD-001-R"),
        ("DELETE FROM job", "job J1"),
        ("DELETE FROM unit", "unit HCD-001-R"),
    ],
)
def test_a_changed_line_of_a_list_is_found(tmp_path: Path, act: str, where: str) -> None:
    # Row H3 (21 CFR 11.10(c)): what is shown first is the lists.
    with Store.open(tmp_path / "record.sqlite") as store:
        store.append("job-started", job="J1", data={"title": "Assembly"})
        store.append("note", unit="HCD-001-R", job="J1", data={"text": "x"})
        assert verify(store) == ()
        store.connection.execute(act)
        assert [finding.where for finding in verify(store)] == [where]


def test_jobs_that_came_in_are_worked_out_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store.open(tmp_path / "there.sqlite") as there:
        bench = PlannedBench({"hollin-assembly": full_plan()}, there, Clock())
        for _ in range(3):
            bench.start("hollin-assembly", bench.units.make("hollin-cue-desk"))
        exported, listed = list(lines(there)), record_jobs(there)
    with Store.open(tmp_path / "here.sqlite") as here:
        merge(here, exported)
    with Store.open(tmp_path / "here.sqlite", read_only=True) as here:
        assert record_jobs(here) == listed, "only reading keeps nothing"
    with Store.open(tmp_path / "here.sqlite") as here:
        asked: list[str] = []
        monkeypatch.setattr(run_list, "record_job", lambda store, job: asked.append(job) or record_job(store, job))
        for _ in range(2):
            assert record_jobs(here) == listed
        assert len(asked) == 3
        here.append("note", unit=listed[0].unit, job=listed[0].job, data={"text": "x"})
        record_jobs(here)
        assert asked[3:] == [listed[0].job], "and anew after an entry that says nothing of it"
        assert verify(here) == ()
