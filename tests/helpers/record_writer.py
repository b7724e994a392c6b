"""A program that works through a job on a record and says what was saved as soon as it is; made to be killed.

Run as: python -m helpers.record_writer RECORD. It goes on with the open job it finds. Each line it prints names an
event that `Run.act` has returned from, so the record must hold it whatever happens next.
"""

from __future__ import annotations

import sys
from pathlib import Path

from helpers.bench_of_plans import PlannedBench
from helpers.jobs import plan, step

from benchtui.jobs import events as ev
from benchtui.record.store import Store, local_now

LONG = plan(*(step(f"s{number}") for number in range(1, 2001)))


def main(path: Path) -> None:
    with Store.open(path) as store:
        bench = PlannedBench({"hollin-assembly": LONG}, store, local_now)  # type: ignore[arg-type]
        jobs = bench.open_jobs()
        run = bench.resume(jobs[0].job) if jobs else bench.start("hollin-assembly", "HCD-001-D")
        if run.state.suspended is not None:
            run.act(ev.Resumed())
        print(f"at {run.state.current}", flush=True)
        while (here := run.current()) is not None:
            run.act(ev.StepBegun(step=here.key))
            print(f"begun {here.key}", flush=True)
            run.act(ev.StepDone(step=here.key))
            print(f"done {here.key}", flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
