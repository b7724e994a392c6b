"""`benchtui record` on the command line: what it prints, and its exit codes."""

from __future__ import annotations

import os
import subprocess
import sys
from io import BytesIO, TextIOWrapper
from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import full_plan, plan
from helpers.small_fault_model import small_hunt

from benchtui.content.library import Library
from benchtui.errors import JobError, RecordBusyError, RecordDamagedError, RecordError, UsageError
from benchtui.faults.events import ReadingTyped, TestAnswered, from_data
from benchtui.faults.run import HuntRun, Hunts
from benchtui.find_command import main as find_main
from benchtui.jobs import events as ev
from benchtui.jobs.readings import Meter
from benchtui.record import search
from benchtui.record.backup import backup
from benchtui.record.store import Store
from benchtui.record_command import USAGE, _acts, main
from benchtui.ui.view.lookup import past_rows

if TYPE_CHECKING:
    from collections.abc import Callable
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
    assert "- E1: encoder, lot L7, written down 2031-03-01 09:00" in page
    assert said(capsys, file, "export", "001-R", "markdown") == page
    with Store.open(file, clock=Clock()) as store:
        for made in ("A-1234", "1234"):
            store.append("note", unit=made, data={"text": f"of {made}"})
    assert "of 1234" in said(capsys, file, "unit", "1234"), "a unit that is called just so"
    with pytest.raises(UsageError, match="there is no unit '007-X'"):
        main(["unit", "007-X", "--record", str(file)])


def test_words_lots_and_meters_are_looked_up(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "the [clip] is stiff" in said(capsys, file, "find", "clip", "sti")
    assert said(capsys, file, "find", "nowhere", code=1) == ""
    assert "HCD-001-R     E1      encoder L7" in said(capsys, file, "lot", "L7")
    assert "read rail" in said(capsys, file, "meter", "M1")
    assert "read rail" in said(capsys, file, "meter", "M1", "2031-03-01")
    assert said(capsys, file, "meter", "M1", "2031-03-02", code=1) == ""


def test_a_minus_stands_for_the_pipe_or_before_a_number(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store.open(file, clock=Clock()) as store:
        store.append("note", unit="HCD-001-R", data={"text": "-15 V is missing"})
    assert "-15 V is missing" in said(capsys, file, "find", "-15")
    piped = TextIOWrapper(BytesIO(said(capsys, file, "export").encode()), encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", piped)
    assert said(capsys, tmp_path / "other.sqlite", "import", "-").startswith("8 events taken in")


def test_a_label_is_read_as_people_write_it_and_nothing_is_said_for_none(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Row F5 (ISO/IEC 17025): "no reading" means that no unit is called back, so it has to be the meter that was meant.
    for words in (["m1"], [" M 1 "], ["m", "1"], ["m1", "2031-03-01"]):
        assert "read rail" in said(capsys, file, "meter", *words)
    assert main(["meter", "MX", "--record", str(file)]) == 1
    assert "no reading was taken with MX; readings were taken with M1" in capsys.readouterr().err
    assert main(["meter", "M1", "2031-03-02", "--record", str(file)]) == 1
    assert "no reading was taken with M1 since 2031-03-02" in capsys.readouterr().err
    for date in ("2026/01/01", "01.01.2030", "2026-1-1", "yesterday", "2026-01-01T08:00", "2026-02-30"):
        with pytest.raises(UsageError, match="is no date") as refused:
            main(["meter", "M1", date, "--record", str(file)])
        assert "the date as 2031-03-31" in refused.value.hint
    assert "encoder L7" in said(capsys, file, "lot", "l 7")
    assert main(["lot", "L8", "--record", str(file)]) == 1
    assert "no unit has a part of lot L8; lots that were fitted: L7" in capsys.readouterr().err


def test_readings_of_a_hunt_name_their_meter_and_are_found_by_it(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Store.open(file, clock=Clock()) as store:
        run = HuntRun(
            Hunts(Library.open(), store, clock=Clock(), meter=lambda: "M1"),
            small_hunt(),
            job="HAAAAA",
            unit="HCD-001-R",
            begun=Clock()(),
        )
        test = run.state.model.tests[0]
        run.act(ReadingTyped(test=test.id, typed="1.1 V"))
        run.act(TestAnswered(test=test.id, outcome=test.outcomes[0].id, typed=("1.1 V", "2.2 V")))
        run.act(TestAnswered(test=test.id, outcome=test.outcomes[0].id))
        assert [event.data["meter"] for event in store.events(job="HAAAAA")] == ["M1", "M1", ""]
        assert from_data("hunt-test", {"test": "a", "outcome": "b", "typed": ["1 V"]}).meter == "", "an older record"
    lines = said(capsys, file, "meter", "M1").splitlines()
    assert len(lines) == 2, "the reading that came first stands in the answer as well"
    assert f"HCD-001-R     read 1.1 V, 2.2 V in test {test.id} of fault finding" in lines[1]


def test_the_exported_page_of_a_unit_is_its_passport(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Store.open(file, clock=Clock()) as store:
        run = HuntRun(Hunts(Library.open(), store), small_hunt(), job="HAAAAA", unit="HCD-001-R", begun=Clock()())
        test = run.state.model.tests[0]
        run.act(TestAnswered(test=test.id, outcome=test.outcomes[0].id))
        store.connection.execute("UPDATE event SET time = '2031-03-02T09:00:00.000+01:00' WHERE kind = 'note'")
    page = said(capsys, file, "passport", "001-R")
    assert "was changed" in page
    assert said(capsys, file, "export", "001-R", "markdown") == page
    assert said(capsys, file, "export", "markdown") == f"# Units\n\n{page}"


def test_what_is_about_a_control_a_step_or_a_meter_is_found_by_its_name(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Row J2 (S1000D): found by what it is about.
    with Store.open(file, clock=Clock()) as store:
        store.append(
            "defect", unit="HCD-001-R", data={"id": "D1", "step": "solder@F3", "subject": "F3", "text": "cold"}
        )
        store.append("step-done", unit="HCD-001-R", job="J1", data={"step": "solder@F3"})
        store.append(
            "reading",
            unit="HCD-001-R",
            data={"step": "a", "typed": "10k", "what": "wiper of F3", "verdict": "fail", "value": 1e4, "meter": "M7"},
        )
    assert len(said(capsys, file, "find", "f3").splitlines()) == 2, "a mark alone is none of the words written down"
    for words in (["wiper"], ["M7"], ["fail"], ["wiper", "F3", "fail"]):
        assert "wiper of F3" in said(capsys, file, "find", *words)
    assert "cold" in said(capsys, file, "find", "solder", "cold")


def test_a_list_that_is_cut_says_so(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Store.open(file, clock=Clock()) as store:
        for n in range(50):
            store.append("note", unit="HCD-001-R", job="J1", data={"text": f"crackle {n}"})
    for act in (main, find_main):
        assert act([*(["find"] if act is main else []), "crackle", "--record", str(file)]) == 0
        assert capsys.readouterr().err == ""
    with Store.open(file, clock=Clock()) as store:
        store.append("note", unit="HCD-001-R", job="J1", data={"text": "crackle again"})
        assert "these are the newest 20" in past_rows(store, "crackle")[0].text
    for act in (main, find_main):
        assert act([*(["find"] if act is main else []), "crackle", "--record", str(file)]) == 0
        printed = capsys.readouterr()
        assert len(printed.out.splitlines()) == 50
        assert "these are the newest 50: more words find fewer" in printed.err
    assert find_main(["the"]) == 0
    assert "of steps, cautions and parts, these are the 50 nearest: more words find fewer" in capsys.readouterr().err


def test_of_very_many_entries_it_is_said_that_the_oldest_were_not_looked_at(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(search, "LOOKED_AT", 2)
    with Store.open(file, clock=Clock()) as store:
        for n in range(3):
            store.append("note", data={"text": f"crackle {n}"})
        assert search.look(store, "crackle nowhere").more == (
            "only the newest 2 entries with one of these words were looked at"
        )


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["verify"],
        ["export"],
        ["backup", "copy"],
        ["find", "x"],
        ["unit", "001-R"],
        ["decide", "copy", "me", "because"],
        ["J1"],
    ],
)
def test_a_mistyped_record_is_no_clean_one(tmp_path: Path, words: list[str]) -> None:
    with pytest.raises(UsageError, match="there is no record") as refused:
        main([*words, "--record", str(tmp_path / "typo.sqlite")])
    assert refused.value.hint == "look at the name after --record"
    assert list(tmp_path.iterdir()) == []


def test_of_no_record_yet_there_is_nothing_to_hand_on(tmp_path: Path) -> None:
    for words in (["verify"], ["export"], ["backup", str(tmp_path / "copy")]):
        with pytest.raises(UsageError, match="there is no record yet"):
            main(words)
    with pytest.raises(UsageError, match="there is no folder"):
        main(["import", "x", "--record", str(tmp_path / "typo" / "none.sqlite")])
    assert list(tmp_path.iterdir()) == []


def utf16(lines: str) -> bytes:
    """As the usual shell of Windows sends a text into a file."""
    return lines.replace("\n", "\r\n").encode("utf-16")


@pytest.mark.parametrize("made", [utf16, lambda lines: lines.encode("utf-8-sig"), lambda lines: lines.encode()])
def test_an_export_comes_in_as_another_shell_has_written_it(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], made: Callable[[str], bytes]
) -> None:
    with Store.open(file, clock=Clock()) as store:
        store.append("note", unit="HCD-001-R", data={"text": "4.7 kΩ, Ω and µ"})
    lines = said(capsys, file, "export")
    (tmp_path / "all.jsonl").write_bytes(made(lines))
    other = tmp_path / "other.sqlite"
    assert said(capsys, other, "import", str(tmp_path / "all.jsonl")).startswith("8 events taken in")
    assert said(capsys, other, "export") == lines


def test_the_program_writes_the_export_itself(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target, page = tmp_path / "all.jsonl", tmp_path / "unit.md"
    assert said(capsys, file, "export", str(target)) == f"written to {target}\n"
    assert target.read_bytes() == said(capsys, file, "export").encode()
    said(capsys, file, "export", "001-R", "markdown", str(page))
    assert page.read_text(encoding="utf-8") == said(capsys, file, "export", "001-R", "markdown")
    before = target.read_bytes()
    with pytest.raises(UsageError, match="is there already"):
        main(["export", str(target), "--record", str(file)])
    with pytest.raises(UsageError, match="cannot be written"):
        main(["export", str(tmp_path / "nowhere" / "all.jsonl"), "--record", str(file)])
    assert target.read_bytes() == before
    assert not list(tmp_path.glob("*.part"))


DEEP = '{"record":"benchtui","format":1,"unit":""}\n' + "[" * 100_000
LONG = '{"record":"benchtui","format":1,"unit":"","x":' + "9" * 5000 + "}\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[]", "line 1 is no line of an export: it has no fields"),
        ("5", "line 1 is no line of an export: it has no fields"),
        ("# Units", "line 1 is no line of an export: it is not whole, or is no JSON"),
        ('{"record":"x"}', "the first one says that it is an export"),
        ('{"record":"benchtui"}', "it has no field 'format'"),
        ('{"record":"benchtui","format":"x"}', "format is 'x'"),
        ('{"record":"benchtui","format":1}\n{}', "line 2 is no line of an export: it has no field 'origin'"),
        ('{"record":"benchtui","format":1}\n{"text":', "line 2 is no line of an export: it is not whole"),
        (DEEP, "it is nested too deep"),
        (LONG, "it is not whole, or is no JSON"),
        ("", "the file is empty"),
    ],
    ids=["list", "number", "page", "other", "no format", "format", "no event", "cut", "deep", "long", "empty"],
)
def test_what_is_no_export_is_refused_in_plain_words(file: Path, tmp_path: Path, text: str, words: str) -> None:
    export = tmp_path / "x.jsonl"
    export.write_text(text, encoding="utf-8")
    with pytest.raises(RecordDamagedError, match="nothing was taken in") as refused:
        main(["import", str(export), "--record", str(file)])
    assert words in str(refused.value)
    assert "object" not in str(refused.value)


def test_a_record_or_a_picture_is_no_export(file: Path, tmp_path: Path) -> None:
    with Store.open(file) as store:
        copy = backup(store, tmp_path / "copy.sqlite")
    with pytest.raises(RecordDamagedError, match="is a record, and no export of one") as refused:
        main(["import", str(copy), "--record", str(file)])
    assert refused.value.hint == f"make the export first: benchtui record export FILE --record {copy}"
    (tmp_path / "picture").write_bytes(b"\x89PNG\xff\xfe")
    with pytest.raises(RecordDamagedError, match="is no text, and so no export"):
        main(["import", str(tmp_path / "picture"), "--record", str(file)])
    with pytest.raises(UsageError, match="cannot be read"):
        main(["import", str(tmp_path / "nofile"), "--record", str(file)])


def test_a_record_goes_to_another_bench_and_verifies_there(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = said(capsys, file, "export")
    export = tmp_path / "all.jsonl"
    export.write_text(lines, encoding="utf-8")
    other = tmp_path / "other.sqlite"
    assert said(capsys, other, "import", str(export)).startswith(
        "7 events taken in (of HCD-001-R), 0 were here already"
    )
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
    assert main([]) == 0
    assert "The record is empty" in capsys.readouterr().out
    assert not list(tmp_path.iterdir())
