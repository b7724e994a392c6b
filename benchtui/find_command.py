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

MOST: Final = 50
"""Places of the content that are listed."""


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
    from benchtui.record.search import look
    from benchtui.record.store import Store

    hits = find(Library.open(), typed, limit=MOST + 1)
    for hit in hits[:MOST]:
        item = f" {hit.item}" if hit.item else ""
        print(f"{hit.entry.kind} {hit.entry.id}{item}: {hit.text}")
    with Store.open(record or record_file(), read_only=True) as store:
        found = look(store, typed)
        events = covered_of(store, found.events)
        for event in events:
            print(f"record {when(event.time)} {event.unit} {event.job}: {said(event.kind, event.data) or event.kind}")
    if len(hits) > MOST:
        print(f"of steps, cautions and parts, these are the {MOST} nearest: more words find fewer", file=sys.stderr)
    if found.more:
        print(f"of the record, {found.more}", file=sys.stderr)
    if not hits and not events:
        print("nothing has these words", file=sys.stderr)
        return 1
    return 0
