"""What is fixed of a unit: hardware and options, asked where a step depends on them (S1000D applicability, row A5)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.screens import running, until

from benchtui.content.library import Library
from benchtui.jobs.applies import UnitFacts, not_for
from benchtui.record.store import Store
from benchtui.ui.fixed import (
    asked_of,
    correct,
    fix,
    fixed_of_it,
    options_of,
    revision_of,
    unknown_option,
    unknown_revision,
)
from benchtui.ui.lines.bench import BenchTalk
from benchtui.ui.lines.talk import Talk

if TYPE_CHECKING:
    from pathlib import Path

UNIT = "HCD-001-R"

HEAD = """\
procedure: {id}
title: {id}
kind: assembly
revision: 1
design: {design}
purpose: A step for some units only.
before: {{conditions: none, tools: none, parts: none, materials: none}}
minutes: 5
after: none
steps:
  - id: cut
    do: Cut the trace.
    applies: {{{applies}}}
  - id: look
    do: Look at it.
"""


def write(folder: Path, id: str, applies: str, design: str = "any") -> None:
    (folder / f"{id}.yaml").write_text(HEAD.format(id=id, design=design, applies=applies), encoding="utf-8")


def talk_of(folder: Path, store: Store, *answers: str) -> tuple[BenchTalk, list[str]]:
    """The line mode with answers at hand, and what it says."""
    said: list[str] = []
    given = iter(answers)

    def ask(prompt: str) -> str:
        said.append(prompt)
        return next(given)

    return BenchTalk(Library.open([folder]), store, Talk(ask, said.append)), said


# -- words -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "kept", "told"),
    [
        ("B", "B", ""),
        (" b ", "B", ""),
        ("", "", ""),
        ("Not known", "", ""),
        ("rev B", "", "no step knows a revision rev B. Did you mean B? For another one type: other rev B"),
        ("\u0392", "", "no step knows a revision \u0392. They know B and C1. For another one type: other \u0392"),
        ("c", "", "no step knows a revision c. Did you mean C1? For another one type: other c"),
        ("other A", "A", ""),
        ("other", "", "type its name too, such as: other C"),
        ("other b", "B", "steps know B: type it alone"),
    ],
)
def test_a_hardware_revision_is_one_that_the_steps_know_or_is_said_to_be_another(
    typed: str, kept: str, told: str
) -> None:
    assert unknown_revision(typed, ["B", "C1"]) == told
    if not told:
        assert revision_of(typed, ["B", "C1"]) == kept


@pytest.mark.parametrize(
    ("typed", "kept", "told"),
    [
        ("Left-handed; dim lamps", ("left-handed", "dim lamps"), ""),
        ("left-handed, left-handed", ("left-handed",), ""),
        ("none", (), ""),
        ("", (), ""),
        ("lefthanded", (), "no step knows an option lefthanded. Did you mean left-handed?"),
        ("ribbon", (), "no step knows an option ribbon. They know left-handed and dim lamps."),
        ("dim lamps, none", (), "no step knows an option none. They know left-handed and dim lamps."),
    ],
)
def test_options_are_those_that_the_steps_know(typed: str, kept: tuple[str, ...], told: str) -> None:
    assert unknown_option(typed, ["left-handed", "dim lamps"]) == told
    if not told:
        assert options_of(typed, ["left-handed", "dim lamps"]) == kept


# -- asking ----------------------------------------------------------------------------------------------------------


async def test_what_is_fixed_of_a_unit_is_asked_only_where_a_step_depends_on_it(tmp_path: Path) -> None:
    write(tmp_path, "short", "hardware: [B], options: [left-handed]")
    said: list[object] = []
    async with running(tmp_path) as (app, pilot):
        app.library = Library.open([tmp_path])

        async def ask() -> None:
            said.append(await fixed_of_it(app, "short"))
            said.append(await fixed_of_it(app, "another"))

        app.go(ask())
        await until(pilot, "Hardware revision: B, or other and its name")
        await pilot.press(*"rev B", "enter")
        await until(pilot, "Did you mean B?")
        await pilot.press(*["backspace"] * 5, "b", "enter")
        await until(pilot, "Options fitted, of left-handed")
        await pilot.press(*"none", "enter")
        await pilot.pause()
    assert said == [UnitFacts(hardware="B", asked=("left-handed",)), UnitFacts()]


def test_the_line_mode_asks_what_is_fixed_of_a_new_unit(tmp_path: Path) -> None:
    write(tmp_path, "short", "hardware: [B], options: [left-handed, dim lamps]")
    with Store.open(tmp_path / "record.sqlite") as store:
        talk, said = talk_of(tmp_path, store, "rev B", "b", "lamps", "dim lamps")
        assert talk.ways.go(fix(talk.ways, "short", UNIT, "hollin-cue-desk"))
        facts = talk.bench.units.facts(UNIT)
    assert facts == UnitFacts(serial=UNIT, hardware="B", options=("dim lamps",), asked=("left-handed", "dim lamps"))
    assert any("Did you mean B?" in line for line in said)


def test_every_procedure_of_the_design_is_asked_for_when_a_unit_is_new(tmp_path: Path) -> None:
    write(tmp_path, "short", "hardware: [B]")
    write(tmp_path, "own", "options: [ribbon]", design="own-desk")
    write(tmp_path, "foreign", "options: [wings]", design="other-desk")
    library = Library.open([tmp_path])
    assert asked_of(library, "short", "own-desk") == (["B"], ["ribbon"])
    assert asked_of(library, "short") == (["B"], [])


def test_an_option_that_nobody_asked_for_is_asked_when_a_step_depends_on_it(tmp_path: Path) -> None:
    write(tmp_path, "first", "hardware: [B]")
    write(tmp_path, "second", "hardware: [B], options: [ribbon]")
    rule = Library.open([tmp_path]).procedure("second").steps[0].applies
    assert rule is not None
    with Store.open(tmp_path / "record.sqlite") as store:
        talk, said = talk_of(tmp_path, store, "B", "", "none", "never asked")
        units = talk.bench.units
        assert talk.ways.go(fix(talk.ways, "first", UNIT, "d"))
        assert not_for(rule, units.facts(UNIT)) == "", "shown: nobody asked whether it has a ribbon"
        assert talk.ways.go(fix(talk.ways, "second", UNIT, "d"))
        assert not_for(rule, units.facts(UNIT)) == "", "shown: it is not known"
        assert talk.ways.go(fix(talk.ways, "second", UNIT, "d"))
        assert not_for(rule, units.facts(UNIT)).endswith("this unit has no option")
        assert talk.ways.go(fix(talk.ways, "second", UNIT, "d")), "nothing is asked twice"
        assert units.view(UNIT).conflicts == ()
    assert sum("Hardware revision" in line for line in said) == 1


def test_two_benches_that_tell_a_unit_otherwise_are_a_conflict(tmp_path: Path) -> None:
    from benchtui.jobs.unit_events import UnitFixed
    from benchtui.record.export import lines
    from benchtui.record.merge import merge

    with Store.open(tmp_path / "record.sqlite") as store, Store.open(tmp_path / "other.sqlite") as other:
        talk, _ = talk_of(tmp_path, store)
        units, theirs = talk.bench.units, talk_of(tmp_path, other)[0].bench.units
        units.make("d", serial=UNIT)
        merge(other, lines(store))
        units.write(UNIT, UnitFixed(hardware="B", asked=("ribbon",)))
        theirs.write(UNIT, UnitFixed(hardware="C", options=("ribbon",), asked=("ribbon",)))
        merge(store, lines(other))
        (found,) = units.view(UNIT).conflicts
        assert "one bench says that it has ribbon, another that it has not: look at the unit" in found.message
        assert "its hardware is " in found.message
        assert units.facts(UNIT).options == ("ribbon",), "the step is shown"


def test_a_slip_is_put_right_on_the_page_of_the_unit(tmp_path: Path) -> None:
    write(tmp_path, "first", "hardware: [B, D], options: [ribbon]", design="d")
    with Store.open(tmp_path / "record.sqlite") as store:
        talk, said = talk_of(tmp_path, store, "b", "ribbon", "it says B on the board", "the builder", "", "")
        units = talk.bench.units
        units.make("d", hardware="D", asked=("ribbon",), serial=UNIT)
        talk.ways.go(correct(talk.ways, UNIT))
        assert (units.facts(UNIT).hardware, units.facts(UNIT).options) == ("B", ("ribbon",))
        assert units.view(UNIT).conflicts == ()
        talk.ways.go(correct(talk.ways, UNIT))
    assert any("Hardware revision, D until now: B or D" in line for line in said)
    assert any("Nothing was changed" in line for line in said)


@pytest.mark.parametrize(
    ("made", "facts"),
    [
        ({"design": "d"}, UnitFacts(serial=UNIT)),
        ({"design": "d", "hardware": "B"}, UnitFacts(serial=UNIT, hardware="B")),
        ({"design": "d", "options": ["dim"]}, UnitFacts(serial=UNIT, options=("dim",))),
    ],
)
def test_of_a_unit_that_an_older_program_made_no_option_is_known_to_be_missing(
    tmp_path: Path, made: dict[str, object], facts: UnitFacts
) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        store.append("unit-made", unit=UNIT, data=made)
        assert talk_of(tmp_path, store)[0].bench.units.facts(UNIT) == facts
