"""Words looked up in all shipped content, and with the record on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.content.search import find, words_of
from benchtui.errors import UsageError
from benchtui.find_command import main
from benchtui.paths import record_file
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

LIBRARY = Library.open()


@pytest.mark.parametrize(
    ("typed", "kind", "item"),
    [
        ("load in", "checklist", ""),
        ("wrist strap", "procedure", "strap-off"),
        ("isopropanol flamm", "cautions", ""),
        ("dead input", "fault-model", ""),
        ("fader mm", "design", ""),
    ],
)
def test_content_of_every_kind_is_found_by_its_words(typed: str, kind: str, item: str) -> None:
    # Rows F1 and J2 (S1000D fault reporting and search).
    hits = [hit for hit in find(LIBRARY, typed) if hit.entry.kind == kind]
    assert hits
    assert not item or item in {hit.item for hit in find(LIBRARY, typed)}


def test_the_procedure_of_that_title_comes_before_the_steps_that_speak_of_it() -> None:
    assert find(LIBRARY, "wrist strap")[0].entry.id == "strap-test"


def test_titles_come_before_texts_and_nothing_is_found_for_no_words() -> None:
    hits = find(LIBRARY, "load-in")
    assert hits[0].rank == 0
    assert [hit.rank for hit in hits] == sorted(hit.rank for hit in hits)
    assert find(LIBRARY, " [] ") == ()
    assert find(LIBRARY, "zzzz") == ()
    assert words_of("Müßig, 4k7 [Ω]") == ["muig", "4k7"]


def test_the_command_looks_in_content_and_in_the_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BENCHTUI_HOME", str(tmp_path))
    with Store.open(record_file()) as store:
        store.append("note", unit="HCD-001-R", data={"text": "the strap of the case is torn"})
    assert main(["strap"]) == 0
    printed = capsys.readouterr().out
    assert "procedure strap-test" in printed
    assert "HCD-001-R : note: the strap of the case is torn" in printed
    assert main(["zzzz"]) == 1
    with pytest.raises(UsageError, match="say what to look for"):
        main([])
