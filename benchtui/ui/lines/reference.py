"""Looking at things of a design in the line mode: wiring lists, pins, test points, the bill, checks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.run_build import assemblies, still_to_build
from benchtui.ui.lines.talk import WIDTH
from benchtui.ui.view.reference import reference_lines, reference_rows, title_of
from benchtui.ui.view.rows import matching
from benchtui.ui.view.shapes import ASCII

MOST: Final = 12
"""Things that are said to choose from; a screen reader reads them all out."""

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.jobs.run import Bench
    from benchtui.ui.lines.talk import Talk


def look(talk: Talk, bench: Bench, design: Design, *, subject: str = "", words: str = "") -> None:
    """Say one thing of a design.

    Args:
        talk: The conversation.
        bench: For the units still to build.
        design: The design.
        subject: Id of the control in hand.
        words: Words of what is wanted; asked for where they name nothing, or several things.
    """
    rows = [row for row in reference_rows(design, subject, pictures=False) if row.id]
    found = matching(rows, words)
    if words and not found:
        talk.say(f"Nothing of the design holds {words!r}.")
    entry: str | None = found[0].id if len(found) == 1 else None
    if entry is None:
        if not found or len(found) > MOST:
            # What is about the whole design and what is in hand; the rest is found by its words.
            found = [row for row in rows if row.id.endswith((":", f":{subject}"))]
            talk.say("For one control or connector, name it: wires F3, test points F3, wires J1.")
        entry = talk.pick("What do you want to look at?", [(row.id, row.text) for row in found])
    if entry is not None:
        say_entry(talk, bench, design, entry, mark=subject)


def say_entry(talk: Talk, bench: Bench, design: Design, entry: str, *, mark: str = "") -> None:
    """Say one thing of a design, named as its list names it; what belongs to the control `mark` is marked."""
    waiting = still_to_build(bench.store, design.id, assemblies(bench.library, design.id))
    talk.say(title_of(entry))
    talk.lines(reference_lines(design, entry, WIDTH, ASCII, mark=mark, units=waiting.units, built=waiting.words()))
