"""`benchtui new design`: what it writes is valid, and serves every common procedure, at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchtui import paths
from benchtui.check import check_paths
from benchtui.content.library import Library
from benchtui.content.nodes import compose
from benchtui.design import read_design
from benchtui.design.bill import bill
from benchtui.design.checks import findings
from benchtui.errors import DesignError, UsageError
from benchtui.new_command import TEMPLATE, main, new_design
from benchtui.paper.sheets import procedure_sheet
from benchtui.paper.source import Source


def test_the_starting_point_has_no_mistake() -> None:
    assert check_paths([TEMPLATE]) == []


def test_it_can_be_built_at_once_and_its_test_sheet_asks_for_every_stage() -> None:
    new_design("foot-box")
    assert check_paths([Path("foot-box"), Path("foot-box-assembly")]) == []
    source = Source(Library.open(), design="foot-box")
    plan = source.procedure("foot-box-assembly")
    assert plan.title == "Build one Foot box"
    texts = [step.text for step in plan.steps]
    assert any(text.startswith("Mount K1, Level") for text in texts)
    assert any(text.startswith("Solder the wires of L1") for text in texts)
    assert {step.call for step in plan.steps if step.call} >= {
        "build-harness", "inspect-unpowered", "first-power", "load-firmware", "test-inputs", "soak", "close-and-pack",
    }  # fmt: skip


def test_it_lands_among_the_users_own_and_the_check_finds_it_by_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["design", "foot-box"]) == 0
    path = paths.user_folder() / "procedures" / "foot-box" / "design.yaml"
    assert path.is_file()
    assert capsys.readouterr().out.splitlines()[-1] == "  benchtui check foot-box foot-box-assembly"
    assert check_paths([Path("foot-box")]) == []
    text = path.read_text(encoding="utf-8")
    assert "design: foot-box\ntitle: Foot box\n" in text
    assert "my-design" not in text


def test_every_common_procedure_can_be_printed_for_it() -> None:
    new_design("foot-box")
    source = Source(Library.open(), design="foot-box")
    for id in source.ids("procedure"):
        assert source.procedure(id).title
    for id in source.ids("checklist"):
        assert source.checklist(id).steps


def test_a_procedure_about_what_a_design_does_not_have_is_refused_in_words() -> None:
    new_design("foot-box")
    with pytest.raises(UsageError) as caught:
        procedure_sheet(Source(Library.open(), design="foot-box"), "clean-ribbon")
    assert str(caught.value) == "this is about one ribbon, and Foot box has none"


def test_a_folder_of_ones_own_choice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["design", "foot-box", "--folder", str(tmp_path / "mine")]) == 0
    assert (tmp_path / "mine" / "foot-box" / "design.yaml").is_file()
    assert f"benchtui check {tmp_path}" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["design", "Foot Box"],
            "'Foot Box' cannot be the id of a design; small letters, digits and hyphens: foot-box",
        ),
        (["design", "hollin-cue-desk"], "there is a design 'hollin-cue-desk' already"),
        (["design"], "a new design has one name"),
        (["design", "foot", "box"], "a new design has one name"),
        (["checklist", "x"], "nothing new can be made of 'checklist x'"),
        (["design", "x", "--folder"], "--folder needs a value"),
        (["design", "x", "--colour"], "new has no option '--colour'"),
    ],
)
def test_mistakes(words: list[str], said: str) -> None:
    with pytest.raises(UsageError) as caught:
        main(words)
    assert str(caught.value).startswith(said)


def test_a_file_of_the_builder_is_never_written_over(tmp_path: Path) -> None:
    path = new_design("foot-box", tmp_path)
    path.write_text("mine\n", encoding="utf-8")
    with pytest.raises(UsageError) as caught:
        new_design("foot-box", tmp_path)
    assert "is there already" in str(caught.value)
    assert path.read_text(encoding="utf-8") == "mine\n"


def test_the_parts_to_copy_are_valid_when_their_marks_are_taken_away() -> None:
    """A fader and an encoder stand as comments in the template: with their marks gone, and used, all is well."""
    text = TEMPLATE.read_text(encoding="utf-8")
    text, lines = re.subn(r"(?m)^  # (?=(?:fader-60|encoder-12|  ).*)", "  ", text)
    assert lines > 40
    text = text.replace("    A0: {can", "    A2: {can: [analogue, digital]}\n    D4: {can: [digital]}\n    A0: {can", 1)
    text = text.replace(
        '"6": spare', '"6": A2\n      "7": {to: D3, pull-up: r-10k}\n      "8": {to: D4, pull-up: r-10k}'
    )
    text = text.replace("ways: {ways: 6", "ways: {ways: 8")
    text = text.replace(
        "  K1: {",
        '  F1: {part: fader-60, legend: Light, x: "140 mm", y: "70 mm", bank: A, pins: {signal: "6"}, '
        "message: {controller: 21}}\n"
        '  E1: {part: encoder-12, legend: Cue, x: "180 mm", y: "30 mm", bank: A, pins: {a: "7", b: "8"}, '
        "message: {controller: 60, relative: yes}, fitted: {knob-18: 1}}\n  K1: {",
        1,
    )
    text = text.replace('width: "120 mm"\n  height: "80 mm"', 'width: "220 mm"\n  height: "160 mm"')
    text = text.replace("120 × 80 × 2 mm", "220 × 160 × 2 mm")
    node, syntax = compose(text, file="design.yaml")
    assert node is not None and not syntax
    design, shape = read_design(node, file="design.yaml")
    assert design is not None and not shape
    assert [finding.message for finding in findings(design) if finding.level != "note"] == []


def test_the_kit_of_the_starting_point_holds_all_that_its_steps_put_in() -> None:
    """What its assembly names is in the bill: a first kit that is short stops the first build."""
    new_design("foot-box")
    source = Source(Library.open(), design="foot-box")
    kit = {line.part.id: line.each for line in bill(source.design)}
    assert kit["screw-m3x6"] == 2 + 2 + sum(hole.what == "fixing screw" for hole in source.design.panel.holes)
    assert {id: kit[id] for id in ("carrier", "stand-off", "bond-screw", "star-washer", "nut-m3", "bezel", "foot",
                                   "label", "crimp")} == {
        "carrier": 1, "stand-off": 2, "bond-screw": 1, "star-washer": 1, "nut-m3": 1, "bezel": 1, "foot": 4,
        "label": 2, "crimp": 5 + 5 * 2,
    }  # fmt: skip


def test_a_lamp_that_snaps_in_is_not_tightened() -> None:
    new_design("foot-box")
    steps = Source(Library.open(), design="foot-box").procedure("foot-box-assembly").steps
    mounted = [(step.step_id, step.subject.id, step.uses) for step in steps if step.section == "Mount" and step.subject]
    assert mounted == [
        ("mount", "K1", ("torque-driver",)),
        ("mount", "B1", ("torque-driver",)),
        ("mount-lamp", "L1", ()),
    ]


@pytest.mark.parametrize("rule", ["each fader but lamps", "each control but things"])
def test_only_a_kind_of_control_is_left_out_of_controls(rule: str) -> None:
    new_design("foot-box")
    design = Source(Library.open(), design="foot-box").design
    with pytest.raises(DesignError, match="only a kind of control is left out, and only of controls"):
        design.subjects(rule)
    assert [subject.id for subject in design.subjects("each control but lamps")] == ["K1", "B1"]
    assert [subject.id for subject in design.subjects("each control but lamps on J1")] == ["K1", "B1"]
