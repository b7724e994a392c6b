"""A competent technician at a desk: makes a test, looks, types what the meter shows, and answers.

Readings go through the program's own judgement of typed readings, as in a real hunt. What is seen without a number is
answered by its own rule here; none of it looks at the program's likelihoods.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

from helpers.trade_truth import ACTS, CASES, Case

from benchtui.design.parts import DIVIDERS
from benchtui.faults.events import CANNOT_TELL
from benchtui.faults.points import FEED, common_wires, judge, points_of
from benchtui.faults.target import read_at
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping
    from random import Random

    from helpers.desk_on_bench import Desk

    from benchtui.design.model import Control
    from benchtui.faults.model import FaultModel, Test
    from benchtui.faults.target import Target

SLIP = 0.02
"""Share of answers that are a slip of probe, eye or finger."""

STILL = 3.0
"""Steps of 127 below which nobody says that a value moves."""

SILENT = {"T19": "nothing", "T31": "nothing", "T33": "still", "T34": "ends", "T37": "missing", "T38": "still"}
"""What is said of a control that sends nothing, by the tests that want messages."""

SWITCHES = ("button-direct", "button-matrix", "toggle")


class Technician:
    """Answers the tests of one hunt."""

    def __init__(self, model: FaultModel, target: Target, fault: str, desk: Desk, rng: Random) -> None:
        self.model, self.target, self.desk, self.rng = model, target, desk, rng
        self.design = desk.design
        self.fault = fault.partition("@")[0]
        self.place = fault.partition("@")[2].partition(".")[0]
        by_table = "@" not in fault or self.fault in ("F53", "F16")  # a dead chip does more than the circuit knows of
        cases = CASES.get(self.fault, (Case(1.0),)) if by_table else (Case(1.0),)
        self.case = rng.choices(cases, [each.share for each in cases])[0]
        self.by_circuit = not by_table  # with V+ on GND the port decides, not the circuit

    def answer(self, test: Test) -> str:
        """The answer to a test, or `CANNOT_TELL`."""
        if test.disturbs or self.rng.random() < 0.3:
            self.desk.touched()
        outcomes = [each.id for each in test.outcomes]
        if self.rng.random() < SLIP:
            return self.rng.choice(outcomes)
        found = self._by_circuit(test) if self.by_circuit else ""
        if not found:
            found = self._by_trade(test)
        return found if found in outcomes or found == CANNOT_TELL else self._nearest(test, found)

    def _nearest(self, test: Test, found: str) -> str:
        """Where the model has no such answer: whatever finding it has is not what was seen."""
        return CANNOT_TELL

    def _by_trade(self, test: Test) -> str:
        healthy = next(each.id for each in test.outcomes if not each.finding)
        if self.by_circuit:
            if test.id == "T27":
                return "clears" if self.rng.random() < 0.97 else healthy
            acts = {outcome: rates.get(self.fault, 0.0) for outcome, rates in ACTS.get(test.id, {}).items()}
            if test.id in ("T08", "T28") and self.desk.lasting:  # broken ends touch only now and then
                acts = {outcome: 0.3 * share for outcome, share in acts.items()}
            return self._drawn(acts, healthy)
        seen = self.case.sees.get(test.id)
        if seen is None:
            return SILENT.get(test.id, healthy) if self.case.mute else healthy
        return seen if isinstance(seen, str) else self._drawn(seen, healthy)

    def _drawn(self, shares: Mapping[str, float], rest: str) -> str:
        dice = self.rng.random()
        for outcome, share in shares.items():
            dice -= share
            if dice < 0.0:
                return outcome
        return rest

    # -- by the circuit --------------------------------------------------------------------------------------------

    def _by_circuit(self, test: Test) -> str:
        # The same test on another control is the same test.
        work = getattr(self, f"_{test.id.partition('@')[0].lower()}", None)
        if work is not None:
            return str(work(test))
        return ""

    def members(self) -> list[Control]:
        """Controls to look at."""
        if self.target.scope == "control":
            return [self.design.control(self.target.subject)]
        return list(self.design.members(self.target.subject))

    def codes(self, control: Control, places: tuple[float, ...] = (0.0, 0.5, 1.0)) -> list[float] | None:
        """Values while it is moved; None when nothing defines them."""
        found = [self.desk.code(control, {control.id: place}) for place in places]
        return None if any(each is None for each in found) else [float(each or 0.0) for each in found]

    def speaks(self, control: Control) -> bool:
        """Whether its own messages come when it is worked."""
        if control.kind in DIVIDERS:
            codes = self.codes(control)
            if codes is None:
                return self.desk.floats != "sits"
            return max(codes) - min(codes) >= STILL
        if self._flickering(control):
            return True  # and unasked as well
        if control.kind == "encoder":
            return self.turns(control) or self._dithers(control)
        return self._presses(control, "contact")

    def _flickering(self, control: Control, roles: tuple[str, ...] = ("contact", "a", "b", "push")) -> bool:
        """Whether an input of a switch or encoder has lost what holds it, and sends by itself.

        Common practice: an input without its pull-up reads at random, and more so with a hand near it. It does not stay
        on the one side that its leakage would take it to.
        """
        if control.kind not in (*SWITCHES, "encoder"):
            return False
        own = ("contact",) if control.row else tuple(role for role in roles if role in control.pins)
        return any(self.desk.flickers(control, role) for role in own)

    def _presses(self, control: Control, role: str) -> bool:
        return not self.desk.low(control, role, held="") and self.desk.low(control, role, held=control.id)

    def turns(self, control: Control) -> bool:
        """Whether an encoder counts when it is turned."""
        return self._presses(control, "a") and self._presses(control, "b")

    def _dithers(self, control: Control) -> bool:
        return self._presses(control, "a") or self._presses(control, "b")

    def _t04(self, test: Test) -> str:
        members = [each for each in self.members() if each.kind != "lamp"]
        if not members:
            return CANNOT_TELL
        mute = [each for each in members if not self.speaks(each)]
        if self.desk.loose and self.desk.open and self.rng.random() < 0.25:
            mute = []  # a few come through while it is worked
        if not mute:
            return "messages"
        if len(mute) == len(members):
            return "silent"
        # Of a bank, some speak: most people report the ones that do not.
        return "silent" if self.rng.random() < 0.75 else "messages"

    def worst(self) -> str:
        """Of a bank, the control that somebody who tries them all calls worst; empty when all seem alike."""
        members = self.members()
        bad = [each for each in members if self._goes_wrong(each)]
        if not bad:
            return ""

        def travel(control: Control) -> float:
            if control.kind not in DIVIDERS:
                return 0.0
            codes = self.codes(control)
            return -1.0 if codes is None else max(codes) - min(codes)

        return min(bad, key=travel).id

    def _goes_wrong(self, control: Control) -> bool:
        if control.kind == "lamp":
            return self.desk.lamp_share(control, control) < 0.3
        if control.kind in DIVIDERS:
            codes = self.codes(control)
            return codes is None or min(codes) > 4.0 or max(codes) < 123.0 or codes[0] > codes[-1]
        if self._flickering(control, ("contact", "a", "b")):
            return True
        if control.kind == "encoder":
            return not self.turns(control)
        return not self._presses(control, "contact") or self._followers(control) > 0

    def _named(self, test: Test) -> Control:
        """The control that the screen names for a test."""
        found = self.design.control(test.at) if test.at else read_at(self.design, self.target, test.kinds)
        assert found is not None
        return found

    def typed(self, test: Test, control: Control, values: Mapping[str, float] | None = None) -> str:
        """Type the readings of a test one by one, and take the program's judgement."""
        expected = points_of(self.design, self.target, test)
        if not expected:
            return ""
        texts: list[str] = []
        for point in expected:
            subject = control.bank if point.point == "bank-ohms" else control.id
            if point.point == FEED:  # each common wire by itself, ground first
                subject = common_wires(self.design, self.target.subject)[len(texts)]
            value = (values or {}).get(point.point)
            if value is None:
                value = self.desk.point(point.point, subject)
            if value is None:
                return ""
            texts.append("OL" if value == inf else format_value(value, point.kind, digits=4))
            judged = judge(test, expected, texts)
            if judged.outcome:
                return judged.outcome
        return CANNOT_TELL

    def _flexed(self, still: str, healthy: str) -> str:
        """After the still reading the harness is flexed; a loose joint often shows then."""
        if self.desk.loose and self.rng.random() < (0.5 if self.desk.open else 0.7):
            return "jumps"
        return still or healthy

    def _t11(self, test: Test) -> str:
        bank = self.members()[0].bank
        entry = self.design.bank(bank)
        if not entry.supply or not entry.ground:
            return ""
        for control in self.members()[:8]:
            if control.kind in DIVIDERS and control.kind != "ribbon":
                swept = [self.desk.swept_ohms(bank, control.id, place) for place in (0.0, 0.5, 1.0)]
                if inf not in swept and max(swept) - min(swept) > 0.05 * max(swept) + 3.0:
                    return "moves"
        return self.typed(test, self._named(test))

    def _t12(self, test: Test) -> str:
        member = self._named(test)
        if member.kind not in ("button-direct", "toggle", "encoder"):
            return self._volts(test)
        # The design has no points for it: open it should read high and closed low, as the board reads it at the pin.
        # Trade notes 3.1: with the pull-up on the board a broken lead makes the lug wrong as well.
        logic, rail = self.design.board.logic, self.design.rail.value
        idle, closed = (self.desk.lug_volts(member, held=held) for held in (False, True))
        if idle > logic.high.value * rail and closed < logic.low.value * rail:
            return self._flexed("right", "right")
        return self._flexed("stuck" if abs(idle - closed) < 0.05 * rail else "wrong", "right")

    def _t13(self, test: Test) -> str:
        return self._volts(test)

    def _volts(self, test: Test) -> str:
        member = self._named(test)
        if not points_of(self.design, self.target, test):
            return ""
        return self._flexed(self.typed(test, member), "right")

    def _t14(self, test: Test) -> str:
        return self.typed(test, self._named(test))

    def _t15(self, test: Test) -> str:
        if self.target.scope == "bank" and common_wires(self.design, self.target.subject):
            return self.typed(test, self._named(test))
        if self.desk.loose and not self.desk.open:
            return "bad" if self.rng.random() < 0.8 else "good"
        return "bad" if self.desk.wire_ohms(self.target.subject) > 1.0 else "good"

    def _t16(self, test: Test) -> str:
        return self.typed(test, self._named(test))

    def _bridged(self) -> set[tuple[str, str]]:
        """Control and role at both ends of a bridge between pins."""
        pins = {
            f"{each.connector}.{pin}": (each.id, role)
            for each in self.design.controls
            for role, pin in each.pins.items()
        }
        ends = [
            (getattr(each, "a", ""), getattr(each, "b", ""))
            for each in (self.desk.spot.changes if self.desk.spot else ())
        ]
        return {pins[end] for pair in ends for end in pair if end in pins}

    def _t17(self, test: Test) -> str:
        # The resistor sits at the board: a switch put in there has none either, while a pot drives the pin itself.
        if self.fault == "F37" and self._named(test).kind != "ribbon":
            return self._drawn({"wrong": 0.95}, "works")
        return ""

    def _t18(self, test: Test) -> str:
        # The resistor sits at the board, so its want stays there whatever is plugged in.
        return self._drawn({"stays": 0.95}, "moves") if self.fault == "F37" else ""

    def _t19(self, test: Test) -> str:
        if self.target.scope == "control" and self.members()[0].kind == "encoder" and self._bridged():
            return "twin" if len({id for id, _ in self._bridged()}) > 1 else "alone"
        followers, own = 0, False
        for mover in self.members():
            mine = self.speaks(mover) if mover.kind != "lamp" else True
            own = own or mine
            followers = max(followers, self._followers(mover))
        if followers:
            return "twin" if followers == 1 else "several"
        return "alone" if own else "nothing"

    def _followers(self, mover: Control) -> int:
        count = 0
        others = [each for each in self.design.members(mover.bank) if each is not mover]
        for other in others:
            if mover.kind in DIVIDERS and other.kind in DIVIDERS:
                low, high = (self.desk.code(other, {mover.id: place}) for place in (0.0, 1.0))
                count += low is not None and high is not None and abs(high - low) > 2.0
            elif mover.kind in SWITCHES and other.kind in SWITCHES:
                role = "contact"
                pressed = not self.desk.low(other, role, held="") and self.desk.low(other, role, held=mover.id)
                count += pressed or self._flickering(other)  # it is seen to speak, whoever moves
        return count

    def _t20(self, test: Test) -> str:
        return self.typed(test, self._named(test))

    def _t21(self, test: Test) -> str:
        # The fourth corner is the one opposite the diode that passes both ways: the one hunted on only where it shares
        # neither row nor column with that diode's button.
        seen = self._by_trade(test)
        if seen != "phantom" or self.fault != "F34" or self.target.scope != "control":
            return seen
        own, bad = self.members()[0], self.design.control(self.place)
        return "another" if own.row == bad.row or own.column == bad.column else "phantom"

    def line(self, test: Test, outcome: str) -> str:
        """What else is said with an answer, as the screen asks: which buttons were held, and which one showed."""
        if test.id != "T21" or outcome not in ("phantom", "another") or self.fault != "F34" or not self.by_circuit:
            return ""
        bad = self.design.control(self.place)
        own = self.members()[0] if self.target.scope == "control" else bad
        rows, columns = ({getattr(each, what) for each in self.design.members(bad.bank)} for what in ("row", "column"))
        # The one that shows is at the corner opposite, in the row and column of the one hunted on where these differ.
        row = own.row if own.row != bad.row else self.rng.choice(sorted(rows - {bad.row}))
        column = own.column if own.column != bad.column else self.rng.choice(sorted(columns - {bad.column}))
        at = {(each.row, each.column): each.id for each in self.design.members(bad.bank)}
        return f"{bad.id}, {at[bad.row, column]} and {at[row, bad.column]} held, {at[row, column]} shows"

    def _t23(self, test: Test) -> str:
        members = [each for each in self.members() if each.kind in DIVIDERS]
        if not members:
            return ""
        if self.target.scope == "control":
            members = [each for each in self.design.members(members[0].bank) if each.kind in DIVIDERS]
        places = {each.id: (number + 1.0) / (len(members) + 1.0) for number, each in enumerate(members)}
        values = [self.desk.code(each, dict(places)) for each in members]
        inner = [each for each in values if each is not None and 2.0 < each < 125.0]
        if any(abs(a - b) <= 1.0 for number, a in enumerate(inner) for b in inner[:number]):
            return "repeats"
        stuck = len([each for each in values if each is not None]) - len(inner)
        return "repeats" if stuck > 1 and self.rng.random() < 0.2 else "own"

    def _t29(self, test: Test) -> str:
        members = [self._named(test)]
        lamps = tuple(each.id for each in self.design.controls if each.kind == "lamp")
        for control in members[:2]:
            before, after = self.desk.code(control, {}), self.desk.code(control, {}, lamps)
            if before is not None and after is not None and abs(after - before) > 1.5:
                return "shifts"
        return "steady"

    def _t31(self, test: Test) -> str:
        if len({id for id, _ in self._bridged()}) == 1 and "push" in {role for _, role in self._bridged()}:
            return "differs"  # its push switch speaks when it is turned
        members = [each for each in self.members() if each.kind != "lamp"]
        if members and not any(self.speaks(each) for each in members) and self.fault not in ("F15",):
            return "nothing"
        return self._by_trade(test)

    def _t32(self, test: Test) -> str:
        control = self._named(test)
        codes = self.codes(control)
        if codes is None:
            return "odd" if self.desk.floats != "sits" else self.rng.choice(["stays-low", "stays-high", "odd"])
        return self.typed(test, control, {"lowest-code": min(codes), "highest-code": max(codes)})

    def _t33(self, test: Test) -> str:
        control = self._named(test)
        if control.kind in DIVIDERS:
            codes = self.codes(control)
            if codes is None or abs(codes[-1] - codes[0]) < STILL:
                return "still"
            return "right" if codes[-1] > codes[0] else "reversed"
        if control.kind == "encoder" and not self._flickering(control, ("a", "b")):
            # Trade notes 3.2, F35: with one of its leads open it dithers by one and never travels.
            return "right" if self.turns(control) else "still"
        return "right" if self.speaks(control) else "still"

    def _t34(self, test: Test) -> str:
        control = self._named(test)
        codes = self.codes(control)
        if codes is None or abs(codes[-1] - codes[0]) < 64.0:
            return "ends"
        return self.typed(test, control, {"mid-code": codes[1]})

    def _t35(self, test: Test) -> str:
        control = self._named(test)
        if control.kind == "ribbon":
            value = self.desk.code(control, {control.id: None})
            if value is None:
                return "wanders" if self.desk.floats != "sits" else "fixed"
            return "fixed" if value > 2.0 else "quiet"
        if self._flickering(control):
            return "wanders"
        if control.kind == "encoder":  # its other contacts stand open or closed by turns
            return "fixed" if "push" in control.pins and self.desk.low(control, "push", held="") else "quiet"
        if control.kind in SWITCHES:
            return "fixed" if self.desk.low(control, "contact", held="") else "quiet"
        return ""

    def _t36(self, test: Test) -> str:
        control = self._named(test)
        if self.desk.loose:
            return "chatters" if self.rng.random() < 0.4 else "quiet"
        if control.kind == "encoder":
            return "chatters" if self._flickering(control, ("a", "b")) else "quiet"
        codes = self.codes(control, (0.3, 0.6))
        if codes is None:
            return "chatters" if self.desk.floats != "sits" else "quiet"
        return "quiet"

    def _t37(self, test: Test) -> str:
        control = self._named(test)
        role = "push" if control.kind == "encoder" else "contact"
        if self.desk.loose and not self._presses_while_open(control, role):
            return self._drawn({"missing": 0.6 if self.desk.open else 0.3, "double": 0.25}, "ten")
        if self._flickering(control, (role,)):  # it comes back by itself, or stays where it was
            return self._drawn({"double": 0.5, "missing": 0.2}, "ten")
        return "ten" if self._presses(control, role) else "missing"

    def _presses_while_open(self, control: Control, role: str) -> bool:
        """Whether a press is seen even while the loose joint is open, as the push of an encoder whose A is loose."""
        now, self.desk.open = self.desk.open, True
        seen = self._presses(control, role)
        self.desk.open = now
        return seen

    def _t38(self, test: Test) -> str:
        if self.desk.loose:
            return "jumps" if self.rng.random() < 0.5 else "smooth"
        codes = self.codes(self._named(test))
        if codes is None:
            return "jumps" if self.desk.floats != "sits" else "smooth"
        return "smooth" if abs(codes[-1] - codes[0]) >= STILL else "still"

    def _t39(self, test: Test) -> str:
        return self.typed(test, self._named(test))

    def _t40(self, test: Test) -> str:
        lamp = self.members()[0]
        if self.target.scope != "control":
            lit = [each for each in self.members() if self.desk.lamp_share(each, each) >= 0.3]
            return "lights" if len(lit) == len(self.members()) else "dark"
        others = [each for each in self.design.members(lamp.bank) if each is not lamp and each.kind == "lamp"]
        if self.desk.lamp_share(lamp, lamp) >= 0.3 or any(self.desk.lamp_share(each, lamp) >= 0.3 for each in others):
            return "another" if any(self.desk.lamp_share(each, lamp) >= 0.3 for each in others) else "lights"
        return "dark"

    def _t41(self, test: Test) -> str:
        if any(type(each).__name__ == "Exchange" for each in (self.desk.spot.changes if self.desk.spot else ())):
            return "lights"  # with the probes the other way round
        return self.typed(test, self._named(test))

    def _t42(self, test: Test) -> str:
        encoder = self._named(test)
        roles = {role for id, role in self._bridged() if id == encoder.id}
        if roles == {"a", "b"}:
            return "still"  # one upon the other never counts
        if roles & {"a", "b"} and self.rng.random() < 0.5:
            return "back"  # upon a push switch or a neighbour it stumbles
        if self._flickering(encoder, ("a", "b")):
            return "back"  # it counts by itself
        if self.turns(encoder):
            return "right"
        # Trade notes 3.2, F35: it dithers by one and never travels; a loose lead lets some counts through.
        return self._drawn({"fewer": 0.3, "back": 0.2}, "still") if self.desk.loose else "still"

    def _t43(self, test: Test) -> str:
        return self.typed(test, self._named(test))
