"""One line more in the design file, and everything that is computed from it has one fader more."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchtui.check import check_paths
from benchtui.content.library import Library
from benchtui.design.bill import bill
from benchtui.design.panel import panel_text
from benchtui.design.wiring import wires
from benchtui.paper import sheets
from benchtui.paper.markdown import markdown
from benchtui.paper.source import Source
from benchtui.paths import shipped

LINE = (
    '  F9: {part: fader-60, legend: Fog, x: "296 mm", y: "145 mm", bank: A, pins: {signal: "11"}, '
    "message: {controller: 28}, fitted: {cap-slide: 1, screw-m3x6: 2, washer-m3: 2}}\n"
)


@pytest.fixture
def before() -> Source:
    return Source(Library.open(), design="hollin-cue-desk")


@pytest.fixture
def after(tmp_path: Path) -> Source:
    text = (shipped("procedures") / "hollin-cue-desk" / "design.yaml").read_text(encoding="utf-8")
    place = text.index("  F8: ")
    place = text.index("\n", place) + 1
    own = tmp_path / "home" / "procedures" / "design.yaml"
    own.parent.mkdir(parents=True)
    own.write_text(text[:place] + LINE + text[place:], encoding="utf-8")
    return Source(Library.open(), design="hollin-cue-desk")


def test_the_design_is_still_good(after: Source) -> None:
    assert check_paths([after.design.path]) == []


def test_steps(before: Source, after: Source) -> None:
    old, new = before.procedure("hollin-assembly"), after.procedure("hollin-assembly")
    eighth = [step.step_id for step in old.steps if step.subject and step.subject.id == "F8"]
    ninth = [step.step_id for step in new.steps if step.subject and step.subject.id == "F9"]
    assert ninth == eighth
    assert len(new.steps) == len(old.steps) + len(ninth)


def test_wiring_list(before: Source, after: Source) -> None:
    more = {run.id for run in wires(after.design)} - {run.id for run in wires(before.design)}
    assert more == {"F9.ground", "F9.signal", "F9.supply"}
    assert "F9.signal" in markdown(sheets.wiring_sheet(after))


def test_board_side(after: Source) -> None:
    control = after.design.control("F9")
    assert (control.multiplexer, control.channel, control.board_pins["signal"]) == ("M1", 15, "A0")


def test_bill(before: Source, after: Source) -> None:
    def faders(source: Source) -> float:
        return next(line.each for line in bill(source.design) if line.part.id == "fader-60")

    assert faders(after) == faders(before) + 1


def test_panel(before: Source, after: Source) -> None:
    assert not any("F9" in line for line in panel_text(before.design, width=100, height=40))
    assert any("F9" in line for line in panel_text(after.design, width=100, height=40))


def test_test_sheet_and_limits_of_the_bank(before: Source, after: Source) -> None:
    assert "| F9 |" in markdown(sheets.test_sheet(after))

    def bank_ohms(source: Source) -> str:
        plan = source.procedure("inspect-unpowered")
        return next(
            step.limits.text
            for step in plan.steps
            if step.limits and step.limits.point == "bank-ohms" and step.subject and step.subject.id == "A"
        )

    assert bank_ohms(after) != bank_ohms(before)
