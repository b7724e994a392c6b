"""Sittings, and what earlier runs left behind, where they meet the record."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError
from benchtui.jobs.conflicts import bench_of
from benchtui.jobs.disagree import ONE_BENCH
from benchtui.jobs.pace import past_minutes
from benchtui.jobs.past import (
    PastNote,
    PastRedline,
    catches,
    changed_since,
    is_date,
    notes_of,
    redlines_of,
    urgent_unread,
)
from benchtui.jobs.run_list import plan_of
from benchtui.jobs.sitting import KINDS, MeterKnown, Sitting, SittingBegun, StrapTested, sitting_of
from benchtui.record.event import root_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.conflicts import Conflict
    from benchtui.jobs.plan import Plan
    from benchtui.jobs.run import Bench
    from benchtui.record.event import Event
    from benchtui.record.store import Store


LOOKED_BACK: Final = 20
"""Most runs that are looked at for when a step was done last, the newest first."""


def present(store: Store) -> Sitting:
    """The sitting of this bench as the record has it; of other benches only the meters are known, behind its own."""
    foreign = store.foreign
    events = store.events(kinds=KINDS)
    theirs = [event for event in events if root_of(event.origin) in foreign]
    own = [event for event in events if root_of(event.origin) not in foreign]
    return sitting_of(own, elsewhere=theirs)


def sit_down(bench: Bench, *, name: str = "", place: str = "", meter: str = "", unnamed: bool = False) -> Sitting:
    """Begin a sitting, and use its meter for every reading from now on; what is not said anew stays as it was.

    `unnamed` says that readings are kept without the name of a meter.

    Raises:
        JobError: There is no such meter.
    """
    known = {each.id for each in present(bench.store).meters}
    if meter and meter not in known:
        raise JobError(f"there is no meter {meter!r}", hint=f"known are {', '.join(sorted(known)) or 'none yet'}")
    now = present(bench.store)
    event = SittingBegun(name=name or now.name, place=place or now.place, meter=meter, unnamed=unnamed)
    bench.store.append(event.KIND, data=event.to_data())
    sitting = present(bench.store)
    bench.meter = sitting.meter
    return sitting


def bench_words(store: Store, origin: str) -> str:
    """A bench by what it said of itself, such as "the bench at the workshop"; empty where it has said nothing.

    Args:
        store: The record.
        origin: The name that its events go under.
    """
    root = root_of(origin)
    sitting = sitting_of(event for event in store.events(kinds=KINDS) if root_of(event.origin) == root)
    words = [f"of {sitting.name}" if sitting.name else "", f"at {sitting.place}" if sitting.place else ""]
    if not any(words) and sitting.meter is not None:
        words = [f"with the meter {sitting.meter.name or sitting.meter.id}"]
    return " ".join(["the bench", *filter(None, words)]) if any(words) else ""


def bench_named(store: Store, conflicts: Iterable[Conflict]) -> tuple[Conflict, ...]:
    """Conflicts with the bench named that wrote each, where it has said what it is called."""
    named = []
    for each in conflicts:
        words = bench_words(store, bench_of(each)) if ONE_BENCH in each.message else ""
        said = each.message.replace(ONE_BENCH, words[:1].upper() + words[1:], 1) if words else each.message
        named.append(replace(each, message=said))
    return tuple(named)


def add_meter(store: Store, event: MeterKnown) -> None:
    """Write down a meter, or the new date of its calibration.

    Raises:
        JobError: The date is not written as 2027-03-31; none at all is an answer.
    """
    if event.due and not is_date(event.due):
        raise JobError(f"{event.due!r} is no date", hint="type the day its calibration ends as 2027-03-31")
    store.append(event.KIND, data=event.to_data())


def strap_tested(store: Store, typed: str) -> None:
    """Write down a test of the wrist strap.

    Raises:
        JobError: No reading was given.
    """
    if not typed.strip():
        raise JobError("type what the tester or the meter showed")
    event = StrapTested(typed=typed)
    store.append(event.KIND, data=event.to_data())


class Past:
    """Earlier runs of one procedure or checklist.

    Args:
        store: The record.
        procedure: Its id.
        now: Name of the job in hand, which is not one of the earlier ones.
    """

    def __init__(self, store: Store, procedure: str, *, now: str = "") -> None:
        self.store = store
        started = store.events(kinds=["job-started"], where=("procedure", procedure))
        self.starts = tuple(event for event in started if event.job != now)

    def notes(self) -> Mapping[str, tuple[PastNote, ...]]:
        """Notes of earlier runs by the id of their step."""
        return notes_of(self._events("note"))

    def redlines(self) -> Mapping[str, tuple[PastRedline, ...]]:
        """Texts that were changed by hand in earlier runs, by the key of their step."""
        # Rare in a whole record, so they are looked for by their kind, and not job by job.
        jobs = {event.job for event in self.starts}
        return redlines_of(event for event in self.store.events(kinds=["redline"]) if event.job in jobs)

    def urgent(self) -> tuple[PastNote, ...]:
        """Urgent notes that nobody has said to have read in a later run."""
        read = (str(event.data.get("note", "")) for event in self.store.events(kinds=["notice-read"]))
        return urgent_unread(self.notes(), read)

    def minutes(self) -> Mapping[str, float]:
        """Median minutes of its steps."""
        return past_minutes(self._events("step-begun", "step-done", "suspended"))

    def caught(self) -> Mapping[str, int]:
        """How often each of its steps was found not to be so."""
        return catches(self._events("step-failed", "reading"))

    def changed(self, plan: Plan) -> frozenset[str]:
        """Steps of a plan that read differently from when they were done last, or that no text had so far.

        A run that never came to a step, such as those of a batch that are begun together, has not read it.
        """
        left = {step.key for step in plan.steps}
        marked: set[str] = set()
        new: frozenset[str] | None = None
        for start in self.starts[: -LOOKED_BACK - 1 : -1]:
            done, text = self._done(start)
            if not done:
                continue
            differs = {each: changed_since(plan, plan_of(self.store, each)) for each in {*done.values(), text}}
            new = differs[text] if new is None else new
            marked |= {key for key in left if key in done and key in differs[done[key]]}
            left -= set(done)
            if not left:
                break
        # What was done in no run is marked where the text of the newest one did not have it so.
        return frozenset(marked | (left & (new or frozenset())))

    def _done(self, start: Event) -> tuple[Mapping[str, str], str]:
        """Each step that was done in a run to the digest of the text it was done by, and the run's last text."""
        text, done = str(start.data["plan"]), {}
        for event in self.store.events(job=start.job, kinds=["step-done", "revision-moved"]):
            if event.kind == "revision-moved":
                text = str(event.data["plan"])
            else:
                done[str(event.data["step"])] = text
        return done, text

    def _events(self, *kinds: str) -> list[Event]:
        jobs = dict.fromkeys(event.job for event in self.starts)
        return [event for job in jobs for event in self.store.events(job=job, kinds=kinds)]
