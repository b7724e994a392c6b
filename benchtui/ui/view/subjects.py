"""What a hunt for a fault can be about, and what is reported, as lists to pick from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.procedure import Procedure
    from benchtui.design.model import Design
    from benchtui.faults.model import FaultModel
    from benchtui.faults.target import Target


def subject_rows(design: Design) -> list[Row]:
    """The extent of the trouble: the whole unit, a bank, all of a kind, one control."""
    rows = [
        Row(text="More than one control"),
        Row(id="unit:", text="The whole unit"),
    ]
    banks = dict.fromkeys(control.bank for control in design.controls if control.bank)
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
        Row(id=f"symptom:{symptom.id}", text=symptom.title.replace("{it}", target.title))
        for symptom in model.symptoms
        if target.scope in symptom.scopes and (not symptom.kinds or set(symptom.kinds) & set(target.kinds))
    ]
    return [*rows, Row(id="symptom:", text="Something else, or not sure")]


def sign_rows(model: FaultModel) -> list[Row]:
    """What would put a safety test first."""
    return [
        Row(id="sign:", text="None of these"),
        *(Row(id=f"sign:{sign.id}", text=sign.text) for sign in model.signs),
    ]


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
