"""`benchtui print`: what is written where, and what is said when it cannot be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchtui import cli
from benchtui.errors import UsageError
from benchtui.print_command import main


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["checklist", "load-in", "--design=hollin-cue-desk"], "load-in.html"),
        (["procedure", "hollin-assembly", "--format", "markdown"], "hollin-assembly.md"),
        (["wiring", "--design", "hollin-cue-desk"], "hollin-cue-desk-wiring.html"),
        (["test-sheet", "--unit", "007", "--design", "hollin-cue-desk"], "hollin-cue-desk-test-sheet-007.html"),
        (["panel", "--kerf", "0.2 mm", "--layer=cut", "--design", "hollin-cue-desk"], "hollin-cue-desk-panel.svg"),
        (["pins", "--design", "hollin-cue-desk"], "hollin-cue-desk-pins.html"),
        (["points", "--design", "foot-switch", "--format=markdown"], "foot-switch-points.md"),
        (["parts", "--design", "hollin-cue-desk"], "hollin-cue-desk-parts.html"),
        (["bill", "--design", "hollin-cue-desk", "--units=6"], "hollin-cue-desk-bill.html"),
        (["wiring", "--out", "w.html", "--design", "hollin-cue-desk"], "w.html"),
        (["panel", "--design", "wing foot  Switch"], "foot-switch-panel.svg"),  # by its title
        (["mock-up", "--design", "Wing foot switch"], "foot-switch-mock-up.html"),
    ],
)
def test_a_file_is_written_and_named(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str], name: str
) -> None:
    assert main(words) == 0
    assert (folder / name).stat().st_size > 1000
    assert f"is in {name}\n" in capsys.readouterr().out


def test_a_dash_writes_to_the_terminal(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["checklist", "load-in", "--design", "hollin-cue-desk", "--format=markdown", "--out=-"]) == 0
    assert capsys.readouterr().out.startswith("# Load-in\n")
    assert list(folder.iterdir()) == []


def test_a_procedure_about_one_control_is_laid_out_for_the_one_named(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["procedure", "replace-control", "--design", "hollin-cue-desk", "--subject", "F3", "--format", "markdown"]
    assert main([*words, "--out", "-"]) == 0
    text = capsys.readouterr().out
    assert "Laid out for F3." in text
    assert "F3 lug 2" in text


@pytest.mark.parametrize(
    ("id", "subject", "said"),
    [
        ("replace-lamp", "F3", "Turn or replace a lamp: F3 is of the kind fader, and this is about "),
        ("clean-ribbon", "F3", "Clean a ribbon: F3 is of the kind fader, and this is about "),
        ("replace-control", "L3", "Replace a control: L3 is of the kind lamp, and this is about "),
        ("clean-ribbon", "Z9", "Hollin cue desk has nothing called 'Z9'"),
    ],
)  # fmt: skip
def test_a_procedure_about_another_kind_is_refused_and_nothing_is_written(
    folder: Path, capsys: pytest.CaptureFixture[str], id: str, subject: str, said: str
) -> None:
    """What would be left of it looks like a short procedure, and is none."""
    assert cli.main(["print", "procedure", id, "--design", "hollin-cue-desk", "--subject", subject]) == 2
    told = capsys.readouterr()
    assert said in told.err and not told.out
    assert list(folder.iterdir()) == []


def test_a_procedure_about_some_kinds_is_laid_out_for_one_of_them(folder: Path) -> None:
    """Its first steps are about "the connector" or "the control"; the kinds it is about choose a switch."""
    assert main(["procedure", "fit-pull-up", "--design", "hollin-cue-desk", "--format", "markdown"]) == 0
    text = (folder / "fit-pull-up.md").read_text(encoding="utf-8")
    assert re.search(r"Laid out for [BTE]\d", text)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["poster"], "there is nothing called 'poster' to print"),
        (["checklist"], "name one checklist"),
        (["checklist", "load-inn"], "there is no checklist 'load-inn'; did you mean 'load-in'?"),
        (["wiring", "F3"], "wiring takes no id"),
        (["wiring", "--format", "pdf"], "there is no format 'pdf'"),
        (["panel", "--layer", "paint"], "there is no layer 'paint'; choose one of: both, cut, paper"),
        (["panel", "--design", "hollin-cue-desk", "--kerf=-1 mm"], "--kerf cannot be below nothing"),
        (["panel", "F3"], "panel takes no id"),
        (["parts", "--design", "foot-switch"], "no part of Wing foot switch has an alternative"),
        (["bill", "--design", "foot-switch", "--units", "0"], "'0' is no number of units; type a whole number from 1"),
        (["bill", "--design", "foot-switch", "--units", "six"], "'six' is no number of units"),
        (["bill", "--design", "foot-switch", "--record", "gone.sqlite"], "there is no record gone.sqlite"),
        (["test-sheet", "--units", "6"], "test-sheet has no option '--units'"),
        (["wiring", "--colour", "red"], "wiring has no option '--colour'; it has: --design, --format, --out"),
        (["wiring", "--kerf", "0.2 mm"], "wiring has no option '--kerf'"),
        (["wiring", "--out"], "--out needs a value"),
        (["wiring", "--design", "no-desk"], "there is no design 'no-desk'"),
        (
            ["wiring", "--design", "hollin-cue-desk", "--out", "no/such/folder/w.html"],
            "no/such/folder/w.html cannot be",
        ),
    ],
)
def test_mistakes(folder: Path, words: list[str], said: str) -> None:
    with pytest.raises(UsageError) as caught:
        main(words)
    assert str(caught.value).startswith(said)


def test_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    assert "benchtui print manual" in capsys.readouterr().out
