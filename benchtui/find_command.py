"""`benchtui find`: words looked up in all content and in the record."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.options import words_and_options

if TYPE_CHECKING:
    from collections.abc import Sequence

USAGE: Final = """\
usage: benchtui find WORDS [--record FILE]
                              steps, checklists, cautions, controls, parts, symptoms, notes and records
                              that hold these words, in any order; each may be only begun"""


def main(argv: Sequence[str]) -> int:
    """Serve `benchtui find`.

    Args:
        argv: What follows the command.

    Returns:
        0 when something was found, 1 when nothing was.

    Raises:
        UsageError: No word was given, or an option that it does not have, or no record that there is.
        RecordError: The record cannot be read.
    """
    if "--help" in argv or "-h" in argv:
        print(USAGE)
        return 0
    words, options = words_and_options(argv, command="find", known=("--record",))
    record = Path(options["--record"]).expanduser() if options else None
    if record is not None and not record.is_file():
        raise UsageError(f"there is no record {record}", hint="look at the name of the file")
    typed = " ".join(words)
    if not typed.strip():
        raise UsageError("say what to look for", hint="type: benchtui find WORDS")
    from benchtui.content.library import Library
    from benchtui.content.search import find
    from benchtui.jobs.passport import said, when
    from benchtui.jobs.twice import covered_of
    from benchtui.paths import record_file
    from benchtui.record.search import find as find_events
    from benchtui.record.store import Store

    hits = find(Library.open(), typed)
    for hit in hits:
        item = f" {hit.item}" if hit.item else ""
        print(f"{hit.entry.kind} {hit.entry.id}{item}: {hit.text}")
    with Store.open(record or record_file(), read_only=True) as store:
        events = covered_of(store, find_events(store, typed))
        for event in events:
            print(f"record {when(event.time)} {event.unit} {event.job}: {said(event.kind, event.data) or event.kind}")
    if not hits and not events:
        print("nothing has these words", file=sys.stderr)
        return 1
    return 0
