"""`benchtui spares`: what to carry on a tour, from the design, the rates of its parts and the length of the tour."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Sequence

USAGE: Final = """\
usage: benchtui spares DESIGN shows=20 [show-time=3h] [units=1] [moves=200] [confidence=95%]
                              [most-mass=1.5kg]   or   [prices="board=30 lead=8 ..." most-money=100]
                              [seen-time=900h failed="fader-60=2 lead=0 ..."]

What to carry for a tour so that the kit is enough at the confidence, as light or as cheap as can be."""


def main(argv: Sequence[str]) -> int:
    """Serve `benchtui spares`.

    Args:
        argv: What follows the command.

    Returns:
        0 when the confidence is reached, 1 when the limit does not allow it.

    Raises:
        UsageError: No such design, or a word that is no input.
        CalcError: An input is not understood.
    """
    if "--help" in argv or "-h" in argv:
        print(USAGE)
        return 0
    from benchtui.content.library import Library
    from benchtui.design import load_design
    from benchtui.faults.reading import load_model
    from benchtui.faults.spares_told import kit_for, rows_of, sources_of, summary_of, wish_of

    library = Library.open()
    designs = {entry.id: entry.path for entry in library.entries("design")}
    ids = [word for word in argv if "=" not in word]
    if len(ids) != 1:
        raise UsageError("name one design", hint=f"there are {', '.join(designs)}")
    if ids[0] not in designs:
        raise UsageError(
            f"there is no design {ids[0]!r}",
            hint=did_you_mean(ids[0], designs, otherwise=f"there are {', '.join(designs)}"),
        )
    design = load_design(designs[ids[0]])
    wish = wish_of(dict(word.partition("=")[::2] for word in argv if "=" in word))
    models = library.entries("fault-model")
    chosen = next((entry for entry in models if entry.design == ids[0]), models[0])
    found = kit_for(design, load_model(chosen.path), wish)
    print(f"{design.title}: spares for a tour")
    print()
    for count, what in rows_of(found):
        print(textwrap.fill(what, 78, initial_indent=f"  {count:<6}", subsequent_indent=" " * 8))
    print()
    for text in summary_of(found, wish):
        print(textwrap.fill(text, 78))
    print()
    for text in sources_of(found):
        print(textwrap.fill(f"source: {text}", 78, initial_indent="  ", subsequent_indent="    "))
    return 0 if found.reached else 1
