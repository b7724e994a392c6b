"""What `benchtui check` finds wrong with the text of a job, asked before it is begun and before it is moved."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Hashable
    from pathlib import Path

    from benchtui.content.library import Library
    from benchtui.errors import Problem
    from benchtui.jobs.plan import Plan


class Judge:
    """Judges each text once, as long as no content file changes: a batch begins one job a unit by the same text."""

    def __init__(self) -> None:
        self._found: dict[Hashable, tuple[Problem, ...]] = {}
        self._files: Hashable = ()

    def __call__(self, library: Library, plan: Plan) -> tuple[Problem, ...]:
        """Every mistake in the files of a plan: its procedure or checklist, and its design."""
        files = tuple((entry.path, *_stamp(entry.path)) for entry in library.entries())
        if files != self._files:
            self._files = files
            self._found.clear()
        about = (plan.kind, plan.id, plan.design_id)
        if about not in self._found:
            self._found[about] = mistakes_of(library, plan)
        return self._found[about]


def mistakes_of(library: Library, plan: Plan) -> tuple[Problem, ...]:
    """What the check finds wrong with the files of a plan: its procedure or checklist, and its design."""
    from benchtui.check import Check

    wanted = {(plan.kind, plan.id), ("design", plan.design_id)}
    paths = [entry.path for entry in library.entries() if (entry.kind, entry.id) in wanted and entry.path.is_file()]
    return tuple(Check(paths, library=library, only=plan.design_id).own_problems()) if paths else ()


def own_files_told(library: Library) -> str:
    """Which files of one's own cannot be read, as a sentence to be said at the bench; empty when all can.

    In place of a text whose head is damaged the shipped one would be worked by, and nobody would know.
    """
    from benchtui.paths import user_folder

    found = library.unreadable(user_folder())
    if not found:
        return ""
    more = f" and {len(found) - 1} more of your files" if len(found) > 1 else ""
    return f"{found[0].name}{more} cannot be used: benchtui check {found[0]} says why"


def _stamp(path: Path) -> tuple[int, int]:
    try:
        status = path.stat()
    except OSError:  # taken away since the library was looked through
        return 0, -1
    return status.st_mtime_ns, status.st_size
