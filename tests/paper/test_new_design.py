"""`benchtui new design`: what it writes is valid, and serves every common procedure, at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchtui import paths
from benchtui.check import check_paths
from benchtui.content.library import Library
from benchtui.errors import UsageError
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
        procedure_sheet(Source(Library.open(), design="foot-box"), "fit-pull-down")
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
