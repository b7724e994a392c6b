"""Demo desks with one fault each, and what a person at the bench would see on them.

Meters and the message monitor follow from the design's circuit with the fault put in; what no circuit tells (a lead
that works when it is changed, a blip when one taps) is a small truth table. Nothing here knows the fault model.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from math import inf
from typing import TYPE_CHECKING

from helpers.fault_worlds import demo

from benchtui.design.circuit.elements import Short
from benchtui.design.parts import DIVIDERS
from benchtui.design.testpoints import POINTS, expected
from benchtui.errors import DesignError
from benchtui.faults.spots import Channels, Spot
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.model import Control
    from benchtui.faults.spots import Change

STILL = 3.0
"""Steps below which a value does not move."""

NEW_CONTROL = frozenset({"Replace the control"})
"""The repair that cures what is inside a part."""

VISIBLE: Mapping[str, str] = {"Look through the loupe": "a defect is visible"}
"""What the loupe shows of a bad joint or a bridge."""

USUAL: Mapping[str, str] = {
    "Is it in the computer's list of devices?": "it is in the list",
    "Another lead, type A to C": "no change",
    "Another port, no hub": "no change",
    "Clear up on the computer": "none of them helped",
    "Move the USB plug with one finger": "it stays as it is",
    "Tap and flex": "nothing happens",
    "A known-good control on the board pin": "the test control works there",
    "Swap two plugs": "the trouble goes with the control",
    "Three corners": "only the three that are held report",
    "Re-seat the connector": "no change",
    "Do values repeat across the multiplexer?": "each has its own value",
    "Look through the loupe": "nothing to see",
    "Does the nut or the body turn?": "it is firm",
    "Re-load firmware and mapping": "no change",
    "The spare unit on the same lead": "the spare works",
    "Warm it": "no change",
    "All lamps on": "within one step",
    "Twenty times over": "no better",
    "Message against the mapping sheet": "they agree",
    "Hands off": "no value, not pressed",
    "Rest, at several places": "one step at most",
    "Ten presses": "one for each press",
    "Slow sweep both ways": "smooth",
    "One turn each way": "the counts are right",
}
"""What each test shows where nothing is wrong with what it looks at."""


@cache
def places() -> Mapping[str, tuple[str, str | None]]:
    """Where probes go, in the words of the screen, to the test point meant."""
    design, _ = demo()
    subjects = [None, *(control.id for control in design.controls), *(bank.id for bank in design.banks)]
    found: dict[str, tuple[str, str | None]] = {}
    for name in POINTS:
        for subject in subjects:
            try:
                found.setdefault(" ".join(expected(design, name, subject).where.split()), (name, subject))
            except DesignError:
                continue
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultyDesk:
    """One desk.

    Attributes:
        name: For the test's own use.
        about: What it is about, as the list of the program begins it.
        symptom: What it does, as the list begins it.
        changes: What is broken in the circuit.
        seen: Test to what it shows, where that is not usual and no circuit tells it.
        cures: Titles of the repairs that put it right.
        cause: Words of the row that names what the person found under the lid; empty where nothing could be seen.
        choices: Words of the answers that are true at the steps of the repair.
        again: What is said when the symptom is tried after the right repair.
    """

    name: str
    about: str
    symptom: str
    changes: tuple[Change, ...] = ()
    seen: Mapping[str, str] = field(default_factory=dict)
    cures: frozenset[str]
    cause: str = ""
    choices: tuple[str, ...] = ()
    tells: str = ""
    """What the player says about many controls, typed before the first move; empty for nothing."""
    again: str = "it is gone"

    @property
    def spot(self) -> Spot | None:
        """The fault as the circuit takes it."""
        if not self.changes:
            return None
        return Spot(id=f"injected@{self.name}", title="", short="", changes=self.changes, rate=1.0, source="injected")

    @property
    def control(self) -> Control | None:
        """The control that is looked at: the one hunted on, or the first of its bank."""
        design, _ = demo()
        if self.about.startswith("Bank"):
            return design.members(self.about.split()[1])[0]
        return next((each for each in design.controls if each.id == self.about), None)

    # -- what instruments show -------------------------------------------------------------------------------------

    def reading(self, where: str, *, mended: bool = False) -> str:
        """What the meter or the monitor shows at the place the screen names.

        Raises:
            AssertionError: The screen names a place that the design does not have.
        """
        design, bench = demo()
        assert where in places(), f"no such place: {where}"
        name, subject = places()[where]
        if name == "diode-reverse" and not mended and Short(f"{subject}.diode") in self.changes:
            name = "diode-forward"  # what is shorted reads alike both ways
        spot = None if mended else self.spot
        limits = bench.limits(name, subject)
        if name in ("sent-lowest", "sent-highest"):  # its ends were taught again, so it sends those of its message
            return str(round((limits.low if name == "sent-lowest" else limits.high) or 0.0))
        if limits.kind == "count":
            control = design.control(subject or "")
            share = {"lowest-code": 0.0, "mid-code": 0.5, "highest-code": 1.0}[name]
            return str(round(bench.code(spot, control, control, share).value))
        shown = bench.point(spot, name, subject)
        if shown is None and limits.high is None:
            return "OL"
        if shown is None:  # given outright, such as the supply: nothing is wrong with it on these desks
            return format_value(limits.nominal or (limits.low or 0.0) * 0.5 + (limits.high or 0.0) * 0.5, limits.kind)
        return "OL" if shown.value == inf else format_value(abs(shown.value), limits.kind)

    def codes(self) -> tuple[list[float], bool]:
        """Values on the monitor over the travel of the control looked at, and whether they wander."""
        _, bench = demo()
        control = self.control
        assert control is not None
        shown = [bench.code(self.spot, control, control, place) for place in (0.0, 0.5, 1.0)]
        return [each.value for each in shown], any(each.floating for each in shown)

    @property
    def silent(self) -> bool:
        """Working the control makes nothing appear on the monitor."""
        design, bench = demo()
        control = self.control
        if control is None:
            return False
        if control.kind in DIVIDERS:
            values, wanders = self.codes()
            return not wanders and max(values) - min(values) < STILL
        if control.kind in ("button-direct", "button-matrix", "toggle"):
            logic = design.board.logic
            up = bench.input_share(self.spot, control, held=False).value > logic.high.value
            down = bench.input_share(self.spot, control, held=True).value < logic.low.value
            return not (up and down)
        return False

    # -- what a person says ----------------------------------------------------------------------------------------

    def says(self, test: str) -> tuple[str, ...]:
        """Answers to a test in the person's words, the most particular first; those the screen offers count."""
        if test in self.seen:
            return (self.seen[test],)
        kind = self.control.kind if self.control else ""
        if self.control is not None and kind in DIVIDERS:
            particular = self._says_of_divider(test)
        elif kind == "lamp":
            particular = self._says_of_lamp(test)
        else:
            particular = self._says_of_switch(test)
        usual = (USUAL[test],) if test in USUAL else ()
        return particular or usual

    def _says_of_divider(self, test: str) -> tuple[str, ...]:
        values, wanders = self.codes()
        if test == "Do raw messages come?":
            return ("nothing comes",) if self.silent else ("messages come",)
        if test == "Does it reach both ends?" and (wanders or (STILL < sum(values) / 3 < 124 and self.silent)):
            return ("it stays in between",)
        if test == "Direction":
            if self.silent:
                return ("it does not move", "cannot tell")
            return ("cannot tell",) if wanders else ("it rises",) if values[2] > values[0] else ("it falls",)
        if test == "Do others speak when only this one moves?":
            return self._says_of_others()
        if wanders and test in ("Rest, at several places", "Slow sweep both ways"):
            return ("it chatters", "it jumps or drops out")
        if self.silent and test in ("Slow sweep both ways", "Message against the mapping sheet"):
            return ("it does not move", "nothing comes", "cannot tell")
        if test == "V+ to GND ohms, unpowered and swept" and self._moves_when_swept():
            return ("it moves as a control is swept",)
        stuck = any(isinstance(each, Channels) for each in self.changes)
        return ("values repeat",) if stuck and test == "Do values repeat across the multiplexer?" else ()

    def _says_of_others(self) -> tuple[str, ...]:
        design, bench = demo()
        mover = self.control
        assert mover is not None
        low, high = (bench.codes(self.spot, mover, place) for place in (0.0, 1.0))
        seen = {other.id: bench.seen_instead(self.spot, other) for other in design.members(mover.bank)}
        following = [
            other
            for other, source in seen.items()
            if other != mover.id and source is not None and abs(high[source.id] - low[source.id]) > 2.0
        ]
        if self.silent and not following:
            return ("nothing comes", "only its own")
        return (("only its own",), ("one other",), ("several others",))[min(len(following), 2)]

    def _moves_when_swept(self) -> bool:
        _, bench = demo()
        control = self.control
        assert control is not None
        shown = [bench.swept_ohms(self.spot, control.bank, control.id, place).value for place in (0.0, 0.5, 1.0)]
        return inf not in shown and max(shown) - min(shown) > 0.03 * max(shown) + 2.0

    def _says_of_lamp(self, test: str) -> tuple[str, ...]:
        _, bench = demo()
        lamp = self.control
        assert lamp is not None
        if test == "Lamp test":
            lit = bench.lamp_amps(self.spot, lamp, lamp) > 0.3 * bench.lamp_amps(None, lamp, lamp)
            return ("it lights",) if lit else ("dark",)
        return ()

    def _says_of_switch(self, test: str) -> tuple[str, ...]:
        if test == "Do raw messages come?":
            return ("nothing comes",) if self.silent else ("messages come",)
        if self.silent and test in ("Message against the mapping sheet", "Ten presses", "Direction"):
            return ("nothing comes", "none, or too few", "it does not move", "cannot tell")
        if self.silent and test == "Do others speak when only this one moves?":
            return ("nothing comes", "only its own")
        if test == "Do others speak when only this one moves?":
            return ("only its own",)
        if test == "Direction":
            return ("it rises",)
        if test.startswith("Voltage at the lug"):
            return ("it does not change",) if self.silent else ("right over the whole travel",)
        return ()
