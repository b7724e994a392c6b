"""What is wrong in the words of a hunt, and what becomes of it when the hunt ends, with a cure or without one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.faults.words import in_words

if TYPE_CHECKING:
    from benchtui.faults.events import HuntClosed
    from benchtui.faults.hunt import HuntState


def trouble(state: HuntState) -> str:
    """What is wrong with what, in words: "fader F3, it does nothing"."""
    about, symptom = state.target.title, state.symptom
    title = in_words(symptom.title, about, state.target.kinds) if symptom else ""
    if not title or title.lower().startswith(about):
        return title or about
    return f"{about}, {title[:1].lower()}{title[1:]}"


def close_with_way(state: HuntState, event: HuntClosed) -> HuntClosed:
    """The end of a hunt by a work-around, which it names where the builder did not say what stands in."""
    if event.result != "work-around" or event.done.strip():
        return event
    return replace(event, done=state.stands_in.title if state.stands_in else "")


def closed_said(state: HuntState, unit: str = "") -> str:
    """What is said when one is back from a closed hunt; empty for one that is not closed.

    Args:
        state: The hunt.
        unit: Serial number; empty for none.
    """
    if state.result is None:
        return ""
    about, whose = state.target.title, unit or "this unit"
    match state.result.result:
        case "fixed":
            return f"The hunt on {about} is closed: it works again"
        case "work-around":
            return f"The work-around serves. The fault on {about} stays open on {whose} until it is put right"
        case "not reproduced":
            return f"The hunt on {about} is closed: it did not show. It stays open on {whose} with the conditions"
        case _:
            return f"The hunt on {about} is closed, and the fault stays open on {whose}"
