"""Demo desks with a fault at a button, a switch, a lamp, or at the whole unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helpers.faulty_desk import NEW_CONTROL, VISIBLE, FaultyDesk

from benchtui.design.circuit.elements import Open, Short
from benchtui.faults.spots import Exchange

if TYPE_CHECKING:
    from collections.abc import Sequence

OF_OTHERS: Sequence[FaultyDesk] = (
    FaultyDesk(
        name="toggle-contact-open",
        about="T2",
        symptom="It does nothing",
        changes=(Open("T2.contact"),),
        cures=NEW_CONTROL | {"Clean the track or contact, and let it dry"},
        cause="T2: contact never closes",
    ),
    FaultyDesk(
        name="diode-shorted",
        about="B6",
        symptom="It reports presses that nobody makes",
        changes=(Short("B6.diode"),),
        seen={"Three corners": "another one reports itself"},  # its own diode makes the corner opposite show
        cures=frozenset({"Replace the matrix diode of B6"}),
        cause="",
    ),
    FaultyDesk(
        name="diode-of-another-shorted",
        about="B1",
        symptom="A press of another button shows while two or more are held",
        changes=(Short("B6.diode"),),
        seen={"Three corners": "button B1 reports itself"},
        tells="B2, B5 and B6 held, B1 shows",
        cures=frozenset({"Replace the matrix diode of B6"}),
        cause="",
    ),
    FaultyDesk(
        name="lamp-reversed",
        about="L3",
        symptom="The lamp stays dark",
        changes=(Exchange(control="L3", one="anode", other="cathode"),),
        seen={"Diode test of the lamp": "it lights one way"},
        cures=frozenset({"Turn or replace the lamp"}),
        cause="",
    ),
    FaultyDesk(
        name="charge-only-lead",
        about="The whole unit",
        symptom="The whole unit is dead",
        seen={
            "Is it in the computer's list of devices?": "it is not in the list",
            "Another lead, type A to C": "it clears",
            "Do raw messages come?": "nothing comes",
            "USB current against this unit's own figure": "much less",
            "Lamp test": "dark",
            "The spare unit on the same lead": "the spare shows it too",
        },
        cures=frozenset({"Change the lead", "Another lead, type A to C"}),
        cause="",
    ),
    FaultyDesk(
        name="firmware-gone",
        about="The whole unit",
        symptom="The whole unit is dead",
        seen={
            "Do raw messages come?": "nothing comes",
            "Re-load firmware and mapping": "it clears",
            "Lamp test": "dark",
            "Message against the mapping sheet": "nothing comes",
        },
        cures=frozenset({"Re-load firmware and mapping"}),
        cause="Firmware absent",
    ),
    FaultyDesk(
        name="program-holds-the-port",
        about="The whole unit",
        symptom="Silent in the show program",
        seen={
            "Do raw messages come?": "the port is busy",
            "Clear up on the computer": "closing a program",
            "Lamp test": "it lights",
            "The spare unit on the same lead": "the spare shows it too",
        },
        cures=frozenset({"Put the computer's port right", "Clear up on the computer"}),
        cause="Computer not listening",
    ),
    FaultyDesk(
        name="matrix-column-open",
        about="Bank C",
        symptom="It is dead or wrong",
        changes=(Open("B5.row.wire"),),
        seen={**VISIBLE, "Do raw messages come?": "nothing comes"},
        cures=frozenset({"Re-make the open matrix line"}),
        cause="Matrix line",
    ),
)
"""Desks with one injected fault at anything else."""
