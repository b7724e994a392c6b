"""Demo desks with a fault at a fader, a rotary control, a ribbon or a bank of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.faulty_desk import NEW_CONTROL, VISIBLE, FaultyDesk

from benchtui.design.circuit.elements import Bridge, Open, Worse
from benchtui.faults.spots import Channels, Detached, Exchange

if TYPE_CHECKING:
    from collections.abc import Sequence

END_LEADS = frozenset({"Re-wire the end leads"})
SIGNAL_LEAD = frozenset({"Cut back and re-terminate the signal lead"})
COMMON = frozenset({"Re-make the common joint"})

OF_FADERS: Sequence[FaultyDesk] = (
    FaultyDesk(
        name="wiper-wire-broken",
        about="F3",
        symptom="It does nothing",
        changes=(Open("F3.signal.wire"),),
        seen={"Tap and flex": "the value blips"},
        cures=SIGNAL_LEAD,
        cause="Broken wire from F3 lug 2",
    ),
    FaultyDesk(
        name="cold-joint-lug-1",
        about="F2",
        symptom="It does nothing",
        changes=(Detached(control="F2", role="ground"),),
        seen={**VISIBLE, "Tap and flex": "the value blips"},
        cures=END_LEADS,
        cause="Bad joint at F2 lug 1",
        choices=("an end lead is open",),
    ),
    FaultyDesk(
        name="ends-swapped",
        about="F5",
        symptom="It runs backwards",
        changes=(Exchange(control="F5", one="ground", other="supply"),),
        cures=END_LEADS,
        cause="F5: ends swapped",
        choices=("the two end leads are exchanged",),
    ),
    FaultyDesk(
        name="supply-of-bank-open",
        about="Bank A",
        symptom="It is dead or wrong",
        changes=(Open("F1.supply.wire"),),
        seen=VISIBLE,
        cures=COMMON,
        cause="Common V+ open",
    ),
    FaultyDesk(
        name="ground-resistive",
        about="Bank A",
        symptom="It does not reach its ends",
        changes=(Worse("F1.ground.wire", 300.0),),
        seen={"All lamps on": "it shifts", "Rest, at several places": "one step at most"},
        cures=COMMON,
        cause="Common GND resistive",
    ),
    FaultyDesk(
        name="bridge-between-wipers",
        about="F3",
        symptom="Something else",
        tells="moving F3 moves F4",
        changes=(Bridge("J1.5", "J1.6", 0.1),),
        seen=VISIBLE,
        cures=frozenset({"Clear the bridge between pins"}),
        cause="Bridge between J1 pins 5 and 6",
    ),
    FaultyDesk(
        name="select-line-stuck",
        about="Bank A",
        symptom="It is dead or wrong",
        changes=(Channels(multiplexer="M1", reads=tuple(n & ~1 for n in range(16))),),
        seen={
            "Does it reach both ends?": "it stays in between, wanders or copies another",
            "A known-good control on the board pin": "it is still wrong",
            "Swap two plugs": "the trouble stays",
        },
        cures=frozenset({"Trace the select lines, replace the multiplexer"}),
        cause="Multiplexer M1: ",
    ),
    FaultyDesk(
        name="ribbon-pull-down-missing",
        about="R1",
        symptom="It reports presses that nobody makes",
        changes=(Open("J5.3.pull-down"),),
        seen={
            "Hands off": "a value that wanders",
            "Rest, at several places": "it chatters",
            "Tap and flex": "nothing happens",
        },
        cures=frozenset({"Fit the missing pull-up or pull-down"}),
        cause="Pull-down of J5 pin 3",
    ),
    FaultyDesk(
        name="dirty-fader",
        about="F7",
        symptom="It jumps or chatters",
        seen={"Slow sweep both ways": "it jumps or drops out", "Twenty times over": "better"},
        cures=NEW_CONTROL
        | {"Clean the track or contact, and let it dry", "Sweep or press it twenty times", "Twenty times over"},
        cause="Dirty or worn track",
        again="it is gone in all",
    ),
    FaultyDesk(
        name="mapped-wrong",
        about="K2",
        symptom="It does nothing",
        seen={
            "Message against the mapping sheet": "something differs",
            "Re-load firmware and mapping": "it clears",
            "A known-good control on the board pin": "it is still wrong",
            "Swap two plugs": "the trouble stays",
            "The spare unit on the same lead": "the spare works",
        },
        cures=frozenset({"Re-load firmware and mapping"}),
        cause="Mapped wrong",
    ),
)
"""Desks with one injected fault at what divides a voltage."""
