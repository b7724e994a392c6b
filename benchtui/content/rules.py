"""What a procedure must not do beyond the shape of its file: hide a hazard, drop a source, use an id twice.

Rules about one file need nothing else; those about its neighbours (cautions, other procedures) get them as arguments.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.content.cautions import derived
from benchtui.content.procedure import ACTS, Procedure, Step
from benchtui.errors import Problem, UnitError
from benchtui.units import KINDS, parse

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from benchtui.content.cautions import Caution

_FIGURE: Final = re.compile(
    r"(?<![\w{.])\d+(?:[.,]\d+)?\s?"
    r"(?:mm²|mm|cm|N·m|N m|N|°C|kΩ|MΩ|Ω|ohm|kohm|Mohm|mA|A|mV|V|%|min|minutes|hours|h|s|AWG|K)(?!\w)"
)

_BETRAYED_BY: Final[tuple[tuple[str, str, str], ...]] = (
    (
        "iron",
        r"\b(?:soldering iron|hot iron|iron tip|desolder|re-?flow|solder (?:the|each|it|every)|tin (?:the|each))\b",
        "the iron",
    ),
    ("mains-inlet", r"\b(?:mains|wall socket|wall outlet)\b", "the mains"),
    ("lithium-cell", r"\b(?:lithium|power bank)\b", "a lithium cell"),
    ("drill", r"\bdrill(?:ing)?\b", "a drill"),
    ("saw", r"\b(?:saw|sawing)\b", "a saw"),
    ("isopropanol", r"\bisopropanol\b", "isopropanol"),
    ("contact-cleaner", r"\bcontact cleaner\b", "contact cleaner"),
    ("aerosol", r"\b(?:freezer spray|aerosol)\b", "an aerosol"),
    ("hot-air", r"\b(?:hot[- ]air|heat gun)\b", "hot air"),
    ("adhesive", r"\b(?:epoxy|cyanoacrylate|superglue)\b", "an adhesive"),
    ("headphones", r"\bheadphones\b", "headphones"),
    ("soak", r"\bsoak\b", "a soak"),
)  # fmt: skip
"""(use, words that betray it, what it is called): a step whose text names the thing must say that it uses it."""

_NEGATED: Final = re.compile(r"\b(?:no|never|not|without|avoid|instead of|unplugged from the)\s+(?:the\s+)?$", re.I)


def own_problems(procedure: Procedure) -> Iterator[Problem]:
    """Problems that the procedure's own file shows."""
    yield from _ids(procedure)
    standing: dict[str, Step] = {}
    for step in procedure.steps:
        yield from _shape(step)
        if not step.source and (figure := bare_figure(*step.texts)):
            yield Problem(
                step.place,
                f"step {step.id!r}: {figure!r} has no source",
                "add `source:`, or say it is common practice or an estimate",
            )
        if step.ends:
            if step.ends not in standing:
                yield Problem(step.place, f"step {step.id!r}: {step.ends!r} ends here but never began")
            standing.pop(step.ends, None)
        if step.begins:
            standing[step.begins] = step
    for hazard, step in standing.items():
        yield Problem(
            step.place, f"step {step.id!r}: {hazard!r} begins here and never ends", f"add `ends: {hazard}` to a step"
        )


def problems_with_cautions(procedure: Procedure, cautions: Mapping[str, Caution]) -> Iterator[Problem]:
    """Hazards that are named but do not exist, or exist but are not named."""
    uses = {use for caution in cautions.values() for use in caution.from_use}
    standing: set[str] = set()
    for step in procedure.steps:
        for id in (*step.hazards, *filter(None, (step.begins, step.ends))):
            if id not in cautions:
                yield Problem(step.place, f"step {step.id!r}: there is no caution {id!r}", _near(id, cautions))
        for id in filter(None, (step.begins, step.ends)):
            if id in cautions and not cautions[id].spans:
                yield Problem(step.place, f"step {step.id!r}: {id!r} is not a hazard that spans steps")
        for use in step.uses:
            if use not in uses:
                yield Problem(step.place, f"step {step.id!r}: no caution knows the use {use!r}", _near(use, uses))
        if step.begins:
            standing.add(step.begins)
        shown = {caution.id for caution in derived(step.uses, step.hazards, cautions)} | standing
        for use, what in hidden_uses(" ".join(step.texts)):
            bring = {caution.id for caution in cautions.values() if use in caution.from_use}
            if use not in step.uses and bring and not bring <= shown:
                yield Problem(
                    step.place,
                    f"step {step.id!r}: the text speaks of {what}, and no caution is shown",
                    f"add {use} to `uses`",
                )
        standing.discard(step.ends)


def endless_calls(procedures: Mapping[str, Procedure]) -> Iterator[Problem]:
    """Calls to procedures that do not exist, and circles of calls that would never end."""
    for procedure in procedures.values():
        for step in procedure.steps:
            if step.call and step.call not in procedures:
                yield Problem(
                    step.place, f"step {step.id!r}: there is no procedure {step.call!r}", _near(step.call, procedures)
                )
            elif step.call and (circle := _circle(step.call, procedure.id, procedures)):
                yield Problem(
                    step.place, f"step {step.id!r}: this call never ends: {' calls '.join((procedure.id, *circle))}"
                )


def hidden_uses(text: str) -> Iterator[tuple[str, str]]:
    """What a text says is used, as (use, words); a thing that the text forbids is not used."""
    for use, pattern, what in _BETRAYED_BY:
        for match in re.finditer(pattern, text, re.I):
            if not _NEGATED.search(text[: match.start()]):
                yield use, what
                break


def bare_figure(*texts: str) -> str:
    """The first figure with a unit in these texts, empty when there is none."""
    for text in texts:
        if match := _FIGURE.search(text):
            return match[0]
    return ""


def _ids(procedure: Procedure) -> Iterator[Problem]:
    seen: set[str] = set()
    for step in procedure.steps:
        if step.id in seen:
            yield Problem(step.place, f"the step id {step.id!r} is used twice", "ids are never reused")
        if "@" in step.id:
            yield Problem(step.place, f"step {step.id!r}: an id has no @ in it", "it marks the repeats of a step")
        seen.add(step.id)


def _shape(step: Step) -> Iterator[Problem]:
    """Keys that must, or must not, go with the act of a step."""
    name = f"step {step.id!r}"
    acts = [act for act in ACTS if getattr(step, act)]
    if len(acts) != 1:
        found = " and ".join(acts) if acts else "none"
        yield Problem(step.place, f"{name}: a step has one act, and this has {found}", f"give one of {', '.join(ACTS)}")
        return
    act = acts[0]
    wanted = {"measure": "reading", "choose": "choices", "wait": "time", "call": "why"}
    for needs, key in wanted.items():
        if act == needs and not getattr(step, key):
            yield Problem(step.place, f"{name}: a {act} step needs `{key}:`")
        if act != needs and key != "why" and getattr(step, key):
            yield Problem(step.place, f"{name}: `{key}:` belongs to a {needs} step, and this is a {act} step")
    if act == "choose" and len(step.choices) < 2:
        yield Problem(step.place, f"{name}: one choice is no choice", "give two or more")
    if step.reading is not None:
        yield from _reading(step)


def _reading(step: Step) -> Iterator[Problem]:
    reading = step.reading
    assert reading is not None
    name = f"step {step.id!r}"
    if bool(reading.point) == bool(reading.quantity):
        yield Problem(reading.place, f"{name}: a reading has either a `point:` or a `quantity:` with limits")
        return
    if not reading.quantity:
        return
    if reading.quantity not in KINDS:
        yield Problem(
            reading.place, f"{name}: there is no quantity {reading.quantity!r}", _near(reading.quantity, KINDS)
        )
        return
    for key in ("what", "source"):
        if not getattr(reading, key):
            yield Problem(reading.place, f"{name}: limits given here need `{key}:`")
    if not (reading.low or reading.high):
        yield Problem(reading.place, f"{name}: a quantity needs `low:`, `high:` or both")
    values = []
    for key in ("low", "high"):
        if text := getattr(reading, key):
            try:
                values.append(parse(text, reading.quantity).value)
            except UnitError as error:
                yield Problem(reading.place, f"{name}: {key}: {error.message}", error.hint)
    if len(values) == 2 and values[0] > values[1]:
        yield Problem(reading.place, f"{name}: the low limit is above the high one")


def _circle(start: str, goal: str, procedures: Mapping[str, Procedure]) -> list[str]:
    """The chain of calls from `start` back to `goal`; empty when there is none."""
    stack = [[start]]
    seen: set[str] = set()
    while stack:
        path = stack.pop()
        if path[-1] == goal:
            return path
        if path[-1] in seen or path[-1] not in procedures:
            continue
        seen.add(path[-1])
        stack.extend([*path, step.call] for step in procedures[path[-1]].steps if step.call)
    return []


def _near(word: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(word, list(known), n=1)
    return f"did you mean {near[0]!r}?" if near else ""
