"""How long a sum takes: the one-shot command beside a process that only imports pint, and one `run` per key press.

Run it by hand: python tests/bench_calc.py. It is a benchmark, not a test; the machine's mood decides the milliseconds,
so look at the ratio (at most 1.25) and at the 95th of 100 (at most 16 ms, of which the screen needs its share).
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parent))

from helpers.calculator_examples import EXAMPLES

from benchtui.calc import catalogue
from benchtui.calc.calculator import Calculator
from benchtui.calc.entry import read
from benchtui.calc.run import run
from benchtui.errors import CalcError

ROUNDS = 11

REGISTRY = (
    "import pint, benchtui.units, pathlib; "
    "pint.UnitRegistry(str(pathlib.Path(benchtui.units.__file__).with_name('units.txt')), cache_folder=None)"
)
COMMANDS = {
    "only pint and the small registry": ["-c", REGISTRY],
    "calc divider, metric units": ["-m", "benchtui", "calc", "divider", "supply=5 V ±5 %", "top=10k", "bottom=4k7"],
    "calc torque, inch units": [
        "-m", "benchtui", "calc", "torque", "thread=1/4-20", "preload=1275 lbf", "nut-factor=0.2", "--json",
    ],
    "calc, the list": ["-m", "benchtui", "calc"],
}  # fmt: skip


def whole_process() -> None:
    """Each command and the reference by turns, so that both see the same machine; with bytecode, as when installed."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    times: dict[str, list[float]] = {name: [] for name in COMMANDS}
    for _ in range(ROUNDS):
        for name, arguments in COMMANDS.items():
            start = perf_counter()
            subprocess.run([sys.executable, *arguments], check=True, capture_output=True, env=environment)
            times[name].append(perf_counter() - start)
    # The first round writes the bytecode and is left out.
    times = {name: found[1:] for name, found in times.items()}
    reference = statistics.median(times["only pint and the small registry"])
    print(f"whole process, median of {ROUNDS}                     ms   ratio (bar 1.25)")
    for name, found in times.items():
        median = statistics.median(found)
        print(f"  {name:<44}{median * 1e3:7.0f}  {median / reference:5.2f}")


def _toleranced(calculator: Calculator, key: str, text: str) -> str:
    """The text with a tolerance, where the calculator takes one there."""
    wide = f"{text} ±5 %"
    try:
        read(calculator.input(key), wide)
    except CalcError:
        return text
    return wide


def key_presses() -> None:
    """Every prefix of what is typed, with tolerances, as a form asks for at each key."""
    times: list[tuple[float, str]] = []
    for name, texts in EXAMPLES:
        calculator = catalogue.get(name)
        wide = {key: _toleranced(calculator, key, text) for key, text in texts.items()}
        for key, text in wide.items():
            for length in range(1, len(text) + 1):
                start = perf_counter()
                with suppress(CalcError):
                    run(calculator, wide | {key: text[:length]})
                times.append((perf_counter() - start, name))
    ordered = sorted(times)
    share = {percent: ordered[int(len(ordered) * percent / 100)][0] for percent in (50, 95, 99)}
    words = ", ".join(f"{percent} of 100 within {value * 1e3:.2f} ms" for percent, value in share.items())
    slowest, where = ordered[-1]
    print(f"\none result per key press, {len(times)} presses: {words}")
    print(f"  slowest {slowest * 1e3:.1f} ms ({where}; the first inch or pound of a process loads pint)")


def refusals() -> None:
    """Hostile text in every field of every calculator, which must be answered or turned away at once."""
    draw = random.Random(1)
    texts = ["9**9**9", "1" * 1_000_000, "k" * 1_000_000, "+".join(["1"] * 3000), "nan", "1e400", "__import__('os')"]
    texts += ["".join(chr(draw.randrange(32, 0x2FF)) for _ in range(draw.randrange(1, 64))) for _ in range(5000)]
    times: list[tuple[float, str]] = []
    fields = [
        (calculator, entry.key, dict(given))
        for name, given in EXAMPLES
        for calculator in (catalogue.get(name),)
        for entry in calculator.inputs
    ]
    for number, text in enumerate(texts * 2):
        calculator, key, given = fields[number % len(fields)]
        start = perf_counter()
        with suppress(CalcError):
            run(calculator, given | {key: text})
        times.append((perf_counter() - start, f"{calculator.name} {key}"))
    slowest, where = max(times)
    late = sum(time > 0.010 for time, _ in times)
    print(
        f"\n{len(times)} hostile texts through the calculators: slowest {slowest * 1e3:.2f} ms ({where}), "
        f"{late} over 10 ms (bar: none)"
    )


if __name__ == "__main__":
    whole_process()
    key_presses()
    refusals()
