"""Units by lines: the list of them, and for each where it stands and all that is done on its page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults.told import teller
from benchtui.jobs.run_first_unit import first_unit
from benchtui.jobs.run_passport import beside
from benchtui.ui import unit_acts
from benchtui.ui.fixed import correct
from benchtui.ui.lines.talk import WIDTH
from benchtui.ui.view.history import MOST_EVENTS, newest_events, unit_lines
from benchtui.ui.view.passport import passport_lines
from benchtui.ui.view.shapes import SPOKEN
from benchtui.ui.view.text import plain
from benchtui.ui.view.units import known_rows

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Mapping

    from benchtui.ui.lines.ways import LineWays
    from benchtui.ui.ways import Ways

ACTS: Final[Mapping[str, tuple[str, Callable[[Ways, str], Awaitable[None]]]]] = {
    "r": ("release it, with a name", unit_acts.release),
    "t": ("test again what later work made void", unit_acts.test_again),
    "s": ("it is held, comes back, is scrapped: another state", unit_acts.another_state),
    "u": ("something temporary was put right", unit_acts.put_right),
    "d": ("decide what two benches disagree on", unit_acts.decide),
    "o": ("do what a closed job left open: steps, or a defect", unit_acts.do_left_open),
    "l": ("sign that something missing stays as it is", unit_acts.leave_as_is),
    "i": ("it came in: condition, damage, what came with it", unit_acts.take_in),
    "w": ("write down which firmware was loaded", unit_acts.load_firmware),
    "c": ("put right what is fixed of it: hardware revision, options", correct),
    "v": ("the first-unit record: each characteristic with its limits and reading; sign it", unit_acts.first_unit),
}
"""Key of the page of a unit to what it says and does; a test holds them against that page."""

LOOKING: Final[Mapping[str, str]] = {
    "h": "everything that happened to it",
    "e": "the same from its first entry on",
    "f": "find a fault on it",
}
"""Keys that write nothing about the unit themselves."""

WHOLE: Final = 2000
"""Cells of a line that is wrapped only when it is said: nothing of it is cut."""


def look_at_units(ways: LineWays, find: Callable[[str], None]) -> None:
    """Pick a unit and see where it stands.

    Args:
        ways: Who asks.
        find: Begins a hunt on a unit.
    """
    rows = known_rows(ways.store.units(), now=ways.bench.clock())
    if not rows:
        ways.talk.say("The record has no unit yet: one is made when work on it begins.")
        return
    picked = ways.go(ways.pick("Units", "Which one?", rows))
    if picked is not None:
        unit_page(ways, picked.partition(":")[2], find)


def unit_page(ways: LineWays, unit: str, find: Callable[[str], None]) -> None:
    """Where a unit stands, then one act after the other until that is enough."""
    choices = [(key, f"{key}  {does}") for key, does in (*LOOKING.items(), *((k, v[0]) for k, v in ACTS.items()))]
    while True:
        view = ways.units.view(unit)
        ways.talk.say(f"Unit {unit}. {view.design}")
        due = first_unit(ways.units, unit, view=view).line
        ways.talk.lines(
            passport_lines(
                view, ways.units.missing(unit), width=WIDTH, shapes=SPOKEN, due=due, beside=beside(ways.store, view)
            )
        )
        picked = ways.talk.pick(f"Unit {unit}. What do you want to do?", choices)
        if picked is None:
            return
        if picked == "h":
            if _history(ways, unit, MOST_EVENTS):
                _history(ways, unit, 0)
        elif picked == "e":
            _history(ways, unit, 0)
        elif picked == "f":
            find(unit)
        else:
            ways.go(_act(ways, picked, unit))


def _history(ways: LineWays, unit: str, most: int) -> bool:
    """Say what happened to a unit; whether the older entries are asked for too."""
    events, older = newest_events(ways.store, unit, most)
    if older:
        ways.talk.say(f"The newest {most} entries; there are older ones.")
    for row in unit_lines(events, WHOLE, hunts=teller(events, ways.store.text)):
        ways.talk.say(plain([row]))
    typed = ways.talk.ask("Enter goes on, all: from the first entry" if older else "Enter goes on")
    return older and typed.lower() == "all"


async def _act(ways: LineWays, key: str, unit: str) -> None:
    await ACTS[key][1](ways, unit)
