"""Test points of the design for a test of a model, and typed readings turned into its outcome."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.errors import DesignError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Design
    from benchtui.design.testpoints import Expected
    from benchtui.faults.model import Test
    from benchtui.faults.target import Target


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
    """The design's test points for a test of this target, in the order to be read; empty when it reads nothing."""
    names = test.points.get(target.kind or "any", test.points.get("any", ()))
    if design is None or not names:
        return ()
    from benchtui.design import testpoints

    found = []
    for name in names:
        try:
            found.append(testpoints.expected(design, name, point_subject(design, target, name)))
        except DesignError:
            # The design has no such point for this subject, such as the bank of a lone lamp: the words of the test do.
            continue
    return tuple(found)


def point_subject(design: Design, target: Target, point: str) -> str | None:
    """The subject that a test point wants: the bank for a point of a bank, else the control."""
    if not target.control:
        return None
    from benchtui.design import testpoints

    control = design.control(target.control)
    applies = testpoints.POINTS[point].applies_to if point in testpoints.POINTS else ()
    return control.bank if "bank" in applies and control.kind not in applies else control.id


def judge(test: Test, expected: Sequence[Expected], typed: Sequence[str]) -> Judgement:
    """Turn typed readings into the outcome of a test.

    Args:
        test: The test.
        expected: Its points, in order.
        typed: What was typed so far, in the same order.

    Returns:
        The first reading outside its limits decides; when all lie inside, the outcome for that.

    Raises:
        UnitError: A reading cannot be understood.
    """
    from benchtui.units import parse

    words = []
    outside = ""
    for point, text in zip(expected, typed, strict=False):
        value = parse(text, point.kind).value
        side = "inside"
        if point.low and value < point.low:  # below a limit of 0 it is only the meter's error
            side = "below"
        elif point.high is not None and value > point.high:
            side = "above"
        words.append(f"{point.title}: {side} the limits" if side != "inside" else f"{point.title}: as it should be")
        outside = outside or (side if side != "inside" else "")
    missing = max(len(expected) - len(typed), 0)
    if outside:
        return Judgement(outcome=_outcome(test, outside), missing=missing, words=tuple(words))
    if missing:
        return Judgement(outcome="", missing=missing, words=tuple(words))
    return Judgement(outcome=_outcome(test, "inside"), missing=0, words=tuple(words))


def _outcome(test: Test, side: str) -> str:
    """The outcome that goes with a reading on this side of its limits; empty when the test has none for it."""
    for wanted in (side, "outside") if side != "inside" else ("inside",):
        for outcome in test.outcomes:
            if outcome.reading == wanted:
                return outcome.id
    return ""
