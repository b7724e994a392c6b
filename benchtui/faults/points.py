"""Test points of the design for a test of a model, and typed readings turned into its outcome."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING, Final

from benchtui.errors import DesignError, UnitError
from benchtui.faults.target import read_at
from benchtui.units import format_value, parse
from benchtui.units.bare import is_bare, with_symbol

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Design
    from benchtui.design.testpoints import Expected
    from benchtui.faults.model import Test
    from benchtui.faults.target import Target


WIRE: Final = "wire-loop"
FEED: Final = "feed-loop"
"""Points for the wire of one control, and for a common wire from its connector to its last lug."""

OVER: Final = frozenset({"ol", "o.l", "o.l.", "0l", "0.l", "over", "overload", "over range", "over-range", "open"})
"""What meters show, and people type, when the value is beyond the range."""

REFERENCE: Final = "supply-pin"
HELD: Final = "supply-lug"
"""A voltage that is read first, and the one that is held against it: the supply's own tolerance is none of a wire's."""

SHARE, COUNT, LEAST_BAND = 0.01, 0.01, 0.02
"""How far a lug may be from the reference just read: 1 % and one count, and at least 20 mV (common practice; the count
is that of a meter of 2000 counts on its 20 V range)."""

AROUND_ZERO: Final = {"voltage": 0.05, "resistance": 0.5}
"""How far below 0 a meter may show what is 0, in V and ohm: some counts, or leads that were zeroed out. Estimate."""

LEAST: Final = {"voltage": -2.5, "resistance": -0.5}
"""Readings below this are taken with the probes exchanged, in V and ohm. An input that nothing drives may read below 0:
0.2 uA of leakage is 2 V across the 10 Mohm of the meter."""

NEGATIVE: Final = {
    "voltage": "the probes are exchanged, or the black one is not on GND: put them right and read again",
    "resistance": "no resistance is: there is still voltage on it, so see that the plug is out, wait and read again",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What typed readings say.

    Attributes:
        outcome: Id of the outcome; empty while readings are missing or when no outcome goes with them.
        missing: How many readings are still to be typed.
        words: A sentence for each reading.
    """

    outcome: str
    missing: int
    words: tuple[str, ...]


def points_of(design: Design | None, target: Target, test: Test) -> tuple[Expected, ...]:
    """The design's test points for a test of this target, in the order to be read; empty when it reads nothing.

    Of a bank they are those of the control that the test is made on (`read_at`), or of its common wires.
    """
    if design is None:
        return ()
    own = design.control(test.at) if test.at else read_at(design, target, test.kinds)
    names = test.points.get(own.kind if own else "any", test.points.get("any", ()))
    if not names:
        return ()
    from benchtui.design import testpoints

    wanted = [(name, test.at or point_subject(design, target, name, test.kinds)) for name in names]
    if target.scope == "bank" and own is not None and WIRE in names:
        wanted = [(FEED, bus) for bus in common_wires(design, target.subject)] or wanted
    found = []
    for name, subject in wanted:
        try:
            found.append(testpoints.expected(design, name, subject))
        except DesignError:
            # The design has no such point for this subject, such as the bank of a lone lamp: the words of the test do.
            continue
    return _told(found)


def _told(points: Sequence[Expected]) -> tuple[Expected, ...]:
    """Points in the words of how they are judged: one that is held against the first says so."""
    first = points[0] if points else None
    if first is None or first.point != REFERENCE or first.nominal is None:
        return tuple(points)
    return tuple(
        replace(point, text=f"no more than {_lost_at_most(first, point)} below the first reading")
        if point.point == HELD and point.nominal is not None
        else point
        for point in points
    )


def _lost_at_most(first: Expected, point: Expected) -> str:
    nominal = first.nominal or 0.0
    return format_value(nominal - (point.nominal or 0.0) + allowed(nominal), point.kind, digits=2)


def allowed(reference: float) -> float:
    """How much more than on a healthy way may be lost between the supply just read and a lug, in V."""
    return max(SHARE * abs(reference) + COUNT, LEAST_BAND)


def held_against(expected: Sequence[Expected], typed: Sequence[str]) -> tuple[Expected, ...]:
    """The points of a test with the limits that follow from the reference just read, where that is healthy itself.

    Args:
        expected: Points of the test, in order.
        typed: What was typed so far.

    Raises:
        UnitError: A reading cannot be understood.
    """
    first = expected[0] if expected and typed else None
    if first is None or first.point != REFERENCE or first.nominal is None:
        return tuple(expected)
    value = value_of(first, typed[0])
    if side_of(first, value) != "inside":
        return tuple(expected)
    found = []
    for point in expected:
        if point.point == HELD and point.nominal is not None:
            at = value - (first.nominal - point.nominal)
            point = replace(point, low=at - allowed(value), nominal=at, high=value + allowed(value))
        found.append(point)
    return tuple(found)


def common_wires(design: Design, bank: str) -> tuple[str, ...]:
    """The buses of a bank, ground first."""
    entry = design.bank(bank)
    return tuple(dict.fromkeys(bus for bus in (entry.ground, entry.supply) if bus))


def point_subject(design: Design, target: Target, point: str, kinds: Sequence[str] = ()) -> str | None:
    """The subject that a test point wants: the bank for a point of a bank, else the control."""
    control = read_at(design, target, kinds)
    if control is None:
        return None
    from benchtui.design import testpoints

    applies = testpoints.POINTS[point].applies_to if point in testpoints.POINTS else ()
    return control.bank if "bank" in applies and control.kind not in applies else control.id


def unit_of(point: Expected) -> str:
    """The unit a bare number is taken in; empty for a count.

    That of the limits where both stand in the same one: "mV" for a diode of 527 mV to 774 mV. Else that of the healthy
    reading, volts and ohms in no fraction of a thousand: "kΩ" where 10 kΩ is healthy, but "V" where 20 mV or less is,
    for a bare 3.3 there is a supply voltage. `benchtui.faults.questions` asks where that may be wrong.
    """
    if point.low and point.high and _unit_shown(point.low, point.kind) == _unit_shown(point.high, point.kind):
        return _unit_shown(point.low, point.kind)
    shown = _unit_shown(point.nominal or point.high or point.low or 0.0, point.kind)
    return shown.lstrip("mµnp") if point.kind in ("voltage", "resistance") else shown


def shown_unit(point: Expected) -> str:
    """The unit that the limits of a point are shown in: of the upper one where there are two."""
    return _unit_shown(point.high or point.low or point.nominal or 0.0, point.kind)


def _unit_shown(value: float, kind: str) -> str:
    return format_value(value, kind).partition(" ")[2]


def value_of(point: Expected, typed: str, *, top: float = inf) -> float:
    """What was typed at a test point, in the SI unit of its kind; infinite for over-range.

    Args:
        point: The test point.
        typed: A number with its unit, a bare number in `unit_of`, or what the meter shows when it is over its range.
        top: Largest value that can be sent, for a value on the message monitor.

    Raises:
        UnitError: It cannot be understood, is below 0 where nothing healthy or faulty is, or no monitor shows it.
    """
    text = typed.strip()
    if text.lower() in OVER and point.kind != "count":
        return inf
    text = f"{text} {unit_of(point)}".strip() if is_bare(text) else with_symbol(text, point.kind)
    value = parse(text, point.kind).value
    diode_test = point.kind == "voltage" and point.power == "off"  # which way round it reads is what is asked there
    if value < LEAST.get(point.kind, 0.0) and not diode_test:
        raise UnitError(f"{text} is below 0", hint=NEGATIVE.get(point.kind, "read it again"))
    if point.kind == "count" and value > top:
        raise UnitError(f"{text} is above {top:.0f}, the highest value this control can send", hint="read it again")
    return value


def judge(test: Test, expected: Sequence[Expected], typed: Sequence[str]) -> Judgement:
    """Turn typed readings into the outcome of a test.

    Args:
        test: The test.
        expected: Its points, in order.
        typed: What was typed so far, in the same order; "OL" for more than the meter can show.

    Returns:
        The first reading outside its limits decides, unless the test has an answer for what several readings show
        together: then all of them are asked for. When all lie inside, the outcome for that. None where a test that has
        an answer for "all below" reads but one of them low. Of a test that begins with a reference, the others decide,
        held against it. A negative one is outside, and neither below nor above.

    Raises:
        UnitError: A reading cannot be understood.
    """
    expected = held_against(expected, typed)
    if len(expected) > 1 and typed and expected[0].point == REFERENCE:
        first = f"{expected[0].title}: {SIDES[side_of(expected[0], value_of(expected[0], typed[0]))]}"
        rest = judge(test, expected[1:], typed[1:])
        return replace(rest, words=(first, *rest.words))
    top = _top(expected)
    values = [value_of(point, text, top=top) for point, text in zip(expected, typed, strict=False)]
    sides = [side_of(point, value) for point, value in zip(expected, values, strict=False)]
    words = tuple(f"{point.title}: {SIDES[side]}" for point, side in zip(expected, sides, strict=False))
    missing = max(len(expected) - len(typed), 0)
    offered = {outcome.reading for outcome in test.outcomes}
    together = len(expected) > 1 and bool(offered & TOGETHER)
    outside = next((side for side in sides if side != "inside"), "")
    one_low = outside == "below" and "all below" in offered
    if missing and (together or one_low or not outside):
        return Judgement(outcome="", missing=missing, words=words)
    said = [outside, "outside"] if outside else ["inside"]
    if "negative" in sides:  # of which lug is wrong it says nothing: the black probe may stand on a dead ground
        return Judgement(outcome=_outcome(test, ["outside"]), missing=missing, words=words)
    if one_low:
        said = ["all below"] if set(sides) == {"below"} else []
    if outside and together:
        said = [*_shape(expected, values, sides), *said]
    return Judgement(outcome=_outcome(test, said), missing=missing, words=words)


SIDES: Final = {
    "inside": "as it should be",
    "below": "below the limits",
    "above": "above the limits",
    "negative": "below 0",
}
"""Where a reading lies, in words."""

TOGETHER: Final = frozenset({"first", "last", "same", "same low", "same high", "swapped"})
"""What only several readings together can show."""

ALIKE: Final = 0.05
"""Share of the distance between healthy readings within which they count as the same. Our own choice."""


def _top(expected: Sequence[Expected]) -> float:
    """Largest value on the message monitor: of 14 bits where the healthy values need them, else of 7."""
    most = max((point.high or 0.0 for point in expected if point.kind == "count"), default=0.0)
    return 16383.0 if most > 127.0 else 127.0


def side_of(point: Expected, value: float) -> str:
    """Where a reading lies: "inside", "below" or "above" the limits; "negative" beyond what a meter may show of 0."""
    if value < -AROUND_ZERO.get(point.kind, 0.0):
        return "negative"
    if point.low and value < point.low:
        return "below"
    return "above" if point.high is not None and value > point.high else "inside"


def _shape(expected: Sequence[Expected], values: Sequence[float], sides: Sequence[str]) -> list[str]:
    """What several readings show together, most particular first; empty when they show nothing of the kind."""
    healthy = [point.nominal for point in expected]
    if inf in values or None in healthy:
        return _ends(expected, sides, [1.0 if side != "inside" else 0.0 for side in sides])
    normal = [each for each in healthy if each is not None]
    span = max(normal) - min(normal)
    near = ALIKE * span
    if max(values) - min(values) < near:
        if abs(values[0] - min(normal)) <= near:
            return ["same low", "same"]
        return ["same high", "same"] if abs(values[0] - max(normal)) <= near else ["same"]
    if all(abs(value - other) <= 2.0 * near for value, other in zip(values, reversed(normal), strict=True)):
        return ["swapped"]
    off = [abs(value - other) for value, other in zip(values, normal, strict=True)]
    return _ends(expected, sides, off)


def _ends(expected: Sequence[Expected], sides: Sequence[str], off: Sequence[float]) -> list[str]:
    """Which end a travel stops short of, the one that is further off first.

    Message values that go beyond both ends reach them; a voltage beyond the one it should have is another matter.
    """
    first, last = sides[0] == "above", sides[-1] == "below"
    if first and last:
        return ["first" if off[0] >= off[-1] else "last"]
    if first or last:
        return ["first" if first else "last"]
    middle = all(side == "inside" for side in sides[1:-1])
    return ["inside"] if middle and all(point.kind == "count" for point in expected) else []


def _outcome(test: Test, said: Sequence[str]) -> str:
    """The outcome that goes with the most particular of what the readings say; empty when the test has none."""
    for wanted in said:
        for outcome in test.outcomes:
            if outcome.reading == wanted:
                return outcome.id
    return ""
