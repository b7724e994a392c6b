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


LONGEST_NAME: Final = 18
"""Cells of a name that still shares its line with the value."""


def sum_rows(calculators: Iterable[Calculator]) -> list[Row]:
    """Every calculator under its group."""
    rows: list[Row] = []
    group = ""
    for one in calculators:
        if one.group != group:
            group = one.group
            rows.append(Row(text=group.lstrip("0123456789 ").capitalize()))
        words = " ".join((one.summary, *(entry.help for entry in one.inputs), *(out.help for out in one.outputs)))
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
    names = {key: spoken(key) for key in result.outputs}
    label = max((cell_len(name) for name in names.values() if cell_len(name) <= LONGEST_NAME), default=0) + 2
    value = max((cell_len(one.text) for one in result.outputs.values() if cell_len(one.text) < 16), default=0) + 2
    lines: list[Line] = []
    for verdict in result.verdicts:
        if verdict.level == "warning":  # a broken limit is read before the figures
            lines += verdict_lines(verdict, width, shapes)
    for key, one in result.outputs.items():
        if cell_len(names[key]) > LONGEST_NAME:
            lines.append(line((names[key], "quiet")))
            head = " " * label
        else:
            head = names[key].ljust(label)
        rows = wrap(one.text, width, role="value", first=" " * label)
        if one.band and label + value + cell_len(one.band) <= width:
            lines.append(line((head, "quiet"), (one.text.ljust(value), "value"), one.band))
            continue
        lines += [line((head, "quiet"), *rows[0][1:]), *rows[1:]]
        if one.band:
            lines += wrap(one.band, width, first="    ")
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
    return key.replace("-rss", " (root sum square, ±)").replace("-", " ")


def field_hint(entry: Input) -> str:
    """What stands in an empty field: what is taken then, or what may be typed."""
    if entry.choices and not entry.default:
        return " / ".join(entry.choices)
    return f"{entry.default} if empty" if entry.default else entry.example


def field_help(entry: Input) -> str:
    """One line about the field the cursor is in."""
    choices = f" Space goes through {', '.join(entry.choices)}." if entry.choices else ""
    return f"{spoken(entry.key)}: {entry.help}.{choices}"


def verdict_lines(verdict: Verdict, width: int, shapes: Shapes) -> list[Line]:
    """A judgement: shape, word, sentence."""
    shape = {"ok": shapes.passed, "note": shapes.near, "warning": shapes.failed}[verdict.level]
    role = {"ok": "pass", "note": "near", "warning": "fail"}[verdict.level]
    head = f"{shape} {verdict.level} "
    wrapped = wrap(verdict.text, width, first=head, rest="  ")
    return [(Span(head, role), *wrapped[0][1:]), *wrapped[1:]]


def result_text(calculator: Calculator, result: Result, shapes: Shapes) -> str:
    """The whole answer as text, for copying: what was typed, what came out, how and from where."""
    given = [f"{spoken(key)}: {one.text}" for key, one in result.inputs.items()]
    answer = [*result_lines(result, width=76, shapes=shapes), BLANK, *working_lines(calculator, result, 76)]
    return "\n".join((calculator.title, *given, "", plain(answer)))
