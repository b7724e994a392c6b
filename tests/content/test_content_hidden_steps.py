"""Steps and limits sown into cautions and notes are found, and honest texts are let through: row D4.

MIL-DTL-87268D 3.2.2.2 and 3.2.2.3 (no steps in a caution but those that avoid the hazard, no tolerance in a note);
ASD-STE100 rule 5.5 (a note gives no instruction), from memory.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchtui.content.cautions import Caution
from benchtui.content.hidden import hidden_in_caution, hidden_in_step
from benchtui.content.library import Library
from benchtui.content.procedure import Step

LIBRARY = Library.open()
IRON: Caution = LIBRARY.cautions()["iron-burn"]
STEP: Step = replace(
    LIBRARY.procedure("set-iron").steps[0],
    id="s", do="", observe="", measure="", choose="", wait="", call="", sign="", why="", detail=(), accept="", brief="",
    reading=None, choices=(), time=None,
)  # fmt: skip


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("hazard", "The tip is hot. Set the iron to its stand.", "`hazard:` gives an order: 'Set the iron"),
        ("hazard", "Do not touch a tip that is on.", "`hazard:` gives an order: 'Do not touch"),
        ("consequence", "It burns. Unplug it before you look.", "`consequence:` gives an order: 'Unplug it"),
        ("consequence", "The board dies. Never plug a harness in.", "`consequence:` gives an order: 'Never plug"),
        ("avoid", "Use the stand. Measure the tip and write it down.", "hides a step of the work: 'Measure the tip"),
        ("avoid", "Use the stand. Then tighten {control}.", "hides a step of the work: 'Then tighten {control}"),
        ("avoid", "Use the stand. The bank has to read 2 kohm or more.", "a limit is hidden in it: 'The bank has to"),
        ("hazard", "A tip must be below 300 °C for a ribbon.", "a limit is hidden in it"),
    ],
)
def test_what_is_sown_into_a_caution_is_found(key: str, text: str, said: str) -> None:
    [problem] = hidden_in_caution(replace(IRON, **{key: text}))
    assert said in problem.message


@pytest.mark.parametrize(
    "text",
    [
        "Cut wire ends fly into eyes.",
        "Set screws that stand proud cut the hand.",
        "Press fits let go without a warning.",
        "A part that was measured while hot lies.",
        "Always live: the filter of a supply that is plugged in.",
        "The reading may read OL, and the part be good.",
    ],
)
def test_a_caution_that_tells_of_a_hazard_is_let_through(text: str) -> None:
    assert list(hidden_in_caution(replace(IRON, hazard=text))) == []
    assert list(hidden_in_caution(replace(IRON, consequence=text))) == []


def test_what_avoids_a_hazard_is_no_hidden_step() -> None:
    text = "Put the iron into its stand. Do not touch the tip. Check that no lead sits in the socket. Wait a while."
    assert list(hidden_in_caution(replace(IRON, avoid=text))) == []


@pytest.mark.parametrize(
    ("act", "detail", "limit"),
    [
        ("measure", "Then swap the probes. It has to read OL.", "It has to read OL"),
        ("observe", "The gap must be below 0.2 mm.", "The gap must be below"),
        ("choose", "Good is no more than 25 K above the room.", "Good is no more than 25 K above the room"),
        ("measure", "The value must stand still.", "The value must stand still"),
        ("choose", "It may not show more than two steps.", "It may not show more than two steps"),
    ],
)
def test_a_limit_sown_into_a_note_of_a_look_is_found(act: str, detail: str, limit: str) -> None:
    [problem] = hidden_in_step(replace(STEP, **{act: "Look at it."}, detail=("A wire.", detail)))
    assert problem.message.startswith(f"step 's': a limit is hidden in `detail:`: '{limit}")


@pytest.mark.parametrize(
    "detail",
    [
        "Blue and white may read OL on the diode range and be good.",
        "A bridge reads under 100 ohm. Wriggle the wire while you measure.",
        "Metal pots do not count. The bonding wire has to do it.",
        "Two separate resistors read twice their value.",
    ],
)
def test_a_note_that_explains_is_let_through(detail: str) -> None:
    assert list(hidden_in_step(replace(STEP, measure="Measure it.", detail=(detail,)))) == []


def test_an_order_in_the_reason_of_a_call_is_found() -> None:
    [problem] = hidden_in_step(replace(STEP, call="set-iron", why="The tip is new. Measure the tip first."))
    assert "`why:` gives an order: 'Measure the tip first'" in problem.message
    assert list(hidden_in_step(replace(STEP, call="set-iron", why="The whole unit is tried once more."))) == []


def test_a_brief_text_that_drops_a_limit_is_found() -> None:
    # Row C21 too: brief text never hides a limit.
    given = replace(STEP, do="Solder it.", brief="Solder it.", detail=("{solder.time} at most.", "A sleeve of 3 mm."))
    assert [problem.message for problem in hidden_in_step(given)] == [
        "step 's': `brief:` drops {solder.time}, which stands in `detail:` alone",
        "step 's': `brief:` drops 3 mm, which stands in `detail:` alone",
    ]
    named = replace(given, brief="Solder it, {solder.time} at most.", accept="the sleeve of 3 mm covers it")
    assert list(hidden_in_step(named)) == []
