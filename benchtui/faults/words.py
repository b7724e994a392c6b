"""Likelihoods and shares in words, both ways."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.errors import UnitError
from benchtui.faults.table import clamp

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.design.model import Control

LIKELIHOODS: Final[Mapping[str, float]] = {
    "always": 0.99,
    "usually": 0.90,
    "often": 0.70,
    "even": 0.50,
    "seldom": 0.10,
    "never": 0.01,
}
"""What a likelihood word in a fault model means; our own scale."""

SHARES: Final[Sequence[tuple[float, str]]] = (
    (0.90, "almost certainly"),
    (0.70, "most likely"),
    (0.40, "likely"),
    (0.15, "perhaps"),
    (0.05, "less likely"),
    (0.0, "hardly"),
)
"""Least share to the word that goes with it; our own scale."""


def likelihood(text: str) -> float:
    """A likelihood word, a number from 0 to 1, or a percentage; kept off 0 and 1.

    Raises:
        UnitError: It is none of these.
    """
    word = text.strip().lower()
    if word in LIKELIHOODS:
        return LIKELIHOODS[word]
    body, percent = (word[:-1].strip(), True) if word.endswith("%") else (word, False)
    try:
        value = float(body) / (100.0 if percent else 1.0)
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= 1.0:
        raise UnitError(
            f"expected a likelihood, got {text!r}",
            hint=f"write a number from 0 to 1, or one of {', '.join(LIKELIHOODS)}",
        )
    return clamp(value)


def share_word(share: float) -> str:
    """The word for how likely a suspect is."""
    return next(word for least, word in SHARES if share >= least)


def percent(share: float) -> str:
    """A share for reading: whole percents, and never a false 0 or 100."""
    if 0.0 < share < 0.01:
        return "<1 %"
    if 0.99 < share < 1.0:
        return ">99 %"
    return f"{share * 100:.0f} %"


def minutes_text(minutes: float) -> str:
    """Minutes for reading: "30 s", "2 min", "1 h 20 min"."""
    if minutes < 0.95:
        return f"{max(round(minutes * 60 / 5) * 5, 5)} s"
    whole = round(minutes)
    if whole < 90:
        return f"{whole} min"
    return f"{whole // 60} h {whole % 60} min" if whole % 60 else f"{whole // 60} h"


def listed(items: Sequence[str], *, last: str = "and") -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def asked(title: str) -> str:
    """The title of a test, ended so that its answer can follow."""
    return title if title.endswith("?") else f"{title}:"


def kind_words(kind: str) -> str:
    """A kind of control as one says it at the bench: "pot" is a rotary control, a button of a matrix is a button."""
    return {"pot": "rotary control", "button-direct": "button", "button-matrix": "button"}.get(kind, kind)


def at_middle(control: Control) -> str:
    """How a control is left at its middle while another one is read, as a sentence."""
    it = f"{kind_words(control.kind)} {control.id}"
    if control.kind == "ribbon":
        return f"Keep a finger on the middle of {it} while you read."
    return f"Set {it} to the middle of its travel first, and leave it there."


_ASIDE: Final = re.compile(r" \([^)]*\)| at the board| of \w+ in the set-up program|; J\d+ unplugged")
_STANDS: Final = re.compile(r"(?:[A-Z]+\d+ )?(?:at the (?:lower stop|middle|upper stop)|open|closed)")


def spot(where: str) -> str:
    """The place of one reading in few words, for the field it is typed into: "F6 at the middle, lug 2".

    Args:
        where: Where both probes go, as the design's test points say it.
    """
    places, _, stands = _ASIDE.sub("", where).rpartition(", ")
    if not places or not _STANDS.fullmatch(stands):
        places, stands = f"{places}, {stands}" if places else stands, ""
    first = places.partition(", ")[0]
    own = stands.partition(" ")[0]
    if not stands:
        return first
    first = first.removeprefix("red on ")
    return f"{stands}, {first.removeprefix(f'{own} ')}"


WHOLE_UNIT: Final = "the whole unit"
"""Title of a hunt that is about no control in particular."""

TAG: Final = re.compile(r"\[([a-z, -]*)\] ?")
"""Stands in a text of the model before what is only for some kinds: "[ribbon] Lift it. [] Go on."."""


def in_words(text: str, it: str, kinds: Sequence[str] = ()) -> str:
    """A text of the model in the words of a hunt; empty when nothing of it is for these kinds.

    Args:
        text: "{it}" stands for the subject, "{each}" for its controls one by one, or for a few of them where it is the
            whole unit; "[kinds] " stands before what is only for some kinds of control.
        it: The subject: "fader F3", "bank A", "every encoder".
        kinds: Kinds of the subject; empty keeps what is for any.
    """
    each = f"each control of {it}" if it.startswith("bank ") else it.replace("every ", "each ", 1)
    if it == WHOLE_UNIT:
        each = "three controls of different kinds, or all there are"
    first, *rest = TAG.split(text)
    for tag, part in zip(rest[::2], rest[1::2], strict=True):
        wanted = [kind.strip() for kind in tag.split(",") if kind.strip()]
        if not wanted or not kinds or set(wanted) & set(kinds):
            first += part
    return first.replace("{it}", it).replace("{each}", each).strip()
