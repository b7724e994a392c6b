"""`benchtui check --cautions [--most=PERCENT] [ID...]`: how often procedures and checklists warn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import BenchError, UsageError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.alarms import Alarms

MOST = "--most="


def main(words: Sequence[str]) -> int:
    """Print the counts, the highest share first, and advice below them.

    Args:
        words: Ids of procedures and checklists, all of them when there is none; `--most=PERCENT` sets the share of
            steps with a caution above which a note is printed.
    """
    from benchtui.content.alarms import FEWEST, MOST_SHARE, SOURCE, alarm_advice, alarms
    from benchtui.content.library import Library

    most = MOST_SHARE
    ids: list[str] = []
    for word in words:
        if word.startswith(MOST):
            most = _share(word.removeprefix(MOST))
        elif word.startswith("-"):
            raise UsageError(f"check --cautions has no option {word!r}", hint="type: benchtui check --help")
        else:
            ids.append(word)
    library = Library.open()
    entries = {entry.id: entry for entry in (*library.entries("procedure"), *library.entries("checklist"))}
    for id in ids:
        if id not in entries:
            raise UsageError(f"there is no procedure or checklist {id!r}", hint=did_you_mean(id, entries))
    cautions = library.cautions()
    counted: list[Alarms] = []
    for id in ids or entries:
        try:
            content = library.checklist(id) if entries[id].kind == "checklist" else library.procedure(id)
        except BenchError as error:
            if ids:
                raise
            print(f"{id} is left out, for it cannot be read: {error.message}")
            continue
        counted.append(alarms(content, cautions))
    counted.sort(key=lambda each: (-each.share, each.id))
    print(f"{'warned':>6}  {'steps':>9}  {'shown':>5}  {'kinds':>5}  {'read':>5}  procedure or checklist")
    for each in counted:
        print(
            f"{each.share:>6.0%}  {f'{each.warned} of {each.steps}':>9}  {each.shown:>5}  {each.kinds:>5}  "
            f"{each.read:>5}  {each.id}"
        )
    print()
    print("warned: share of steps with a caution. shown: cautions over all steps, before repeats over controls.")
    print("kinds: different ones. read: how often one of a hazard to people is acknowledged.")
    print(f"A note follows above {most:.0%}, from {FEWEST} steps on ({SOURCE}; the figure is an estimate).")
    for each in counted:
        for advice in alarm_advice(each, most):
            print(f"note: {advice}")
    return 0


def _share(text: str) -> float:
    """A share from a percentage.

    Raises:
        UsageError: It is none.
    """
    try:
        percent = float(text.removesuffix("%"))
    except ValueError:
        percent = -1.0
    if not 0 <= percent <= 100:
        raise UsageError(
            f"{text!r} is no share of the steps", hint="give a percentage from 0 to 100, such as --most=60"
        )
    return percent / 100
