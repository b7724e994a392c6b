"""What is done for all units of a batch at once, by its page or by lines: what one is told holds for the others."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.jobs import events as ev
from benchtui.ui import kept
from benchtui.ui.power import powered
from benchtui.ui.reply import Reply
from benchtui.ui.taking_up import take_up, time_away
from benchtui.ui.view.batch import held_rows
from benchtui.ui.view.cautions import in_order
from benchtui.ui.view.resume import needs_page
from benchtui.ui.work import NO_WITNESS, Work

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Mapping, Sequence

    from benchtui.jobs.plan import Caution, PlanStep
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.ways import Ways


# -- before the steps ------------------------------------------------------------------------------------------------


async def taken_up(runs: Sequence[Run], ask: Callable[[Run], Awaitable[Sequence[str] | None]]) -> bool:
    """Take up jobs that were put aside: asked once for all units that were left alike, and for each left otherwise.

    Args:
        runs: The jobs.
        ask: Asks how it is now what was left on a unit, and takes its job up; gives back the answers, None when that
            was given up.

    Returns:
        Whether the work may go on.

    Raises:
        BenchError: It cannot be written.
    """
    answered: dict[tuple[str, ...], Sequence[str]] = {}
    for run in runs:
        left = run.state.suspended
        if left is None:
            continue
        if left.bench in answered:
            take_up(run, answered[left.bench])
        elif left.bench or (needs_page(run.state, time_away(run), run.conflicts) and not run.state.gate):
            answers = await ask(run)
            if answers is None:
                return False
            answered[left.bench] = answers
        else:
            take_up(run, ())
            answered[left.bench] = ()
    return True


async def prepared(
    runs: Sequence[Run],
    notices: Callable[[Run], Awaitable[bool]],
    page: Callable[[Sequence[Run]], Awaitable[bool | None]],
) -> bool:
    """The preliminary page, gone through once for all units; whether the work may begin.

    Units begun by another revision may have another page. Each page is gone through once, and what it has in common
    with one before it is not asked twice.

    Args:
        runs: The jobs.
        notices: Has the urgent notes read, in the job of the first unit; whether all of them were.
        page: Goes through the page of several jobs, and writes for the first of them; whether the work may begin.

    Raises:
        BenchError: It cannot be written.
    """
    fresh = [run for run in runs if run.state.not_begun]
    if fresh and not await notices(fresh[0]):
        return False
    answers: dict[str, str] = {}
    for before in dict.fromkeys(run.plan.before for run in fresh):
        alike = [run for run in fresh if run.plan.before == before]
        if before.empty:
            continue
        if _answer_as_before(alike[0], answers) and not await page(alike):
            return False
        _begin_alike(alike)
        answers |= alike[0].state.conditions
    return True


def _answer_as_before(run: Run, answers: Mapping[str, str]) -> bool:
    """Give the answers of a page before this one; whether something is left to answer on this one."""
    for condition in run.state.gate:
        if answers.get(condition, ev.NO) != ev.NO:
            run.act(ev.ConditionAnswered(condition=condition, answer=answers[condition]))
    # With every condition answered and the kit gone through, the page was passed before a break.
    return bool(run.state.gate) or not run.state.kit


def _begin_alike(runs: Sequence[Run]) -> None:
    """What was answered on the page of the first unit holds for the others."""
    lead = runs[0].state
    for run in runs[1:]:
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer=lead.conditions[condition]))
        if lead.excused - run.state.excused:
            # What one was begun without, all were: it stays visible on each of them.
            for reason in dict.fromkeys(lead.short[item] for item in sorted(lead.excused)):
                missing = tuple(item for item in sorted(lead.excused) if lead.short[item] == reason)
                run.act(ev.StartedShort(missing=missing, reason=reason))


# -- at a step -------------------------------------------------------------------------------------------------------


def unread(batch: Batch, step: PlanStep) -> list[Caution]:
    """Cautions of a step that were not read for every unit that is at it; one that was freed may lack them."""
    runs = batch.runs()
    found = (caution for unit in batch.at(step.key) for caution in in_order(runs[unit].state.unread(step.key)))
    return in_order(list({caution.digest: caution for caution in found}.values()))


def acknowledge(batch: Batch, step: PlanStep, shown: Sequence[Caution]) -> None:
    """Cautions were read: that is written down for each unit at the step that lacks it.

    Raises:
        BenchError: It could not be kept.
    """
    for each in shown:
        for unit in batch.at(step.key):
            run = batch.runs()[unit]
            if any(each.digest == other.digest for other in run.state.unread(step.key)):
                run.acknowledge(each, step=step.key)


def lacking(batch: Batch, step: PlanStep) -> list[str]:
    """Units whose part or firmware is asked for next: all that lack it, or one of them where each has its own number.

    Parts of one lot, and one build of the firmware, go into all units; a serial number, or a text, is each unit's own.
    """
    runs = batch.runs()
    units = [unit for unit in batch.at(step.key) if step.trace and not runs[unit].state[step.key].fitted]
    return units[:1] if step.trace in ("serial", "text") else units


def keep_part(batch: Batch, units: Sequence[str], typed: str, *, then: str) -> Reply:
    """Keep which part went into several units; `then` says which key goes on."""
    step = Work(batch.runs()[units[0]]).step
    origin = kept.origin_typed(step, typed)
    if not origin:
        return Reply(kept.nothing_typed(step), problem=True)
    for unit in units:
        said = kept.keep_origin(Work(batch.runs()[unit]), origin)
        if said:
            return said
    return Reply(f"kept for {', '.join(units)}: {origin}. {then}")


def power_off(runs: Sequence[Run], typed: str) -> Reply:
    """The power of the bench is off, for all units that were put aside with it on."""
    said = Reply()
    for run in runs:
        if powered(run):
            said = Work(run).power_off(typed)
            if said.problem:
                return said
    return replace(said, ask="")


def witness(batch: Batch, step: PlanStep, name: str) -> Reply:
    """Somebody looks on at a witness point: for all units that are at it, or for the one whose turn it is."""
    if not step.witness:
        return Reply(NO_WITNESS, problem=True)
    units = batch.at(step.key)
    turn = units[:1] if step.limits or step.choices else units
    batch.act(step.key, lambda _: ev.Witnessed(step=step.key, name=name), units=turn)
    return Reply(f"{' '.join(name.split())} looks on, at {turn[0] if len(turn) == 1 else f'{len(turn)} units'}")


def said_of(units: Sequence[str]) -> str:
    """Several units as their number, one by its own."""
    return f"{len(units)} units" if len(units) != 1 else units[0]


# -- one unit drops out, or comes back -------------------------------------------------------------------------------


async def hold_or_free(ways: Ways, batch: Batch) -> Reply:
    """Pick a unit and say why: it drops out of the pass, or takes part again."""
    title = f"Batch {batch.name}"
    unit = await ways.pick(title, "Hold or free which unit?", held_rows(batch.states()))
    if unit is None:
        return Reply()
    held = batch.states()[unit] == "held"
    word = "Free" if held else "Hold"
    why = await ways.ask(title, f"{word} {unit}, because", needed="say why")
    if why is None:
        return Reply()
    ways.units.set_state(unit, "in work" if held else "held", reason=why)
    if held:
        take_up_freed(batch, unit)
    return Reply(f"{unit} is free and takes part again" if held else f"{unit} is held and drops out")


def take_up_freed(batch: Batch, unit: str) -> None:
    """Take the job of a unit up again that was held while the others went on."""
    run = batch.runs().get(unit)
    left = run.state.suspended if run else None
    if run is not None and left is not None:
        run.act(ev.Resumed(answers=("asked with the batch",) * len(left.bench)))


def back_with_the_others(run: Run) -> None:
    """A unit that was taken in hand by itself goes on with the others.

    It was put aside only for that, so what was said of the bench a moment ago still holds.
    """
    left = run.state.suspended
    if left is not None and not run.state.closed:
        run.act(ev.Resumed(answers=("still so",) * len(left.bench)))


# -- the end ---------------------------------------------------------------------------------------------------------


def only_to_count(run: Run) -> bool:
    """Nothing of a job is open but that its tools are not counted back yet: it may be closed like one before it."""
    return all(item.startswith("not counted back") for item in run.state.open_items())


def close_alike(run: Run) -> None:
    """Close the job of a unit whose tools came back with those of another."""
    for item in run.state.not_back:
        run.act(ev.KitTicked(heading="tools", item=item, back=True))
    run.close()


def ready(ways: Ways, batch: Batch) -> tuple[list[str], Mapping[str, tuple[str, ...]]]:
    """Units of a batch that may be released, and what each of those that wait for it lacks."""
    there = [unit for unit, state in batch.states().items() if state in ("in work", "accepted")]
    missing = {unit: tuple(ways.units.missing(unit)) for unit in there}
    return [unit for unit in there if not missing[unit]], missing
