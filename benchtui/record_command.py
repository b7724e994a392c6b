"""`benchtui record`: what the record holds, on the command line. Data goes to standard output, words about it do not.

Each act is a function that takes the open record and what was typed after its name.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError, RecordBusyError, UsageError
from benchtui.jobs.passport import when
from benchtui.jobs.readings import shown
from benchtui.jobs.tally import tally
from benchtui.options import words_and_options
from benchtui.paths import record_file
from benchtui.record.opening import true_place
from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.faults.model import FaultModel
    from benchtui.jobs.glance import JobSummary
    from benchtui.jobs.jobstate import JobState

USAGE: Final = """\
usage: benchtui record                       units, and jobs that are open; with --all, closed jobs as well
       benchtui record JOB                   one job, step by step
       benchtui record unit UNIT             the history of a unit
       benchtui record passport UNIT         what it is, how it was built and tested, what is open
       benchtui record find WORDS            events that hold these words
       benchtui record lot LOT               where the parts of a lot went
       benchtui record meter METER [DATE]    every reading taken with a meter since a date
       benchtui record verify                check every digest; exit code 3 when something does not add up
       benchtui record export [UNIT] [FILE]  everything, or a unit, as lines of JSON; with `markdown`, as a page
       benchtui record import FILE           take in another bench's export, - for what is piped in; exit code 1 when
                                             there are conflicts
       benchtui record decide UNIT           what two benches disagree on; with ENTRY NAME REASON, decide one of them
       benchtui record part UNIT             two units of one number; with ENTRY NAME REASON, one gets a new number
       benchtui record withdraw UNIT ENTRY NAME REASON   a decision was wrong: it is open again, and stays to be seen
       benchtui record decide copy NAME REASON   what a copy that was put back lacks is missed no more
       benchtui record backup FILE           copy the record to a file, or into a folder

options:
  --record FILE   use this record instead of your own
  --all           list closed jobs as well
  --help          print this"""

_FLAGS: Final = {"--help": "--help", "-h": "--help", "--all": "--all"}
"""Options without a value, each by the name it is known by."""

_ASKED: Final = 2
"""Words of a question about a unit; with more than these the question is answered."""


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
    name = words[0] if words else ""
    _refuse_missing(path, name, named=path != record_file())
    writes = name in ("import", "withdraw") or (name in ("decide", "part") and len(words) > _ASKED)
    with Store.open(path, read_only=not writes) as store:
        if writes and store.read_only:
            busy = "is writing to this record" in store.notice
            raise RecordBusyError(store.notice, hint="close it there first, then type this again" if busy else "")
        if store.told:
            print(store.told, file=sys.stderr)
        act = _acts().get(name)
        if act is None:
            return _show_job(store, words) if words else _list(store, flags)
        return act(store, words[1:])


def _refuse_missing(path: Path, name: str, *, named: bool) -> None:
    """Refuse a record that is not there: an empty one in its place would be found in the best of order.

    Args:
        path: Its file.
        name: The act; empty for the list.
        named: It was named on the command line.

    Raises:
        UsageError: It is not there, and the act makes none.
        RecordError: It is a link that leads nowhere.
    """
    if true_place(path).exists():
        return
    if name == "import":
        if not path.parent.is_dir():
            raise UsageError(f"there is no folder {path.parent}", hint="look at the name after --record")
    elif named:
        raise UsageError(f"there is no record {path}", hint="look at the name after --record")
    elif name in ("verify", "export", "backup"):
        raise UsageError(f"there is no record yet: {path}", hint="the first job or unit makes it")


def _read_arguments(argv: Sequence[str]) -> tuple[list[str], Path, set[str]]:
    flags = {_FLAGS[argument] for argument in argv if argument in _FLAGS}
    rest = [argument for argument in argv if argument not in _FLAGS]
    words, options = words_and_options(rest, command="record", known=("--record",))
    path = Path(options["--record"]).expanduser() if options else record_file()
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
            print(f"  {unit.unit:<14}{unit.state or 'in work':<12}last touched {when(unit.last_time)}")
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
        state = (job.tally or f"{job.settled} of {job.of} steps") + (", put aside" if job.suspended else "")
    else:
        state = "open"
    return f"{job.job:<8}{job.unit:<14}{job.title} · {state} · {when(job.last)}"


def _show_job(store: Store, words: list[str]) -> int:
    from benchtui.jobs.run import record_job

    for name in words:
        if _show_hunt(store, name):
            continue
        folded = record_job(store, name)
        for line in job_lines(folded.state):
            print(line)
        for conflict in folded.conflicts:
            if conflict.matters:
                print(f"to be decided: {conflict.text}", file=sys.stderr)
    return 0


def _show_hunt(store: Store, name: str) -> bool:
    """Print a job that was the finding of a fault; False when it was none."""
    from benchtui.faults.told import hunt_lines

    events = store.events(job=name)
    if not events or not events[0].kind.startswith("hunt-"):
        return False
    unit = f", unit {events[0].unit}" if events[0].unit else ""
    print(f"{events[0].data.get('title', 'Find a fault')}{unit}, job {name}")
    for time, line in hunt_lines(events, _model(str(events[0].data.get("model", "")))):
        print(f"{when(time)}  {line}")
    return True


def _model(id: str) -> FaultModel | None:
    """The model a hunt was led by; None when it is no longer to be had, for a record outlives its files."""
    from benchtui.content.library import Library
    from benchtui.faults.reading import load_model

    try:
        return load_model(Library.open().path_of("fault-model", id))
    except BenchError:
        return None


def job_lines(state: JobState) -> list[str]:
    """A job as lines of plain text: what it is, each step with its mark, readings and notes, and what is open."""
    plan = state.plan
    lines = [f"{plan.title} ({state.edition})", f"job {state.job}, begun {when(state.started)}"]
    if state.unit:
        lines[1] += f", unit {state.unit}"
    if plan.design_title:
        lines.append(f"design {plan.design_title}, revision {plan.design_revision}")
    lines.append(f"{state.closed or 'open'}: {tally(state)}")
    lines += [f"condition: {line} — {answer}" for line, answer in state.conditions.items()]
    lines += [f"begun without: {item}, because {reason}" for item, reason in state.short.items()]
    section = ""
    for step in plan.steps:
        known = state[step.key]
        if step.section != section:
            section = step.section
            lines += ["", section]
        ended = f"  {when(known.done)}" if known.done else ""
        lines.append(f"{step.number:>4} {known.status:<15}{state.text(step.key)}{ended}")
        if known.reason:
            lines.append(f"{'':20}because: {known.reason}")
        for number, reading in enumerate(known.readings, start=1):
            limits = f", limits {step.limits.text}" if step.limits and step.limits.text else ""
            reason = f" ({reading.reason})" if reading.reason else ""
            lines.append(
                f"{'':20}reading {number}: {shown(step.limits, reading.typed)} {reading.verdict}{limits}{reason}"
            )
        if known.choice:
            lines.append(f"{'':20}answer: {known.choice}")
        lines += [f"{'':20}signed: {name}, {meaning}" for name, meaning in known.signed]
        if known.redline:
            lines.append(f"{'':20}pencilled in for this unit, because {known.redlined}; as written: {step.text}")
        lines += [f"{'':20}{step.trace or 'part'}: {origin}" for origin in known.fitted]
        lines += [f"{'':20}file: {name}, SHA-256 {digest}" for name, digest in known.files]
        lines += [f"{'':20}note: {note.text}" for note in known.notes]
    lines += [f"note: {note.text}" for note in state.notes]
    items = state.open_items()
    if items and (state.closed or state.finished):
        lines += ["", "Open items", *(f"  {item}" for item in items)]
    return lines


def _acts() -> Mapping[str, Callable[[Store, list[str]], int]]:
    """Word after `benchtui record` to what it does; any other word is the name of a job."""
    from benchtui import record_acts as acts
    from benchtui import record_exchange as exchange

    return {
        "unit": acts.unit,
        "passport": acts.passport,
        "find": acts.find,
        "lot": acts.lot,
        "meter": acts.meter,
        "verify": exchange.verify,
        "export": exchange.export,
        "import": exchange.take_in,
        "decide": acts.decide,
        "withdraw": acts.withdraw,
        "part": acts.part,
        "backup": exchange.back_up,
    }
