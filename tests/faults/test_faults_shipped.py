"""The shipped fault model against the trade tables it was made from, and hunts over both shipped designs."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from helpers.fault_worlds import shipped_model

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.faults import hunt
from benchtui.faults.from_design import model_for
from benchtui.faults.model import KINDS
from benchtui.faults.probing import Bench
from benchtui.faults.proposal import propose
from benchtui.faults.reading import check_model, problems_with_cautions, problems_with_procedures
from benchtui.faults.table import clamp
from benchtui.faults.target import target_of
from benchtui.faults.words import likelihood
from benchtui.scores_command import main as scores_main

ROOT = Path(__file__).resolve().parents[2]
TABLES = ROOT / "tests" / "reference"
ALSO_FITS = {"T35": {"toggle", "encoder"}}
"""Beyond the table, which knows pull-ups of ribbons alone: what a resistor at the board holds floats without it."""

SCOPE = {"unit": "unit", "bank": "bank", "one": "control"}


def rows(name: str) -> list[dict[str, str]]:
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_fault_of_the_trade_table_with_its_weight_and_likelihoods() -> None:
    # reference/fault_test_table.csv: 50 faults × 42 tests, trade estimates; a rare finding is 0.03 there.
    model = shipped_model()
    faults = {fault.id: fault for fault in model.faults}
    tests = {test.id: test for test in model.tests}
    table = rows("fault_test_table.csv")
    assert len(table) == 50
    for row in table:
        fault = faults[row["fault"]]
        assert fault.scopes[0] == SCOPE[row["scope"]]
        assert fault.weight == float(row["weight"])
        for id, test in tests.items():
            if row.get(id, "na") == "na":
                continue
            text = test.finds.get(fault.id)
            found = clamp(model.rare) if text is None else likelihood(text)
            assert found == pytest.approx(clamp(float(row[id]))), f"{fault.id} {id}"
    # Beyond the table: V+ to GND of the whole unit, which section 3.2 of the notes asks for before any power.
    assert {id for id in tests if id not in table[0]} == {"T44"}
    assert len(tests) == 43


def test_every_test_fits_the_kinds_that_the_trade_table_says() -> None:
    # reference/fault_test_applicability.csv: kinds, minutes, lid, power, disturbs.
    tests = {test.id: test for test in shipped_model().tests}
    for row in rows("fault_test_applicability.csv"):
        test = tests[row["test"]]
        for kind in KINDS:
            fits = "hold" if kind in test.hold else "y" if not test.kinds or kind in test.kinds else "n"
            told = "y" if kind in ALSO_FITS.get(test.id, ()) else row[kind]
            assert fits == told, f"{test.id} {kind}"
        assert test.minutes == float(row["minutes"])
        assert (test.access == "lid") == (row["lid"] == "open")
        # With the spare on its lead this unit is unplugged; the table means the spare.
        assert test.power == ("off" if test.id == "T27" else row["power"])
        assert test.disturbs == (row["disturbs"] == "y")


def test_the_model_hides_no_hazard_and_names_only_procedures_that_exist() -> None:
    library = Library.open([ROOT / "procedures"])
    model = shipped_model()
    assert check_model(model) == []
    assert list(problems_with_cautions(model, library.cautions())) == []
    known = [entry.id for entry in library.entries("procedure")]
    assert list(problems_with_procedures(model, known)) == []


@pytest.mark.parametrize(
    ("name", "every_bank"),
    [("foot-switch", True), ("hollin-cue-desk", False), pytest.param("hollin-cue-desk", True, marks=pytest.mark.long)],
)
def test_every_control_and_bank_of_a_shipped_design_can_be_hunted_on(name: str, every_bank: bool) -> None:
    design = load_design(ROOT / "procedures" / name / "design.yaml")
    bench = Bench(design)
    subjects = [("unit", "")]
    subjects += [("control", control.id) for control in {each.kind: each for each in design.controls}.values()]
    banks = [bank.id for bank in design.banks if design.members(bank.id)]
    subjects += [("bank", bank) for bank in (banks if every_bank else banks[-1:])]
    for scope, subject in subjects:
        target = target_of(design, scope=scope, subject=subject)
        model = model_for(shipped_model(), design, target, bench=bench)
        assert check_model(model) == [], f"{scope} {subject}"
        proposal = propose(hunt.start(model, design, scope=scope, subject=subject))
        assert proposal.kind in ("test", "repair")
        assert proposal.why


def test_scores_are_printed_for_a_model_over_a_design(capsys: pytest.CaptureFixture[str]) -> None:
    assert scores_main(["dead-input", "foot-switch"]) == 0
    assert "All hunts together" in capsys.readouterr().out
