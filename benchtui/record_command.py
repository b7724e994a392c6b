"""`benchtui record`: what the record holds, on the command line. Data goes to standard output, words about it do not.

Each act is a function that takes the open record and what was typed after its name.
"""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.paths import record_file
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.jobs.glance import JobSummary
    from benchtui.jobs.jobstate import JobState

USAGE: Final = """\
usage: benchtui record [--record FILE]              units, and jobs that are open
       benchtui record [--record FILE] --all        units, and all jobs
       benchtui record [--record FILE] JOB          one job, step by step

options:
  --record FILE   use this record instead of your own
  --help          print this"""


def main(argv: Sequence[str]) -> int:
    """Serve `benchtui record`.

    Args:
        argv: What follows the command.

    Returns:
        The exit code.

    Raises:
        UsageError: There is no such act, job or option.
        RecordError: The record cannot be read.
    """
    words, path, flags = _read_arguments(argv)
    if "--help" in flags:
        print(USAGE)
        return 0
    act = ACTS.get(words[0] if words else "")
    with Store.open(path, read_only=True) as store:
        if act is None:
            return _show_job(store, words) if words else _list(store, flags)
        return act(store, words[1:])


def _read_arguments(argv: Sequence[str]) -> tuple[list[str], Path, set[str]]:
    words: list[str] = []
    flags: set[str] = set()
    path = record_file()
    rest = iter(argv)
    for argument in rest:
        if argument in ("--help", "-h"):
            flags.add("--help")
        elif argument == "--all":
            flags.add(argument)
        elif argument == "--record" or argument.startswith("--record="):
            value = argument.partition("=")[2] if "=" in argument else next(rest, "")
            if not value:
                raise UsageError("--record needs a file name", hint="type: benchtui record --record FILE")
            path = Path(value).expanduser()
        elif argument.startswith("-"):
            raise UsageError(f"there is no option {argument!r}", hint="type: benchtui record --help")
        else:
            words.append(argument)
    return words, path, flags


def _list(store: Store, flags: set[str]) -> int:
    from benchtui.jobs.run import record_jobs

    units, jobs = store.units(), record_jobs(store, open_only="--all" not in flags)
    if not units and not store.jobs():
        print("The record is empty: no unit and no job yet.")
        return 0
    if units:
        print("Units")
        for unit in units:
            print(f"  {unit.unit:<14}{unit.state or 'in work':<12}last touched {_when(unit.last_time)}")
    print("Jobs" if "--all" in flags else "Open jobs")
    for job in jobs:
        print(f"  {_line(job)}")
    if not jobs:
        print("  none; `benchtui record --all` shows those that are closed")
    return 0


def _line(job: JobSummary) -> str:
    if job.closed:
        state = job.closed
    elif job.of:
        state = f"{job.settled} of {job.of} steps" + (", put aside" if job.suspended else "")
    else:
        state = "open"
    return f"{job.job:<8}{job.unit:<14}{job.title} · {state} · {_when(job.last)}"


def _show_job(store: Store, words: list[str]) -> int:
    from benchtui.jobs.run import record_job

    for name in words:
        folded = record_job(store, name)
        for line in job_lines(folded.state):
            print(line)
        for conflict in folded.conflicts:
            print(f"not taken up, {conflict.kind} at {_when(conflict.time)}: {conflict.message}", file=sys.stderr)
    return 0


def job_lines(state: JobState) -> list[str]:
    """A job as lines of plain text: what it is, each step with its mark, readings and notes, and what is open."""
    plan = state.plan
    lines = [f"{plan.title} (revision {plan.revision})", f"job {state.job}, begun {_when(state.started)}"]
    if state.unit:
        lines[1] += f", unit {state.unit}"
    if plan.design_title:
        lines.append(f"design {plan.design_title}, revision {plan.design_revision}")
    lines.append(f"{state.closed or 'open'}: {state.settled} of {len(plan)} steps settled")
    lines += [f"condition: {line} — {answer}" for line, answer in state.conditions.items()]
    section = ""
    for step in plan.steps:
        known = state[step.key]
        if step.section != section:
            section = step.section
            lines += ["", section]
        when = f"  {_when(known.done)}" if known.done else ""
        lines.append(f"{step.number:>4} {known.status:<15}{state.text(step.key)}{when}")
        if known.reason:
            lines.append(f"{'':20}because: {known.reason}")
        for number, reading in enumerate(known.readings, start=1):
            limits = f", limits {step.limits.text}" if step.limits and step.limits.text else ""
            reason = f" ({reading.reason})" if reading.reason else ""
            lines.append(f"{'':20}reading {number}: {reading.typed} {reading.verdict}{limits}{reason}")
        if known.choice:
            lines.append(f"{'':20}answer: {known.choice}")
        lines += [f"{'':20}signed: {name}, {meaning}" for name, meaning in known.signed]
        lines += [f"{'':20}note: {note.text}" for note in known.notes]
    lines += [f"note: {note.text}" for note in state.notes]
    items = state.open_items()
    if items and (state.closed or state.finished):
        lines += ["", "Open items", *(f"  {item}" for item in items)]
    return lines


def _when(time: str) -> str:
    """A time of the record as people write it, in the zone it was written in."""
    return datetime.fromisoformat(time).strftime("%Y-%m-%d %H:%M") if time else ""


ACTS: Final[Mapping[str, Callable[[Store, list[str]], int]]] = {}
"""Word after `benchtui record` to what it does; any other word is the name of a job."""
