"""Every shared reference record that a calculator can answer passes through the command line.

The published source of a figure stands in its record and in the test's id. Records that no calculator answers are
listed with the reason beside the mapping, and a count says that none is forgotten.
"""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from helpers import electrical_records, mechanical_records, signal_records, wire_records
from helpers.calculate import outputs
from helpers.records import Mapper, Record, both, load, mapper_of, reason_of, run_check

ELECTRICAL = {**wire_records.MAPPERS, **signal_records.MAPPERS, **electrical_records.MAPPERS}
ELECTRICAL_REASONS = {**wire_records.REASONS, **signal_records.REASONS, **electrical_records.REASONS}
FILES = {
    "electrical": (ELECTRICAL, ELECTRICAL_REASONS),
    "mechanical": (mechanical_records.MAPPERS, mechanical_records.REASONS),
}
USED = [
    pytest.param(record, mapper, id=f"{record['id']} [{record['source'][:70]}]")
    for name, (mappers, reasons) in FILES.items()
    for record, mapper in both(name, mappers, reasons)
]


@pytest.mark.parametrize(("record", "mapper"), USED)
def test_record_passes_through_the_command_line(record: Record, mapper: Mapper) -> None:
    checks = mapper(record)
    assert checks
    for check in checks:
        run_check(record, check)


@pytest.mark.parametrize("name", FILES)
def test_every_record_is_used_or_has_a_reason(name: str) -> None:
    mappers, reasons = FILES[name]
    for record in load(name):
        reason, mapped = reason_of(record, reasons), mapper_of(record, mappers)
        assert bool(reason) or mapped is not None, f"{record['id']} is neither used nor explained"


def test_counts_of_records() -> None:
    used = {name: sum(1 for _ in both(name, *FILES[name])) for name in FILES}
    assert used == {"electrical": 177, "mechanical": 115}
    assert {name: len(load(name)) for name in FILES} == {"electrical": 205, "mechanical": 200}


def test_spares_and_soak_records() -> None:
    """MIL-HDBK-338B example 5.3.8.1; success-run theorem; NIST/SEMATECH e-Handbook 8.3.1.5."""
    records: dict[str, Any] = {record["id"]: record for record in load("diagnosis")}
    lamps = records["spares-lamps"]
    found = outputs("spares", rate="0.001/h", time="500 h", spares=2)
    assert found["confidence"] == pytest.approx(lamps["expected"]["p_enough"], abs=lamps["tolerance"])
    mean = records["spares-unit-mean"]
    for spares, enough in zip(mean["model"]["spares"], mean["expected"]["p_enough"], strict=True):
        found = outputs("spares", rate="1/h", time="1 h", spares=spares)
        assert found["confidence"] == pytest.approx(enough, abs=mean["tolerance"])
    runs = records["zero-failure-n"]
    for (reliability, confidence), count in zip(runs["model"]["cases"], runs["expected"]["n"], strict=True):
        assert outputs("soak", reliability=reliability, confidence=confidence)["runs"] == count
    time = records["zero-failure-time"]
    for confidence, factor in zip(time["model"]["confidence"], time["expected"]["factor"], strict=True):
        assert outputs("soak", mtbf="1 h", confidence=confidence)["time"] == pytest.approx(factor * 3600, rel=0.006)
    hours = outputs("soak", mtbf="500 h", confidence=0.8)["time"] / 3600
    assert hours == pytest.approx(time["expected"]["hours_at_80"], rel=0.006)


def test_the_real_command_in_a_process_of_its_own() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "benchtui", "calc", "divider", "supply=5 V ±5 %", "top=10k", "bottom=4k7", "--json"],
        capture_output=True, check=True,
    )  # fmt: skip
    answer = json.loads(done.stdout.decode("utf-8"))
    assert answer["calculator"] == "divider"
    assert answer["outputs"]["output"]["value"] == pytest.approx(5 * 4.7 / 14.7)
    assert answer["inputs"]["supply"] == {"text": "5 V ±5 %", "value": 5.0, "unit": "V"}
    wrong = subprocess.run(
        [sys.executable, "-m", "benchtui", "calc", "divider", "supply=3,3 V", "top=1k", "bottom=1k"],
        capture_output=True,
    )  # fmt: skip
    assert wrong.returncode == 2
    assert wrong.stderr.decode("utf-8").startswith("benchtui: supply: is the comma in '3,3 V' a decimal point?")
