"""What a meter shows at a control or bank under a spot: volts with the power on, ohms and diodes without."""

from __future__ import annotations

from math import inf, isfinite, prod
from typing import TYPE_CHECKING

from benchtui.design.circuit.elements import Bridge, Open, Short, Worse
from benchtui.design.parts import DIVIDERS
from benchtui.design.wiring import wires
from benchtui.faults.on_bench import Answer, Case, below, inside, of_one
from benchtui.faults.points import ALIKE, FEED, HELD, REFERENCE, WIRE, allowed, common_wires
from benchtui.faults.probing import Shown
from benchtui.faults.spots import Detached, Exchange, Value

if TYPE_CHECKING:
    from benchtui.design.model import Control
    from benchtui.faults.spots import Change

PLACES = (0.0, 0.5, 1.0)


def lug_volts(case: Case) -> Answer | None:
    """Volts of the signal lug over the travel."""
    return of_one(case, lambda each, control: _volts(each, control, "signal"))


def pin_volts(case: Case) -> Answer | None:
    """Volts at the board pin or channel input over the travel."""
    return of_one(case, lambda each, control: _volts(each, control, "pin"))


def _volts(case: Case, control: Control, where: str) -> Answer | None:
    if control.kind in DIVIDERS:
        names = [f"{where}-{place}" for place in ("low", "mid", "high")]
        shown = [case.bench.point(case.spot, name, control.id) for name in names]
    elif control.kind in ("button-direct", "toggle", "encoder"):
        names = ["pin-idle", "pin-pressed"]  # at the lug it should read the same, but for the millivolts of a wire
        if where == "pin":
            shown = [case.bench.point(case.spot, name, control.id) for name in names]
        else:
            shown = [case.bench.lug_volts(case.spot, control, held=held) for held in (False, True)]
    else:
        return None
    readings = [each for each in shown if each is not None]
    if len(readings) < len(names):
        return None
    limits = [case.bench.limits(name, control.id) for name in names]
    right = prod(inside(each, limit.low, limit.high) for each, limit in zip(readings, limits, strict=True))
    near = ALIKE * case.design.rail.value
    first, last = readings[0].value, readings[-1].value
    if max(abs(first - (limits[-1].nominal or 0.0)), abs(last - (limits[0].nominal or 0.0))) < near:
        return {"right": right, "reversed": 1.0 - right}
    stuck = _alike(min(readings, key=_value), max(readings, key=_value), near)
    return {"right": right, "stuck": (1.0 - right) * stuck, "wrong": (1.0 - right) * (1.0 - stuck)}


def _value(shown: Shown) -> float:
    return shown.value


def _alike(one: Shown, other: Shown, near: float) -> float:
    """Chance that two readings lie within `near` of each other; what moves both moves them together."""
    if inf in (one.value, other.value):
        return float(one.value == other.value)
    apart = Shown(other.value - one.value, abs(other.spread - one.spread))
    return below(apart, near) - below(apart, -near)


def end_volts(case: Case) -> Answer | None:
    """Volts of both end lugs."""
    return of_one(case, _end_volts_of)


def _end_volts_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    supply = case.bench.point(case.spot, "supply-lug", control.id)
    ground = case.bench.point(case.spot, "ground-lug", control.id)
    if supply is None or ground is None:
        return None
    if any(isinstance(change, Exchange) and change.one == "ground" for change in case.spot.changes):
        return {"exchanged": 1.0}  # each lug by its own name: the leads are on the wrong ends
    lugs = [case.bench.limits(name, control.id) for name in (HELD, "ground-lug")]
    up, down = (inside(shown, each.low, each.high) for shown, each in zip((supply, ground), lugs, strict=True))
    reference = case.bench.point(case.spot, REFERENCE, control.id)
    if reference is not None and isfinite(reference.value) and isfinite(supply.value):
        at = case.bench.limits(REFERENCE, control.id)
        if (at.low or 0.0) <= reference.value <= (at.high or inf):  # judged by what is lost on the way to the lug
            healthy, band = (at.nominal or 0.0) - (lugs[0].nominal or 0.0), allowed(reference.value)
            # What the supply is off moves both of them together.
            lost = Shown(reference.value - supply.value, abs(reference.spread - supply.spread))
            up = inside(lost, -band, healthy + band)
    return {"right": up * down, "supply": (1.0 - up) * (0.5 + 0.5 * down), "ground": (1.0 - down) * (0.5 + 0.5 * up)}


def swept_ohms(case: Case) -> Answer | None:
    """Supply to ground of the bank, its plug out, while a control is swept."""
    return of_one(case, _swept_ohms_of)


def _swept_ohms_of(case: Case, control: Control) -> Answer | None:
    bank = case.design.bank(control.bank) if control.bank else None
    if bank is None or not bank.supply or not bank.ground or control.kind not in DIVIDERS:
        return None
    shown = [case.bench.swept_ohms(case.spot, bank.id, control.id, place) for place in PLACES]
    values = [each.value for each in shown]
    if inf in values:
        return {"high": 1.0}
    if max(values) - min(values) > 0.03 * max(values) + 2.0:
        return {"moves": 1.0}
    limits = case.bench.limits("bank-ohms", bank.id)
    under, over = below(shown[1], limits.low or 0.0), 1.0 - below(shown[1], limits.high or inf)
    return {"low": under, "high": over, "steady": 1.0 - under - over}


def wire_ohms(case: Case) -> Answer | None:
    """Each wire of a control by itself, with the contact it ends in; of a bank its common wires, end to end."""
    if case.target.scope == "bank":
        buses = common_wires(case.design, case.target.subject)
        return _loops(case, [(FEED, bus) for bus in buses] or [(WIRE, case.control().id)])
    subject = case.target.subject
    own = {f"{run.id}.wire" for run in wires(case.design, subject)}
    own |= {f"{run.connector}.{run.pin}.contact" for run in wires(case.design, subject) if run.connector}
    bad = any(
        isinstance(change, Detached | Exchange) or (isinstance(change, Open | Worse) and change.element in own)
        for change in case.spot.changes
    )
    return {"bad": 1.0} if bad else {"good": 1.0}


def _loops(case: Case, points: list[tuple[str, str]]) -> Answer | None:
    """Wires from end to end, each at its own test point."""
    good = 1.0
    for name, subject in points:
        shown = case.bench.point(case.spot, name, subject)
        if shown is None:
            return None
        limits = case.bench.limits(name, subject)
        good *= inside(shown, limits.low, limits.high)
    return {"good": good, "bad": 1.0 - good}


def element_ohms(case: Case) -> Answer | None:
    """End to end of the element."""
    return of_one(case, _element_ohms_of)


def _element_ohms_of(case: Case, control: Control) -> Answer | None:
    name = "ribbon-element" if control.kind == "ribbon" else "element"
    shown = case.bench.point(case.spot, name, control.id)
    if shown is None:
        return None
    limits = case.bench.limits(name, control.id)
    under, over = below(shown, limits.low or 0.0), 1.0 - below(shown, limits.high or inf)
    return {"low": under, "high": over, "good": 1.0 - under - over}


def pull_down(case: Case) -> Answer | None:
    """The pull-down of a ribbon's input, its tail unplugged."""
    return of_one(case, _pull_down_of)


def _pull_down_of(case: Case, ribbon: Control) -> Answer | None:
    if ribbon.kind != "ribbon":
        return None
    shown = case.bench.point(case.spot, "ribbon-pull-down", ribbon.id)
    if shown is None:
        return None
    limits = case.bench.limits("ribbon-pull-down", ribbon.id)
    good = inside(shown, limits.low, limits.high)
    return {"good": good, "bad": 1.0 - good}


def diode(case: Case) -> Answer | None:
    """The diode of a matrix button, both ways."""
    return of_one(case, _diode_of)


def _diode_of(case: Case, control: Control) -> Answer | None:
    if not any(isinstance(change, Bridge) or _sits_in(change, control) for change in case.spot.changes):
        return {"good": 1.0}  # with the connector out and no button pressed a diode is read alone
    shown = case.bench.point(case.spot, "diode-forward", control.id)
    if shown is None:
        return None
    limits = case.bench.limits("diode-forward", control.id)
    if shown.value == inf:
        return {"open": 1.0}
    low = below(shown, limits.low or 0.0)
    return {"short": low, "good": 1.0 - low}


def _sits_in(change: Change, control: Control) -> bool:
    """Whether a change is one of a control's own parts or leads."""
    if isinstance(change, Open | Short | Worse):
        return change.element.partition(".")[0] == control.id
    return isinstance(change, Detached | Exchange | Value) and change.control == control.id


def contact_ohms(case: Case) -> Answer | None:
    """The contact itself, closed and open."""
    return of_one(case, _contact_ohms_of)


def _contact_ohms_of(case: Case, control: Control) -> Answer | None:
    for change in case.spot.changes:
        if (
            isinstance(change, Open | Worse | Short)
            and change.element.endswith((".contact", ".a"))
            and change.element.partition(".")[0] == control.id
        ):
            return {"closed": 1.0} if isinstance(change, Short) else {"high": 1.0}
    return {"good": 1.0}


def lamp_diode(case: Case) -> Answer | None:
    """A lamp on the meter's diode range, both ways."""
    return of_one(case, _lamp_diode_of)


def _lamp_diode_of(case: Case, lamp: Control) -> Answer | None:
    if lamp.kind != "lamp":
        return None
    if any(isinstance(change, Exchange) for change in case.spot.changes):
        return {"lights": 1.0}  # the other way round it lights
    shown = case.bench.point(case.spot, "lamp-forward", lamp.id)
    if shown is None:
        return None
    return {"dead": 1.0} if shown.value == inf or shown.value < 0.3 else {"lights": 1.0}
