"""Which test answers which row of what the open standards ask, with the document that asks it: `rows.txt`.

Many tests name their row beside the check itself. The table names one test at least for each row that is taken, so that
none is lost when a test is renamed or taken out.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Final

import pytest

HERE: Final = Path(__file__).resolve().parent


def rows() -> dict[str, tuple[str, tuple[str, ...]]]:
    """Row to the documents that ask it, and tests as FILE::NAME."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    row = ""
    for line in (HERE / "rows.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("#") or not line.strip():
            continue
        if line.startswith(" "):
            source, tests = found[row]
            found[row] = (source, (*tests, line.strip()))
        else:
            row, _, source = (part.strip() for part in line.partition("|"))
            assert row not in found, f"{row} stands twice"
            found[row] = (source, ())
    return found


ROWS: Final = rows()


@cache
def names_in(file: str) -> frozenset[str]:
    """The tests of a file."""
    text = (HERE.parent / file).read_text(encoding="utf-8")
    return frozenset(re.findall(r"^(?:async )?def (test_\w+)", text, re.MULTILINE))


@pytest.mark.parametrize("row", ROWS)
def test_the_tests_of_a_row_are_there(row: str) -> None:
    source, tests = ROWS[row]
    assert source
    assert tests
    for test in tests:
        file, _, name = test.partition("::")
        assert (HERE.parent / file).is_file(), test
        assert name in names_in(file), test
