"""`benchtui check`: what files say of each other, what a procedure meets when it is laid out, and what is printed."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchtui import paths
from benchtui.check import Check, check_paths
from benchtui.check_command import main, summary
from benchtui.errors import Place, Problem, UsageError
from benchtui.new_command import TEMPLATE

PROCEDURE = """\
procedure: {id}
title: A test
kind: service
revision: 1
design: {design}
purpose: To be checked.
before: {{conditions: none, tools: none, parts: none, materials: none}}
minutes: 1
after: none
steps:
  - id: look
    {step}
"""


def written(folder: Path, step: str, *, id: str = "a-test", design: str = "hollin-cue-desk", name: str = "") -> Path:
    path = folder / (name or f"{id}.yaml")
    step += "\naccept: it is whole" if step.startswith("observe:") else ""
    path.write_text(PROCEDURE.format(id=id, design=design, step=step.replace("\n", "\n    ")), encoding="utf-8")
    return path


def told(path: Path) -> list[str]:
    """What is said about a file, without the folder it lies in."""
    return [str(problem).replace(f"{path.parent}/", "") for problem in check_paths([path])]


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("observe: Look at {control}.\nfor: each fader", []),
        (
            "observe: Look at {contrl}.\nfor: each fader",
            ["a-test.yaml:11:5: step 'look': there is no placeholder {contrl}; did you mean 'control'?"],
        ),
        (
            "observe: Look at {control}.",
            [
                "a-test.yaml:11:5: step 'look': {control} has no answer for this subject; "
                "say what the step repeats over in `for:`"
            ],
        ),
        (
            "observe: Look.\nfor: each fadr",
            ["a-test.yaml:11:5: step 'look': there is no kind of control 'fadr'; did you mean 'fader'?"],
        ),
        (
            "observe: Look.\nfor: each button-direct",
            [
                "a-test.yaml:11:5: step 'look': this is never reached, for the design has nothing for "
                "'each button-direct'; take it out, or correct `for:`"
            ],
        ),
        (
            "observe: Look.\nfor: control F88",
            ["a-test.yaml:11:5: step 'look': Hollin cue desk has no control 'F88'; did you mean 'F8'?"],
        ),
        (
            "call: after-repairs\nwhy: To be sure.",
            ["a-test.yaml:11:5: step 'look': there is no procedure 'after-repairs'; did you mean 'after-repair'?"],
        ),
        (
            "do: Solder the lead.",
            ["a-test.yaml:11:5: step 'look': the text speaks of the iron, and no caution is shown; add iron to `uses`"],
        ),
    ],
    ids=["good", "placeholder", "no subject", "kind", "never reached", "control", "call", "hazard"],
)
def test_against_its_neighbours(tmp_path: Path, step: str, expected: list[str]) -> None:
    assert told(written(tmp_path, step)) == expected


def test_an_unknown_test_point(tmp_path: Path) -> None:
    [problem] = check_paths([written(tmp_path, "measure: Measure.\nfor: each fader\nreading: {point: elemnt}")])
    assert "elemnt" in problem.message and "'element'" in problem.hint


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        (
            "measure: Measure {control}.\nfor: each fader\nreading: {point: signal-mid}",
            [
                "a-test.yaml:11:5: step 'look': 'signal-mid' is probed with the power on, and no caution is shown; "
                "add power-on-open-lid to `uses`"
            ],
        ),
        (
            "measure: Measure {control}.\nfor: each fader\nreading: {point: signal, position: mid}",
            [
                "a-test.yaml:11:5: step 'look': 'signal-mid' is probed with the power on, and no caution is shown; "
                "add power-on-open-lid to `uses`"
            ],
        ),
        (
            "measure: Measure {bank}.\nfor: each bank\nreading: {point: bank-ohms}",
            [
                "a-test.yaml:11:5: step 'look': 'bank-ohms' is read on a range with its own current, and no caution is "
                "shown; add ohms-range to `uses`"
            ],
        ),
        (
            "do: Plug the USB lead in.\nbegins: power-on\n%measure: Measure {bank}.\nfor: each bank\n"
            "reading: {point: bank-ohms}\nuses: [ohms-range]\n%do: Pull it out.\nends: power-on",
            [
                "a-test.yaml:14:5: step 's1': it measures with the meter's own current, and the unit is powered here; "
                "end 'power-on' before it",
                "a-test.yaml:14:5: step 's1': 'bank-ohms' is read with the power off, and the unit is powered here; "
                "end 'power-on' before it",
            ],
        ),
    ],
    ids=["probed with power on", "by position", "ohms in a built unit", "ohms while powered"],
)
def test_what_a_test_point_asks_of_the_power(tmp_path: Path, step: str, expected: list[str]) -> None:
    first, *more = step.split("%")
    path = written(tmp_path, first.rstrip())
    with path.open("a", encoding="utf-8") as stream:
        for number, text in enumerate(more, 1):
            stream.write(f"  - id: s{number}\n    " + text.rstrip().replace("\n", "\n    ") + "\n")
    assert told(path) == sorted(expected)


@pytest.mark.parametrize(
    ("design", "old", "new", "said"),
    [
        ("foot-switch", '{to: D3, through: r-270}', "D3", "control L1: nothing limits the current of this lamp"),
        ("hollin-cue-desk", "    diode: diode\n", "",
         "matrix X has no diodes: three buttons held make a fourth appear"),
        ("hollin-cue-desk", "to: A1, pull-down: r-100k, ", "to: A1, ",
         "control R1: nothing pulls it down, so its value wanders while untouched"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_design_is_told_and_not_what_follows_from_it(
    design: str, old: str, new: str, said: str, tmp_path: Path
) -> None:
    path = altered(tmp_path, design, (old, new))
    check = Check([path])
    found = check.problems()
    assert [problem.message.partition(" (")[0] for problem in found] == [said]
    assert found[0].hint and check.unread_designs  # the last line says that more may come


def test_what_cannot_be_done_on_a_design_stands_after_what_is_wrong_with_it(tmp_path: Path) -> None:
    """Two buttons and no diode are allowed, and then no step can measure one: it is told, with what to do."""
    path = altered(
        tmp_path, "hollin-cue-desk", ("    diode: diode\n", ""), ("  B3: {", "  # B3: {"), *[
            (f"  B{number}: {{", f"  # B{number}: {{") for number in range(4, 17)
        ],
    )  # fmt: skip
    check = Check([path])
    found = check.problems()
    told = {problem.message: problem.hint for problem in found}
    assert all(message.endswith(": B1 has no diode") for message in told)
    about = "replace-diode cannot be done: step 'forward': B1 has no diode"
    assert told[about] == "give the design what is missing, or write your own replace-diode"
    assert not check.unread_designs


def altered(folder: Path, design: str, *pairs: tuple[str, str]) -> Path:
    """A shipped design with some texts exchanged."""
    text = paths.shipped("procedures").joinpath(design, "design.yaml").read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    path = folder / "design.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_step_that_is_wrong_by_itself_is_not_laid_out(tmp_path: Path) -> None:
    reading = "measure: Measure.\nreading: {quantity: resistance, what: it, source: common practice}"
    assert told(written(tmp_path, reading)) == [
        "a-test.yaml:13:14: step 'look': a quantity needs `low:`, `high:` or both"
    ]


def test_an_unknown_design(tmp_path: Path) -> None:
    [line] = told(written(tmp_path, "observe: Look.", design="no-such-desk"))
    assert line.startswith("a-test.yaml:1:1: there is no design 'no-such-desk'; write any, or one of: ")


def test_a_procedure_for_any_design_is_tried_on_each(tmp_path: Path) -> None:
    found = told(written(tmp_path, "observe: Look at {nothing}.", design="any"))
    assert any("(over the design 'hollin-cue-desk')" in line for line in found)


def test_one_bad_file_does_not_hide_another(tmp_path: Path) -> None:
    (tmp_path / "broken.yaml").write_text("procedure: [", encoding="utf-8")
    written(tmp_path, "observe: Look at {contrl}.")
    assert {Path(problem.place.file).name for problem in check_paths([tmp_path])} == {"broken.yaml", "a-test.yaml"}


def test_a_first_key_that_is_none_of_ours(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("recipe: soup\n", encoding="utf-8")
    assert told(path) == [
        "a.yaml:1:1: the first key tells what a file is, and 'recipe' is none; "
        "begin with one of: design, procedure, checklist, cautions, fault-model"
    ]


def test_a_list_is_no_content_file(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("- a\n", encoding="utf-8")
    assert "it has no keys" in told(path)[0]


def test_a_file_that_the_library_would_not_find(tmp_path: Path) -> None:
    path = written(tmp_path, "observe: Look.", name="a-test.yml")
    assert told(path) == ["a-test.yml: content is looked for in files that end in .yaml; rename this one"]


def test_two_files_with_one_id(tmp_path: Path) -> None:
    written(tmp_path, "observe: Look.", name="one.yaml")
    written(tmp_path, "observe: Look.", name="two.yaml")
    [problem] = check_paths([tmp_path])
    assert problem.message.startswith("the procedure 'a-test' is in ")
    assert problem.place.file.endswith("two.yaml")


def test_a_path_that_does_not_exist() -> None:
    with pytest.raises(UsageError) as caught:
        check_paths([Path("load-inn")])
    assert str(caught.value) == "there is no file, folder or id 'load-inn'; did you mean 'load-in'?"


def test_an_id_stands_for_its_file() -> None:
    assert check_paths([Path("load-in")]) == []


def test_the_command_says_how_much_it_looked_at(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    written(tmp_path, "observe: Look.")
    assert main([str(tmp_path)]) == 0
    assert capsys.readouterr().out == "1 file checked, no mistake found\n"
    written(tmp_path, "observe: Look at {contrl}.")
    assert main([str(tmp_path)]) == 1
    first, last = capsys.readouterr().out.splitlines()
    assert first.endswith("did you mean 'control'?")
    assert last == "1 file checked, 1 mistake"


def test_the_command_shows_the_line_on_a_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path, "observe: Look at {contrl}.")
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main([str(path)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[1:3] == ["    11 |   - id: look", "       |     ^"]


def test_the_command_knows_no_options() -> None:
    with pytest.raises(UsageError):
        main(["--fast"])


def test_the_summary_of_many() -> None:
    one = Problem(Place("a.yaml", 1, 1), "wrong")
    assert summary(47, []) == "47 files checked, no mistake found"
    assert summary(1, [one], more=True).startswith("1 file checked, 1 mistake; a design is judged as a whole once")
    assert summary(47, [one, one]) == "47 files checked, 2 mistakes in 1 of them"


def crowded(folder: Path) -> Path:
    """A design whose button sits on its rotary control, and which sends a message that many receivers know."""
    path = folder / "design.yaml"
    text = TEMPLATE.read_text(encoding="utf-8")
    text = text.replace('legend: Go, x: "90 mm"', 'legend: Go, x: "40 mm"').replace("controller: 20", "controller: 64")
    path.write_text(text, encoding="utf-8")
    return path


def test_a_design_that_does_not_go_together(tmp_path: Path) -> None:
    found = told(crowded(tmp_path))
    assert any("controls K1 and B1 overlap on the front by 6.5 mm" in line for line in found)
    text = crowded(tmp_path).read_text(encoding="utf-8").splitlines()
    number = next(at for at, line in enumerate(text, 1) if line.startswith("  B1: "))
    assert all(line.startswith(f"design.yaml:{number}:3: ") for line in found), "each names the place"
    assert all("(" in line for line in found), "each names its source"


def test_advice_does_not_make_a_design_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = crowded(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace('x: "40 mm"', 'x: "90 mm"'), encoding="utf-8")
    assert main([str(path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("warning: ") and "controller 64" in line for line in lines)
    assert lines[-1] == "1 file checked, no mistake found"
