"""What a hunt for a fault can be about, and what is reported, as lists to pick from."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.faults.belief import found_fault, suspects
from benchtui.faults.layout import symptom_fits
from benchtui.faults.words import in_words, percent
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.procedure import Procedure
    from benchtui.design.model import Design
    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.model import FaultModel
    from benchtui.faults.target import Target


NO_POWER: Final = "power:none"
"""Id of the answer that there is no power where the unit is."""

LEAST_CAUSE: Final = 0.001
"""Share below which a suspect is not offered as what was found."""


def subject_rows(design: Design) -> list[Row]:
    """The extent of the trouble: the whole unit, a bank, all of a kind, one control."""
    rows = [
        Row(text="More than one control"),
        Row(id="unit:", text="The whole unit"),
    ]
    banks = sorted({control.bank for control in design.controls if control.bank})
    for bank in banks:
        members = ", ".join(control.id for control in design.controls if control.bank == bank)
        rows.append(Row(id=f"bank:{bank}", text=f"Bank {bank}", right=members))
    for kind in dict.fromkeys(control.kind for control in design.controls):
        count = sum(control.kind == kind for control in design.controls)
        if count > 1:
            rows.append(Row(id=f"kind:{kind}", text=f"Every {_plain(kind)}", right=f"{count} of them"))
    rows.append(Row(text="One control"))
    for control in design.controls:
        rows.append(Row(id=f"control:{control.id}", text=f"{control.id}  {control.legend}", right=_plain(control.kind)))
    return rows


def chosen_kinds(procedure: Procedure) -> tuple[str, ...]:
    """Kinds of thing a procedure is about one of, chosen when its job starts ("the fader"); empty without such a rule.

    A bank follows from its control, so it is asked for only where nothing else is.
    """
    if procedure.about:
        return procedure.about
    rules = (step.for_ for step in procedure.steps)
    kinds = dict.fromkeys(rule.removeprefix("the ") for rule in rules if rule.startswith("the "))
    return tuple(kind for kind in kinds if kind != "bank") or tuple(kinds)


def one_of(design: Design, kinds: Sequence[str]) -> list[Row]:
    """Everything of those kinds in a design."""
    rows: dict[str, Row] = {}
    for kind in kinds:
        for subject in design.subjects(f"each {kind}"):
            rows.setdefault(subject.id, Row(id=subject.id, text=subject.title, right=_plain(subject.kind)))
    return list(rows.values())


def _plain(kind: str) -> str:
    words = {"button-direct": "button", "button-matrix": "button of the matrix", "pot": "rotary control"}
    return words.get(kind, kind)


def worst_rows(design: Design, target: Target) -> list[Row]:
    """Which control of a bank, or of a kind, is worst; empty where there is nothing to choose."""
    from benchtui.faults.target import control_title

    if target.scope not in ("bank", "kind") or len(target.neighbours) < 2:
        return []
    rows = [Row(id=f"control:{id}", text=control_title(design.control(id))) for id in target.neighbours]
    return [Row(id="control:", text="All alike, or not sure"), *rows]


def symptom_rows(model: FaultModel, target: Target) -> list[Row]:
    """What can be reported of this target, in the player's words."""
    rows = [
        Row(id=f"symptom:{symptom.id}", text=in_words(symptom.title, target.title))
        for symptom in model.symptoms
        if symptom_fits(symptom, target)
    ]
    return [*rows, Row(id="symptom:", text="Something else, or not sure")]


def sign_rows(model: FaultModel) -> list[Row]:
    """What would put a safety test first."""
    return [
        Row(id="sign:", text="None of these"),
        *(Row(id=f"sign:{sign.id}", text=sign.text) for sign in model.signs),
        Row(id=NO_POWER, text="None of these, and there is no power here", right="only what needs none is proposed"),
    ]


_OFTEN: Final = re.compile(r"(\d+)\s*(?:in|of|out of|/)\s*(\d+)")


def shows_rows(typed: str) -> Sequence[Row]:
    """In how many tries the trouble shows: a few usual shares, or what was typed, such as "2 in 10"."""
    text = typed.strip().lower()
    if not text:
        usual = ((1, 2), (1, 3), (1, 5), (1, 10), (1, 20))
        rows = [Row(id=f"shows:{some / all_of:.4g}", text=f"in about {some} try of {all_of}") for some, all_of in usual]
        return [Row(id="shows:", text="Not known"), Row(id="shows:1", text="at every try"), *rows]
    found = _OFTEN.fullmatch(text)
    some, all_of = (int(found[1]), int(found[2])) if found else (0, 0)
    if not 0 < some <= all_of:
        return []
    return [Row(id=f"shows:{some / all_of:.4g}", text=f"in {some} of {all_of} tries")]


def cause_rows(state: HuntState) -> list[Row]:
    """What may have been found: the leading suspect, then "not known", then the others, likeliest first."""
    cured = found_fault(state)
    known = [each for each in suspects(state) if each.remedy and each.share >= LEAST_CAUSE]
    if cured is not None and cured.remedy:
        known = [cured, *(each for each in known if each.fault != cured.fault)]
    rows = [Row(id=f"fault:{each.fault}", text=each.title, right=percent(each.share)) for each in known]
    rows.insert(1 if rows else 0, Row(id="fault:", text="Not known: it was not seen"))
    return rows


def curtain_rows(typed: str) -> Sequence[Row]:
    """Minutes to curtain: a few usual ones, or the number that was typed."""
    text = typed.strip().replace(",", ".")
    if not text:
        times = [Row(id=f"minutes:{minutes}", text=f"{minutes} minutes") for minutes in (10, 20, 30, 45, 60, 90)]
        return [Row(id="minutes:", text="No hurry"), *times]
    try:
        minutes = float(text)
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= 100_000:
        return []
    return [Row(id=f"minutes:{minutes:g}", text=f"{minutes:g} minutes to curtain")]
