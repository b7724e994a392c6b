"""The acts of `benchtui record` beyond listing: find, questions about units, and what two benches disagree on."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.record.lacking import SETTLE
from benchtui.record_words import exactly, known_unit, page_of

if TYPE_CHECKING:
    from benchtui.record.store import Store


COPY: Final = "copy"
"""Stands for a copy of the record that was put back, where a unit is named otherwise."""

_DECIDED: Final = 3
"""Words of a decision on it, at least: `copy`, a name, a reason."""

_ANSWERED: Final = 4
"""Words of an answer about a unit, at least: the unit, an entry, a name, a reason."""

_METER: Final = "benchtui record meter METER [DATE]"


def decide(store: Store, words: list[str]) -> int:
    """What two benches disagree on of a unit, or the decision of one of them; 1 when some are open."""
    from benchtui.jobs import run_decisions
    from benchtui.jobs.run_units import Units

    if words[:1] == [COPY]:
        if len(words) < _DECIDED:
            raise UsageError("say who decides, and why", hint=f"type: {SETTLE}")
        store.settle_lacks(by=words[1], reason=" ".join(words[2:]))
        print("kept; it is said no more")
        return 0
    if len(words) not in (0, 2, 3):
        unit, units = known_unit(store, words[0]), Units(store)
        if len(words) > 1:
            run_decisions.decide(units, unit, words[1], by=words[2], reason=" ".join(words[3:]))
        view = units.view(unit)
        conflicts = view.conflicts
        for conflict in conflicts:
            print(f"{conflict.id}  {conflict.text}")
        for id, line in zip(view.decided, view.decisions, strict=True):
            print(f"{id}  decided: {line}")
        if conflicts:
            print("A decision closes the question and changes no mark: where a step stands wrong, do it again first.")
        else:
            print(f"nothing is left to decide on {unit}" if view.decisions else f"no two benches disagree on {unit}")
        return 1 if conflicts else 0
    raise UsageError("name a unit", hint="type: benchtui record decide UNIT [ENTRY NAME REASON]")


def withdraw(store: Store, words: list[str]) -> int:
    """Withdraw a decision; what it was about is to be decided again."""
    from benchtui.jobs import run_decisions
    from benchtui.jobs.run_units import Units

    if len(words) < _ANSWERED:
        hint = "type: benchtui record withdraw UNIT ENTRY NAME REASON; `benchtui record decide UNIT` lists each ENTRY"
        raise UsageError("say which decision of which unit, who withdraws it, and why", hint=hint)
    unit = known_unit(store, words[0])
    run_decisions.withdraw(Units(store), unit, words[1], by=words[2], reason=" ".join(words[3:]))
    return decide(store, [unit])


def part(store: Store, words: list[str]) -> int:
    """The units that have one number, or a new number for one of them."""
    from benchtui.jobs.run_parting import alike
    from benchtui.jobs.run_parting import part as give
    from benchtui.jobs.run_units import Units

    if len(words) not in (1, *range(_ANSWERED, len(words) + 1)):
        raise UsageError("name a unit", hint="type: benchtui record part UNIT [ENTRY NAME REASON]")
    unit, units = known_unit(store, words[0]), Units(store)
    if len(words) > 1:
        number = give(units, unit, words[1], by=words[2], reason=" ".join(words[3:]))
        print(f"it is {number} from now on: put {number} on it; all that its bench wrote went with it")
        return 0
    found = alike(units, unit)
    for one in found:
        print(f"{one.id}  {one.text}: {one.work}")
    if not found:
        print(f"only one unit is {unit}")
    return 0


def find(store: Store, words: list[str]) -> int:
    """Find events by the words in them."""
    from benchtui.jobs.passport import said, when
    from benchtui.jobs.twice import covered_of
    from benchtui.record.search import look

    if not words:
        raise UsageError("say what to look for", hint="type: benchtui record find WORDS")
    found = look(store, " ".join(words))
    events = covered_of(store, found.events)
    for event in events:
        print(f"{when(event.time)}  {event.unit:<12}{event.job:<8}{said(event.kind, event.data) or event.kind}")
    if not events:
        print("nothing in the record has these words", file=sys.stderr)
    if found.more:
        print(found.more, file=sys.stderr)
    return 0 if events else 1


def unit(store: Store, words: list[str]) -> int:
    """The history of a unit."""
    from benchtui.jobs.passport import history

    exactly(words, 1, "benchtui record unit UNIT")
    for line in history(store.events(unit=known_unit(store, words[0]))):
        print(line)
    return 0


def passport(store: Store, words: list[str]) -> int:
    """The passport of a unit, in Markdown."""
    exactly(words, 1, "benchtui record passport UNIT")
    for line in page_of(store, known_unit(store, words[0])):
        print(line)
    return 0


def lot(store: Store, words: list[str]) -> int:
    """Where the parts of a lot went."""
    from benchtui.jobs.passport import when
    from benchtui.jobs.run_units import Units
    from benchtui.jobs.run_where import where_used
    from benchtui.record.values import values_of

    if not words:
        raise UsageError("name a lot", hint="type: benchtui record lot LOT")
    name = " ".join(words)
    uses = where_used(Units(store), lot=name)
    for use in uses:
        gone = f", taken out {when(use.removed)}" if use.removed else ""
        print(f"{use.unit:<14}{use.place:<8}{use.what}, fitted {when(use.time)}{gone}")
    if not uses:
        known = ", ".join(values_of(store, "lot", ["part-fitted"]))
        lots = f"lots that were fitted: {known}" if known else "no part was fitted with its lot"
        print(f"no unit has a part of lot {name}; {lots}", file=sys.stderr)
    return 0 if uses else 1


def meter(store: Store, words: list[str]) -> int:
    """Every reading taken with a meter, since a date if one is given; 1 where there is none."""
    from benchtui.jobs.passport import when
    from benchtui.jobs.past import is_date
    from benchtui.jobs.run_where import meters_read, reading_said, readings_with, same_id

    if not words:
        raise UsageError("name a meter", hint=f"type: {_METER}")
    known = meters_read(store)
    # The name of a meter can have a blank in it.
    name, start = " ".join(words), ""
    if len(words) > 1 and not any(same_id(name, id) for id in known):
        name, start = " ".join(words[:-1]), words[-1]
        if not is_date(start):
            raise UsageError(f"{start!r} is no date", hint=f"type: {_METER}, the date as 2031-03-31")
    found = readings_with(store, name, start=start)
    for event in found:
        print(f"{when(event.time)}  {event.unit:<14}{reading_said(event)}")
    if found:
        return 0
    since = f" since {start}" if start and any(same_id(name, id) for id in known) else ""
    of = (
        f"readings were taken with {', '.join(known)}"
        if known
        else "the record has no reading by a meter that has a name"
    )
    print(f"no reading was taken with {name}{since}; {of}", file=sys.stderr)
    return 1
