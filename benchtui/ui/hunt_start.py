"""The questions before a hunt, one after the other; Esc goes back to the one before."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.errors import UsageError
from benchtui.faults.target import target_of

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from benchtui.design.model import Design
    from benchtui.faults.model import FaultModel, Symptom
    from benchtui.faults.target import Target
    from benchtui.ui.app import BenchApp
    from benchtui.ui.view.rows import Row

    Question = Callable[["BenchApp", "Asked"], Awaitable["Asked | None"]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was answered so far."""

    unit: str | None = None
    """Serial number; None while it was not asked, empty for no unit in particular."""
    design: Design | None = None
    model: FaultModel | None = None
    scope: str = ""
    subject: str = ""
    control: str = ""
    symptom: str = ""
    shows: float | None = None
    sign: str = ""
    no_power: bool = False
    """There is no power where the unit is."""
    job: str = ""
    """An open hunt on the same thing, to be taken up in place of a new one; nothing more is asked then."""
    minutes: float | None = None
    skipped: bool = False
    """The question did not have to be put, so that going back passes it over."""

    @property
    def known_model(self) -> FaultModel:
        """The fault model of the design; asked for after the design is known."""
        assert self.model is not None
        return self.model

    @property
    def target(self) -> Target:
        """What the hunt is about; asked for after the design is known."""
        assert self.design is not None
        return target_of(self.design, scope=self.scope, subject=self.subject)

    @property
    def reported(self) -> Symptom | None:
        """The symptom that was picked."""
        return next((each for each in self.known_model.symptoms if each.id == self.symptom), None)

    @property
    def title(self) -> str:
        """Heading of the questions."""
        if self.scope:
            return f"Find a fault: {self.target.title}"
        return f"Find a fault: {self.design.title}" if self.design else "Find a fault"


async def ask_all(app: BenchApp, asked: Asked) -> Asked | None:
    """Ask everything.

    Returns:
        The answers; None when the first question was given up.
    """
    questions: tuple[Question, ...] = (_design, _unit, _about, _worst, _earlier, _symptom, _how_often, _sign, _curtain)
    before: list[tuple[int, Asked]] = []
    number = 0
    while number < len(questions) and not asked.job:
        answered = await questions[number](app, replace(asked, skipped=False))
        if answered is None:
            if not before:
                return None
            number, asked = before.pop()
            continue
        if not answered.skipped:
            before.append((number, asked))
        asked = answered
        number += 1
    return asked


async def _design(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.design import load_design
    from benchtui.record.of_design import known_designs
    from benchtui.ui.flows import pick_design

    designs = {entry.id for entry in app.library.entries("design")}
    known = known_designs(app.store, asked.unit or "")
    told = len(known) == 1 and known[0] in designs  # the unit on the bench says which design it is of
    alone = len(designs) == 1 or told
    if told:
        design: Design | None = load_design(app.library.path_of("design", known[0]))
    else:
        design = await pick_design(app, "Find a fault")
    if design is None:
        return None
    models = app.hunts.models(design.id)
    if not models:
        raise UsageError(f"there is no fault model for {design.title}")
    return replace(asked, design=design, model=app.hunts.model(models[0]), skipped=alone)


async def _unit(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.screens.units import UnitScreen

    if asked.unit is not None:
        return replace(asked, skipped=True)
    assert asked.design is not None
    unit = await app.push_screen_wait(UnitScreen(asked.title, asked.design.id, known_first=True))
    return None if unit is None else replace(asked, unit=unit)


async def _about(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.view.subjects import subject_rows

    assert asked.design is not None
    picked = await _picked(app, asked.title, "What is it about?", subject_rows(asked.design))
    if picked is None:
        return None
    scope, _, subject = picked.partition(":")
    return replace(asked, scope=scope, subject=subject)


async def _worst(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.view.subjects import worst_rows

    assert asked.design is not None
    rows = worst_rows(asked.design, asked.target)
    if not rows:
        return replace(asked, control="", skipped=True)
    picked = await _picked(app, asked.title, "Which of them is worst, as far as you know?", rows)
    return None if picked is None else replace(asked, control=_after(picked))


async def _earlier(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.faults.earlier import earlier
    from benchtui.ui.view.earlier import QUESTION, earlier_rows

    assert asked.design is not None
    target = target_of(asked.design, scope=asked.scope, subject=asked.subject, control=asked.control)
    known = earlier(app.store, asked.unit or "", target)
    if known is None:
        return replace(asked, skipped=True)
    picked = await _picked(app, asked.title, QUESTION, earlier_rows(known))
    return None if picked is None else replace(asked, job=_after(picked))


async def _symptom(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.view.subjects import symptom_rows

    picked = await _picked(app, asked.title, "What does it do?", symptom_rows(asked.known_model, asked.target))
    return None if picked is None else replace(asked, symptom=_after(picked))


async def _how_often(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.subjects import shows_rows

    if asked.reported is None or asked.reported.shows >= 1.0:
        return replace(asked, shows=None, skipped=True)
    question = "How often does it show? Pick, or type it: 2 in 10"
    picked = await app.push_screen_wait(PickScreen(asked.title, question, (), more=shows_rows))
    if picked is None:
        return None
    return replace(asked, shows=float(_after(picked)) if _after(picked) else None)


async def _sign(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.view.subjects import NO_POWER, sign_rows

    picked = await _picked(app, asked.title, "Did you notice one of these?", sign_rows(asked.known_model))
    if picked == NO_POWER:
        return replace(asked, sign="", no_power=True)
    return None if picked is None else replace(asked, sign=_after(picked), no_power=False)


async def _curtain(app: BenchApp, asked: Asked) -> Asked | None:
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.subjects import curtain_rows

    question = "How long to curtain? Pick, or type the minutes."
    picked = await app.push_screen_wait(PickScreen(asked.title, question, (), more=curtain_rows))
    if picked is None:
        return None
    return replace(asked, minutes=float(_after(picked)) if _after(picked) else None)


async def _picked(app: BenchApp, title: str, question: str, rows: list[Row]) -> str | None:
    from benchtui.ui.screens.pick import PickScreen

    return await app.push_screen_wait(PickScreen(title, question, rows))


def _after(id: str) -> str:
    """What follows the colon of a row's id."""
    return id.partition(":")[2]
