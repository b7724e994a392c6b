"""Steps and limits that stand where they are passed over: in a caution, in the reason of a call, in a note.

A caution says what can happen and how to avoid it, and a note explains. Whoever has read them before does not read them
again, so an act or a limit in one of them is lost (MIL-DTL-87268D 3.2.2.2 and 3.2.2.3: no steps in a caution but those
that avoid the hazard, no tolerance in a note). Row D4 of what the open standards ask. The rules take sure signs
only: a sentence that begins with an order, and one that says what something has to read.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.content.rules import bare_figure
from benchtui.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.content.cautions import Caution
    from benchtui.content.procedure import Step

_WORK: Final = "measure|enter|record|write|solder|unsolder|crimp|torque|tighten|note|mark|count"
"""Acts that are work with something to show for it, and never the way to avoid a hazard."""

_ACTS: Final = (
    f"{_WORK}|open|close|plug|unplug|pull|push|turn|set|switch|remove|fit|loosen|press|hold|keep|wear|check|make|put|lay"
    "|clamp|cut|clean|wipe|move|take|use|leave|wait|test|connect|disconnect|insert|bend|clip|look|mount|stop"
)

_WHAT: Final = (
    r"(?=(?:the|a|an|it|its|each|all|both|every|your|them|this|these|that|no|none|nothing|one|until|for|off|out|on|up"
    r"|down|at)\b|\{)"
)
"""What makes an order of such a word: "Set the iron", but not "Set screws turn"."""

_START: Final = r"(?:^|(?<=[.:;!?] ))(?:then |now |first |next )?"
"""Begin of a sentence."""

_ORDER: Final = re.compile(
    rf"{_START}(?:(?:{_ACTS}) {_WHAT}|(?:never|always) (?:{_ACTS})\b|do not [a-z]+)[^.;!?]*", re.I
)
_WORK_ORDER: Final = re.compile(rf"{_START}(?:{_WORK}) {_WHAT}[^.;!?]*", re.I)

_TO_BE: Final = (
    "read|show|measure|stand still|stay (?:below|above|under|within)"
    "|be (?:below|above|under|within|between|at (?:least|most)|(?:more|less) than)"
)
_HAS_TO: Final = re.compile(
    rf"[^.]*\b(?:(?:has|have|needs?) (?:not )?to|must(?: not)?|should(?: not)?|may not) (?:{_TO_BE})\b[^.]*"
    r"|(?:^|(?<=\. ))good is\b[^.]*",
    re.I,
)
"""What a value has to be. "It may read OL" is none: it says what can be seen."""

_FACT: Final = re.compile(r"\{(?:solder\.\w+|torque|value:[^}]+|tug)\}")
"""A limit that the design fills in."""


def hidden_in_caution(caution: Caution) -> Iterator[Problem]:
    """Orders and limits in a caution that belong into a step."""
    name = f"caution {caution.id!r}"
    for key, text in (("hazard", caution.hazard), ("consequence", caution.consequence)):
        if order := _first(_ORDER, text):
            yield Problem(
                caution.place,
                f"{name}: `{key}:` gives an order: {order!r}",
                "put what avoids the hazard into `avoid:`, and work into a step",
            )
    if order := _first(_WORK_ORDER, caution.avoid):
        yield Problem(
            caution.place, f"{name}: `avoid:` hides a step of the work: {order!r}", "make it a step of its own"
        )
    for text in (caution.hazard, caution.avoid, caution.consequence):
        if limit := _first(_HAS_TO, text):
            yield Problem(
                caution.place, f"{name}: a limit is hidden in it: {limit!r}", "put it into a step, where it is judged"
            )


def hidden_in_step(step: Step) -> Iterator[Problem]:
    """Orders in the reason of a call, limits of a look or reading in its notes, limits that the brief text drops."""
    name = f"step {step.id!r}"
    if step.call and (order := _first(_ORDER, step.why)):
        yield Problem(
            step.place, f"{name}: `why:` gives an order: {order!r}", "make it a step of its own; `why:` is a reason"
        )
    if step.act in ("observe", "measure", "choose"):
        for text in step.detail:
            if limit := _first(_HAS_TO, text):
                yield Problem(
                    step.place,
                    f"{name}: a limit is hidden in `detail:`: {limit!r}",
                    "put it into `accept:`, or make a reading of it",
                )
    if step.brief:
        for text in step.detail:
            lost = [fact for fact in _FACT.findall(text) if not any(fact in kept for kept in (step.brief, step.accept))]
            figure = bare_figure(text)
            if not lost and figure and not any(figure in kept for kept in (step.brief, step.accept)):
                lost = [figure]
            if lost:
                yield Problem(
                    step.place,
                    f"{name}: `brief:` drops {', '.join(lost)}, which stands in `detail:` alone",
                    "name it in `brief:` too, for only that is shown to someone who has done it before",
                )


def _first(pattern: re.Pattern[str], text: str) -> str:
    found = pattern.search(text)
    return found[0].strip() if found else ""
