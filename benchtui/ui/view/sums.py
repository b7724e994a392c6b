"""Sums: the list of calculators, and the answer of one as lines for the screen and as plain text to copy."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rich.cells import cell_len

from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import BLANK, Span, cut, line, plain, wrap

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.calc.calculator import Calculator, Input, Verdict
    from benchtui.calc.result import Result
    from benchtui.errors import CalcError
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


RSS: Final = "-rss"
"""What the key of a likely spread ends in (root sum square)."""

FIELD: Final = 18
"""Cells of a field at 80 columns; what is longer scrolls in it."""

LONGEST_NAME: Final = 18
"""Cells of a name that still shares its line with the value."""


def sum_rows(calculators: Iterable[Calculator]) -> list[Row]:
    """Every calculator under its group."""
    rows: list[Row] = []
    group = ""
    for one in calculators:
        if one.group != group:
            group = one.group
            heading = group.lstrip("0123456789 ")
            rows.append(Row(text=heading[:1].upper() + heading[1:]))
        words = " ".join(
            (one.summary, one.also, *(entry.help for entry in one.inputs), *(out.help for out in one.outputs))
        )
        rows.append(Row(id=one.name, text=one.title, right=one.name, words=words))
    return rows


def problem_text(error: CalcError) -> str:
    """What is wrong with a field, in one sentence."""
    message = error.message[:1].upper() + error.message[1:]
    return f"{message}: {error.hint}" if error.hint else message


def still_needed(calculator: Calculator, texts: Mapping[str, str]) -> list[str]:
    """What has to be typed before there can be an answer."""
    return [
        f"{spoken(entry.key)}: {entry.help}"
        for entry in calculator.inputs
        if entry.required and not texts.get(entry.key, "").strip()
    ]


def waiting_lines(calculator: Calculator, needed: list[str], width: int) -> list[Line]:
    """What stands in place of the answer while something is missing."""
    lines = wrap(calculator.summary, width)
    lines += [BLANK, *wrap(calculator.formula, width, role="value")]
    if needed:
        lines += [BLANK, line(("Still to be typed", "title"))]
        for text in needed:
            lines += wrap(text, width, first="  ", rest="    ")
    return lines


def result_lines(result: Result, *, width: int, shapes: Shapes) -> list[Line]:
    """The answer: each value with its worst case, then the judgements, then a picture where there is one."""
    # The likely spread stands under the value it belongs to.
    names = {key: spoken(key) for key in result.outputs if not key.endswith(RSS)}
    label = max((cell_len(name) for name in names.values() if cell_len(name) <= LONGEST_NAME), default=0) + 2
    value = max(
        (cell_len(result.outputs[key].text) for key in names if cell_len(result.outputs[key].text) < 16), default=0
    )
    value += 2
    lines: list[Line] = []
    for verdict in result.verdicts:
        if verdict.level == "warning":  # a broken limit is read before the figures
            lines += verdict_lines(verdict, width, shapes)
    for key, name in names.items():
        one, likely = result.outputs[key], result.outputs.get(f"{key}{RSS}")
        if cell_len(name) > LONGEST_NAME:
            lines.append(line((name, "quiet")))
            head = " " * label
        else:
            head = name.ljust(label)
        rows = wrap(one.text, width, role="value", first=" " * label)
        if one.band and label + value + cell_len(one.band) <= width:
            lines.append(line((head, "quiet"), (one.text.ljust(value), "value"), one.band))
        else:
            lines += [line((head, "quiet"), *rows[0][1:]), *rows[1:]]
            if one.band:
                lines += wrap(one.band, width, first="    ")
        if likely is not None:
            lines += wrap(f"likely ±{likely.text} (root sum square)", width, first="  ", rest="    ", role="quiet")
    lines.append(BLANK)
    for verdict in result.verdicts:
        if verdict.level != "warning":
            lines += verdict_lines(verdict, width, shapes)
    for caution in result.cautions:
        lines += wrap(caution, width, first=f"{shapes.alert} ", role="strong")
    if result.picture:
        lines += [BLANK, *(cut(line(text), width) for text in result.picture)]
    return lines


def working_lines(calculator: Calculator, result: Result, width: int) -> list[Line]:
    """How the answer comes about, what each of its names means, and from where the figures are."""
    lines = [line(("How it comes about", "title"))]
    for text in (calculator.formula, *result.working):
        lines += wrap(text, width, first="  ", rest="    ")
    lines += [BLANK, line(("What the names mean", "title"))]
    for out in calculator.outputs:
        if out.key in result.outputs:
            lines += wrap(f"{spoken(out.key)}: {out.help}", width, first="  ", rest="    ")
    if any(one.band for one in result.outputs.values()):
        lines += wrap('"a to b" behind a value is the worst case over the tolerances typed.', width, first="  ")
    lines += [BLANK, line(("Sources", "title"))]
    for text in result.sources:
        lines += wrap(text, width, first="  ", rest="    ", role="quiet")
    return lines


def spoken(key: str) -> str:
    """A key of a calculator as words: "source-resistance" is source resistance."""
    return key.replace("-", " ")


def field_label(entry: Input) -> str:
    """The name of a field; a question mark says that it may stay empty."""
    return spoken(entry.key) + (" ?" if entry.optional and not entry.default else "")


def label_width(calculator: Calculator) -> int:
    """Cells of the labels before the fields: room for the longest and for the mark of a wrong one."""
    return max((cell_len(field_label(entry)) + 3 for entry in calculator.inputs), default=0)


def field_hint(entry: Input) -> str:
    """What stands in an empty field: what is taken then, or what may be typed. What has no room is said below."""
    if entry.default:
        whole = f"{entry.default} if empty"
        return whole if cell_len(whole) < FIELD else entry.default
    if entry.choices:
        return "Space: choose"
    example = f"like {entry.example}" if entry.example else ""
    for mark in (" or ", ", ", " to "):
        if cell_len(example) >= FIELD:
            example = example.partition(mark)[0]
    return example if cell_len(example) < FIELD else ""


def field_help(entry: Input, *, how: str = "Space goes through") -> str:
    """What belongs in the field the cursor is in, whole: meaning, choices, example, and what is taken when empty."""
    said = [f"{spoken(entry.key)}: {entry.help}."]
    if entry.choices:
        said.append(f"{how} {', '.join(entry.choices)}.")
    elif cell_len(entry.example) >= FIELD:
        said.append(f"For example {entry.example}.")
    if entry.default:
        said.append(f"When empty: {entry.default}.")
    return " ".join(said)


def verdict_lines(verdict: Verdict, width: int, shapes: Shapes) -> list[Line]:
    """A judgement: shape, word, sentence."""
    shape = {"ok": shapes.passed, "note": shapes.near, "warning": shapes.failed}[verdict.level]
    role = {"ok": "pass", "note": "near", "warning": "fail"}[verdict.level]
    head = f"{shape} {verdict.level} "
    wrapped = wrap(verdict.text, width, first=head, rest="  ")
    return [(Span(head, role), *wrapped[0][1:]), *wrapped[1:]]


def in_a_line(calculator: Calculator, result: Result) -> str:
    """A sum in one sentence, as the record keeps it: what was typed, and what came out."""
    given = ", ".join(f"{spoken(key)} {one.text}" for key, one in result.inputs.items())
    found = ", ".join(
        f"{spoken(key)} {one.text}{f' ({one.band})' if one.band else ''}"
        for key, one in result.outputs.items()
        if not key.endswith(RSS)
    )
    return f"{calculator.title}: {given}; gives {found}"


def result_text(calculator: Calculator, result: Result, shapes: Shapes) -> str:
    """The whole answer as text, for copying: what was typed, what came out, how and from where."""
    given = [f"{spoken(key)}: {one.text}" for key, one in result.inputs.items()]
    answer = [*result_lines(result, width=76, shapes=shapes), BLANK, *working_lines(calculator, result, 76)]
    return "\n".join((calculator.title, *given, "", plain(answer)))
