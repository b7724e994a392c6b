"""`benchtui check [PATH...]`: print every mistake in content files as file:line:column, and what to do about it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from benchtui.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.errors import Problem

USAGE = """\
usage: benchtui check [PATH...]
       benchtui check --scores [ID...]
       benchtui check --cautions [--most=PERCENT] [ID...]

Looks for mistakes in designs, procedures, checklists, cautions and fault models, and prints each as

  file:line:column: what is wrong; what to do

PATH is a file, a folder or the id of a design, procedure, checklist or fault model. Without one, the shipped
content and your own are checked. Warnings and notes on a design come last. The exit code is 0 when all is well, and
1 when there is a mistake.

--scores says instead how good the fault models are: what their tests see, how far they isolate, and the minutes to a
working input against what no plan can beat. ID is a fault model, or a design to score them over.

--cautions counts the cautions of procedures and checklists, for where every step warns no warning is read: the share
of steps with one, how many are shown and of how many kinds, and how often one is acknowledged. A note follows where
more than PERCENT of the steps warn (75 when it is not given), and where a step names the same caution twice."""


def main(argv: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    if {"--help", "-h"}.intersection(argv):
        print(USAGE)
        return 0
    if "--scores" in argv:
        from benchtui.scores_command import main as scores

        return scores([word for word in argv if word != "--scores"])
    if "--cautions" in argv:
        from benchtui.cautions_command import main as cautions

        return cautions([word for word in argv if word != "--cautions"])
    if unknown := [word for word in argv if word.startswith("-")]:
        raise UsageError(f"check has no option {unknown[0]!r}", hint="type: benchtui check --help")
    from benchtui.check import Check

    check = Check([Path(word) for word in argv])
    problems = check.problems()
    pictured = sys.stdout.isatty()
    for problem in problems:
        print(problem)
        if pictured:
            print(*_picture(problem), sep="\n")
    for level, advice in check.advice():
        print(f"{level}: {advice}")
    print(summary(len(check.files), problems, more=check.unread_designs))
    return 1 if problems else 0


def summary(files: int, problems: Sequence[Problem], *, more: bool = False) -> str:
    """The last line: how many files were looked at and how many mistakes are in them.

    Args:
        files: How many were looked at.
        problems: What was found.
        more: A design could not be read as a whole, so that its checks are still to come.
    """
    looked = "1 file" if files == 1 else f"{files} files"
    if not problems:
        return f"{looked} checked, no mistake found"
    found = "1 mistake" if len(problems) == 1 else f"{len(problems)} mistakes"
    rest = "; a design is judged as a whole once these are put right, and may show more then" if more else ""
    if files == 1:
        return f"{looked} checked, {found}{rest}"
    faulty = len({problem.place.file for problem in problems})
    return f"{looked} checked, {found} in {faulty} of them{rest}"


def _picture(problem: Problem) -> list[str]:
    """The line of the file with a mark under the column; nothing where the problem has no line."""
    place = problem.place
    try:
        line = Path(place.file).read_text(encoding="utf-8", errors="replace").splitlines()[place.line - 1]
    except (OSError, IndexError):
        return []
    if not place.line:
        return []
    label = f"{place.line:>6} | "
    return [f"{label}{line.rstrip()}", f"{' ' * (len(label) - 2)}| {' ' * (place.column - 1)}^"]
