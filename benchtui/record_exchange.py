"""The acts of `benchtui record` by which a record goes to another place: verify, export, import, back up."""

from __future__ import annotations

import sys
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.record_words import at_most, exactly, known_unit, named_unit, page_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.record.store import Store

_EXPORT = "benchtui record export [UNIT] [markdown] [FILE]"


def verify(store: Store, words: list[str]) -> int:
    """Check the whole record; 3 when something does not add up."""
    from benchtui.record.verify import counted, ends
    from benchtui.record.verify import verify as check

    at_most(words, 0, "benchtui record verify")
    findings = check(store)
    for finding in findings:
        print(f"{finding.where}: {finding.message}")
    if findings:
        print(f"{len(findings)} things do not add up in {store.path}", file=sys.stderr)
        return 3
    print(f"{counted(store)} events, every digest in order")
    for end in ends(store):
        print(f"last: {end}")
    return 0


def export(store: Store, words: list[str]) -> int:
    """Write everything, or one unit, as lines of JSON, or as Markdown with the word `markdown`; to a file if named."""
    from benchtui.record.export import lines

    markdown = "markdown" in words
    rest = [word for word in words if word != "markdown"]
    # A unit is known by its number; any other word that could be the name of a file is one.
    files = [word for word in rest if not named_unit(store, word) and _like_a_file(word)]
    units = [word for word in rest if word not in files]
    at_most(units, 1, _EXPORT)
    at_most(files, 1, _EXPORT)
    unit = known_unit(store, units[0]) if units else ""
    body = _pages(store, unit) if markdown else lines(store, unit=unit)
    if not files:
        for line in body:
            print(line)
        return 0
    target = Path(files[0]).expanduser()
    _write(target, body)
    print(f"written to {target}")
    return 0


def _like_a_file(word: str) -> bool:
    return bool(Path(word).suffix) or any(sign in word for sign in "/\\~")


def _write(target: Path, body: Iterator[str]) -> None:
    """Write lines as UTF-8, whatever the shell would make of them; all or nothing, and over no other file."""
    if target.exists():
        raise UsageError(f"{target} is there already", hint="an export overwrites nothing; choose another name")
    part = target.with_name(target.name + ".part")
    try:
        with part.open("w", encoding="utf-8", newline="\n") as file:
            file.writelines(f"{line}\n" for line in body)
        part.replace(target)
    except OSError as error:
        raise UsageError(f"{target} cannot be written: {error.strerror}", hint="choose another place") from error
    finally:
        part.unlink(missing_ok=True)


def _pages(store: Store, unit: str) -> Iterator[str]:
    serials = [unit] if unit else sorted(row.unit for row in store.units())
    return chain([] if unit else ["# Units\n"], (line for one in serials for line in page_of(store, one)))


def take_in(store: Store, words: list[str]) -> int:
    """Take in the events of another record's export; 1 when some were in conflict with ours."""
    from benchtui.jobs.sensible import sensible
    from benchtui.record.arriving import text_of
    from benchtui.record.merge import merge

    exactly(words, 1, "benchtui record import FILE")
    text = text_of(*_read(words[0]))
    merged = merge(store, text.split("\n"), check=sensible)
    events = f"{merged.added} event{'s' if merged.added != 1 else ''} taken in{_of_which(merged.units)}"
    print(f"{events}, {merged.known} {'was' if merged.known == 1 else 'were'} here already")
    if merged.told:
        print(merged.told, file=sys.stderr)
    for conflict in merged.conflicts:
        print(f"conflict {conflict}", file=sys.stderr)
    disagreeing = [*_of_no_unit(store, merged.jobs), *_of_units(store, merged.units)]
    for line in disagreeing:
        print(f"conflict {line}", file=sys.stderr)
    return 1 if merged.conflicts or disagreeing else 0


_NAMED: Final = 6
"""Units that are named one by one; more make a line that nobody reads."""


def _of_which(units: tuple[str, ...]) -> str:
    """Which units have new events, in words; empty where none has."""
    more = f" and {len(units) - _NAMED} more" if len(units) > _NAMED else ""
    return f" (of {', '.join(units[:_NAMED])}{more})" if units else ""


def _read(word: str) -> tuple[bytes, str]:
    """What stands in a file, or comes in by the pipe, and its name."""
    if word == "-":
        # A stream that a test or another program put in the place of the real one may have no bytes.
        raw = sys.stdin.buffer.read() if hasattr(sys.stdin, "buffer") else sys.stdin.read().encode()
        return raw, "what came in"
    path = Path(word).expanduser()
    try:
        return path.read_bytes(), str(path)
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror}", hint="look at the name of the file") from error


def _of_units(store: Store, units: tuple[str, ...]) -> list[str]:
    """What two benches disagree on of units with new events, and units that were let go with something open."""
    from benchtui.jobs.run_units import Units

    found = []
    for serial in units:
        view = Units(store).view(serial)
        found += [f"{serial}: {conflict.text}" for conflict in view.conflicts]
        if view.state in ("accepted", "released") and view.defects:
            found.append(f"{serial} is {view.state}, and has a defect that is open: {view.defects[0].text}")
    return found


def _of_no_unit(store: Store, jobs: tuple[str, ...]) -> list[str]:
    """The same of jobs that are about no unit, such as a load-in check."""
    from benchtui.errors import JobError
    from benchtui.jobs.run_list import record_job

    found = []
    for job in jobs:
        try:
            folded = record_job(store, job)
        except JobError:
            continue
        found += [each.text for each in folded.conflicts if each.matters and not folded.state.unit]
    return found


def back_up(store: Store, words: list[str]) -> int:
    """Copy the record to a file or into a folder."""
    from benchtui.record.backup import backup

    exactly(words, 1, "benchtui record backup FILE")
    print(f"copied to {backup(store, Path(words[0]).expanduser())}")
    return 0
