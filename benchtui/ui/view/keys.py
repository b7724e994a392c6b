"""The bottom line of a screen: the few keys that matter now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import TO_DO, Status
from benchtui.ui.view.text import Span

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.ui.view.text import Line
    from benchtui.ui.work import Work


@dataclass(frozen=True, slots=True)
class Key:
    """A key in the bottom line, and what a click on it does."""

    key: str
    word: str
    action: str = ""


HELP: Final = Key("?", "keys", "app.help")
BACK: Final = Key("←", "back", "back")
SKIP: Final = Key("s", "skip", "skip")
FIELD: Final = (Key("enter", "keep"), Key("esc", "leave the field"))
"""Keys while a field has the keyboard."""


def key_line(keys: Sequence[Key]) -> Line:
    """The bottom line."""
    spans: list[Span] = []
    for key in keys:
        spans += [Span("  ")] if spans else []
        spans += [Span(f" {key.key} ", "key", key.action), Span(f" {key.word}", "", key.action)]
    return tuple(spans)


def step_keys(work: Work, *, armed: bool) -> tuple[Key, ...]:
    """The keys that matter at a step.

    Args:
        work: The job in hand.
        armed: The caution in sight can be acknowledged now.
    """
    if work.looking:
        here = Key("enter", "work here", "work_here") if work.known.status in TO_DO else Key("u", "open again", "undo")
        back = "back to the work" if work.state.current else "to the end page"
        return (Key("space", back, "go_on"), here, Key("←", "before", "back"), HELP)
    if work.unread is not None:
        read = (Key("a", "I have read this", "acknowledge"),) if armed else ()
        return (*read, BACK, HELP)
    if not work.key:
        return (Key("space", "to the end page", "go_on"), BACK, HELP)
    looked_on = work.step.witness and not work.known.witnessed and not work.known.settled
    beside = Key("y", "who looks on", "witness") if looked_on else Key("n", "note", "note")
    return (*_at_step(work), beside, HELP)


def _at_step(work: Work) -> tuple[Key, ...]:
    step, known = work.step, work.known
    leave = () if step.must else (SKIP,)
    if known.status is Status.FAILED:
        again = Key("m", "again", "measure") if step.limits else Key("u", "open again", "undo")
        if work.state.passable(work.key):
            return (Key("space", "go on past it", "go_on"), again, Key("x", "another defect", "fail"))
        written = work.state.written(work.key)
        # A hold point, and a failure nobody has written down, let nothing past: space is not offered.
        return (again, Key("d", "defects", "defects") if written else Key("x", "write the defect", "fail"), BACK)
    if known.status is Status.HELD:
        return (Key("u", "open again", "undo"), BACK)
    if step.act == "measure" and known.to_read:
        return (Key("0-9", "type the second reading" if known.first else "type the reading", "measure"), BACK, *leave)
    if step.choices:
        return (Key(f"1-{len(step.choices)}", "answer"), BACK, *leave)
    if step.act == "wait":
        if known.timer is None or known.fresh:
            return (Key("space", "start the wait", "go_on"), BACK, *leave)
        if not known.timer.ended and work.run.left_to_wait(step=work.key):
            return (Key("e", "end it early", "early"), BACK)
        return (Key("space", "done, next", "go_on"), BACK)
    if step.act == "measure" and step.limits:  # near a limit: a second look is worth its key
        return (Key("space", "keep it, next", "go_on"), Key("m", "measure again", "measure"), BACK)
    words = {"sign": "sign", "call": "go there", "observe": "it is so"}
    return (Key("space", words.get(step.act, "done, next"), "go_on"), BACK, *leave)
