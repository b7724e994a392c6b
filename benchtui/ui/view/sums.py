"""Sums: the list of calculators, and the answer of one as lines for the screen and as plain text to copy."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import BLANK, Span, cut, line, plain, wrap

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.calc.calculator import Calculator, Verdict
    from benchtui.calc.result import Result
    from benchtui.errors import CalcError
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def sum_rows(calculators: Iterable[Calculator]) -> list[Row]:
    """Every calculator under its group."""
    rows: list[Row] = []
    group = ""
    for one in calculators:
        if one.group != group:
            group = one.group
            rows.append(Row(text=group))
        words = " ".join((one.summary, *(entry.help for entry in one.inputs), *(out.help for out in one.outputs)))
        rows.append(Row(id=one.name, text=one.title, right=one.name, words=words))
    return rows


def problem_text(error: CalcError) -> str:
    """What is wrong with a field, in one sentence."""
    message = error.message[:1].upper() + error.message[1:]
    return f"{message}: {error.hint}" if error.hint else message


def still_needed(calculator: Calculator, texts: Mapping[str, str]) -> list[str]:
    """What has to be typed before there can be an answer."""
    return [entry.help for entry in calculator.inputs if entry.required and not texts.get(entry.key, "").strip()]


def waiting_lines(calculator: Calculator, needed: list[str], width: int) -> list[Line]:
    """What stands in place of the answer while something is missing."""
    lines = wrap(calculator.summary, width)
    lines += [BLANK, *wrap(calculator.formula, width, role="value")]
    if needed:
        lines += [BLANK, line(("Still to be typed", "title"))]
        for text in needed:
            lines += wrap(text, width, first="  ")
    return lines


def result_lines(
    calculator: Calculator, result: Result, *, width: int, shapes: Shapes, working: bool = False
) -> list[Line]:
    """The answer: values with their worst case, judgements, and on demand how it comes about.

    Args:
        calculator: What was asked.
        result: The answer.
        width: Cells of a line.
        shapes: Characters of this terminal.
        working: Show the working and the sources.
    """
    names = {out.key: out.help for out in calculator.outputs}
    lines: list[Line] = []
    for key, value in result.outputs.items():
        name = names.get(key) or f"{names.get(key.removesuffix('-rss'), key)}, root sum square ±"
        lines += wrap(name, width, role="quiet")
        lines += wrap(value.text, width, first="  ", role="value")
        if value.band:
            lines += wrap(value.band, width, first="  worst case ", rest="    ")
    if result.verdicts or result.cautions:
        lines.append(BLANK)
    for verdict in result.verdicts:
        lines += verdict_lines(verdict, width, shapes)
    for caution in result.cautions:
        lines += wrap(caution, width, first=f"{shapes.alert} ", role="strong")
    if result.picture:
        lines += [BLANK, *(cut(line(text), width) for text in result.picture)]
    if working:
        lines += [BLANK, line(("How it comes about", "title"))]
        for text in (calculator.formula, *result.working):
            lines += wrap(text, width, first="  ", rest="    ")
        lines += [BLANK, line(("Sources", "title"))]
        for text in result.sources:
            lines += wrap(text, width, first="  ", rest="    ", role="quiet")
    return lines


def verdict_lines(verdict: Verdict, width: int, shapes: Shapes) -> list[Line]:
    """A judgement: shape, word, sentence."""
    shape = {"ok": shapes.passed, "note": shapes.near, "warning": shapes.failed}[verdict.level]
    role = {"ok": "pass", "note": "near", "warning": "fail"}[verdict.level]
    head = f"{shape} {verdict.level} "
    wrapped = wrap(verdict.text, width, first=head, rest="  ")
    return [(Span(head, role), *wrapped[0][1:]), *wrapped[1:]]


def result_text(calculator: Calculator, result: Result, shapes: Shapes) -> str:
    """The whole answer as text, for copying: what was typed, what came out, how and from where."""
    given = [f"{calculator.input(key).help}: {one.text}" for key, one in result.inputs.items()]
    answer = plain(result_lines(calculator, result, width=76, shapes=shapes, working=True))
    return "\n".join((calculator.title, *given, "", answer))
