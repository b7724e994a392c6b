"""One part line and one control line more in the design file, and everything computed from it has one fader more.

The seven things that follow are looked at as a builder sees them: in the steps, on the screens and on paper.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import yaml

from benchtui.check import check_paths
from benchtui.content.library import Library
from benchtui.design.bill import bill
from benchtui.design.budget import budget
from benchtui.design.consumables import joints
from benchtui.design.cuts import cuts
from benchtui.design.panel import panel_text
from benchtui.design.views import pin_map
from benchtui.design.wiring import wires
from benchtui.paper import sheets
from benchtui.paper.design_sheets import bill_sheet, pin_sheet
from benchtui.paper.markdown import markdown
from benchtui.paper.panel_svg import svg_of
from benchtui.paper.source import Source
from benchtui.paper.tested import test_sheet as sheet
from benchtui.paths import shipped
from benchtui.ui.view.reference import reference_lines
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain

CONTROL_LINE = (
    '  F9: {part: fader-fog, legend: Fog, x: "296 mm", y: "145 mm", bank: A, pins: {signal: "11"}, '
    "message: {controller: 28}, fitted: {cap-slide: 1, screw-m3x6: 2, washer-m3: 2}}\n"
)


def part_line(text: str) -> str:
    """A part of its own for the new fader, on one line: the sheet of the 60 mm fader under another name."""
    sheet = yaml.load(text, Loader=yaml.BaseLoader)["parts"]["fader-60"]
    sheet.pop("alternatives", None)
    sheet["title"] = "slide potentiometer for the fog"
    line = yaml.safe_dump({"fader-fog": sheet}, default_flow_style=True, width=10**6, allow_unicode=True)
    return f"  {line.strip()[1:-1]}\n"


@pytest.fixture(scope="module")
def before() -> Source:
    return Source(Library.open([shipped("procedures"), shipped("checklists")]), design="hollin-cue-desk")


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> Source:
    text = (shipped("procedures") / "hollin-cue-desk" / "design.yaml").read_text(encoding="utf-8")
    part = part_line(text)
    assert part.count("\n") == CONTROL_LINE.count("\n") == 1
    for mark, line in (("\nparts:\n", part), ("\n  F8: ", CONTROL_LINE)):
        place = text.index("\n", text.index(mark) + 1) + 1
        text = text[:place] + line + text[place:]
    own = tmp_path_factory.mktemp("own")
    (own / "design.yaml").write_text(text, encoding="utf-8")
    return Source(Library.open([shipped("procedures"), shipped("checklists"), own]), design="hollin-cue-desk")


def test_the_design_is_still_good(after: Source) -> None:
    assert check_paths([after.design.path]) == []
    assert Path(after.design.path).name == "design.yaml" and after.design.control("F9").part.id == "fader-fog"


def test_steps(before: Source, after: Source) -> None:
    old, new = before.procedure("hollin-assembly"), after.procedure("hollin-assembly")
    eighth = [step.step_id for step in old.steps if step.subject and step.subject.id == "F8"]
    ninth = [step for step in new.steps if step.subject and step.subject.id == "F9"]
    assert [step.step_id for step in ninth] == eighth
    assert len(new.steps) == len(old.steps) + len(ninth)
    assert any("F9" in step.text for step in ninth)
    # The end of the chain has moved on: the eighth fader is no longer the last.
    for id in ("test-inputs", "inspect-unpowered"):
        more = {step.key for step in after.procedure(id)} - {step.key for step in before.procedure(id)}
        assert more and all(key.endswith("@F9") for key in more)


def test_wiring_list(before: Source, after: Source) -> None:
    more = {run.id for run in wires(after.design)} - {run.id for run in wires(before.design)}
    assert more == {"F9.ground", "F9.signal", "F9.supply"}
    for text in (
        markdown(sheets.wiring_sheet(after)),
        *(plain(reference_lines(after.design, f"{kind}:", 80, UNICODE)) for kind in ("wires", "bycontrol")),
    ):
        assert all(id in text for id in more)
    assert "F9 lug 2" in plain(reference_lines(after.design, "wires:J1", 80, UNICODE))


def test_pin_map(before: Source, after: Source) -> None:
    control = after.design.control("F9")
    assert (control.multiplexer, control.channel, control.board_pins["signal"]) == ("M1", 15, "A0")

    def behind(source: Source) -> tuple[str, ...]:
        return next(row.controls for row in pin_map(source.design) if row.pin == "A0")

    assert set(behind(after)) - set(behind(before)) == {"F9"}
    assert "F1 to F9" in markdown(pin_sheet(after)) and "F1 to F9" not in markdown(pin_sheet(before))
    assert "F1 to F9" in plain(reference_lines(after.design, "pins:", 80, UNICODE))


def test_budget(before: Source, after: Source) -> None:
    old, new = ({each.what: each for each in budget(source.design)} for source in (before, after))
    assert (old["channels of M1"].figure, new["channels of M1"].figure) == ("14", "15")
    drawn = "the unit idle, from a USB 2.0 port that has granted it"
    assert new[drawn].share > old[drawn].share  # one element more across the rail
    assert "channels of M1: 15 of 16" in plain(reference_lines(after.design, "checks:", 80, UNICODE))


def test_panel(before: Source, after: Source) -> None:
    for rear in (False, True):
        assert not any("F9" in line for line in panel_text(before.design, width=100, height=40, rear=rear))
        assert any("F9" in line for line in panel_text(after.design, width=100, height=40, rear=rear))
    more = len(cuts(after.design)) - len(cuts(before.design))
    assert more == 3  # a slot and two screws
    assert "Fog" in svg_of(after.design) and "Fog" not in svg_of(before.design)


def test_bill(before: Source, after: Source) -> None:
    def each(source: Source) -> dict[str, float]:
        found: Counter[str] = Counter()
        for line in bill(source.design):
            found[line.part.id] += line.each  # type: ignore[assignment]  # metres of wire, colour by colour
        return dict(found)

    old, new = each(before), each(after)
    assert new["fader-fog"] == 1 and "fader-fog" not in old
    assert {id: new[id] - old[id] for id in ("fader-60", "cap-slide", "screw-m3x6", "washer-m3")} == {
        "fader-60": 0,
        "cap-slide": 1,
        "screw-m3x6": 2,
        "washer-m3": 2,
    }
    assert new["wire-26"] > old["wire-26"]
    # Its three joints take sleeve and solder, its one wire to the housing a contact, its wires labels at both ends.
    assert [a - b for a, b in zip(joints(after.design), joints(before.design), strict=True)] == [3, 0]
    assert new["solder"] > old["solder"]
    assert new["crimp"] - old["crimp"] == 1
    assert new["wire-label"] - old["wire-label"] == 6
    assert "slide potentiometer for the fog" in markdown(bill_sheet(after, units=3, built="For 3 units."))


def test_test_sheet_and_limits_of_the_bank(before: Source, after: Source) -> None:
    assert "| F9 |" in markdown(sheet(after)) and "| F9 |" not in markdown(sheet(before))

    def bank_ohms(source: Source) -> str:
        plan = source.procedure("inspect-unpowered")
        return next(
            step.limits.text
            for step in plan.steps
            if step.limits and step.limits.point == "bank-ohms" and step.subject and step.subject.id == "A"
        )

    assert bank_ohms(after) != bank_ohms(before)
