"""What is looked at beside a step, made from the shipped design: wires, pins, test points, the bill, parts, checks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.design.bill import bill
from benchtui.design.views import compare
from benchtui.design.wiring import wires
from benchtui.errors import UsageError
from benchtui.ui.view.lookup import design_rows
from benchtui.ui.view.reference import again, reference_lines, reference_rows, title_of
from benchtui.ui.view.rows import matching
from benchtui.ui.view.shapes import ASCII, UNICODE
from benchtui.ui.view.subjects import subject_rows
from benchtui.ui.view.tables import whole_table
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from benchtui.design.model import Design


@pytest.fixture(scope="module")
def design() -> Design:
    return load_design(Library.open().path_of("design", "hollin-cue-desk"))


@pytest.fixture(scope="module")
def box() -> Design:
    """A second, much smaller design, which has no banks, ribbons or multiplexers."""
    return load_design(Library.open().path_of("design", "foot-switch"))


def text_of(design: Design, entry: str, width: int = 80, **more: object) -> str:
    return plain(reference_lines(design, entry, width, UNICODE, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize("width", [72, 120])
def test_every_entry_fits_the_width_and_has_a_title(box: Design, design: Design, width: int) -> None:
    entries = [(box, row.id) for row in reference_rows(box) if row.id]
    entries += [(design, row.id) for row in reference_rows(design) if row.id and not row.id.startswith("allpoints")]
    for about, entry in entries:
        lines = reference_lines(about, entry, width, ASCII, mark="F3")
        assert lines and title_of(entry), entry
        assert max(map(width_of, lines)) <= width, entry


def test_nothing_of_a_table_is_cut_off(design: Design) -> None:
    """The ends of the longest texts are what the builder has to read; they go on in the next line instead."""
    shown = " ".join(text_of(design, "wires:B6", 72).split())
    assert "…" not in shown
    for run in wires(design, "B6"):
        for text in (run.id, run.colour):
            assert text in shown
    assert "diode" in shown.split("B6.column")[1]
    for line in whole_table([("a" * 30, "b " * 40)], 40):
        assert width_of(line) <= 40


def test_the_wires_of_a_control_name_both_ends(design: Design) -> None:
    text = text_of(design, "wires:F3")
    assert "F3 lug 2" in text
    assert "J1 pin" in text


def test_wires_come_in_building_order_by_control_and_by_connector(design: Design) -> None:
    runs = wires(design)
    building, controls, connectors = (
        text_of(design, f"{kind}:", 120) for kind in ("wires", "bycontrol", "byconnector")
    )
    places = [building.index(run.id + " ") for run in runs]
    assert places == sorted(places)
    for run in runs:
        assert f"{run.id} " in controls
        if run.connector:
            assert f"{run.id} " in connectors
    assert controls.index("F3, Moon") < controls.index("F3.signal") < controls.index("F4, ")
    here = connectors[connectors.index("J1, ") : connectors.index("J2, ")]
    pins = [int(line.split()[0]) for line in here.splitlines()[2:] if line.strip()]
    assert pins == sorted(pins) and len(pins) > 5


def test_what_is_in_hand_is_marked(design: Design) -> None:
    marked = [line for line in text_of(design, "wires:", mark="F3").splitlines() if line.startswith(">")]
    assert {line.split()[1] for line in marked} == {run.id for run in wires(design, "F3")}
    assert [line.split()[1] for line in text_of(design, "pins:", mark="T2").splitlines() if line[0:1] == ">"] == ["D15"]
    assert "> F3 " in text_of(design, "controls:", mark="F3")
    front, rear = text_of(design, "front:", mark="F3"), text_of(design, "rear:", mark="F3")
    assert "<F3>" in front and "<F3>" in rear
    row = next(line for line in rear.splitlines() if "<F3>" in line and "F1" in line)
    assert row.index("F4") < row.index("<F3>") < row.index("F1")  # from the rear, left and right are exchanged


def test_the_pin_map_says_what_is_free(design: Design) -> None:
    text = text_of(design, "pins:")
    assert text.startswith("2 of 36 pins are free.")
    assert "kept: boot select" in text


def test_the_test_points_of_a_control_say_where_and_what(design: Design) -> None:
    text = text_of(design, "points:F3")
    assert "F3: element, end to end" in text
    assert "A: supply to ground of the bank" in text  # its bank's own points come with it
    assert "kΩ" in text and "power off" in text


def test_the_table_of_all_test_points_has_every_control(box: Design) -> None:
    text = text_of(box, "allpoints:")
    for control in box.controls:
        assert f"{control.id}: " in text


def test_the_bill_is_for_the_units_still_to_build(design: Design) -> None:
    text = text_of(design, "bill:", 120, units=5, built="For 5 units still to build in the record.")
    assert text.startswith("For 5 units still to build in the record.")
    line = next(each for each in bill(design, units=5) if each.part.id == "fader-60")
    row = next(row for row in text.splitlines() if row.startswith("slide potentiometer, 60"))
    numbers = [int(word) for word in row.partition("linear")[2].split()[:5]]
    assert numbers == [8, 40, line.attrition, line.spares, line.buy]


def test_parts_stand_side_by_side_with_what_fits(design: Design) -> None:
    text = text_of(design, "compare:fader-60", 120)
    fits = next(line for line in text.splitlines() if line.startswith("fits"))
    assert fits.split(None, 1)[1].split("  ")[0] == "yes"
    assert "a new panel only" in fits  # the shorter fader needs a shorter slot and other screw holes
    assert "100000 cycles" in text
    rows = {line[:22].strip(): " ".join(line[22:].split()) for line in text.splitlines()}
    assert rows["travel"] == "60 mm 60 mm 45 mm"
    assert rows["slot"].startswith("3.2 mm by 66 mm") and rows["further holes"].startswith("2 × 3.3 mm screw")
    assert rows["torque at most"] == "0.3 N·m 0.3 N·m 0.3 N·m"
    # 6 mm screw - 3.1 mm of sheet - 0.5 mm washer, of 3.5 mm of thread
    assert rows["screw on this panel"].startswith("reaches 2.4 mm of 3.5 mm into")
    assert rows["room behind it here"] == "26 mm 21 mm 29 mm"  # 45 mm less the depth of each


def test_a_bushing_is_held_against_the_panel(design: Design) -> None:
    """7 mm - 3.1 mm of sheet - 1.2 mm of washers - 2 mm nut leaves 0.7 mm (trade notes, finding 5)."""
    values = dict(compare(design, "pot-9")[0].values)
    assert values["bushing on this panel"] == "needs 6.3 mm, 0.7 mm to spare"


def test_the_checks_come_with_the_budget(design: Design) -> None:
    text = text_of(design, "checks:")
    assert "problem:" not in text and "warning:" not in text
    assert "pins of the board: 30 of 32" in text
    assert "all lamps, from the chip" in text
    assert "limit from:" in text


def test_an_unknown_entry_is_refused(design: Design) -> None:
    with pytest.raises(UsageError):
        reference_lines(design, "poster:", 80, UNICODE)


def test_what_is_in_hand_comes_first(design: Design) -> None:
    rows = reference_rows(design, "F3")
    assert [row.id for row in rows[1:3]] == ["wires:F3", "points:F3"]
    assert sum(row.id == "wires:F3" for row in rows) == 1
    assert not any(row.id in ("front:", "rear:") for row in reference_rows(design, pictures=False))


@pytest.mark.parametrize(
    ("subject", "kinds"),
    [
        ("F3", ["wires", "points"]),
        ("A", ["wires", "points"]),
        ("GA", ["wires", "points"]),
        ("J2", ["wires"]),
        ("M1", []),
    ],
)
def test_what_is_in_hand_may_be_a_bank_a_bus_or_a_connector(design: Design, subject: str, kinds: list[str]) -> None:
    rows = [row.id for row in reference_rows(design, subject)]
    here = rows[1 : 1 + len(kinds)]
    assert here == [f"{kind}:{subject}" for kind in kinds]
    assert len(rows) == len(set(rows) - {""}) + rows.count("")
    for entry in here:
        assert "no " not in text_of(design, entry).splitlines()[0]


def test_the_same_again_is_about_what_is_in_hand_now(design: Design) -> None:
    assert again(design, "", "F3") == ""
    assert again(design, "pins:", "F3") == "pins:"
    assert again(design, "wires:F3", "F4") == "wires:F4"
    assert again(design, "points:F3", "J2") == ""  # a connector has no test points: the list comes instead
    assert [row.id for row in reference_rows(design, "A.1-6")][1:4] == ["wires:A.1-6", "wires:A", "points:A"]
    assert again(design, "compare:gone", "F3") == ""


def test_views_are_found_by_looking_words_up() -> None:
    rows = design_rows(Library.open())
    assert "design:hollin-cue-desk/pins:" in [row.id for row in matching(rows, "pin map hollin")]
    assert "design:hollin-cue-desk/wires:F3" in [row.id for row in matching(rows, "wires moon f3")]


def test_a_hunt_can_be_about_every_control_bank_and_kind(design: Design) -> None:
    ids = {row.id for row in subject_rows(design)}
    assert "unit:" in ids
    assert {f"control:{control.id}" for control in design.controls} <= ids
