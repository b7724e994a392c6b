"""What is said of plug, lid and loose ends before a move, and the caution of live work: the unit on, its lid off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.testpoints import expected
from benchtui.errors import BenchError
from benchtui.faults.events import NeighboursTried, RepairDone, ShortBeside, TestAnswered, TriedAgain, WorkaroundDone
from benchtui.faults.model import Test
from benchtui.faults.words import in_words
from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.faults.events import HuntEvent
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.model import Repair, Workaround

OPEN_AND_ON: Final = ("power-on-open-lid",)
"""The use from which the caution of live work inside follows."""

UNPLUG: Final = "USB out."
PLUG_IN: Final = "Plug the unit in."
LID_OFF: Final = "The lid stays off."

FIRST_POWER: Final = "First power, never on the show computer: through a USB meter, from a supply or hub that you can"
"""Begins what is said before the first power after a sign of a short: common practice, as with a new unit."""


def is_open(state: HuntState) -> bool:
    """Whether anything of the unit is open."""
    return state.position.opened != 0


def before_move(state: HuntState, move: Test | Repair, *, opens: bool) -> str:
    """Sentences that go before a move's own words, about the plug and what a test has left undone; empty for none.

    Args:
        state: Where the hunt stands.
        move: A test or a repair.
        opens: Whether something is opened for it, which takes the plug out.
    """
    powers = move.power == "on" or move.plugs
    # A test wants everything in its place; a repair of the very part that is loose puts it back by itself.
    # What the same test left is as it wants it when it is made again.
    again = (loose := _left_by(state)) is not None and loose.id == move.id
    back = put_back(state) if (isinstance(move, Test) or powers) and not again else ""
    plugged = state.powered and not opens and not back
    told = [back]
    if move.power == "off" and not powers:
        told += [UNPLUG] if plugged and not move.do.startswith(UNPLUG[:-1]) else []
    elif move.plugs:
        told += [first_power(state)] if is_first_power(state) else []
    elif powers and not plugged:
        told += [plug_in(state, move.do, lid_off=opens or is_open(state))]
    return " ".join(each for each in told if each)


def plug_in(state: HuntState, words: str, *, lid_off: bool) -> str:
    """Sentences that tell to plug in, where the words of the move do not say it themselves."""
    told = [LID_OFF] if lid_off else []
    told += [first_power(state)] if is_first_power(state) else []
    return " ".join([*told, *([] if words.startswith("Plug the unit in") else [PLUG_IN])])


def first_power(state: HuntState) -> str:
    """How a unit that may have a short gets its first power, with what it may draw by its design, as sentences.

    It is one order with what follows: only when this is well does the unit go where it belongs.
    """
    idle, most = _drawn(state)
    limit = f", its current limit just above {most}" if most else ", with its current limited"
    drawn = f"Healthy with the lamps off: {idle}. " if idle else ""
    more = "draws more" if idle else "draws more than it did when it was well"
    return (
        f"{FIRST_POWER} afford to lose{limit}. {drawn}Pull the plug at once if it {more}, or warms. "
        "Only when that is well, unplug it there and go on."
    )


_kept: list[tuple[Design, tuple[str, str]]] = []
"""What the design asked about last draws: it is asked for with every look at a move."""


def _drawn(state: HuntState) -> tuple[str, str]:
    """What a unit draws with its lamps off, and the most with all of them on; empty where the design cannot tell."""
    if state.design is None:
        return "", ""
    if not _kept or _kept[0][0] is not state.design:
        try:
            idle, on = (expected(state.design, point) for point in ("idle-current", "all-on-current"))
            found = idle.text, "" if on.high is None else format_value(on.high, on.kind, digits=3)
        except BenchError:  # a design without those figures
            found = "", ""
        _kept[:] = [(state.design, found)]
    return _kept[0][1]


def is_first_power(state: HuntState) -> bool:
    """Whether a short was noticed, left behind or measured, and nothing has powered the unit since."""
    feared = bool(state.started.signs) or state.started.locked
    for _, event in state.standing:
        if _fears(state, event):
            feared = True
        elif _powers(state, event):
            feared = False
    return feared


def _fears(state: HuntState, event: HuntEvent) -> bool:
    """Whether an event says that a short may be inside: an answer that locks the power, or a bad proof of a repair."""
    if isinstance(event, TriedAgain):
        return bool(event.unhealthy)
    if isinstance(event, ShortBeside):
        return event.found
    if not isinstance(event, TestAnswered):
        return False
    outcome = state.layout.outcome(event.test, event.outcome)
    return outcome is not None and bool(outcome.locks)


def _powers(state: HuntState, event: HuntEvent) -> bool:
    """Whether the unit had power in an event."""
    move: Test | Repair | None = None
    if isinstance(event, TestAnswered) and not event.before:
        move = state.layout.test(event.test)
    if isinstance(event, RepairDone) and not event.before:
        move = state.layout.repair(event.repair)
    if move is not None:
        return move.power == "on" or (move.plugs and move.power != "off")
    return isinstance(event, NeighboursTried) or (isinstance(event, TriedAgain) and not event.unhealthy)


def left_undone(state: HuntState) -> str:
    """What the last test has left that has to be put back, as one instruction; empty for nothing.

    What an earlier one left was put back before that one: a test wants everything in its place.
    """
    test = _left_by(state)
    return "" if test is None else in_words(test.undo, state.target.title, state.target.kinds)


def _left_by(state: HuntState) -> Test | None:
    """The last test, unless the unit was put together since."""
    found: Test | None = None
    for _, event in state.standing:
        if isinstance(event, TestAnswered) and not event.before:
            found = state.layout.test(event.test) or found
        elif _powers(state, event) or isinstance(event, WorkaroundDone):
            found = None
    return found


def put_back(state: HuntState) -> str:
    """How what a test has left is put back, the plug out; empty when it left nothing."""
    undone = left_undone(state)
    return " ".join([*([UNPLUG] if state.powered else []), undone]) if undone else ""


def uses_of(state: HuntState, move: Test | Repair, *, opens: bool) -> tuple[str, ...]:
    """What a move uses, live work inside among it whenever the unit is on with something open."""
    live = move.power == "on" or (move.power == "either" and state.powered and not opens)
    if live and (opens or is_open(state)):
        return tuple(dict.fromkeys((*move.uses, *OPEN_AND_ON)))
    return move.uses


def shut_words(state: HuntState, *, haste: bool = False) -> str:
    """How all is put back and shut, or in haste put back unfastened; empty when nothing is open or out of its place."""
    if not is_open(state):
        return put_back(state)
    opened = [access for index, access in enumerate(state.model.access) if state.position.opened >> index & 1]
    # The innermost first; what a model says nothing about is named at least.
    told = [access.shut or f"Shut {access.title}." for access in reversed(opened)]
    if haste:
        told = [f"Put {access.title} back, and fasten it after the show." for access in reversed(opened)]
    told = [each for each in (left_undone(state), *told) if each]
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
    first = f"{first_power(state)} " if is_first_power(state) else ""
    plug = f"{first}{PLUG_IN}" if move.power == "on" and (shut or not state.powered) else ""
    return " ".join(each for each in (shut, plug, words) if each)
