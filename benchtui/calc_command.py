"""`benchtui calc`: list the calculators, tell of one, or do a sum."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Final

from benchtui.calc import catalogue
from benchtui.calc.run import run
from benchtui.errors import CalcError, UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.calc.calculator import Calculator, Input
    from benchtui.calc.result import Result

USAGE: Final = """usage: benchtui calc                            list the calculators
       benchtui calc NAME                       inputs, outputs, formula and sources of one
       benchtui calc NAME key=value ... [--json]   do the sum

example: benchtui calc divider supply="5 V ±5 %" top=10k bottom=4k7"""


WIDTH: Final = 80
"""Columns of the reports, the narrowest terminal this program is made for."""


def main(argv: Sequence[str]) -> int:
    """Run `benchtui calc`.

    Args:
        argv: Arguments after "calc".

    Returns:
        0 with an answer, 2 on bad input, with one sentence on standard error.
    """
    try:
        return _main(argv)
    except (CalcError, UsageError) as error:
        print(f"benchtui: {error}", file=sys.stderr)
        return error.exit_code


def _main(argv: Sequence[str]) -> int:
    arguments = [argument for argument in argv if argument != "--json"]
    as_json = len(arguments) < len(argv)
    if "--help" in arguments or "-h" in arguments:
        print(USAGE)
        return 0
    if not arguments:
        if as_json:
            import json

            print(json.dumps([_described(one) for one in catalogue.everything().values()], ensure_ascii=False))
        else:
            print(listing())
        return 0
    calculator = catalogue.get(arguments[0])
    texts = _texts(calculator, arguments[1:])
    if not texts and not as_json:
        print(description(calculator))
        return 0
    result = run(calculator, texts)
    if as_json:
        import json

        print(json.dumps(result.as_json(), ensure_ascii=False))
    else:
        print(report(calculator, result))
    return 0


def _texts(calculator: Calculator, arguments: Sequence[str]) -> dict[str, str]:
    texts: dict[str, str] = {}
    for argument in arguments:
        key, equals, value = argument.partition("=")
        key = key.removeprefix("--").strip()
        if not equals:
            raise UsageError(
                f"{argument[:40]!r} is not of the form key=value", hint=f"type it like {_example(calculator)}"
            )
        calculator.input(key)
        if key in texts:
            raise CalcError("is given twice", key=key, hint="give it once")
        texts[key] = value
    return texts


def _example(calculator: Calculator) -> str:
    entry = calculator.inputs[0]
    return f'{entry.key}="{entry.example or entry.default or "5 V"}"'


def _described(calculator: Calculator) -> dict[str, object]:
    """One calculator for programs: its name, what it answers, and its keys."""
    return {
        "calculator": calculator.name,
        "title": calculator.title,
        "summary": calculator.summary,
        "inputs": {
            entry.key: {"kind": entry.kind, "required": entry.required, "default": entry.default, "help": entry.help}
            for entry in calculator.inputs
        },
        "outputs": {output.key: {"kind": output.kind, "help": output.help} for output in calculator.outputs},
    }


def listing() -> str:
    """All calculators by group, one line each."""
    lines: list[str] = []
    group = ""
    for calculator in catalogue.everything().values():
        if calculator.group != group:
            group = calculator.group
            lines += ["", group.partition(" ")[2].upper()]
        lines += _wrapped(f"  {calculator.name:<24}{calculator.summary}", hang=26)
    return "\n".join([*lines[1:], "", "`benchtui calc NAME` tells more of one."])


def description(calculator: Calculator) -> str:
    """Inputs, outputs, formula and sources of one calculator."""
    lines = [*_wrapped(f"{calculator.title}: {calculator.summary}", hang=2), "", "inputs (? may be left out):"]
    for entry in calculator.inputs:
        lines += _wrapped(_input_line(entry), hang=26)
    lines += ["", "outputs:"]
    for output in calculator.outputs:
        lines += _wrapped(f"  {output.key:<24}{output.help}", hang=26)
    lines.append("")
    for line in (
        f"formula: {calculator.formula}",
        *(f"source: {source}" for source in calculator.sources),
        *(f"caution: {caution}" for caution in calculator.cautions),
    ):
        lines += _wrapped(line, hang=2)
    return "\n".join(lines)


def _input_line(entry: Input) -> str:
    mark = "" if entry.required else "?"
    extra = f" [{entry.default}]" if entry.default else ""
    extra += f"; one of {', '.join(entry.choices)}" if entry.choices else ""
    extra += f"; like {entry.example}" if entry.example else ""
    return f"  {entry.key + mark:<24}{entry.help}{extra}"


def report(calculator: Calculator, result: Result) -> str:
    """A result for people: picture, inputs, outputs with their bands, working, verdicts, cautions, sources."""
    lines = [calculator.title, ""]
    if result.picture:
        lines += [f"  {line}".rstrip() for line in result.picture] + [""]
    lines += [f"  {key:<24}{given.text}" for key, given in result.inputs.items()]
    lines.append("")
    for key, value in result.outputs.items():
        plus = "±" if key.endswith("-rss") else ""
        after = "likely (root sum square)" if plus else value.band
        lines += _wrapped(f"  {key:<24}{plus + value.text:<16}{after}".rstrip(), hang=26)
    lines.append("")
    for line in result.working:
        lines += _wrapped(f"  {line}", hang=6)
    lines.append("")
    for line in (
        *(f"  {verdict.level}: {verdict.text}" for verdict in result.verdicts),
        *(f"  caution: {caution}" for caution in result.cautions),
        *(f"  source: {source}" for source in result.sources),
    ):
        lines += _wrapped(line, hang=4)
    return "\n".join(lines)


def _wrapped(line: str, *, hang: int) -> list[str]:
    """A line of at most 80 columns, what does not fit under it and indented."""
    from textwrap import wrap

    return wrap(line, WIDTH, subsequent_indent=" " * hang, break_long_words=False, break_on_hyphens=False) or [""]
