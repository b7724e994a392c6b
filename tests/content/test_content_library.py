"""The index of all content: heads read once, files parsed when asked for, a user's own file before a shipped one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from benchtui.content.library import Library, entry_of
from benchtui.errors import ContentError, UsageError
from benchtui.ui.judge import own_files_told

CHECKLIST = """\
# A comment may come first.
checklist: load-in
title: "{title}"  # shown in lists
revision: 1
design: any
style: read-do
when: At the door
aim: It works here
items:
  - {{id: case, text: The case, response: closed}}
"""


def written(folder: Path, title: str, name: str = "load-in.yaml") -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / name
    path.write_text(CHECKLIST.format(title=title), encoding="utf-8")
    return path


def test_an_entry_is_what_the_head_of_a_file_says(tmp_path: Path) -> None:
    entry = entry_of(written(tmp_path, "Load-in"))
    assert entry is not None
    assert (entry.kind, entry.id, entry.title, entry.design) == ("checklist", "load-in", "Load-in", "any")


def test_other_files_are_no_entries(tmp_path: Path) -> None:
    (tmp_path / "soup.yaml").write_text("recipe: soup\n", encoding="utf-8")
    (tmp_path / "empty.yaml").write_text("", encoding="utf-8")
    assert Library.open([tmp_path]).entries() == ()


def test_a_file_of_the_user_takes_the_place_of_a_shipped_one(tmp_path: Path) -> None:
    written(tmp_path / "shipped", "Theirs")
    written(tmp_path / "own", "Mine")
    library = Library.open([tmp_path / "shipped", tmp_path / "own"])
    assert [entry.title for entry in library.entries("checklist")] == ["Mine"]
    assert library.checklist("load-in").title == "Mine"


def test_a_file_is_read_again_when_it_has_changed_and_not_before(tmp_path: Path) -> None:
    path = written(tmp_path, "Before")
    library = Library.open([tmp_path])
    first = library.checklist("load-in")
    assert library.checklist("load-in") is first
    written(tmp_path, "After")
    os.utime(path, ns=(1, 1))
    assert library.checklist("load-in").title == "After"


def test_a_broken_file_hides_no_other(tmp_path: Path) -> None:
    written(tmp_path, "Good")
    (tmp_path / "broken.yaml").write_text("checklist: broken\nitems: [\n", encoding="utf-8")
    library = Library.open([tmp_path])
    assert library.checklist("load-in").title == "Good"
    with pytest.raises(ContentError):
        library.checklist("broken")


def test_an_unknown_id_is_answered_with_the_nearest(tmp_path: Path) -> None:
    written(tmp_path, "Load-in")
    with pytest.raises(UsageError) as caught:
        Library.open([tmp_path]).checklist("loadin")
    assert str(caught.value) == "there is no checklist 'loadin'; did you mean 'load-in'?"


def test_what_ships_has_every_kind_that_the_bench_needs() -> None:
    library = Library.open()
    assert {entry.kind for entry in library.entries()} == {
        "design",
        "procedure",
        "checklist",
        "cautions",
        "fault-model",
    }
    assert "power-on" in library.cautions()
    assert library.emergency()


def test_files_of_ones_own_that_are_not_used_are_named(tmp_path: Path) -> None:
    # In place of a text whose head is damaged the shipped one would be worked by, and nobody would know.
    own = tmp_path / "own"
    good = written(own, "Mine")
    broken = written(own, "Mine too", "broken.yaml")
    broken.write_text(good.read_text(encoding="utf-8").replace("aim:", "aims:"), encoding="utf-8")
    stray = written(own, "Mine as well", "stray.yaml")
    stray.write_text(good.read_text(encoding="utf-8").replace("checklist:", "cheklist:"), encoding="utf-8")
    library = Library.open([tmp_path])
    assert set(library.unreadable(own)) == {broken, stray}
    assert library.unreadable(tmp_path / "elsewhere") == ()


def test_the_bench_says_which_file_of_ones_own_it_cannot_use(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHTUI_HOME", str(tmp_path))
    stray = tmp_path / "stray.yaml"
    stray.write_text("cheklist: load-in\n", encoding="utf-8")
    assert own_files_told(Library.open([tmp_path])) == f"stray.yaml cannot be used: benchtui check {stray} says why"
    stray.unlink()
    assert own_files_told(Library.open([tmp_path])) == ""
