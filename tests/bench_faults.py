"""How long the fault-finding engine takes. Run it by hand: python tests/bench_faults.py

Aims on two cores: the next move of 30 faults × 30 tests within one frame of 16 ms, of 1000 × 300 under 100 ms, and
taking back an answer after 30 steps of that under 50 ms. It also prints how far ahead can be looked while one reads.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path
from random import Random
from time import perf_counter
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).parent))
from helpers.noisy_models import big_table

from benchtui.faults import engine
from benchtui.faults.deepen import deepen
from benchtui.faults.table import Position, Table, start

if TYPE_CHECKING:
    from collections.abc import Callable

RUNS = 7


def median_ms(work: Callable[[], object]) -> float:
    """Median of a few runs, in milliseconds."""
    times = []
    for _ in range(RUNS):
        begun = perf_counter()
        work()
        times.append((perf_counter() - begun) * 1000.0)
    return statistics.median(times)


def replay(table: Table, steps: int) -> Position:
    """Thirty answers from the start, as when one of them is taken back."""
    position = start(table)
    for index in range(steps):
        position = engine.answer(table, position, index, 0)
    return position


def report(name: str, value: float, aim: float) -> None:
    """One line: what, how long, and the aim."""
    word = "ok" if value <= aim else "OVER"
    print(f"{name:<58}{value:9.2f} ms   aim {aim:6.0f} ms   {word}")


def slices(table: Table, seconds: float) -> tuple[int, float, str]:
    """How many slices fit into a time, the longest of them in ms, and how far ahead they looked."""
    begun = last = perf_counter()
    count, longest, depth = 0, 0.0, ""
    for ranking in deepen(table, start(table)):
        now = perf_counter()
        count, longest, last, depth = count + 1, max(longest, now - last), now, ranking.depth
        if now - begun > seconds:
            break
    return count, longest * 1000.0, depth


def main() -> None:
    """Print the table of timings."""
    rng = Random(1)
    small, large = big_table(rng, 30, 30), big_table(rng, 1000, 300)
    first = start(small)
    report("30 × 30: next move", median_ms(lambda: engine.choose(engine.options(small, first))), 16.0)
    begin = start(large)
    report("1000 × 300: next move", median_ms(lambda: engine.choose(engine.options(large, begin))), 100.0)
    report("1000 × 300: one answer", median_ms(lambda: engine.answer(large, begin, 0, 0)), 16.0)
    report("1000 × 300: take back and replay 30 answers", median_ms(lambda: replay(large, 30)), 50.0)
    for name, table in (("30 × 30", small), ("1000 × 300", large)):
        count, longest, depth = slices(table, 2.0)
        print(f"{name}: in 2 s {count} slices, the longest {longest:.1f} ms, as far as: {depth}")


if __name__ == "__main__":
    main()
