"""What is said of plug and lid before a move, and the caution that follows: the unit on, with its lid off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.model import Repair, Test, Workaround

OPEN_AND_ON: Final = ("power-on-open-lid",)
"""The use from which the caution of live work inside follows."""

UNPLUG: Final = "USB out."
PLUG_IN: Final = "Plug the unit in."
LID_OFF: Final = "The lid stays off."


def is_open(state: HuntState) -> bool:
    """Whether anything of the unit is open."""
    return state.position.opened != 0


def before_move(state: HuntState, move: Test | Repair, *, opens: bool) -> str:
    """Sentences about the plug that go before a move's own words; empty when the plug stays as it is.

    Args:
        state: Where the hunt stands.
        move: A test or a repair.
        opens: Whether something is opened for it, which takes the plug out.
    """
    plugged = state.powered and not opens
    if move.power == "off":
        return UNPLUG if plugged and not move.do.startswith(UNPLUG) else ""
    if move.power == "on" and not plugged and not move.plugs:
        return plug_in(move.do, lid_off=opens or is_open(state))
    return ""


def plug_in(words: str, *, lid_off: bool) -> str:
    """Sentences that tell to plug in, where the words of the move do not say it themselves."""
    told = [LID_OFF] if lid_off else []
    return " ".join([*told, *([] if words.startswith("Plug the unit in") else [PLUG_IN])])


def uses_of(state: HuntState, move: Test | Repair, *, opens: bool) -> tuple[str, ...]:
    """What a move uses, live work inside among it whenever the unit is on with something open."""
    live = move.power == "on" or (move.power == "either" and state.powered and not opens)
    if live and (opens or is_open(state)):
        return tuple(dict.fromkeys((*move.uses, *OPEN_AND_ON)))
    return move.uses


def shut_words(state: HuntState, *, haste: bool = False) -> str:
    """How everything that is open is shut, or in haste put back unfastened; empty when nothing is open."""
    if not is_open(state):
        return ""
    opened = [access for index, access in enumerate(state.model.access) if state.position.opened >> index & 1]
    # The innermost first; what a model says nothing about is named at least.
    told = [access.shut or f"Shut {access.title}." for access in reversed(opened)]
    if haste:
        told = [f"Put {access.title} back, and fasten it after the show." for access in reversed(opened)]
    return " ".join([UNPLUG, *told] if state.powered else told)


def around(state: HuntState, move: Workaround, words: str, *, haste: bool = False) -> str:
    """A work-around with what is said of lid and plug: no unit goes on stage with its lid off.

    Args:
        state: Where the hunt stands.
        move: The work-around.
        words: Its own words.
        haste: Whether there is no time to fasten what is open.
    """
    if state.locks:  # the unit stays out: the words of the move unplug it, and its lid can wait
        return words
    shut = shut_words(state, haste=haste)
    plug = PLUG_IN if move.power == "on" and (shut or not state.powered) else ""
    return " ".join(each for each in (shut, plug, words) if each)
