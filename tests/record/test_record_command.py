"""`benchtui record` on the command line: what it prints, and its exit codes."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan

from benchtui.errors import JobError, RecordBusyError, RecordError, UsageError
from benchtui.jobs import events as ev
from benchtui.jobs.readings import Meter
from benchtui.record.store import Store
from benchtui.record_command import USAGE, _acts, main

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A record of one unit with a reading, a lot and a note."""
    file, clock = tmp_path / "record.sqlite", Clock()
    with Store.open(file, clock=clock) as store:
        small = plan(full_plan().step("rail"), design_id="hollin-cue-desk")
        bench = PlannedBench({"hollin-assembly": small}, store, clock)
        bench.meter = Meter(id="M1")
        run = bench.start("hollin-assembly", bench.units.make("hollin-cue-desk"))
        run.read("3.3")
        run.act(ev.PartFitted(part="encoder", place="E1", lot="L7"))
        run.act(ev.NoteAdded(text="the [clip] is stiff"))
    return file


def said(capsys: pytest.CaptureFixture[str], file: Path, *words: str, code: int = 0) -> str:
    """What the command prints, once its exit code was checked."""
    assert main([*words, "--record", str(file)]) == code
    return capsys.readouterr().out


def test_every_act_is_in_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    printed = capsys.readouterr().out
    assert printed.strip() == USAGE
    assert all(f"benchtui record {name}" in printed for name in _acts())


def test_a_unit_is_found_by_the_end_of_its_number(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    history = said(capsys, file, "unit", "001-R")
    assert "read rail: 3.3 V, pass" in history
    assert "note: the [clip] is stiff" in history
    page = said(capsys, file, "passport", "HCD-001-R")
    assert page.startswith("# Unit HCD-001-R")
    assert "| rail |  | 3.3 V | 3.14 V to 3.47 V | pass |" in page
    assert "- E1: encoder, lot L7, fitted 2031-03-01 09:00" in page
    assert said(capsys, file, "export", "001-R", "markdown") == page
    with pytest.raises(UsageError, match="there is no unit '007-X'"):
        main(["unit", "007-X", "--record", str(file)])


def test_words_lots_and_meters_are_looked_up(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "the [clip] is stiff" in said(capsys, file, "find", "clip", "sti")
    assert said(capsys, file, "find", "nowhere", code=1) == ""
    assert "HCD-001-R     E1      encoder L7" in said(capsys, file, "lot", "L7")
    assert "read rail" in said(capsys, file, "meter", "M1")
    assert "read rail" in said(capsys, file, "meter", "M1", "2031-03-01")
    assert said(capsys, file, "meter", "M1", "2031-03-02") == ""


def test_a_record_goes_to_another_bench_and_verifies_there(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = said(capsys, file, "export")
    export = tmp_path / "all.jsonl"
    export.write_text(lines, encoding="utf-8")
    other = tmp_path / "other.sqlite"
    assert said(capsys, other, "import", str(export)).startswith("7 events taken in")
    assert said(capsys, other, "import", str(export)).startswith("0 events taken in, 7 were here")
    assert said(capsys, other, "export") == lines
    assert "every digest in order" in said(capsys, other, "verify")
    assert "copied to" in said(capsys, other, "backup", str(tmp_path / "copy.sqlite"))
    with Store.open(other) as store:
        store.connection.execute("UPDATE event SET time = '2000-01-01T00:00:00+00:00' WHERE seq = 2")
    assert "was changed after it was written" in said(capsys, other, "verify", code=3)


def test_ends_of_a_line_that_no_editor_shows_do_no_harm(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Unicode 15.0, 5.8: a line ends at U+2028, U+2029 and U+0085 as well. A note takes a blank for them; what an
    # earlier version has kept goes through an export whole.
    assert ev.NoteAdded(text="a\u2028b\x85c\r\nd\x1b[2Je\u202e").text == "a b c d[2Je"
    with Store.open(file, clock=Clock()) as store:
        store.append("note", unit="HCD-001-R", data={"text": "stuck\u2028at the\x85left"})
    export = tmp_path / "all.jsonl"
    export.write_text(said(capsys, file, "export"), encoding="utf-8")
    other = tmp_path / "other.sqlite"
    assert said(capsys, other, "import", str(export)).startswith("8 events taken in")
    with Store.open(other) as store:
        assert store.events(kinds=["note"])[-1].data["text"] == "stuck\u2028at the\x85left"


def test_bytes_that_are_no_text_do_no_harm(file: Path) -> None:
    # Unicode 15.0, 3.9 (D92): no UTF-8 for half a surrogate pair, which Python puts where a byte was no text (PEP 383).
    assert ev.NoteAdded(text="caf\udce9").text == "caf?"
    with Store.open(file, clock=Clock()) as store:
        before = store.events()
        with pytest.raises(RecordError, match="the entry 'note' holds what no file can keep"):
            store.append("note", data={"text": "caf\udce9"})
        assert store.events() == before


@pytest.mark.parametrize("strict", ["", "utf-8:strict"], ids=["C locale", "strict"])
def test_a_paste_in_another_encoding_is_kept_as_far_as_it_is_text(tmp_path: Path, strict: str) -> None:
    file = tmp_path / "record.sqlite"
    done = subprocess.run(
        [sys.executable, "-m", "benchtui", "--record", str(file), "--lines"],
        input="start\nload-in\nnote caf\xe9\nq\n".encode("latin-1"),
        env={**os.environ, "LC_ALL": "C", "PYTHONIOENCODING": strict},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert b"Traceback" not in done.stderr, done.stderr
    with Store.open(file, read_only=True) as store:
        assert all(event.data["text"].startswith("caf") for event in store.events(kinds=["note"]))


def test_what_two_benches_disagree_on_is_listed_and_decided(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other, export = tmp_path / "other.sqlite", tmp_path / "all.jsonl"
    with Store.open(other, clock=Clock()) as store:
        PlannedBench({}, store, Clock()).units.make("hollin-cue-desk")
    export.write_text(said(capsys, file, "export"), encoding="utf-8")
    assert main(["import", str(export), "--record", str(other)]) == 1
    assert "HCD-001-R was given at two benches" in capsys.readouterr().err
    line = said(capsys, other, "decide", "001-R", code=1)
    entry = line.split()[0]
    assert "is it one unit, or are they two?" in line
    with pytest.raises(JobError, match="benchtui record part HCD-001-R"):
        main(["decide", "001-R", entry, "me", "two", "desks", "--record", str(other)])
    assert "nothing is left to decide" in said(capsys, other, "decide", "001-R", entry, "me", "one", "desk")
    made = said(capsys, other, "decide", "001-R").splitlines()[0]
    assert "decided: " in made
    with pytest.raises(UsageError, match="who withdraws it, and why"):
        main(["withdraw", "001-R", made.split()[0], "me", "--record", str(other)])
    left = said(capsys, other, "withdraw", "001-R", made.split()[0], "me", "there", "are", "two", code=1)
    assert left.startswith(f"{entry}  ")
    assert "one desk (decided by me); withdrawn: there are two (me)" in left
    assert "withdrawn" in said(capsys, other, "unit", "001-R")
    assert "decided: " in said(capsys, other, "decide", "001-R", entry, "me", "one", "desk")
    page = said(capsys, other, "passport", "001-R")
    assert "Decisions where two benches disagreed" in page
    assert "one desk (decided by me)" in page


def test_two_units_of_one_number_are_told_apart_and_parted(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Row H1 (ISO 9001:2015 8.5.2): one number, one unit.
    assert said(capsys, file, "part", "001-R") == "only one unit is HCD-001-R\n"
    other, export = tmp_path / "other.sqlite", tmp_path / "all.jsonl"
    with Store.open(other, clock=Clock()) as store:
        units = PlannedBench({}, store, Clock()).units
        units.make("hollin-cue-desk")
        store.append("note", unit="HCD-001-R", data={"text": "the other desk"})
        origin = store.origin
    export.write_text(said(capsys, file, "export"), encoding="utf-8")
    assert main(["import", str(export), "--record", str(other)]) == 1
    capsys.readouterr()
    rows = said(capsys, other, "part", "001-R").splitlines()
    assert len(rows) == 2
    entry = next(row.split()[0] for row in rows if row.startswith(origin))
    with pytest.raises(UsageError, match="name a unit"):
        main(["part", "001-R", entry, "me", "--record", str(other)])
    given = said(capsys, other, "part", "001-R", entry, "me", "one", "in", "the", "case")
    assert given == "it is HCD-002-M from now on: put HCD-002-M on it; all that its bench wrote went with it\n"
    assert said(capsys, other, "decide", "001-R") == "no two benches disagree on HCD-001-R\n"
    assert "it was HCD-001-R, as another unit was, and is HCD-002-M from then on: one in the case (me)" in said(
        capsys, other, "passport", "002-M"
    )
    assert "the other desk" in said(capsys, other, "unit", "002-M")
    assert "the other desk" not in said(capsys, other, "unit", "001-R")
    assert "every digest in order" in said(capsys, other, "verify")


def test_a_copy_put_back_is_said_on_the_command_line(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys, file, "backup", str(tmp_path / "copy.sqlite"))
    with Store.open(file, clock=Clock()) as store:
        store.append("note", data={"text": "later"})
    whole = tmp_path / "whole.jsonl"
    whole.write_text(said(capsys, file, "export"), encoding="utf-8")
    (tmp_path / "copy.sqlite").replace(file)
    assert main(["--record", str(file)]) == 0
    assert "it lacks the last entry made here" in capsys.readouterr().err, "the first look says it, before any work"
    empty = tmp_path / "none.jsonl"
    empty.write_text('{"format":1,"record":"benchtui","unit":""}\n', encoding="utf-8")
    assert main(["import", str(empty), "--record", str(file)]) == 0
    assert "it lacks the last entry made here" in capsys.readouterr().err
    for _ in range(2):
        assert main(["--record", str(file)]) == 0
        assert "it lacks the last entry made here" in capsys.readouterr().err, "it stands at each start"
        with Store.open(file) as store:
            assert "it lacks the last entry made here" in store.told
    assert main(["import", str(whole), "--record", str(file)]) == 0
    capsys.readouterr()
    assert main(["--record", str(file)]) == 0
    assert capsys.readouterr().err == "", "what was lacking came in"


def test_what_a_copy_lacks_is_said_until_somebody_decides(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys, file, "backup", str(tmp_path / "copy.sqlite"))
    with Store.open(file, clock=Clock()) as store:
        store.append("note", data={"text": "later"})
    (tmp_path / "copy.sqlite").replace(file)
    with pytest.raises(UsageError, match="who decides"):
        main(["decide", "copy", "--record", str(file)])
    assert "said no more" in said(capsys, file, "decide", "copy", "me", "the", "note", "is", "written", "again")
    capsys.readouterr()
    assert main(["--record", str(file)]) == 0
    assert capsys.readouterr().err == ""
    assert "the note is written again" in said(capsys, file, "export")
    with pytest.raises(RecordError, match="lacks anything"):
        main(["decide", "copy", "me", "again", "--record", str(file)])


def test_nothing_is_taken_in_while_another_program_writes(file: Path, tmp_path: Path) -> None:
    with Store.open(file), pytest.raises(RecordBusyError, match="is writing to this record") as refused:
        main(["import", str(tmp_path / "x"), "--record", str(file)])
    assert refused.value.hint == "close it there first, then type this again"


@pytest.mark.parametrize(
    "words",
    [
        ["verify", "x"],
        ["import"],
        ["backup"],
        ["find"],
        ["lot"],
        ["meter"],
        ["--what"],
        ["export", "a", "b"],
        ["decide"],
        ["decide", "001-R", "x"],
    ],
)
def test_a_wrong_word_is_told_how_to_be_right(file: Path, words: list[str]) -> None:
    with pytest.raises(UsageError) as error:
        main([*words, "--record", str(file)])
    assert error.value.hint


def test_an_empty_record_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "The record is empty" in said(capsys, tmp_path / "none.sqlite")
