"""What the message monitor and the lamps show of a control or bank under a spot, without opening anything."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.elements import Bridge, Short, Worse
from benchtui.design.parts import DIVIDERS
from benchtui.errors import DesignError
from benchtui.faults.on_bench import Answer, Case, below, inside, of_one
from benchtui.faults.on_lamps import lit_amps
from benchtui.faults.on_switches import WANDERS, bridged_to, floats, low, turns, works
from benchtui.faults.patterns import HIGHEST, LOWEST
from benchtui.faults.spots import Channels, Deaf
from benchtui.faults.terms import PRESSED

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from benchtui.design.model import Control
    from benchtui.faults.spots import Change

FOLLOWS: Final = 2.0
"""Steps by which a neighbour may follow before it counts; as in the trade notes."""

STILL: Final = 3.0
"""Steps below which a value does not move."""

PLACES: Final = (0.0, 0.5, 1.0)

FLOATS: Final[Mapping[str, float]] = {"odd": 0.75, "stays-low": 0.15, "stays-high": 0.1}
"""What an input that nothing drives looks like; our estimate."""

ELSEWHERE: Final[Mapping[str, float]] = {"odd": 0.6, "stays-low": 0.25, "stays-high": 0.15}
"""What shows in place of a control whose channel shows another one's: that one stands where it stands; our estimate."""

SPEAKS: Final = 0.9
"""Share of inputs that nothing holds whose messages come while they are worked; the others sit on the pressed side. Our
estimate."""

REPORTED: Final = 0.75
"""Share of people who say of a bank that is partly dead what its dead part does; our estimate."""


def ends(case: Case) -> Answer | None:
    """Lowest and highest value while it is moved from end to end."""
    return of_one(case, _ends_of)


def _ends_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    if case.bench.seen_instead(case.spot, control) not in (control, None):
        return dict(ELSEWHERE)
    shown = [case.bench.code(case.spot, control, control, place) for place in PLACES]
    if any(each.floating for each in shown):
        return dict(FLOATS)
    least = case.bench.limits("lowest-code", control.id)
    most = case.bench.limits("highest-code", control.id)
    scale = _scale(control)
    low, high = min(shown, key=lambda each: each.value), max(shown, key=lambda each: each.value)
    down = below(low, (least.high or 0.0) * scale + 0.5)
    up = 1.0 - below(high, (most.low if most.low is not None else 127.0) * scale - 0.5)
    if high.value - low.value < STILL:
        middle = (low.value + high.value) / 2.0
        stays = "stays-low" if middle <= LOWEST else "stays-high" if middle >= HIGHEST else "odd"
        return {stays: 1.0}
    return {
        "reaches": down * up,
        "short-low": (1.0 - down) * (1.0 - 0.5 * (1.0 - up)),
        "short-high": (1.0 - up) * (1.0 - 0.5 * (1.0 - down)),
    }


def _scale(control: Control) -> float:
    """From the message's own steps to 0..127."""
    message = control.message
    if message is None:
        return 1.0
    return 127.0 / 16383.0 if message.fine or message.pitch_bend else 1.0


def middle(case: Case) -> Answer | None:
    """The value at the mid mark, asked once the ends are right."""
    return of_one(case, _middle_of)


def _middle_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    shown = case.bench.code(case.spot, control, control, 0.5)
    at_ends = _ends_of(case, control)
    if shown.floating or at_ends is None:
        return {"ends": 1.0}
    limits = case.bench.limits("mid-code", control.id)
    scale = _scale(control)
    right = inside(shown, (limits.low or 0.0) * scale - 0.5, (limits.high or 127.0) * scale + 0.5)
    read = {"middle": right, "off": 1.0 - right}
    if at_ends.get("reaches", 0.0) >= 0.5:
        return read
    # With its ends wrong it need not be read, but whoever reads it all the same may type the value.
    return {"ends": 0.5, **{outcome: 0.5 * share for outcome, share in read.items()}}


def direction(case: Case) -> Answer | None:
    """Whether the value rises with the control."""
    return of_one(case, _direction_of)


def _direction_of(case: Case, control: Control) -> Answer | None:
    if control.kind == "encoder":
        if bridged_to(case, control) or any(floats(case, control, role) for role in ("a", "b")):
            return None
        return {"right": 1.0} if turns(case, control) else {"still": 1.0}
    if control.kind not in DIVIDERS:
        return None
    low, high = (case.bench.code(case.spot, control, control, place) for place in (0.0, 1.0))
    if low.floating or high.floating or abs(high.value - low.value) < STILL:
        return {"still": 1.0}
    return {"right": 1.0} if high.value > low.value else {"reversed": 1.0}


def sweep(case: Case) -> Answer | None:
    """A slow sweep: smooth, jumping, or not moving at all."""
    return of_one(case, _sweep_of)


def _sweep_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    shown = [case.bench.code(case.spot, control, control, place) for place in PLACES]
    if any(each.floating for each in shown):
        return {"jumps": WANDERS, "still": 1.0 - WANDERS}
    moves = max(each.value for each in shown) - min(each.value for each in shown)
    return {"smooth": 1.0} if moves >= STILL else {"still": 1.0}


def rest(case: Case) -> Answer | None:
    """Parked at middle positions, hands off."""
    return of_one(case, _rest_of)


def _rest_of(case: Case, control: Control) -> Answer | None:
    if control.kind == "encoder":
        loose = [role for role in ("a", "b", "push") if role in control.pins and floats(case, control, role)]
        if not loose:  # what its push switch does makes no value dither
            return {"quiet": 1.0} if turns(case, control) and not bridged_to(case, control) else None
        return {"quiet": 1.0} if loose == ["push"] else {"chatters": WANDERS, "quiet": 1.0 - WANDERS}
    if control.kind not in DIVIDERS or any(isinstance(change, Channels | Worse) for change in case.spot.changes):
        return None
    if case.bench.code(case.spot, control, control, 0.5).floating:
        return {"chatters": WANDERS, "quiet": 1.0 - WANDERS}
    return {"quiet": 1.0}


def hands_off(case: Case) -> Answer | None:
    """What is there while nobody touches it."""
    return of_one(case, _hands_off_of)


def _hands_off_of(case: Case, control: Control) -> Answer | None:
    if control.kind == "ribbon":
        shown = case.bench.code(case.spot, control, control, None)
        if shown.floating:
            return {"wanders": WANDERS, "fixed": 1.0 - WANDERS}
        return {"fixed": 1.0} if shown.value > FOLLOWS else {"quiet": 1.0}
    roles = ("a", "b", "push") if control.kind == "encoder" else ("",)
    if control.kind not in (*PRESSED, "encoder"):
        return None
    if any(floats(case, control, role) for role in roles if not role or role in control.pins):
        return {"wanders": WANDERS, "fixed": (1.0 - WANDERS) / 2.0, "quiet": (1.0 - WANDERS) / 2.0}
    if control.kind == "encoder" and "push" not in control.pins:
        return {"quiet": 1.0}
    # The contacts of an encoder stand open or closed by turns: only its push switch says that it is pressed.
    held = low(case, control, held=False, role=roles[-1])
    return {"fixed": 1.0} if held else {"quiet": 1.0}


def speaks(case: Case, control: Control) -> float | None:
    """Chance that its own messages come when it is worked; None where the circuit cannot tell."""
    if control.kind in DIVIDERS:
        shown = [case.bench.code(case.spot, control, control, place) for place in PLACES]
        if any(each.floating for each in shown):
            return 0.5
        return float(max(each.value for each in shown) - min(each.value for each in shown) >= STILL)
    if control.kind == "encoder":
        if works(case, control, "a") or works(case, control, "b"):
            return 1.0
        return SPEAKS if floats(case, control, "a") or floats(case, control, "b") else 0.0
    if control.kind not in PRESSED:
        return None
    if all(isinstance(change, Short) and not _joins(change) for change in case.spot.changes):
        return 1.0  # a shorted diode passes nothing that a single press does not
    return SPEAKS if floats(case, control) else float(works(case, control))


def messages(case: Case) -> Answer | None:
    """Whether messages come."""
    chances = [_chance(case, control) for control in case.controls()]
    known = [each for each in chances if each is not None]
    if not known:
        return None
    least, most = min(known), max(known)
    if least < 0.5 < most:  # a part of the bank is dead
        return {"silent": REPORTED, "messages": 1.0 - REPORTED}
    return {"messages": least, "silent": 1.0 - least}


def _chance(case: Case, control: Control) -> float | None:
    try:
        return speaks(case, control)
    except DesignError:
        return None


def others(case: Case) -> Answer | None:
    """How many other controls follow when one is moved from end to end, or pressed."""
    movers = [control for control in case.controls() if control.kind in DIVIDERS or control.kind in PRESSED]
    encoder = next((control for control in case.controls() if control.kind == "encoder"), None)
    if encoder is not None and case.target.scope == "control":
        bridged = {id for id, _ in bridged_to(case, encoder)}
        if bridged:
            return {"twin": 1.0} if bridged != {encoder.id} else {"alone": 1.0}
        own = speaks(case, encoder) or 0.0
        return {"alone": own, "nothing": 1.0 - own}
    if not movers or _chip_is_out(case):
        return None
    followers = next((found for found in (_followers(case, mover) for mover in movers) if found), 0)
    if followers:
        return {"twin" if followers == 1 else "several": 1.0}
    chances = [chance for chance in (_chance(case, mover) for mover in movers) if chance is not None]
    own = max(chances, default=1.0)
    return {"alone": own, "nothing": 1.0 - own}


def _followers(case: Case, mover: Control) -> int:
    """Controls that follow when one is moved from end to end, or pressed; two stand for more."""
    found = 0
    for _ in _following(case, mover):
        found += 1
        if found == 2:
            break
    return found


def _following(case: Case, mover: Control) -> Iterator[Control]:
    if mover.kind in PRESSED:
        if not any(isinstance(change, Bridge) or _joins(change) for change in case.spot.changes):
            return  # what is open or weak makes no other switch answer
        for other in case.design.members(mover.bank):
            if mover.row and other.row != mover.row and other.column != mover.column:
                continue  # in a matrix a press can only come through on a line of its own
            quiet = other is not mover and other.kind in PRESSED and not low(case, other, held=False)
            if quiet and low(case, other, held=False, pressed=mover):
                yield other
        return
    bottom, top = (case.bench.codes(case.spot, mover, place) for place in (0.0, 1.0))
    for other in case.design.controls:
        seen = case.bench.seen_instead(case.spot, other)
        read = other is not mover and other.kind in DIVIDERS and seen is not None and seen.id in bottom
        if read and seen is not None and abs(top[seen.id] - bottom[seen.id]) > FOLLOWS:
            yield other


def _chip_is_out(case: Case) -> bool:
    """Whether a whole multiplexer is cut off: what its channels then have in common no circuit tells."""
    return sum(isinstance(change, Deaf) for change in case.spot.changes) > 1


def _joins(change: Change) -> bool:
    """Whether a short may let one press come through at another switch: that of a diode wants three held."""
    return isinstance(change, Short) and not change.element.endswith(".diode")


def numbers(case: Case) -> Answer | None:
    """Messages against the mapping sheet: a control that sends nothing has none to compare."""
    own = case.controls()[0]
    if own.kind == "encoder" and {(own.id, "push")} < set(bridged_to(case, own)) <= {
        (own.id, each) for each in own.pins
    }:
        return {"differs": 1.0}  # its push switch speaks when it is turned
    chances = [chance for chance in (_chance(case, control) for control in case.controls()) if chance is not None]
    if not chances or any(isinstance(change, Channels) for change in case.spot.changes):
        return None
    if _chip_is_out(case):
        return None
    return {"agrees": max(chances), "nothing": 1.0 - max(chances)}


def repeats(case: Case) -> Answer | None:
    """Values that come twice across a multiplexer."""
    lines = [change for change in case.spot.changes if isinstance(change, Channels)]
    if _chip_is_out(case):
        return None
    if not lines:
        return {"own": 1.0}
    return {"repeats": 1.0} if len(set(lines[0].reads)) < len(lines[0].reads) else {"own": 1.0}


def goes_wrong(case: Case, control: Control) -> float:
    """Chance that somebody who tries this control says that it is bad; 0 also where the circuit cannot tell."""
    try:
        if control.kind == "lamp":
            return float(case.bench.lamp_amps(case.spot, control, control) < lit_amps(case, control))
        if control.kind in DIVIDERS:
            if case.bench.seen_instead(case.spot, control) is not control:
                return 1.0
            well = (_ends_of(case, control) or {}).get("reaches", 0.0)
            return 1.0 - well * (_middle_of(case, control) or {}).get("middle", 0.0)
        if control.kind == "encoder":
            return float(not turns(case, control))
        if floats(case, control):
            return SPEAKS
        return float(not works(case, control) or _followers(case, control) > 0)
    except DesignError:
        return 0.0
