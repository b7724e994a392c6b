"""How long a key in a calculator's field takes until its answer stands on the screen.

    python tests/bench_screen.py [--presses 200]

Prints, for several calculators at 80 by 24, the time from a key to the new answer on its widget, and to the painted
screen, with the share of presses within 16 ms (one frame of 60 a second; the screen library paints no faster). It is a
script for people: no test asserts a time.
"""

from __future__ import annotations

import argparse
import asyncio
import statistics
import sys
import tempfile
import time
from itertools import cycle
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from helpers.screens import running
from textual import events

from benchtui.calc.catalogue import everything
from benchtui.ui.screens.sums import SumScreen

FRAME = 0.016
CASES = {
    "divider": ({"supply": "5 V ±5 %", "top": "10k 1%", "bottom": "4k7 1%"}, "top"),
    "led": ({"supply": "5 V ±5 %", "forward-voltage": "1.9 V ±0.2 V", "current": "10 mA"}, "current"),
    "pull-up": ({"supply": "3.3 V", "vih": "2 V", "leakage": "1 uA", "sink-current": "4 mA"}, "leakage"),
    "wire": ({"gauge": "26 AWG", "length": "2 m", "current": "0.5 A", "supply": "5 V"}, "length"),
    "torque": ({"thread": "M3", "class": "8.8"}, "utilisation"),
}
"""Calculator to what stands in its fields, and the field that is typed in."""


async def measure(name: str, texts: dict[str, str], key: str, presses: int) -> tuple[list[float], list[float]]:
    """Seconds to the answer, and seconds to the paint, for each press."""
    answered: list[float] = []
    painted: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        async with running(Path(folder)) as (app, pilot):
            screen = SumScreen(everything()[name], texts)
            app.push_screen(screen)
            await pilot.pause()
            field = screen.query_one(f"#field-{key}")
            field.focus()
            await pilot.pause()
            done = {"answer": 0.0, "paint": 0.0}
            work_out, display = screen._work_out, app._display

            def worked_out() -> None:
                work_out()
                done["answer"] = time.perf_counter()

            def displayed(*arguments: object) -> None:
                display(*arguments)  # type: ignore[arg-type]
                done["paint"] = time.perf_counter()

            screen._work_out = worked_out  # type: ignore[method-assign]
            app._display = displayed  # type: ignore[method-assign]
            keys = cycle(["1", "2", "backspace", "backspace"])
            for _ in range(presses):
                pressed = next(keys)
                done["answer"] = done["paint"] = 0.0
                start = time.perf_counter()
                app.post_message(events.Key(pressed, pressed if len(pressed) == 1 else None))
                while not done["answer"] or done["paint"] < done["answer"]:
                    await asyncio.sleep(0.0005)
                    if time.perf_counter() - start > 1.0:
                        break
                # A key that brought no answer in a second counts as a second, not as none.
                answered.append(done["answer"] - start if done["answer"] else 1.0)
                painted.append(done["paint"] - start if done["paint"] >= done["answer"] > 0.0 else 1.0)
                await asyncio.sleep(0.03)
    return answered, painted


def line(name: str, what: str, seconds: list[float]) -> str:
    """One line of the report."""
    within = sum(second <= FRAME for second in seconds) / len(seconds)
    p95 = statistics.quantiles(seconds, n=20)[-1]
    return (
        f"{name:<10}{what:<12}median {statistics.median(seconds) * 1000:5.1f} ms   95 % within {p95 * 1000:5.1f} ms   "
        f"{within:.0%} within {FRAME * 1000:.0f} ms"
    )


async def main() -> None:
    """Measure every case and print it."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--presses", type=int, default=200)
    presses = parser.parse_args().presses
    for name, (texts, key) in CASES.items():
        if name not in everything():
            continue
        answered, painted = await measure(name, texts, key, presses)
        print(line(name, "answer", answered))
        print(line(name, "painted", painted))


if __name__ == "__main__":
    asyncio.run(main())
