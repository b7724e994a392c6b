"""The real program by a clock that a test can set: run as `python -m helpers.program_by_clock RECORD`.

The file named by `BENCH_CLOCK` holds the seconds to add to the time of day, and to the machine's count since its start;
it is read at each look at the clock, so that a night can pass, or the clock be set back, while the program runs.
"""

from __future__ import annotations

import os
import sys
from datetime import datetime, timedelta
from pathlib import Path

from benchtui.content.library import Library
from benchtui.jobs import timers
from benchtui.paths import content_roots
from benchtui.record.store import Store, local_now
from benchtui.ui.app import BenchApp


def ahead() -> float:
    """Seconds to add."""
    try:
        return float(Path(os.environ["BENCH_CLOCK"]).read_text(encoding="utf-8") or 0)
    except FileNotFoundError:
        return 0.0


def clock() -> datetime:
    """The time of day that the program goes by."""
    return local_now() + timedelta(seconds=ahead())


def main(record: Path) -> int:
    since_start = timers._boot_seconds
    # A night that passes is counted by the machine as well; a clock that is set back is not.
    timers._boot_seconds = lambda: since_start() + max(ahead(), 0.0)
    with Store.open(record, clock=clock) as store:
        app = BenchApp(Library.open(content_roots()), store, clock=clock)
        app.run()
        return app.return_code or 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
