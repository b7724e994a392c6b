"""A procedure with one mistake in it, and exactly what is said about it; also a manual for authors.

Each row changes one line of a good procedure. Places are left out where only the words matter.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchtui.content.cautions import read_cautions
from benchtui.content.hazards import procedure_hazards
from benchtui.content.nodes import compose
from benchtui.content.procedure import Procedure, read_procedure
from benchtui.content.rules import call_problems
from benchtui.errors import Problem

READING = 'reading: {quantity: resistance, what: the lead, high: 1 ohm, power: "off", source: common practice}'

GOOD = """\
procedure: mend-lead
title: Mend a lead
kind: rework
revision: 1
design: any
purpose: A broken lead is made whole again.
before:
  conditions: [the USB lead is out]
  tools: [iron]
  parts: none
  materials: [solder]
minutes: 10
after: none
steps:
  - id: look
    observe: Look at both ends of the lead.
    accept: the broken end is found
  - id: join
    do: Solder the lead to its lug.
    uses: [iron]
  - id: ohms
    measure: Measure the lead from end to end.
    {READING}
  - id: answer
    choose: Does the control work?
    choices: [it works, {text: it does not, verdict: fail}]
  - id: cool
    wait: Let the joint cool.
    time: 30 s
    source: common practice
  - id: prove
    call: after-repair
    why: The whole unit is tried once more.
""".replace("{READING}", READING)

CAUTIONS = """\
cautions:
  - {id: iron-burn, signal: CAUTION, harm: moderate, hazard: It is hot., avoid: Hold the grip., consequence: A burn.,
     source: common practice, from-use: [iron]}
  - {id: power-on, signal: NOTICE, harm: property, hazard: It is on., avoid: Take care., consequence: A short.,
     source: common practice, from-use: [power-on-open-lid], spans: yes}
  - {id: ohms-on-power, signal: NOTICE, harm: property, hazard: Ohms., avoid: Unplug., consequence: Damage.,
     source: common practice, from-use: [ohms-range]}
emergency: [Pull the plug out]
"""

ONE = "write it like solder-lugs"
SOURCE = "add `source:`, or say it is common practice or an estimate"

SHAPE = {
    "unknown key": (
        ("title: Mend", "titel: Mend"),
        ["f:2:1: unknown key 'titel'; did you mean 'title'?"],
    ),
    "unknown key that looks like none": (
        ("kind: rework", "kind: rework\ncolour: red"),
        [
            "f:4:1: unknown key 'colour'; known keys are procedure, title, kind, revision, design, purpose, before, "
            "minutes, after, order, once, proven, about, touches, put-back, retired, steps"
        ],
    ),
    "text cut by a comma": (
        ("choices: [it works, {text: it does not, verdict: fail}]", "choices: [it works, {text: no, it smokes}]"),
        [
            "f:26:36: steps[answer].choices[2]: unknown key 'it smokes'; "
            "inside { } a comma ends a text: put it in quotes"
        ],
    ),
    "doubled key": (
        ("kind: rework", "kind: rework\nkind: service"),
        ["f:4:1: key 'kind' is given twice; keep one of them"],
    ),
    "missing key": (("title: Mend a lead\n", ""), ["f:1:1: key 'title' is missing"]),
    "missing heading": (
        ("  parts: none\n", ""),
        ["f:8:3: before: key 'parts' is missing; write `none` if there are none: silence is no answer"],
    ),
    "empty heading": (
        ("  parts: none", "  parts:"),
        ["f:10:9: before.parts: expected a list, found nothing; begin each entry with '- ', or write `none`"],
    ),
    "empty list under a heading": (
        ("  parts: none", "  parts: []"),
        ["f:10:10: before.parts: the list is empty; write `none` if there are none: silence is no answer"],
    ),
    "empty text": (
        ("do: Solder the lead to its lug.", "do:"),
        ["f:19:8: steps[join].do: there is nothing here; write it, or leave the key out"],
    ),
    "text where a list belongs": (
        ("uses: [iron]", "uses: iron"),
        ["f:20:11: steps[join].uses: expected a list, found the text 'iron'; begin each entry with '- '"],
    ),
    "list where a text belongs": (
        ("title: Mend a lead", "title: [Mend, a lead]"),
        ["f:2:8: title: expected a text, found a list"],
    ),
    "text where keys belong": (
        (READING, "reading: bank"),
        ["f:23:14: steps[ohms].reading: expected keys, found the text 'bank'"],
    ),
    "word that is none of the choices": (
        ("kind: rework", "kind: repair"),
        ["f:3:7: kind: expected one of assembly, rework, service; found 'repair'"],
    ),
    "word that is nearly one of the choices": (
        ("kind: rework", "kind: re-work"),
        ["f:3:7: kind: expected one of assembly, rework, service; found 're-work'; did you mean 'rework'?"],
    ),
    "yes or no": (
        ("uses: [iron]", "uses: [iron]\n    hold: true"),
        ["f:21:11: steps[join].hold: expected yes or no, found 'true'"],
    ),
    "whole number": (
        ("revision: 1", "revision: 1.0"),
        ["f:4:11: revision: expected a whole number, found '1.0'"],
    ),
    "number": (("minutes: 10", "minutes: ten"), ["f:12:10: minutes: expected a number, found 'ten'"]),
    "number that is none": (("minutes: 10", "minutes: .nan"), ["f:12:10: minutes: expected a number, found '.nan'"]),
    "amount without a unit": (
        ("time: 30 s", "time: 30"),
        ["f:29:11: steps[cool].time: '30' has no unit; type a time like 5 ms or 20 min"],
    ),
    "amount of a wrong kind": (
        ("time: 30 s", "time: 30 mm"),
        ["f:29:11: steps[cool].time: '30 mm' is a length, and a time is wanted; type a time like 5 ms or 20 min"],
    ),
    "all in one pass": (
        ("kind: rework\nrevision: 1", "knd: rework\nrevision: one"),
        [
            "f:3:1: unknown key 'knd'; did you mean 'kind'?",
            "f:4:11: revision: expected a whole number, found 'one'",
        ],
    ),
}  # fmt: skip

RULES = {
    "measured twice, and how far apart is of another quantity": (
        (READING, f"{READING}\n    twice: 2 V\n    source: estimate"),
        [
            "f:21:5: step 'ohms': twice: '2 V' is a voltage, and a resistance is wanted; "
            "type a resistance like 4k7 or 10 kohm ±5 %"
        ],
    ),
    "measured twice, and nothing says where the figure is from": (
        (READING, f"{READING}\n    twice: 2 %"),
        ["f:21:5: step 'ohms': '2 %' has no source; " + SOURCE],
    ),
    "twice at what is not measured": (
        ("uses: [iron]", "uses: [iron]\n    twice: 2 %\n    source: estimate"),
        ["f:18:5: step 'join': `twice:` belongs to a measure step, and this is a do step"],
    ),
    "id used twice": (("id: join", "id: look"), ["f:18:5: the step id 'look' is used twice; ids are never reused"]),
    "id that cannot be typed": (
        ("id: join", "id: Join it"),
        [f"f:18:5: the id 'Join it' is not in small letters, digits and hyphens; {ONE}"],
    ),
    "id of the procedure": (
        ("procedure: mend-lead", "procedure: mend@lead"),
        [f"f:1:1: the id 'mend@lead' is not in small letters, digits and hyphens; {ONE}"],
    ),
    "revision nought": (
        ("revision: 1", "revision: 0"),
        ["f:1:1: the first revision is 1; raise it by one at each change"],
    ),
    "what it touches, said of no rework": (
        ("kind: rework", "kind: assembly\ntouches: [connector]"),
        [
            "f:1:1: touches: only rework and service say what they touch; "
            "take the line out, or call it rework or service"
        ],
    ),
    "rework that touches nothing": (
        ("kind: rework", "kind: rework\ntouches: [nothing]"),
        ["f:1:1: touches: such work touches something of the unit; name it, or take the line out"],
    ),
    "what it is about, said of a step that is no test and no work": (
        ("    do: Solder the lead to its lug.", '    wait: Let it cool.\n    time: "60 s"\n    about: papers'),
        [
            "f:18:5: step 'join': `about:` belongs to a test that repeats over nothing, or to a do step; "
            "take the line out: what the step repeats over, or its act, tells what it is about"
        ],
    ),
    "a test that is about nothing": (
        ("    accept: the broken end is found", "    accept: the broken end is found\n    about: nothing"),
        ["f:15:5: step 'look': a test is about something, and `about: nothing` belongs to a do step"],
    ),
    "what it is about, said of work on each of several": (
        ("    uses: [iron]", "    uses: [iron]\n    for: each fader\n    about: power"),
        [
            "f:18:5: step 'join': `about: power` at a step that repeats over something; "
            "take the line out: it works on what it repeats over; only papers and nothing say otherwise"
        ],
    ),
    "no time at all": (
        ("minutes: 10", "minutes: 0"),
        ["f:1:1: minutes: how long it takes cannot be nothing; an estimate will do"],
    ),
    "no act": (
        ("    do: Solder the lead to its lug.\n", ""),
        [
            "f:18:5: step 'join': a step has one act, and this has none; "
            "give one of do, observe, measure, choose, wait, call, sign"
        ],
    ),
    "two acts": (
        ("    uses: [iron]", "    uses: [iron]\n    observe: Look at it."),
        [
            "f:18:5: step 'join': a step has one act, and this has do and observe; "
            "give one of do, observe, measure, choose, wait, call, sign"
        ],
    ),
    # Row C22 (IEC/IEEE 82079-1, from memory): what is to be seen when it is good.
    "an observe step that does not say what is good": (
        ("    accept: the broken end is found\n", ""),
        ["f:15:5: step 'look': an observe step needs `accept:`; say what is seen when it is good: the tip shines"],
    ),
    "a measure step without a reading": (
        (f"    {READING}\n", ""),
        ["f:21:5: step 'ohms': a measure step needs `reading:`"],
    ),
    "a reading on a do step": (
        ("    uses: [iron]", "    uses: [iron]\n    reading: {point: element}"),
        ["f:18:5: step 'join': `reading:` belongs to a measure step, and this is a do step"],
    ),
    "a wait without its length": (
        ("    time: 30 s\n", ""),
        ["f:27:5: step 'cool': a wait step needs `time:`"],
    ),
    "a wait of nothing": (
        ("time: 30 s", "time: 0 s"),
        ["f:27:5: step 'cool': a wait of no time; give its length, such as 60 s"],
    ),
    "a call without its reason": (
        ("    why: The whole unit is tried once more.\n", ""),
        ["f:31:5: step 'prove': a call step needs `why:`"],
    ),
    "one choice": (
        ("choices: [it works, {text: it does not, verdict: fail}]", "choices: [it works]"),
        ["f:24:5: step 'answer': one choice is no choice; give two or more"],
    ),
    "choices that all fail": (
        ("choices: [it works,", "choices: [{text: it smokes, verdict: fail},"),
        ["f:24:5: step 'answer': every choice fails, so the step can never pass; let one of them pass"],
    ),
    "a point and a quantity": (
        ("reading: {quantity", "reading: {point: element, quantity"),
        ["f:23:14: step 'ohms': a reading has either a `point:` or a `quantity:` with limits"],
    ),
    "a quantity that does not exist": (
        ("quantity: resistance", "quantity: resistence"),
        ["f:23:14: step 'ohms': there is no quantity 'resistence'; did you mean 'resistance'?"],
    ),
    "limits without a source": (
        (", source: common practice}", "}"),
        ["f:23:14: step 'ohms': limits given here need `source:`"],
    ),
    "a quantity without limits": (
        ("high: 1 ohm, ", ""),
        ["f:23:14: step 'ohms': a quantity needs `low:`, `high:` or both"],
    ),
    "limits the wrong way round": (
        ("high: 1 ohm", "low: 2 ohm, high: 1 ohm"),
        ["f:23:14: step 'ohms': the low limit is above the high one"],
    ),
    "a limit of a wrong kind": (
        ("high: 1 ohm", "high: 1 V"),
        [
            "f:23:14: step 'ohms': high: '1 V' is a voltage, and a resistance is wanted; "
            "type a resistance like 4k7 or 10 kohm ±5 %"
        ],
    ),
    "a figure without a source": (
        ("accept: the broken end is found", "accept: there is 0.5 mm of air"),
        [f"f:15:5: step 'look': '0.5 mm' has no source; {SOURCE}"],
    ),
    "a span that never ends": (
        ("    uses: [iron]", "    uses: [iron]\n    begins: power-on"),
        ["f:18:5: step 'join': 'power-on' begins here and never ends; add `ends: power-on` to a step"],
    ),
    "a span that never began": (
        ("    uses: [iron]", "    uses: [iron]\n    ends: power-on"),
        ["f:18:5: step 'join': 'power-on' ends here but never began"],
    ),
    # S1000D codes, row A8: an id that was taken out is never given to another step, for records refer to it.
    "a retired id that is used again": (
        ("steps:", "retired: [flux, join]\nsteps:"),
        [
            "f:19:5: the step id 'join' is retired: records of earlier runs mean another step by it; "
            "give this step an id of its own"
        ],
    ),
    "a lot asked for where nothing is fitted": (
        ("    choices: [it works", "    trace: lot\n    choices: [it works"),
        ["f:24:5: step 'answer': `trace:` belongs to a do or observe step, and this is a choose step"],
    ),
    "tries where nothing is tried": (
        ("    uses: [iron]", "    uses: [iron]\n    tries: 3"),
        ["f:18:5: step 'join': `tries:` belongs to a measure step, and this is a do step"],
    ),
    "a range of serials in other words": (
        ("    uses: [iron]", "    uses: [iron]\n    applies: {serials: 4-9}"),
        ["f:21:14: step 'join': '4-9' is not a range of unit numbers; write: 4 to 9"],
    ),
    "a range of serials that ends before it begins": (
        ("    uses: [iron]", "    uses: [iron]\n    applies: {serials: 9 to 4}"),
        ["f:21:14: step 'join': the range '9 to 4' ends before it begins"],
    ),
    "a stretch that is never left": (
        ("    call: after-repair", "    call: after-repair\n    no-break: yes"),
        [
            "f:31:5: step 'prove': the last step is marked `no-break`, so the stretch never ends; "
            "take the mark off where work may be left again"
        ],
    ),
}  # fmt: skip

HIDDEN = {
    "the iron": (
        ("    uses: [iron]\n", ""),
        ["f:18:5: step 'join': the text speaks of the iron, and no caution is shown; add iron to `uses`"],
    ),
    "a use nobody knows": (
        ("uses: [iron]", "uses: [iron, irons]"),
        ["f:18:5: step 'join': no caution knows the use 'irons'; did you mean 'iron'?"],
    ),
    "a hazard nobody knows": (
        ("uses: [iron]", "uses: [iron]\n    hazards: [iron-burns]"),
        ["f:18:5: step 'join': there is no caution 'iron-burns'; did you mean 'iron-burn'?"],
    ),
    "a span of a hazard that has none": (
        ("uses: [iron]", "uses: [iron]\n    begins: iron-burn\n    ends: iron-burn"),
        [
            "f:18:5: step 'join': 'iron-burn' is not a hazard that spans steps",
            "f:18:5: step 'join': 'iron-burn' is not a hazard that spans steps",
        ],
    ),
    "ohms on a powered unit": (
        ("    uses: [iron]", "    uses: [iron]\n    begins: power-on"),
        [
            "f:22:5: step 'ohms': it measures with the meter's own current, and the unit is powered here; "
            "end 'power-on' before it"
        ],
    ),
    "nothing, for a call shows the cautions of what it calls": (
        ("why: The whole unit is tried once more.", "why: Solder the rest."),
        [],
    ),
    "nothing, for what a text forbids is not used": (
        ("observe: Look at both ends of the lead.", "observe: Look at both ends, without the soldering iron."),
        [],
    ),
}  # fmt: skip


def read(change: tuple[str, str]) -> tuple[Procedure | None, list[Problem]]:
    old, new = change
    assert GOOD.count(old) == 1, "a row changes one place"
    node, problems = compose(GOOD.replace(old, new), file="f")
    assert node is not None and not problems
    return read_procedure(node, file="f")


def lines(problems: list[Problem]) -> list[str]:
    return [str(problem) for problem in problems]


def test_the_procedure_of_these_tests_is_good() -> None:
    _, problems = read(("procedure: mend-lead", "procedure: mend-lead"))
    assert lines(problems) == []


@pytest.mark.parametrize(("change", "expected"), SHAPE.values(), ids=SHAPE)
def test_shape(change: tuple[str, str], expected: list[str]) -> None:
    assert lines(read(change)[1]) == expected


@pytest.mark.parametrize(("change", "expected"), RULES.values(), ids=RULES)
def test_rules_of_one_file(change: tuple[str, str], expected: list[str]) -> None:
    assert lines(read(change)[1]) == expected


@pytest.mark.parametrize(("change", "expected"), HIDDEN.values(), ids=HIDDEN)
def test_hazards(change: tuple[str, str], expected: list[str]) -> None:
    node, _ = compose(CAUTIONS, file="c")
    assert node is not None
    file, problems = read_cautions(node, file="c")
    assert file is not None and not problems
    procedure, _ = read(change)
    assert procedure is not None
    cautions = {caution.id: caution for caution in file.cautions}
    assert lines(sorted(procedure_hazards(procedure, cautions))) == expected


def calls(*pairs: str, design: str = "any") -> dict[str, Procedure]:
    """Procedures of one letter, each calling another: "ab" is a, which calls b."""
    found = {}
    for id, called in map(tuple, pairs):
        text = GOOD.replace("mend-lead", id).replace("after-repair", called).replace("design: any", f"design: {design}")
        node, _ = compose(text, file="f")
        assert node is not None
        found[id] = read_procedure(node, file="f")[0]
    return {id: procedure for id, procedure in found.items() if procedure is not None}


@pytest.mark.parametrize(
    ("pairs", "design", "expected"),
    [
        ("ab bc ca", "any", ["f:31:5: step 'prove': this call never ends: a calls b calls c calls a"]),
        ("aa", "any", ["f:31:5: step 'prove': this call never ends: a calls a"]),
        ("ax bc", "any", ["f:31:5: step 'prove': there is no procedure 'x'"]),
        ("ab bc", "desk", []),
    ],
    ids=["circle", "itself", "missing", "same design"],
)  # fmt: skip
def test_calls(pairs: str, design: str, expected: list[str]) -> None:
    procedures = calls(*pairs.split(), design=design)
    assert lines(list(call_problems(procedures["a"], procedures, known=procedures))) == expected


def test_a_call_of_a_procedure_for_another_design() -> None:
    procedures = calls("ab") | calls("bc", design="desk")
    assert lines(list(call_problems(procedures["a"], procedures, known=procedures))) == [
        "f:31:5: step 'prove': 'b' is for the design 'desk'; call one that is for any"
    ]


def test_a_call_of_a_procedure_whose_file_is_broken_is_not_called_missing() -> None:
    procedures = calls("ab")
    assert lines(list(call_problems(procedures["a"], procedures, known=["a", "b"]))) == []


def test_what_puts_back_what_was_taken_out_has_to_be_there() -> None:
    out = replace(calls("ab")["a"], put_back="c")
    assert "put-back: there is no procedure 'c'" in lines(list(call_problems(out, {"a": out}, known=["a", "b"])))[0]
    assert lines(list(call_problems(out, {"a": out}, known=["a", "b", "c"]))) == []
