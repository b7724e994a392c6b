"""Ways through the sums: pick one and use it, keep its answer, go back to one done before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.flows import spares_for_tour

if TYPE_CHECKING:
    from benchtui.calc.calculator import Calculator
    from benchtui.calc.result import Result
    from benchtui.ui.app import BenchApp


async def do_sums(app: BenchApp) -> None:
    """Pick a calculator, use it, and come back to the list until that is left."""
    from benchtui.calc.catalogue import everything
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.screens.sums import SumScreen
    from benchtui.ui.view.lookup import SPARES, spares_rows
    from benchtui.ui.view.sums import sum_rows

    calculators = everything()
    name = ""
    while True:
        rows = [*sum_rows(calculators.values()), *spares_rows()]
        picked = await app.push_screen_wait(PickScreen("Sums", "Which one? Type a few letters.", rows, wanted=name))
        if picked is None:
            return
        name = picked
        if name == SPARES:
            await spares_for_tour(app)
        else:
            await app.push_screen_wait(SumScreen(calculators[name]))


async def keep_sum(app: BenchApp, calculator: Calculator, result: Result) -> None:
    """Keep an answer on the record of a unit."""
    from benchtui.ui.screens.units import UnitScreen
    from benchtui.ui.view.sums import in_a_line

    unit = await app.push_screen_wait(UnitScreen(f"Keep: {calculator.title}", "", known_only=True))
    if unit is None:
        return
    data = {"title": calculator.title, "text": in_a_line(calculator, result), **result.as_json()}
    app.store.append("sum", unit=unit, data=data)
    app.report(f"kept on unit {unit}" if unit else "kept in the record")


async def past_sums(app: BenchApp) -> None:
    """Go back to a sum done before, today or earlier."""
    from benchtui.calc.catalogue import everything
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.screens.sums import SumScreen
    from benchtui.ui.view.rows import Row
    from benchtui.ui.view.sums import spoken

    calculators = everything()
    done = [one for one in reversed(app.sums_done.sums) if one[0] in calculators]
    if not done:
        app.report("no sum was done before", problem=True)
        return
    rows = []
    for number, (name, texts) in enumerate(done):
        typed = ", ".join(f"{spoken(key)} {text}" for key, text in texts.items())
        rows.append(Row(id=str(number), text=f"{calculators[name].title}: {typed}"))
    picked = await app.push_screen_wait(PickScreen("Sums done before", "Which one?", rows))
    if picked is not None:
        name, texts = done[int(picked)]
        await app.push_screen_wait(SumScreen(calculators[name], texts))
