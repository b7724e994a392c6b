"""What is refused before the meaning of a file is looked at: text and exact problems, also a manual for authors."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchtui.content.nodes import LARGEST, compose, load
from benchtui.content.procedure import read_procedure
from benchtui.errors import ContentError

QUOTE = "put a text that holds ': ' or begins with a mark in quotes"
LINE_UP = "line up the keys, and the '- ' of one list, under each other; use spaces"

REFUSED = {
    "empty file": ("", ["f:1:1: the file is empty"]),
    "only a comment": ("# nothing yet\n", ["f:1:1: the file is empty"]),
    "second document": (
        "a: 1\n---\nb: 2\n",
        ["f:3:1: a second document begins here; one file holds one document: drop the ---"],
    ),
    "anchor": (
        "a: &x 1\n",
        ["f:1:4: an anchor (&name) is not used in these files; write the value out where it is used"],
    ),
    "alias": (
        "a: &x 1\nb: *x\n",
        [
            "f:1:4: an anchor (&name) is not used in these files; write the value out where it is used",
            "f:2:4: an alias (*name) is not used in these files; write the value out where it is used",
        ],
    ),
    "tag": (
        "a: !!int 3\n",
        [
            "f:1:4: a tag (!name) is not used in these files; "
            "leave it out: every value is read by the field it stands in"
        ],
    ),
    "directive": ("%YAML 1.1\n---\na: 1\n", ["f:1:1: a directive (%) is not used in these files; leave it out"]),
    "control character": (
        "a: bell\x07\n",
        ["f:1:8: there is a character here that cannot be seen (U+0007); delete it, or type the line again by hand"],
    ),
    "text that runs backwards": (
        "a: 1\nb: \u202e10 ohm\n",
        ["f:2:4: there is a character here that cannot be seen (U+202E); delete it, or type the line again by hand"],
    ),
    "arabic letter mark": (
        "a: \u061c1\n",
        ["f:1:4: there is a character here that cannot be seen (U+061C); delete it, or type the line again by hand"],
    ),
    "zero-width space": (
        "a: 10\u200b kohm\n",
        ["f:1:6: there is a character here that cannot be seen (U+200B); delete it, or type the line again by hand"],
    ),
    "line separator": (
        "a: one\u2028two\n",
        ["f:1:7: there is a character here that cannot be seen (U+2028); delete it, or type the line again by hand"],
    ),
    "a second colon": ("do: Note: tin it\n", [f"f:1:9: this is not valid YAML: a second ': ' on this line; {QUOTE}"]),
    "indented under a value": (
        "a: 1\n  b: 2\n",
        [f"f:2:4: this is not valid YAML: this line is indented under a key that has a value already; {LINE_UP}"],
    ),
    "out of line": (
        "a:\n  - b\n c: 1\n",
        [f"f:3:2: this is not valid YAML: this does not fit the lines above it; {LINE_UP}"],
    ),
    "tab": ("a:\n\tb: 1\n", ["f:2:1: this is not valid YAML: a tab is used for indenting; use spaces"]),
    "tab after spaces": (
        "a:\n  b: 1\n  \tc: 2\n",
        ["f:3:3: this is not valid YAML: a tab is used for indenting; use spaces"],
    ),
    "tab after a dash": (
        "a:\n  -\tb\n",
        ["f:2:4: this is not valid YAML: a tab is used for indenting; use spaces"],
    ),
    "a tab that does no harm": (
        "a:\t1\nb: c: d\n",
        [f"f:2:5: this is not valid YAML: a second ': ' on this line; {QUOTE}"],
    ),
    "a tab between brackets": (
        "a: {b: 1,\n\tc: 2}\nd: @e\n",
        [f"f:3:4: this is not valid YAML: a text cannot begin with '@'; {QUOTE}"],
    ),
    "open bracket": (
        "uses: [iron, saw\n",
        [
            "f:1:7: this is not valid YAML: a bracket is opened here and not closed; "
            "close it, with commas between entries"
        ],
    ),
    "open quote": (
        'do: "Tin it\n',
        ["f:1:5: this is not valid YAML: a quote is opened here and not closed; close it at the end of the text"],
    ),
    "quote in a quote": (
        "do: 'It's cold'\n",
        [
            "f:1:9: this is not valid YAML: the text goes on after its closing quote; "
            "put the whole text in the other kind of quotes"
        ],
    ),
    "text begins with a mark": (
        "do: @ the bench\n",
        [f"f:1:5: this is not valid YAML: a text cannot begin with '@'; {QUOTE}"],
    ),
    "no colon": (
        "a: 1\nb\nc: 2\n",
        ["f:2:1: this is not valid YAML: a line without ': ' where a key is expected; a key is followed by ': '"],
    ),
    "too deep": ("[" * 3000, ["f:1:1: the lists lie too deep in each other; flatten them"]),
    "too large": ("# " + "x" * LARGEST, ["f: the file is larger than 1 MiB; split it"]),
}


@pytest.mark.parametrize(("text", "expected"), REFUSED.values(), ids=REFUSED)
def test_refused_with_place_and_hint(text: str, expected: list[str]) -> None:
    _, problems = compose(text, file="f")
    assert [str(problem) for problem in problems] == expected


def test_an_unseen_character_does_not_hide_what_else_is_wrong() -> None:
    node, problems = compose("procedure: a\u200bb\ntitel: x\n", file="f")
    assert node is not None
    _, more = read_procedure(node, file="f")
    assert len(problems) == 1
    assert any("unknown key 'titel'" in problem.message for problem in more)


def test_an_alias_that_would_grow_without_end_is_not_read_any_further() -> None:
    text = "a: &a [x, x]\n" + "".join(
        f"{new}: &{new} [*{old}, *{old}]\n" for old, new in zip("abcdefgh", "bcdefghi", strict=True)
    )
    node, problems = compose(text, file="f")
    assert node is None
    assert len(problems) == 9 + 16


def test_a_byte_order_mark_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "mark.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    node, problems = compose(path)
    assert node is not None and not problems
    assert [key.value for key, _ in node.value] == ["a", "b"]


def test_text_that_is_not_utf_8(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes("a: 1\nb: 10 µF\n".encode("latin-1"))
    _, problems = compose(path, file="f")
    assert [str(problem) for problem in problems] == ["f:2:1: this is not UTF-8 text; save the file as UTF-8"]


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(ContentError) as caught:
        load(tmp_path / "gone.yaml", read_procedure)
    assert str(caught.value).endswith("gone.yaml: the file cannot be read (no such file or directory)")
