"""A spares kit asked for in words and told in words: for the command, the screen and paper alike."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import inf
from typing import TYPE_CHECKING, Final

from benchtui.calc.calculator import Input
from benchtui.calc.entry import Given, read
from benchtui.errors import CalcError, did_you_mean
from benchtui.faults.spares import Item, Kit, expected_rate, kit
from benchtui.faults.spares_of_design import items_of
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.model import Design
    from benchtui.faults.model import FaultModel

INPUTS: Final = (
    Input("shows", kind="count", help="Shows on the tour, rehearsals counted in", example="20", least=1, most=10_000),
    Input("show-time", kind="time", help="Hours it is in use at each", default="3 h", example="3 h", most=24 * 3600.0),
    Input("units", kind="count", help="Desks that travel", default="1", example="2", least=1, most=1000),
    Input(
        "moves", kind="count", help="Full moves or presses of one control in a show", default="200", most=1_000_000.0
    ),
    Input(
        "confidence", kind="ratio", help="Chance that the kit is enough", default="95 %", example="95 %", steady=True
    ),
    Input("most-mass", kind="mass", help="Most the spares may weigh", optional=True, example="1.5 kg", steady=True),
    Input("prices", kind="word", help="Price of each part by its id", optional=True, example="board=30 lead=8"),
    Input(
        "seen-time",
        kind="time",
        help="Hours that such desks have been in use so far, all together",
        optional=True,
        example="900 h",
        most=1e6 * 3600.0,
    ),
    Input("failed", kind="word", help="What failed in that time, by id", optional=True, example="fader-60=2 lead=0"),
    Input("most-money", kind="number", help="Most they may cost, with prices", optional=True, example="100", least=0),
)
"""What can be said of a tour."""

HABIT: Final = (
    "Test each lead before it is packed, and let one be of another make and length. Not in the list, because they "
    "seldom fail: carry two knobs, a nut driver and a torch (common practice)."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A tour and what the kit may weigh or cost.

    Attributes:
        hours: Hours of use in all.
        units: Desks that travel.
        moves_per_hour: Of one control.
        confidence: Chance that the kit is to be enough.
        most_mass: In kg; infinite without a limit.
        prices: Price of one by part id.
        most_money: In the money of the prices; infinite without a limit.
        seen_hours: Hours that such desks have been in use so far, all together; 0 when nobody counted.
        failed: Failures counted in that time by part id; parts that are not named keep the rate of the model.
    """

    hours: float
    units: int = 1
    moves_per_hour: float
    confidence: float = 0.95
    most_mass: float = inf
    prices: Mapping[str, float] = field(default_factory=dict)
    most_money: float = inf
    seen_hours: float = 0.0
    failed: Mapping[str, float] = field(default_factory=dict)


def still_needed(texts: Mapping[str, str]) -> list[Input]:
    """What has to be said before there can be a kit."""
    return [entry for entry in INPUTS if entry.required and not texts.get(entry.key, "").strip()]


def wish_of(texts: Mapping[str, str]) -> Wish:
    """Read what was typed, by the keys of `INPUTS`.

    Raises:
        CalcError: With the key at fault, one sentence and what to type instead.
    """
    known = {entry.key: entry for entry in INPUTS}
    for key in texts:
        if key not in known:
            raise CalcError(f"there is no input {key!r}", hint=did_you_mean(key, known))
    given: dict[str, Given] = {}
    for entry in INPUTS:
        text = texts.get(entry.key, "").strip() or entry.default
        if text:
            given[entry.key] = read(entry, text)
        elif entry.required:
            raise CalcError("is needed", key=entry.key, hint=f"type it like {entry.example}")
    value = {key: one.value for key, one in given.items() if one.value is not None}
    if not 0 < value["confidence"] < 1:
        raise CalcError("must lie between 0 and 100 %", key="confidence", hint="type it like 95 %")
    if "most-money" in value and "prices" not in given:
        raise CalcError("needs prices", key="most-money", hint="type the prices too, like board=30 lead=8")
    if "most-money" in value and "most-mass" in value:
        raise CalcError("limit one of mass and money", key="most-money", hint="leave one of them empty")
    if ("failed" in given) != (value.get("seen-time", 0.0) > 0.0):
        raise CalcError(
            "what failed and the hours in use go together",
            key="failed" if "failed" in given else "seen-time",
            hint="type both, like seen-time=900h and failed=fader-60=2",
        )
    hours = value["show-time"] / 3600
    return Wish(
        hours=value["shows"] * hours,
        units=int(value["units"]),
        moves_per_hour=value["moves"] / hours,
        confidence=value["confidence"],
        most_mass=value.get("most-mass", inf),
        prices=_amounts(given["prices"].word, "prices", "a price", "board=30 lead=8") if "prices" in given else {},
        most_money=value.get("most-money", inf),
        seen_hours=value.get("seen-time", 0.0) / 3600,
        failed=_amounts(given["failed"].word, "failed", "a count", "fader-60=2 lead=0") if "failed" in given else {},
    )


def _amounts(text: str, key: str, what: str, example: str) -> dict[str, float]:
    """ "board=30 lead=8" as a mapping."""
    found: dict[str, float] = {}
    for word in text.replace(",", " ").split():
        name, equals, amount = word.partition("=")
        try:
            price = float(amount)
        except ValueError:
            price = -1.0
        if not equals or not name or not 0 <= price < 1e9:
            raise CalcError(f"{word[:30]!r} is not {what}", key=key, hint=f"type it like {example}")
        found[name] = price
    return found


def kit_for(design: Design, model: FaultModel, wish: Wish) -> Kit:
    """The kit for a tour.

    Raises:
        CalcError: A price is given for no part of the design, or where money is limited a control, the board or the
            lead has none.
    """
    items = items_of(design, model, moves_per_hour=wish.moves_per_hour, prices=wish.prices, units=wish.units)
    ids = [item.id for item in items]
    for id in wish.prices:
        if id not in ids:
            raise CalcError(f"no part has the id {id[:30]!r}", key="prices", hint=f"there are {', '.join(ids)}")
    for id in wish.failed:
        if id not in ids:
            raise CalcError(f"no part has the id {id[:30]!r}", key="failed", hint=f"there are {', '.join(ids)}")
    items = tuple(_counted(item, wish) for item in items)
    by_money = wish.most_money < inf
    dear = {*(control.part.id for control in design.controls), design.board.part, design.file.power.lead}
    missing = [id for id in ids if id in dear and id not in wish.prices]
    if by_money and missing:
        raise CalcError(
            f"{', '.join(missing)} has no price", key="prices", hint="type a price for each, 0 if it is free"
        )
    if by_money:  # a diode or a crimp without a price costs next to nothing, and cannot be weighed against money
        items = tuple(item for item in items if item.id in wish.prices)
        return kit(items, hours=wish.hours, confidence=wish.confidence, limit=wish.most_money, by="price")
    return kit(items, hours=wish.hours, confidence=wish.confidence, limit=wish.most_mass, by="mass")


def _counted(item: Item, wish: Wish) -> Item:
    """An item by what was counted on such desks, in place of the rate of the model; unchanged where nobody counted."""
    if item.id not in wish.failed or wish.seen_hours <= 0.0:
        return item
    number, seen = wish.failed[item.id], wish.seen_hours * item.count / wish.units
    return replace(
        item,
        known=number,
        seen_hours=seen,
        rate=expected_rate(number, seen),
        source=f"your own count: {number:g} of it failed in {wish.seen_hours:g} h of use",
    )


def rows_of(found: Kit) -> list[tuple[str, str]]:
    """How many of what to carry, and a sentence on it: what is carried first, the most likely to fail first."""
    rows = []
    for line in sorted(found.lines, key=lambda line: (line.spares == 0, -line.expected)):
        expected = f"{line.expected:.2g}" if line.expected >= 0.01 else "under 0.01"
        what = f"{line.item.title} ({line.item.id}): {line.item.count} in use, {expected} expected to fail or wear out"
        chance = "" if line.spares == 0 else f"; so many are enough on {_share(line.enough)} of tours"
        rows.append((f"{line.spares} ×" if line.spares else "none", f"{what}{chance}"))
    return rows


def summary_of(found: Kit, wish: Wish) -> list[str]:
    """What the kit as a whole is good for, and what the figures rest on."""
    hours = format_value(wish.hours * 3600, "time", digits=3)
    of = "the desk" if wish.units == 1 else f"{wish.units} desks"
    total = f"For {hours} of use of {of}: all spares weigh about {format_value(found.mass, 'mass', digits=2)}"
    total += f" and cost {found.price:.10g}." if wish.prices else "."
    lines = [total]
    if wish.most_money < inf:
        lines.append("Counted are the parts that have a price; give a price of 0 to what costs nothing.")
    if found.reached:
        lines.append(f"The whole kit is enough on {_share(found.enough)} of such tours.")
    else:
        lines.append(
            f"Within this limit the kit is enough on only {_share(found.enough)} of such tours, not on "
            f"{_share(wish.confidence)}: raise the limit, or plan a work-around for what is left out."
        )
    lines.append(HABIT)
    return lines


def sources_of(found: Kit) -> list[str]:
    """Where the figures are from, each once."""
    sources = [f"{line.item.title}: {line.item.source}" for line in found.lines]
    return [
        *dict.fromkeys(sources),
        "masses: our estimates",
        "chances: steady failures by Poisson, MIL-HDBK-338B section 5.3.8; wear by rated life over moves",
        "choice: most confidence for each gram or coin first, Barlow and Proschan 1965",
    ]


def _share(value: float) -> str:
    """A chance in per cent that never reads as certain."""
    percent = min(value * 100, 99.9)
    return f"{percent:.1f} %" if percent > 99 else f"{percent:.0f} %"
