"""`benchtui check --scores [ID...]`: how good the fault models are, for all kinds of control or over one design."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Design


def main(words: Sequence[str]) -> int:
    """Print the scores.

    Args:
        words: Ids of fault models and designs. Without a model all are scored; with a design they are scored over it,
            the faults of its circuit put in.
    """
    from benchtui.content.library import Library
    from benchtui.design import load_design
    from benchtui.faults.reading import load_model
    from benchtui.faults.scores import report

    library = Library.open()
    models = {entry.id: entry.path for entry in library.entries("fault-model")}
    designs = {entry.id: entry.path for entry in library.entries("design")}
    for word in words:
        if word not in models and word not in designs:
            raise UsageError(
                f"there is no fault model or design {word!r}", hint=f"there are {', '.join([*models, *designs])}"
            )
    over: list[Design | None] = [load_design(designs[word]) for word in words if word in designs]
    for id in [word for word in words if word in models] or list(models):
        model = load_model(models[id])
        for design in over or [None]:
            print(report(model, design))
            print()
    return 0
