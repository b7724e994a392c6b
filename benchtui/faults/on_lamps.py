"""What the lamps show under a spot, in the lamp test and while all of them are on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.parts import DIVIDERS
from benchtui.faults.on_bench import Answer, Case, of_one

if TYPE_CHECKING:
    from benchtui.design.model import Control

LIT: Final = 0.3
"""Share of its healthy current below which a lamp counts as dark; our choice."""


def lamps_on(case: Case) -> Answer | None:
    """Whether a value shifts when all lamps are switched on: only where they share a wire with it."""
    lamps = frozenset(control.id for control in case.design.controls if control.kind == "lamp")
    return of_one(case, lambda each, control: _lamps_on_of(each, control, lamps))


def _lamps_on_of(case: Case, control: Control, lamps: frozenset[str]) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    before = case.bench.code(case.spot, control, control, 0.5)
    after = case.bench.code(case.spot, control, control, 0.5, lamps=lamps)
    if before.floating or after.floating:
        return None
    return {"shifts": 1.0} if abs(after.value - before.value) > 1.0 else {"steady": 1.0}


def lamp_lights(case: Case) -> Answer | None:
    """The lamp test, lamp by lamp."""
    lamps = [control for control in case.controls() if control.kind == "lamp"]
    if not lamps:
        return None
    if case.target.scope != "control":
        dark = any(case.bench.lamp_amps(case.spot, each, each) < lit_amps(case, each) for each in lamps)
        return {"dark": 1.0} if dark else {"lights": 1.0}
    lamp = lamps[0]
    fellows = (other for other in case.design.members(lamp.bank) if other is not lamp and other.kind == "lamp")
    if any(case.bench.lamp_amps(case.spot, other, lamp) >= lit_amps(case, lamp) for other in fellows):
        return {"another": 1.0}
    return {"lights": 1.0} if case.bench.lamp_amps(case.spot, lamp, lamp) >= lit_amps(case, lamp) else {"dark": 1.0}


def lit_amps(case: Case, lamp: Control) -> float:
    """Current above which a lamp counts as lit, in A."""
    return LIT * case.bench.lamp_amps(None, lamp, lamp)
