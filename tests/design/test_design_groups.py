"""Wires in groups beside a step, what a crimp holds by wire size, and figures of the design in the texts of steps."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
import yaml
from helpers.records import load

from benchtui.calc.tables.crimps import PULL, least_pull, pull_source, tug
from benchtui.content.nodes import compose
from benchtui.design import load_design, read_design
from benchtui.design.facts import facts, fill
from benchtui.design.model import Design
from benchtui.design.testpoints import expected
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.paths import shipped
from benchtui.units import parse
from benchtui.units.conductor import awg_area

DESK = shipped("procedures") / "hollin-cue-desk" / "design.yaml"
MOST_LINES = 6
"""Wires beside a step of a few lines on a screen of 24."""


@cache
def desk() -> Design:
    return load_design(DESK)


def with_line(pattern: str, replacement: str) -> Design:
    """The desk with one line of its file changed."""
    text, count = re.subn(pattern, replacement, DESK.read_text(encoding="utf-8"), count=1)
    assert count == 1
    node, _ = compose(text, file="design.yaml")
    assert node is not None
    design, problems = read_design(node, file="design.yaml")
    assert design is not None, problems
    return design


def filled(text: str, subject: str = "", design: Design | None = None) -> str:
    design = design or desk()
    return fill(text, facts(design, design.subject(subject) if subject else None))


@pytest.mark.parametrize(("rule", "owners"), [("bank", 6), ("connector", 6), ("bus", 8)])
@pytest.mark.parametrize("count", [1, 4, 6, 40])
def test_groups_hold_every_wire_once_in_order(rule: str, owners: int, count: int) -> None:
    groups = desk().subjects(f"each {rule}, {count} wires at a time")
    runs = [run.id for group in groups for run in wires(desk(), group.id)]
    whole = wires(desk())
    wanted = {
        "bank": [run.id for run in whole],
        "connector": [run.id for run in whole if run.connector],
        "bus": [run.id for run in whole if any(bus.id == run.bus for bus in desk().buses)],
    }[rule]
    assert sorted(runs) == sorted(wanted)
    assert len({group.id for group in groups}) == len(groups)
    assert len({group.id.partition(".")[0] for group in groups}) == owners
    assert max(len(wires(desk(), group.id)) for group in groups) <= count
    for group in groups:
        assert desk().subject(group.id).kind == group.kind == "wires"


def test_a_group_says_which_pins_it_holds() -> None:
    titles = {each.id: each.title for each in desk().subjects("each connector, 4 wires at a time")}
    assert titles["J1.1-4"] == "connector J1, pins 1 to 4"
    assert titles["J1.9-10"] == "connector J1, pins 9 and 10"
    assert titles["J6.9"] == "connector J6, pin 9"
    assert [run.pin for run in wires(desk(), "J1.5-8")] == ["5", "6", "7", "8"]
    banks = desk().subjects("each bank, 6 wires at a time")
    assert (banks[0].id, banks[0].title) == ("A.1-6", "bank A, faders, wires 1 to 6 of 24")


def test_one_fader_more_brings_its_wires_into_the_groups() -> None:
    line = (
        'F9: {part: fader-60, legend: Ninth, x: "296 mm", y: "145 mm", bank: A, pins: {signal: "11"}, '
        "message: {controller: 28}}"
    )
    more = with_line(r"(?m)^  R1: ", f"  {line}\n  R1: ")
    rule = "each connector, 4 wires at a time"
    assert {each.id for each in more.subjects(rule)} - {each.id for each in desk().subjects(rule)} == {"J1.9-11"}


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ("each fader, 4 wires at a time", "each connector, each bank or each bus"),
        ("each connector, 0 wires at a time", "each connector, each bank or each bus"),
        ("each connector, some wires at a time", "no way to repeat"),
    ],
)
def test_other_rules_are_refused(rule: str, words: str) -> None:
    with pytest.raises(DesignError, match=words):
        desk().subjects(rule)


@pytest.mark.parametrize("id", ["J1.1-99", "J9.1-4", "A.0-6", "J1."])
def test_groups_that_do_not_exist(id: str) -> None:
    with pytest.raises(DesignError):
        wires(desk(), id)


@pytest.mark.parametrize("path", sorted(shipped("procedures").rglob("*.yaml")), ids=lambda path: path.stem)
def test_no_shipped_step_lists_more_wires_than_fit(path: Path) -> None:
    """A list of wires comes in groups, so that a screen of 24 lines has room for it."""
    for step in yaml.safe_load(path.read_text(encoding="utf-8")).get("steps", ()):
        texts = " ".join(
            map(str, [step.get(key, "") for key in ("do", "observe", "measure", "choose", "accept", "why")])
        )
        texts += " ".join(map(str, step.get("detail", ())))
        rule = step.get("for", "")
        if re.search(r"\{wire|\{lug|\bwires?\b|\bas listed\b", texts, re.I) and re.match(
            r"each (connector|bus|bank)", rule
        ):
            assert "wires at a time" in rule, f"{path.name}: {step['id']}"
            assert int(re.search(r"\d+", rule)[0]) <= MOST_LINES  # type: ignore[index]


# Crimps.


def test_pull_forces_are_those_of_the_reference() -> None:
    """tests/reference/mechanical.yaml, B5-crimp-UL: instruction sheets of terminal makers, to 0.5 %."""
    table = next(each for each in load("mechanical") if each["id"] == "B5-crimp-UL")["expected"]
    assert set(map(int, table)) == set(PULL)
    for number, row in table.items():
        assert PULL[int(number)] == pytest.approx(row["N"], rel=0.005)
        assert PULL[int(number)] == pytest.approx(row["lbf"] * 4.448, rel=0.005)


@pytest.mark.parametrize("number", sorted(PULL))
def test_a_size_of_the_table_gives_its_own_figure(number: int) -> None:
    assert least_pull(awg_area(number)) == PULL[number]
    assert least_pull(parse(f"{number} AWG", "conductor").value) == PULL[number]
    assert tug(awg_area(number)) <= 0.8 * PULL[number]


def test_sizes_between_and_beyond_the_table() -> None:
    """0.25 mm² lies between 24 and 22 AWG; 30 AWG below the table is scaled, and no thinner wire holds more."""
    assert pull_source(awg_area(24)).startswith("commercial crimp pull values")
    assert pull_source(0.25e-6).startswith("interpolated with the cross-section between 24 and 22 AWG (estimate)")
    assert pull_source(awg_area(30)).startswith("scaled with the cross-section from the last size of its table (est")
    assert 22.3 < least_pull(0.25e-6) < 35.6
    assert least_pull(awg_area(30)) == pytest.approx(8.9 / 92 ** (4 / 39), rel=1e-6)
    forces = [least_pull(area * 1e-8) for area in range(1, 600)]
    assert forces == sorted(forces)


def test_each_wire_has_its_own_pull_limit() -> None:
    """24 AWG does not pass with the limit of 26 AWG."""
    assert [(each.id, expected(desk(), "crimp-pull", each.id).low) for each in desk().subjects("each wire")] == [
        ("wire-26", 13.4),
        ("wire-24", 22.3),
    ]
    found = expected(desk(), "crimp-pull", "wire-24")
    assert found.text == "22.3 N or more"
    assert found.high is None
    assert "UL 486A" in found.sources[0]


def test_only_wires_that_are_crimped_are_pulled() -> None:
    """A design with thicker wire for its commons is pulled at its figure."""
    thick = with_line(r'gauge: "24 AWG", ohms: "0.0859', 'gauge: "22 AWG", ohms: "0.0859')
    assert [expected(thick, "crimp-pull", each.id).low for each in thick.subjects("each wire")] == [13.4, 35.6]


# Words.


@pytest.mark.parametrize(
    ("text", "subject", "words"),
    [
        ("{tug}", "J1.1-4", "5 N on 26 AWG and 10 N on 24 AWG"),
        ("{tug}", "J1.5-8", "5 N"),
        ("{tug} {gauge}", "wire-24", "10 N 24 AWG"),
        ("{gauge}", "J1", "26 AWG and 24 AWG"),
        ("{title}", "wire-26", "stranded wire, 26 AWG"),
        ("{connector}", "J1.1-4", "J1"),
        ("{bank}", "A.1-6", "bank A, faders"),
        ("{value:element}", "F3", "7.91 kΩ to 12.2 kΩ"),
        ("{value:panel-thickness}", "F3", "2.9 mm to 3.1 mm"),
        ("{value:panel-thickness}", "", "2.9 mm to 3.1 mm"),
        ("{value:element F3} {{}}", "", "7.91 kΩ to 12.2 kΩ {}"),
    ],
)
def test_words_of_the_design(text: str, subject: str, words: str) -> None:
    assert filled(text, subject) == words


def test_values_follow_the_design() -> None:
    for point, subject in (("bank-ohms", "A"), ("pin-mid", "F3"), ("crimp-pull", "wire-26")):
        assert filled(f"{{value:{point}}}", subject) == expected(desk(), point, subject).text


@pytest.mark.parametrize(
    ("text", "subject", "words"),
    [
        ("{value:bank-ohm}", "A", "no test point 'bank-ohm'"),
        ("{value:bank-ohms}", "F3", "F3 has no test point 'bank-ohms'"),
        ("{value:element}", "", "element is read on a"),
        ("{value:element F99}", "", "nothing called 'F99'"),
        ("{tug}", "", "no answer for this subject"),
        ("{tugs}", "J1", "no placeholder {tugs}"),
    ],
)
def test_what_the_design_cannot_answer(text: str, subject: str, words: str) -> None:
    with pytest.raises(DesignError, match=re.escape(words)):
        filled(text, subject)


# Figures of the whole unit.


def test_the_small_parts_behind_a_connector_by_pin() -> None:
    assert filled("{board-parts}", "J3") == "resistor 10 kΩ, 5 %, 0.25 W, pull-up, at pins 1 to 4"
    assert filled("{board-parts}", "J4") == (
        "resistor 10 kΩ, 5 %, 0.25 W, pull-up, at pins 2 to 8; capacitor 100 nF, to ground, at pins 6 and 7"
    )
    assert filled("{board-parts}", "M1") == "capacitor 100 nF across its supply"
    bare = with_line(r"common: A0, (.*), capacitor: c-100n", r"common: A0, \1")
    assert filled("{board-parts}", "M1", bare) == "none"


def test_a_soak_stays_below_what_the_most_tender_part_stands() -> None:
    """The faders stand 55 °C; a part that stands less brings the limit down with it."""
    found = expected(desk(), "soak-temperature")
    assert (found.low, found.high, found.text) == (10.0, 50.0, "10 °C to 50 °C")
    assert "maker's data sheet" in found.sources[0]
    tender = with_line(r'hottest: "60 degC"', 'hottest: "45 degC"')
    assert expected(tender, "soak-temperature").high == 40.0


def test_a_soak_of_parts_that_do_not_say() -> None:
    text = re.sub(r'(?m)^ *hottest: .*\n|, hottest: "[^"]*"|hottest: "[^"]*", ', "", DESK.read_text(encoding="utf-8"))
    node, _ = compose(text, file="design.yaml")
    assert node is not None
    silent, problems = read_design(node, file="design.yaml")  # type: ignore[assignment]
    assert silent is not None, problems
    found = expected(silent, "soak-temperature")
    assert found.high == 50.0
    assert "common practice" in found.sources[0]
