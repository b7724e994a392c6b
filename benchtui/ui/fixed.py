"""What is fixed of a unit: asked where a step depends on it, and taken only in the words that the steps know."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError, nearest_word
from benchtui.faults.words import listed
from benchtui.jobs.applies import UnitFacts
from benchtui.jobs.left_out import left_out
from benchtui.jobs.unit_events import UnitFixed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchtui.content.library import Library
    from benchtui.content.procedure import Step
    from benchtui.ui.ways import Ways

UNSAID: Final = frozenset({"", "not known", "unknown", "?"})
"""Answers of somebody who does not know; steps that depend on it are then shown."""

_OTHER: Final = re.compile(r"other\b\s*(.*)", re.IGNORECASE)


async def fix(ways: Ways, procedure: str, unit: str, design_id: str) -> bool:
    """Ask what is not known yet of a unit that is about to be worked on, and write it down.

    Args:
        ways: Who asks.
        procedure: Id of the procedure it is worked on by.
        unit: Serial number.
        design_id: Its design.

    Returns:
        Whether the work can begin; not so where the questions were given up.
    """
    new = unit not in {row.unit for row in ways.store.units()}
    known = UnitFacts() if new else ways.units.facts(unit)
    said = await fixed_of_it(ways, procedure, design_id if new else "", known=known)
    if said is None:
        return False
    if said == UnitFacts():
        return True
    if new:
        ways.units.make(design_id, hardware=said.hardware, options=said.options, asked=said.asked, serial=unit)
    else:
        ways.units.write(unit, UnitFixed(hardware=said.hardware, options=said.options, asked=said.asked))
    return True


async def fixed_of_it(
    ways: Ways, procedure: str, design_id: str = "", *, known: UnitFacts | None = None
) -> UnitFacts | None:
    """Hardware revision and options of a unit, asked only where a step depends on them and they are not known.

    Args:
        ways: Who asks.
        procedure: Id of the procedure; those it calls are looked at too.
        design_id: Design all of whose procedures are looked at, for a new unit; none when empty.
        known: What is known already.

    Returns:
        What was said, without a serial number; None when it was given up.
    """
    known = known or UnitFacts()
    revisions, options = asked_of(ways.library, procedure, design_id)
    options = [name for name in options if name not in known.asked]
    title = "What is fixed of the new unit" if known == UnitFacts() else f"What is fixed of unit {known.serial}"
    said = UnitFacts()
    if revisions and not known.hardware:
        question = f"Hardware revision: {listed(revisions, last='or')}, or other and its name (nothing: not known)"
        answer = await ways.ask(title, question, check=lambda typed: unknown_revision(typed, revisions))
        if answer is None:
            return None
        said = replace(said, hardware=revision_of(answer, revisions))
    if options:
        question = f"Options fitted, of {', '.join(options)} (none: none of them; nothing: not known)"
        answer = await ways.ask(title, question, check=lambda typed: unknown_option(typed, options))
        if answer is None:
            return None
        if _plain(answer) not in UNSAID:
            said = replace(said, options=options_of(answer, options), asked=tuple(options))
    return said


async def correct(ways: Ways, unit: str) -> None:
    """Put right what was said of a unit by a slip; the steps that are for it then follow."""
    view = ways.units.view(unit)
    facts = view.facts
    procedures = [job.plan.id for job in view.jobs] or [""]
    told = [asked_of(ways.library, id, view.design if place == 0 else "") for place, id in enumerate(procedures)]
    revisions = list(dict.fromkeys(name for some, _ in told for name in some))
    options = list(dict.fromkeys((*(name for _, some in told for name in some), *facts.options)))
    if not revisions and not options and not facts.hardware:
        ways.report("no step depends on a revision or an option of this unit: nothing is fixed of it")
        return
    title, said = f"What is fixed of unit {unit}", UnitFacts()
    if revisions or facts.hardware:
        known = list(dict.fromkeys((*revisions, *filter(None, [facts.hardware]))))
        now = facts.hardware or "not known"
        question = (
            f"Hardware revision, {now} until now: {listed(known, last='or')}, or other and its name (nothing: right)"
        )
        answer = await ways.ask(title, question, check=lambda typed: unknown_revision(typed, known))
        if answer is None:
            return
        said = replace(said, hardware=revision_of(answer, known))
    if options:
        now = ", ".join(facts.options) or "none known"
        question = f"Options fitted, {now} until now: of {', '.join(options)} (none: none of them; nothing: right)"
        answer = await ways.ask(title, question, check=lambda typed: unknown_option(typed, options))
        if answer is None:
            return
        if _plain(answer) not in UNSAID:
            said = replace(said, options=options_of(answer, options), asked=tuple(options))
    if said == UnitFacts():
        ways.report("nothing was changed")
        return
    why = await ways.ask(title, "It was written down otherwise. What you saw", needed="say what you saw on the unit")
    name = None if why is None else await ways.ask(title, "Said by", needed="type who says so")
    if why is None or name is None:
        return
    after = ways.units.correct(unit, said, reason=why, by=name)
    count = sum(1 for _ in left_out(after))
    steps = "1 step was left out that is" if count == 1 else f"{count} steps were left out that are"
    more = f"; {steps} for this unit: o does {'it' if count == 1 else 'them'}" if count else ""
    ways.report(f"kept; what was said before stays in its history{more}")


def unknown_revision(typed: str, known: Sequence[str]) -> str:
    """What is to be said against a hardware revision as typed; empty when it will do.

    Args:
        typed: What was typed.
        known: Revisions that steps depend on.
    """
    if _plain(typed) in UNSAID or _same(typed, known):
        return ""
    other = _OTHER.fullmatch(typed.strip())
    if other is None:
        word = typed.strip()
        return f"no step knows a revision {word}. {_meant(word, known)} For another one type: other {word}"
    if not other[1]:
        return "type its name too, such as: other C"
    twin = _same(other[1], known)
    return f"steps know {twin}: type it alone" if twin else ""


def revision_of(typed: str, known: Sequence[str]) -> str:
    """A hardware revision as it is written down; arguments as for `unknown_revision`, empty when it is not known."""
    if _plain(typed) in UNSAID:
        return ""
    other = _OTHER.fullmatch(typed.strip())
    return _same(typed, known) or (" ".join(other[1].split()) if other else "")


def unknown_option(typed: str, known: Sequence[str]) -> str:
    """What is to be said against options as typed, with commas between; empty when they will do.

    Args:
        typed: What was typed.
        known: Options that steps depend on.
    """
    if _plain(typed) in {*UNSAID, "none"}:
        return ""
    strange = [word for word in _words(typed) if not _same(word, known)]
    return f"no step knows an option {strange[0]}. {_meant(strange[0], known)}" if strange else ""


def options_of(typed: str, known: Sequence[str]) -> tuple[str, ...]:
    """Options as they are written down; arguments as for `unknown_option`."""
    return tuple(dict.fromkeys(filter(None, (_same(word, known) for word in _words(typed)))))


def asked_of(library: Library, procedure: str, design_id: str = "") -> tuple[list[str], list[str]]:
    """Hardware revisions and options that steps of a procedure, or of those it calls, depend on.

    Args:
        library: The procedures.
        procedure: Id of the procedure.
        design_id: Design whose other procedures are looked at as well; none when empty.
    """
    seen: set[str] = set()
    steps = list(_steps(library, procedure, seen))
    for entry in library.entries("procedure") if design_id else ():
        # Those that say nothing of it are not read: a design has many, and this is asked while somebody waits.
        if entry.design == design_id and b"applies" in library.path_of("procedure", entry.id).read_bytes():
            with suppress(BenchError):  # a file with mistakes is said so where it is opened
                steps += _steps(library, entry.id, seen)
    rules = [step.applies for step in steps if step.applies is not None]
    revisions = dict.fromkeys(name for rule in rules for name in rule.hardware)
    options = dict.fromkeys(name for rule in rules for name in rule.options)
    return list(revisions), list(options)


def _steps(library: Library, procedure: str, seen: set[str]) -> Iterator[Step]:
    """The steps of a procedure and of those that it calls."""
    known = {entry.id for entry in library.entries("procedure")}
    if procedure in seen or procedure not in known:
        return
    seen.add(procedure)
    for step in library.procedure(procedure).steps:
        yield step
        if step.call:
            yield from _steps(library, step.call, seen)


def _words(typed: str) -> list[str]:
    return [word.strip() for word in re.split("[,;]", typed) if word.strip()]


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _same(typed: str, known: Sequence[str]) -> str:
    """The known word that was typed, whatever its case; empty when it is none of them."""
    return next((word for word in known if _plain(word) == _plain(typed)), "")


def _meant(typed: str, known: Sequence[str]) -> str:
    """A known word that may have been meant, as a sentence, or all of them."""
    plain = {_plain(word): word for word in known}
    # "rev B" is meant as B, though the two are not much alike.
    part = next((word for word in _plain(typed).split() if word in plain), "")
    near = part or nearest_word(_plain(typed), plain, cutoff=0.5)
    return f"Did you mean {plain[near]}?" if near else f"They know {listed(known)}."
