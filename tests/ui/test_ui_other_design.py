"""A unit of another design: not offered, refused when typed, and nothing of a hunt is written into its record."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.screens import running, screen_text, until

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.errors import JobError
from benchtui.faults.run import Hunts
from benchtui.record.event import Draft
from benchtui.record.of_design import designs_of, others, unlikely
from benchtui.record.store import Store
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.talk import Talk
from benchtui.ui.screens.units import UnitScreen

if TYPE_CHECKING:
    from pathlib import Path

DESK, SWITCH = "HCD-001-R", "WFS-001-V"


def made(store: Store, *units: tuple[str, str]) -> None:
    for unit, design in units:
        store.append_all([Draft(kind="unit-made", unit=unit, data={"design": design})])


async def test_only_units_of_the_design_are_offered_and_another_one_is_refused(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.bench.units.make("hollin-cue-desk", serial=DESK)
        app.bench.units.make("foot-switch", serial=SWITCH)
        named: list[str | None] = []
        app.push_screen(UnitScreen("Find a fault", "foot-switch", known_first=True), named.append)
        shown = await until(pilot, "On which unit?")
        assert SWITCH in shown
        assert DESK not in shown
        await pilot.press("n", *"001-R", "enter")
        assert f"{DESK} is a unit of another design" in screen_text(app)
        assert not named
        await pilot.press("escape", "enter")
        assert named == [SWITCH]


def test_a_hunt_is_not_begun_on_a_unit_of_another_design(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        library = Library.open()
        made(store, (DESK, "hollin-cue-desk"))
        hunts = Hunts(library, store)
        design = load_design(library.path_of("design", "foot-switch"))
        model = hunts.model(hunts.models(design.id)[0])
        before = store.events(unit=DESK)
        with pytest.raises(JobError, match="is a unit of another design, hollin-cue-desk"):
            hunts.start(design, model=model, unit=DESK, scope="unit")
        assert store.events(unit=DESK) == before
        assert hunts.start(design, model=model, unit="WFS-009", scope="unit").unit == "WFS-009"


def test_a_unit_is_of_every_design_that_it_was_worked_on_by(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        made(store, (DESK, "hollin-cue-desk"), (SWITCH, "foot-switch"), ("OLD-1", ""))
        assert designs_of(store, DESK) == {DESK: ("hollin-cue-desk",)}
        assert others(store, "foot-switch") == {DESK: "hollin-cue-desk"}  # of OLD-1 nothing is known


def test_the_line_mode_says_only_units_of_the_design_and_asks_again(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        made(store, (DESK, "hollin-cue-desk"), (SWITCH, "foot-switch"))
        said: list[str] = []
        answers = iter(["001-R", SWITCH])
        talk = BenchTalk(Library.open(), store, Talk(lambda _: next(answers), said.append))
        assert talk._unit("foot-switch") == SWITCH
        assert f"Known units: {SWITCH}." in said
        assert f"{DESK} is a unit of another design, hollin-cue-desk: read the number again" in " ".join(said)
        assert (found := talk.design(DESK)) is not None
        assert found.id == "hollin-cue-desk"


async def test_a_unit_known_only_by_hunts_on_another_design_is_asked_about(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        app.store.append_all([Draft(kind="hunt-started", unit=DESK, job="HA", data={"design": "hollin-cue-desk"})])
        assert unlikely(app.store, "foot-switch") == {DESK: "hollin-cue-desk"}
        assert not unlikely(app.store, "hollin-cue-desk")
        named: list[str | None] = []
        app.push_screen(UnitScreen("Find a fault", "foot-switch", known_first=True), named.append)
        assert DESK not in await until(pilot, "On which unit?")
        await pilot.press("n", *"001-R", "enter")
        assert f"looked for on {DESK}: Enter again takes it all" in screen_text(app)
        assert not named
        await pilot.press("enter")
        await pilot.pause()
        assert named == [DESK]
