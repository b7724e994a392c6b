"""The acts of `benchtui record` beyond listing: verify, export, import, back up, find, and questions about units."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.record.lacking import SETTLE

if TYPE_CHECKING:
    from benchtui.record.store import Store


COPY: Final = "copy"
"""Stands for a copy of the record that was put back, where a unit is named otherwise."""

_DECIDED: Final = 3
"""Words of a decision on it, at least: `copy`, a name, a reason."""

_ANSWERED: Final = 4
"""Words of an answer about a unit, at least: the unit, an entry, a name, a reason."""


def verify(store: Store, words: list[str]) -> int:
    """Check the whole record; 3 when something does not add up."""
    from benchtui.record.verify import ends
    from benchtui.record.verify import verify as check

    _at_most(words, 0, "benchtui record verify")
    findings = check(store)
    for finding in findings:
        print(f"{finding.where}: {finding.message}")
    if findings:
        print(f"{len(findings)} things do not add up in {store.path}", file=sys.stderr)
        return 3
    count = store.connection.execute("SELECT count(*) FROM event").fetchone()[0]
    print(f"{count} events, every digest in order")
    for end in ends(store):
        print(f"last: {end}")
    return 0


def export(store: Store, words: list[str]) -> int:
    """Write everything, or one unit, as lines of JSON; a unit as a page of Markdown with the word `markdown`."""
    from benchtui.record.export import lines

    markdown = "markdown" in words
    units = [word for word in words if word != "markdown"]
    _at_most(units, 1, "benchtui record export [UNIT] [markdown]")
    unit = _known_unit(store, units[0]) if units else ""
    if not markdown:
        for line in lines(store, unit=unit):
            print(line)
        return 0
    if not unit:
        print("# Units\n")
    for serial in [unit] if unit else sorted(row.unit for row in store.units()):
        _print_unit(store, serial)
    return 0


def take_in(store: Store, words: list[str]) -> int:
    """Take in the events of another record's export; 1 when some were in conflict with ours."""
    from benchtui.jobs.sensible import sensible
    from benchtui.record.merge import merge

    _exactly(words, 1, "benchtui record import FILE")
    text = sys.stdin.read() if words[0] == "-" else _read(Path(words[0]).expanduser())
    merged = merge(store, text.split("\n"), check=sensible)
    print(f"{merged.added} events taken in, {merged.known} were here already")
    if merged.told:
        print(merged.told, file=sys.stderr)
    for conflict in merged.conflicts:
        print(f"conflict {conflict}", file=sys.stderr)
    disagreeing = [*_of_no_unit(store, merged.jobs), *_of_units(store, merged.units)]
    for line in disagreeing:
        print(f"conflict {line}", file=sys.stderr)
    return 1 if merged.conflicts or disagreeing else 0


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


def decide(store: Store, words: list[str]) -> int:
    """What two benches disagree on of a unit, or the decision of one of them; 1 when some are open."""
    from benchtui.jobs.run_units import Units

    if words[:1] == [COPY]:
        if len(words) < _DECIDED:
            raise UsageError("say who decides, and why", hint=f"type: {SETTLE}")
        store.settle_lacks(by=words[1], reason=" ".join(words[2:]))
        print("kept; it is said no more")
        return 0
    if len(words) not in (0, 2, 3):
        unit = _known_unit(store, words[0])
        if len(words) > 1:
            Units(store).decide(unit, words[1], by=words[2], reason=" ".join(words[3:]))
        view = Units(store).view(unit)
        conflicts = view.conflicts
        for conflict in conflicts:
            print(f"{conflict.id}  {conflict.text}")
        for id, line in zip(view.decided, view.decisions, strict=True):
            print(f"{id}  decided: {line}")
        if conflicts:
            print("A decision closes the question and changes no mark: where a step stands wrong, do it again first.")
        if not conflicts:
            print(f"nothing is left to decide on {unit}" if view.decisions else f"no two benches disagree on {unit}")
        return 1 if conflicts else 0
    raise UsageError("name a unit", hint="type: benchtui record decide UNIT [ENTRY NAME REASON]")


def withdraw(store: Store, words: list[str]) -> int:
    """Withdraw a decision; what it was about is to be decided again."""
    from benchtui.jobs.run_units import Units

    if len(words) < _ANSWERED:
        hint = "type: benchtui record withdraw UNIT ENTRY NAME REASON; `benchtui record decide UNIT` lists each ENTRY"
        raise UsageError("say which decision of which unit, who withdraws it, and why", hint=hint)
    unit = _known_unit(store, words[0])
    Units(store).withdraw(unit, words[1], by=words[2], reason=" ".join(words[3:]))
    return decide(store, [unit])


def part(store: Store, words: list[str]) -> int:
    """The units that have one number, or a new number for one of them."""
    from benchtui.jobs.run_parting import alike
    from benchtui.jobs.run_parting import part as give
    from benchtui.jobs.run_units import Units

    if len(words) not in (1, *range(_ANSWERED, len(words) + 1)):
        raise UsageError("name a unit", hint="type: benchtui record part UNIT [ENTRY NAME REASON]")
    unit, units = _known_unit(store, words[0]), Units(store)
    if len(words) > 1:
        number = give(units, unit, words[1], by=words[2], reason=" ".join(words[3:]))
        print(f"it is {number} from now on: put {number} on it; all that its bench wrote went with it")
        return 0
    for one in alike(units, unit):
        print(f"{one.id}  {one.text}: {one.work}")
    if not alike(units, unit):
        print(f"only one unit is {unit}")
    return 0


def back_up(store: Store, words: list[str]) -> int:
    """Copy the record to a file or into a folder."""
    from benchtui.record.backup import backup

    _exactly(words, 1, "benchtui record backup FILE")
    print(f"copied to {backup(store, Path(words[0]).expanduser())}")
    return 0


def find(store: Store, words: list[str]) -> int:
    """Find events by the words in them."""
    from benchtui.jobs.passport import said, when
    from benchtui.jobs.twice import covered_of
    from benchtui.record.search import find as search

    if not words:
        raise UsageError("say what to look for", hint="type: benchtui record find WORDS")
    events = covered_of(store, search(store, " ".join(words)))
    for event in events:
        print(f"{when(event.time)}  {event.unit:<12}{event.job:<8}{said(event.kind, event.data) or event.kind}")
    if not events:
        print("nothing in the record has these words", file=sys.stderr)
    return 0 if events else 1


def unit(store: Store, words: list[str]) -> int:
    """The history of a unit."""
    from benchtui.jobs.passport import history

    _exactly(words, 1, "benchtui record unit UNIT")
    for line in history(store.events(unit=_known_unit(store, words[0]))):
        print(line)
    return 0


def passport(store: Store, words: list[str]) -> int:
    """The passport of a unit, in Markdown."""
    _exactly(words, 1, "benchtui record passport UNIT")
    _print_unit(store, _known_unit(store, words[0]))
    return 0


def lot(store: Store, words: list[str]) -> int:
    """Where the parts of a lot went."""
    from benchtui.jobs.passport import when
    from benchtui.jobs.run_units import Units
    from benchtui.jobs.run_where import where_used

    _exactly(words, 1, "benchtui record lot LOT")
    uses = where_used(Units(store), lot=words[0])
    for use in uses:
        gone = f", taken out {when(use.removed)}" if use.removed else ""
        print(f"{use.unit:<14}{use.place:<8}{use.what}, fitted {when(use.time)}{gone}")
    if not uses:
        print(f"no unit has a part of lot {words[0]}", file=sys.stderr)
    return 0 if uses else 1


def meter(store: Store, words: list[str]) -> int:
    """Every reading taken with a meter, since a date if one is given."""
    from benchtui.jobs.passport import said, when
    from benchtui.jobs.run_where import readings_with

    if not 1 <= len(words) <= 2:
        raise UsageError("name a meter", hint="type: benchtui record meter METER [YYYY-MM-DD]")
    for event in readings_with(store, words[0], start=words[1] if len(words) > 1 else ""):
        print(f"{when(event.time)}  {event.unit:<14}{said(event.kind, event.data)}")
    return 0


def _print_unit(store: Store, serial: str) -> None:
    from benchtui.jobs.passport import passport as page
    from benchtui.jobs.run_units import Units

    for line in page(Units(store).view(serial)):
        print(line)


def _known_unit(store: Store, typed: str) -> str:
    from benchtui.jobs.serials import same_unit

    found = [row.unit for row in store.units() if same_unit(typed, row.unit)]
    if len(found) != 1:
        raise UsageError(
            f"there is no unit {typed!r}" if not found else f"{typed!r} could be {' or '.join(found)}",
            hint="see them all with: benchtui record",
        )
    return found[0]


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{path} cannot be read: {error}") from error


def _exactly(words: list[str], count: int, usage: str) -> None:
    if len(words) != count:
        raise UsageError(f"this takes {count} word{'s' if count != 1 else ''}", hint=f"type: {usage}")


def _at_most(words: list[str], count: int, usage: str) -> None:
    if len(words) > count:
        raise UsageError(f"{words[count]!r} is too much", hint=f"type: {usage}")
