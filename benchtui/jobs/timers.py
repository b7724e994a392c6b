"""How much of a cure or soak is left, whatever was done to the clock meanwhile.

Where the machine tells which start of it this is (a boot id), the seconds since that start are used: they run on
through sleep and do not care what the clock is set to. After a restart only the clock is left to go by.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.jobs.steps import Timer


@dataclass(frozen=True, slots=True)
class Moment:
    """A point in time by the clock and, where there is one, by the machine's own count since it was started."""

    clock: datetime
    boot: str = ""
    boot_seconds: float = 0.0


def moment(clock: Callable[[], datetime]) -> Moment:
    """Now.

    Args:
        clock: Gives the time of day with its offset.
    """
    boot = _boot_id()
    return Moment(clock(), boot, _boot_seconds() if boot else 0.0)


def elapsed(timer: Timer, now: Moment) -> float:
    """Seconds since the timer was started; never negative."""
    if timer.boot and timer.boot == now.boot:
        return max(0.0, now.boot_seconds - timer.boot_seconds)
    started = datetime.fromisoformat(timer.started)
    return max(0.0, (now.clock - started).total_seconds())


def by_clock_alone(timer: Timer, now: Moment) -> bool:
    """Whether the machine was started anew since, so that its clock is all there is to tell how long it was."""
    return bool(timer.boot and now.boot) and timer.boot != now.boot


def remaining(timer: Timer, now: Moment) -> float:
    """Seconds still to wait; 0 when the wait is over or was ended."""
    return 0.0 if timer.ended else max(0.0, timer.seconds - elapsed(timer, now))


def _boot_id() -> str:
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        return ""


def _boot_seconds() -> float:
    if sys.platform == "linux":
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    return time.monotonic()
