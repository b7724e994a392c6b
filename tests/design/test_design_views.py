"""Views of the desk, and one fader more: two lines in the file change all that is computed from it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchtui.content.library import Library
from benchtui.design import Design, load_design
from benchtui.design.bill import bill
from benchtui.design.cuts import cuts
from benchtui.design.facts import facts, fill
from benchtui.design.panel import panel_text
from benchtui.design.testpoints import expected, points_of
from benchtui.design.views import compare, pin_map, point_table
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.jobs.expand import expand
from benchtui.paper.panel_svg import svg_of
from benchtui.paths import shipped

DESK = shipped("procedures") / "hollin-cue-desk" / "design.yaml"
PART = (
    '  fader-60-b: {kind: fader, title: "slide potentiometer, second source", lugs: {ground: "1", signal: "2", '
    'supply: "3"}, element: {ohms: "10 kohm ±20 %", residual: "30 ohm", source: "test"}, mount: {slot-width: "3.2 mm", '
    'slot-height: "66 mm", body-width: "9 mm", body-height: "88 mm", torque: "0.2 N m", source: "test"}, solder: '
    '{temperature: "290 degC", time: "3 s", source: "test"}}\n'
)
CONTROL = (
    '  F9: {part: fader-60-b, legend: Prompt, x: "290 mm", y: "215 mm", bank: A, pins: {signal: "11"}, message: '
    "{controller: 28}}\n"
)


@pytest.fixture(scope="module")
def desk() -> Design:
    return load_design(DESK)


@pytest.fixture(scope="module")
def larger(tmp_path_factory: pytest.TempPathFactory) -> Design:
    """The desk with one part line and one control line more."""
    text = DESK.read_text(encoding="utf-8")
    text = text.replace("  fader-60-long-life:\n", PART + "  fader-60-long-life:\n", 1)
    text = re.sub(r"(  F8: .*\n)", lambda found: found[1] + CONTROL, text, count=1)
    path = tmp_path_factory.mktemp("larger") / "design.yaml"
    path.write_text(text, encoding="utf-8")
    return load_design(path)


def test_one_fader_more_changes_the_steps(desk: Design, larger: Design) -> None:
    library = Library.open()
    procedure, cautions = library.procedure("hollin-assembly"), library.cautions()
    before, after = (expand(procedure, design, cautions) for design in (desk, larger))
    new = {step.key for step in after} - {step.key for step in before}
    assert len(new) >= 5
    assert all(key.endswith("@F9") for key in new)
    mount = next(step for step in after if step.key in new and "F9" in step.text)
    assert "Prompt" in mount.text or "F9" in mount.text


def test_one_fader_more_changes_wiring_pins_budget_panel_bill_and_test_sheet(desk: Design, larger: Design) -> None:
    assert [run.id for run in wires(larger, "F9")] == ["F9.ground", "F9.supply", "F9.signal"]
    assert wires(larger, "F9")[0].end == "F8 lug 1"  # on along the chain
    assert wires(larger, "F9")[2].end == "J1 pin 11"
    assert len(wires(larger)) == len(wires(desk)) + 3
    common = next(row for row in pin_map(larger) if row.pin == "A0")
    assert "F9" in common.controls
    assert expected(larger, "idle-current").nominal == pytest.approx(
        (expected(desk, "idle-current").nominal or 0) + 3.3 / 10e3, rel=1e-3
    )
    assert any("F9" in line for line in panel_text(larger, width=100, height=30))
    assert ">F9</text>" in svg_of(larger) and ">Prompt</text>" in svg_of(larger)
    assert len(cuts(larger)) == len(cuts(desk)) + 1
    assert "fader-60-b" in {line.part.id for line in bill(larger)}
    ten, eleven = (next(line.each for line in bill(d) if line.part.id == "wire-26") for d in (desk, larger))
    assert eleven > ten
    assert points_of(larger, "F9") == points_of(larger, "F8")
    # 8 elements of 10 kΩ are 1250 Ω, 9 are 1111 Ω (R/N).
    assert expected(desk, "bank-ohms", "A").nominal == pytest.approx(1250, rel=1e-3)
    assert expected(larger, "bank-ohms", "A").nominal == pytest.approx(1111, rel=1e-3)


def test_rules_of_steps(desk: Design) -> None:
    assert [subject.id for subject in desk.subjects("each fader")] == [f"F{n}" for n in range(1, 9)]
    assert len(desk.subjects("each control")) == len(desk.controls) == 45
    assert [subject.id for subject in desk.subjects("each control on J5")] == ["R1", "R2"]
    assert [subject.id for subject in desk.subjects("each bank")] == ["A", "B", "E"]
    assert desk.subjects("each button-direct") == ()
    assert desk.subjects("control F3")[0].title == "fader F3, Moon"
    for wrong in ("every fader", "each fadder", "control F99", "each control on J9"):
        with pytest.raises(DesignError):
            desk.subjects(wrong)


def test_a_chain_joins_behind_the_diode(desk: Design) -> None:
    """A column that joined at the lug itself would leave the diode out."""
    column = next(run for run in wires(desk, "B5") if run.role == "column")
    assert column.start == "B5 lug 2 via diode"
    assert column.end == "B1 diode, free leg"


def test_lengths_of_wires(desk: Design) -> None:
    """F1 at 40, 145 to J1 at 60, 270: 20 + 125 mm along the edges, 60 mm slack, up to the next 10 mm: 210 mm."""
    signal = next(run for run in wires(desk, "F1") if run.role == "signal")
    assert signal.length == pytest.approx(0.210)


def test_every_wire_has_two_named_ends_and_appears_once(desk: Design) -> None:
    runs = wires(desk)
    assert len({run.id for run in runs}) == len(runs)
    assert all(run.start and run.end and run.colour and run.gauge for run in runs)
    by_connector = [run for connector in desk.connectors for run in wires(desk, connector.id)]
    assert len(by_connector) == len({run.id for run in by_connector}) == sum(bool(run.connector) for run in runs)


def test_pin_map_names_every_pin(desk: Design) -> None:
    rows = {row.pin: row for row in pin_map(desk)}
    assert set(rows) == set(desk.board.pins)
    assert rows["D0"].use == "kept: boot select"
    assert rows["A3"].use == "free"
    assert rows["D5"].use == "line X1 of matrix X"
    assert rows["D5"].controls == ("B1", "B2", "B3", "B4")


def test_table_of_test_points() -> None:
    """The foot switch: a second, much smaller design."""
    box = load_design(shipped("procedures") / "foot-switch" / "design.yaml")
    rows = point_table(box)
    assert {row.subject for row in rows} >= {"", *(control.id for control in box.controls)}
    for row in rows:
        reading = row.expected
        assert reading.where and reading.text and reading.working and reading.sources
        if reading.nominal is not None and reading.kind != "count":
            assert (reading.low or 0.0) <= reading.nominal <= (reading.high or float("inf"))


def test_comparison_tries_each_candidate_in_its_places(desk: Design) -> None:
    chosen, long_life, short = compare(desk, "fader-60")
    assert chosen.chosen and not chosen.against
    assert not long_life.chosen and not long_life.against  # 13 mm wide bodies at a pitch of 32 mm
    assert ("life", "100000 cycles") in long_life.values
    assert short.part.id == "fader-45"


def test_facts_keep_the_parts_own_limits(desk: Design) -> None:
    """The iron is set once, to what the alloy (320 °C) and every part stand: a fader 300 °C, though a toggle 350 °C."""
    words = {id: facts(desk, desk.subject(id)) for id in ("F1", "T1")}
    assert fill("{solder.temperature}, {torque}, {lug.signal}", words["F1"]) == "300 °C, 0.2 N·m, lug 2 (wiper)"
    assert fill("{solder.temperature}", words["T1"]) == "300 °C"
    assert facts(desk, None)["solder.temperature"] == "300 °C"


def test_a_design_that_is_read_twice_is_the_same(desk: Design, tmp_path: Path) -> None:
    copy = tmp_path / "design.yaml"
    copy.write_bytes(DESK.read_bytes())
    assert load_design(copy).digest == desk.digest


@pytest.mark.parametrize("height", [6, 8, 10, 14, 20])
def test_no_name_on_a_small_picture_of_the_panel_is_cut_to_another(desk: Design, height: int) -> None:
    shown = " ".join(panel_text(desk, width=78, height=height)[1:])
    names = set(re.findall(r"[A-Z]+\d+", shown))
    assert names <= {control.id for control in desk.controls}
    assert not re.search(r"[A-Z]+\d*·", shown)
