"""Cautions are counted, and too many are told of: row D8 (Hales and Pronovost 2006; common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchtui.check_command import main
from benchtui.content.alarms import alarm_advice, alarms
from benchtui.content.library import Library
from benchtui.content.procedure import Procedure, Step
from benchtui.errors import UsageError

LIBRARY = Library.open()
CAUTIONS = LIBRARY.cautions()
SET_IRON = LIBRARY.procedure("set-iron")
IRON, STATIC = CAUTIONS["iron-burn"], CAUTIONS["static"]


def of(*steps: Step) -> Procedure:
    return replace(SET_IRON, steps=steps)


def step(id: str) -> Step:
    return replace(SET_IRON.steps[0], id=id, uses=(), hazards=(), begins="", ends="")


def test_cautions_are_counted_by_hand() -> None:
    two = {"iron-burn": replace(IRON, from_use=("iron",)), "static": replace(STATIC, from_use=("bare-part",))}
    given = of(
        replace(step("a"), uses=("iron",)),
        replace(step("b"), uses=("iron", "bare-part")),
        replace(step("c"), hazards=("static",)),
        step("d"),
    )
    counted = alarms(given, two)
    assert (counted.steps, counted.warned, counted.shown, counted.kinds, counted.read) == (4, 3, 4, 2, 2)
    assert counted.share == 0.75
    assert list(alarm_advice(counted)) == []
    [advice] = alarm_advice(counted, 0.7)
    assert "3 of 4 steps show a caution, more than 70%" in advice.message
    assert "Hales and Pronovost 2006; common practice" in advice.message


def test_too_many_and_the_same_one_twice_are_told() -> None:
    sown = of(
        replace(step("a"), uses=("iron",), hazards=("iron-burn",)),
        replace(step("b"), hazards=("static", "static")),
        replace(step("c"), begins="power-on", hazards=("power-on",)),
        replace(step("d"), uses=("iron",)),
    )
    told = [advice.message for advice in alarm_advice(alarms(sown, CAUTIONS))]
    assert "4 of 4 steps show a caution" in told[0]
    assert [message.partition(" (")[0] for message in told[1:]] == [
        "step 'a' names the caution 'iron-burn', which it shows already",
        "step 'b' names the caution 'static', which it shows already",
        "step 'c' names the caution 'power-on', which it shows already",
    ]


def test_what_begins_at_a_step_may_follow_from_its_use_too() -> None:
    [power] = [caution for caution in CAUTIONS.values() if caution.id == "power-on"]
    given = of(replace(step("a"), uses=power.from_use, begins="power-on"), step("b"))
    assert alarms(given, CAUTIONS).twice == ()


@pytest.mark.parametrize("kind", ["procedure", "checklist"])
def test_no_step_that_ships_names_a_caution_twice(kind: str) -> None:
    for entry in LIBRARY.entries(kind):  # type: ignore[arg-type]
        content = LIBRARY.procedure(entry.id) if kind == "procedure" else LIBRARY.checklist(entry.id)
        assert alarms(content, CAUTIONS).twice == (), entry.id


def test_the_command_prints_the_counts_and_the_notes(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--cautions", "--most=30", "set-iron", "load-in", "strap-test"]) == 0
    lines = capsys.readouterr().out.splitlines()
    rows = [line.split()[-1] for line in lines[1:4]]
    assert rows == ["set-iron", "load-in", "strap-test"]
    assert [line.split(": ")[2] for line in lines if line.startswith("note: ")] == ["set-iron", "load-in"]
    assert main(["--cautions"]) == 0
    every = capsys.readouterr().out
    for entry in (*LIBRARY.entries("procedure"), *LIBRARY.entries("checklist")):
        assert f"  {entry.id}\n" in every


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--cautions", "no-such"], "there is no procedure or checklist 'no-such'"),
        (["--cautions", "--most=much"], "'much' is no share of the steps"),
        (["--cautions", "--most=nan"], "'nan' is no share of the steps"),
        (["--cautions", "--least"], "check --cautions has no option '--least'"),
    ],
)
def test_what_cannot_be_meant_is_refused(words: list[str], said: str) -> None:
    with pytest.raises(UsageError) as caught:
        main(words)
    assert said in str(caught.value)
