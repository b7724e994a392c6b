"""The bench in the line mode: open work, what can be started, fault finding and sums."""

from __future__ import annotations

import signal
import sys
import threading
from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError, UsageError
from benchtui.faults.words import listed
from benchtui.jobs.run_batch import out_of_the_pass
from benchtui.jobs.run_where import readings_with, where_firmware, where_used
from benchtui.jobs.timers import moment
from benchtui.paths import is_practice
from benchtui.record.of_design import known_designs, other_words, others, unlikely
from benchtui.ui.ends_here import end_one
from benchtui.ui.fixed import fix
from benchtui.ui.judge import own_files_told
from benchtui.ui.lines.batches import build_batch
from benchtui.ui.lines.hunt import HuntTalk, start_hunt
from benchtui.ui.lines.job import JobTalk
from benchtui.ui.lines.lookup import look_up
from benchtui.ui.lines.talk import WIDTH, Left, Talk, kept_said
from benchtui.ui.lines.units import look_at_units
from benchtui.ui.lines.ways import LineWays
from benchtui.ui.sittings import choose_meter, name_bench
from benchtui.ui.taking_up import open_already
from benchtui.ui.view.bench import aged, batch_row, by_batch, waiting, where
from benchtui.ui.view.emergency import LEAST
from benchtui.ui.view.shapes import ASCII, SPOKEN
from benchtui.ui.view.units import serial_typed
from benchtui.ui.waits import Waits, over_text

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.content.library import Library
    from benchtui.design.model import Design
    from benchtui.faults.run import HuntRun
    from benchtui.jobs.glance import JobSummary
    from benchtui.jobs.run import Run
    from benchtui.record.store import Store


ASKED: Final = "The bench. What do you want to do?"


class BenchTalk:
    """Everything that can be done, by lines.

    Args:
        library: Designs, procedures, checklists, fault models.
        store: The record.
        talk: The conversation.
    """

    def __init__(self, library: Library, store: Store, talk: Talk) -> None:
        from benchtui.faults.run import Hunts
        from benchtui.jobs.run import Bench
        from benchtui.jobs.run_sitting import present
        from benchtui.ui.judge import Judge

        self.library = library
        self.store = store
        self.talk = talk
        self.bench = Bench(library, store, judge=Judge())
        self.units = self.bench.units
        self.hunts = Hunts(library, store, found_bad=self.units.found_bad, meter=self.bench.meter_id)
        self.ways = LineWays(talk, library, self.bench, self.units, self.hunts, self._work)
        self.bench.meter = present(store).meter
        waits = Waits(self.bench)
        talk.mind = lambda: over_text(waits.over())

    def go(self) -> None:
        """Ask what to do until that is enough."""
        if is_practice(self.store.path):
            self.talk.say("PRACTICE: this is a record of its own, and nothing done here is real.")
        if self.store.notice:
            self.talk.say(self.store.notice)
        if self.store.told:
            self.talk.say(self.store.told)
        if told := own_files_told(self.library):
            self.talk.say(f"{told}.")
        try:
            while (what := self.talk.pick(ASKED, self._choices(), leaves="leave")) is not None:
                try:
                    self._do(what)
                except BenchError as error:
                    self.talk.say(str(error))
        except Left:
            pass
        if not self.talk.gone:  # nobody is there to hear it
            self.talk.say(kept_said(self.store))

    def _choices(self) -> list[tuple[str, str]]:
        now, jobs = self.bench.clock(), self.bench.open_jobs()
        out = out_of_the_pass(self.store, jobs)
        work = []
        for job in by_batch(jobs):
            if isinstance(job, tuple):
                row = batch_row(job, now, SPOKEN, out)
                work.append((row.id, f"{row.text}, {row.right}: {row.under.strip()}"))
            else:
                said = f"{_left(job)}{waiting(job, moment(self.bench.clock))}{where(job)}"
                work.append(
                    (f"open:{job.job}", f"{job.title}, unit {job.unit or 'none'}, {aged(job, now, SPOKEN)}: {said}")
                )
        return [
            *work,
            ("find", "find a fault"),
            ("sum", "do a sum"),
            ("start", "start a procedure or checklist"),
            ("check", "checklist: go through one"),
            ("batch", "batch: all its units together, or one after the other; where each is"),
            ("units", "units: where each stands, and its release"),
            ("words", "search for words: steps, cautions, units, past work"),
            ("meter", f"meter of this sitting, {self._meter()}"),
            ("name", f"name of this bench, {self._named()}"),
            *([("end", "end open work: begun by mistake, or it ends here")] if jobs else []),
            ("ask", "ask where a lot, part or firmware went, or what a meter has measured"),
            ("look", "look at a design: wires, pins, test points, bill, checks"),
            ("help", "smoke, smell or shock: what to do"),
        ]

    def _do(self, what: str) -> None:
        kind, _, id = what.partition(":")
        if kind == "open":
            self.open_work(id)
        elif kind == "find":
            self.find()
        elif kind == "sum":
            self._sum()
        elif kind == "start":
            self._start()
        elif kind == "check":
            self._start("checklist")
        elif kind == "batch":
            build_batch(self, id)
        elif kind == "units":
            look_at_units(self.ways, self.find)
        elif kind == "words":
            look_up(self)
        elif kind == "meter":
            self.ways.go(choose_meter(self.ways))
        elif kind == "name":
            self.ways.go(name_bench(self.ways))
        elif kind == "end":
            self.ways.go(end_one(self.ways, self.bench.open_jobs()))
        elif kind == "look":
            self._look()
        elif kind == "ask":
            self._ask()
        else:
            for row in self.emergency():
                self.talk.say(row)

    def emergency(self) -> tuple[str, ...]:
        """What to do when it smokes, smells or shocks."""
        try:
            return self.library.emergency() or LEAST
        except BenchError:
            return LEAST

    def _job(self, job: str) -> str:
        return self._work(self.bench.resume(job))

    def _work(self, run: Run) -> str:
        return JobTalk(self.talk, run, emergency=self.emergency(), ways=self.ways).go(self._job)

    def open_work(self, job: str) -> None:
        """Take up a job or a hunt of that name."""
        if job in {hunt.job for hunt in self.hunts.open_hunts()}:
            self._hunt(self.hunts.resume(job))
        else:
            self._job(job)

    def _hunt(self, run: HuntRun) -> None:
        HuntTalk(self.talk, run, emergency=self.emergency(), bench=self.bench, open_job=self._job).go()

    def _meter(self) -> str:
        meter = self.bench.meter
        return f"now {meter.name or meter.id}" if meter else "none is chosen"

    def _named(self) -> str:
        from benchtui.jobs.run_sitting import present

        return f"now {present(self.store).place or 'none is said'}"

    def _start(self, *kinds: str) -> None:
        """Pick a procedure or checklist and go through it."""
        entries = [entry for entry in self.library.entries() if entry.kind in (kinds or ("procedure", "checklist"))]
        # What is made for one design comes first: building it is what most come for, and its title names it.
        entries.sort(key=lambda entry: (entry.design == "any", entry.title if entry.design != "any" else ""))
        id = self.talk.pick("Which one?", [(entry.id, entry.title) for entry in entries])
        if id is None:
            return
        self.start(id)

    def start(self, id: str) -> None:
        """Go through a procedure or checklist: on which design, control and unit, then its steps."""
        from benchtui.ui.view.subjects import chosen_kinds, one_of

        entry = next((entry for entry in self.library.entries() if entry.id == id), None)
        if entry is None:
            raise UsageError(f"there is no procedure or checklist {id!r}")
        design_id, subject = entry.design, ""
        if entry.design == "any":
            design = self.design()
            if design is None:
                return
            design_id = design.id
            kinds = chosen_kinds(self.library.procedure(id)) if entry.kind == "procedure" else ()
            if kinds:
                rows = [(row.id, row.text) for row in one_of(design, kinds)]
                subject = self.talk.pick(f"Which {listed(kinds, last='or')}?", rows) or ""
                if not subject:
                    return
        self.bench.trusted(id, design_id=design_id, subject=subject)  # before a serial number is given for it
        unit = self._unit(design_id, new=entry.procedure_kind == "assembly")
        if unit and entry.kind == "procedure" and not self.ways.go(fix(self.ways, id, unit, design_id)):
            return
        before = self.ways.go(open_already(self.ways, id, unit, subject))
        if before:
            self._job(before)
        elif before is not None:
            self._work(self.bench.start(id, unit, design_id=design_id, subject=subject))

    def _unit(self, design_id: str = "", *, new: bool = True) -> str:
        """The unit in question, a new one by a serial number with its check letter; empty for none in particular.

        Args:
            design_id: The design it is of.
            new: It may well be a new one: the number of the next is said, and taken without a question.
        """
        known = [unit.unit for unit in self.store.units()]
        named = design_id not in ("", "any")
        elsewhere = others(self.store, design_id) if named else {}
        doubtful = unlikely(self.store, design_id) if named else {}
        own = [unit for unit in known if unit not in elsewhere and unit not in doubtful]
        if own:
            self.talk.say(f"Known units: {', '.join(own)}.")
        following = ""
        if named and (new or not own):
            following = self.units.next_serial(design_id)
            self.talk.say(f"The next new unit is {following}.")
        while True:
            typed = self.talk.ask("Serial number of the unit (nothing: none in particular)")
            if not typed:
                return ""
            try:
                serial = serial_typed(typed, known)
            except BenchError as error:
                self.talk.say(str(error))
                continue
            if serial in elsewhere:
                self.talk.say(f"{other_words(serial, elsewhere[serial])}: read the number again")
                continue
            if serial in doubtful:
                asked = f"Faults of {doubtful[serial]} were looked for on {serial}. Is it this one? y, or nothing"
                if self.talk.ask(asked).lower() not in ("y", "yes"):
                    continue
            if serial in (*known, following):
                return serial
            said = self.talk.ask(
                f"There is no unit {serial} in this record. Is it a new one? y, or nothing to type again"
            )
            if said.lower() in ("y", "yes"):
                return serial

    def design(self, unit: str = "") -> Design | None:
        """The design in question, asked for only where there are several and the unit does not say it."""
        from benchtui.design import load_design

        designs = sorted(self.library.entries("design"), key=lambda entry: entry.title)
        if not designs:
            raise UsageError("there is no design yet", hint="make one with: benchtui new design NAME")
        id: str | None = designs[0].id
        known = known_designs(self.store, unit)
        if len(known) == 1 and known[0] in {entry.id for entry in designs}:
            id = known[0]
        elif len(designs) > 1:
            id = self.talk.pick("For which design?", [(entry.id, entry.title) for entry in designs])
        return load_design(self.library.path_of("design", id)) if id else None

    def find(self, unit: str | None = None) -> None:
        """Begin a hunt; the unit is asked for when None."""
        design = self.design(unit or "")
        named = self._unit(design.id) if unit is None and design else unit or ""
        run = start_hunt(self.talk, self.hunts, design, named) if design else None
        if run is not None:
            self._hunt(run)

    def _ask(self) -> None:
        from benchtui.jobs.past import is_date
        from benchtui.jobs.run_sitting import present
        from benchtui.ui.view.asking import asking_rows, reading_lines, use_lines

        fitted, loaded = (self.store.events(kinds=[kind]) for kind in ("part-fitted", "firmware-loaded"))
        rows = [row for row in asking_rows(fitted, loaded, present(self.store).meters) if row.id]
        if not rows:
            self.talk.say("The record has no lot, part, firmware or meter yet.")
            return
        picked = self.talk.pick("Of which?", [(row.id, f"{row.text}, {row.right}".rstrip(", ")) for row in rows])
        kind, _, value = (picked or "").partition(":")
        if kind == "meter":
            start = self.talk.ask("since which date, as 2031-03-31 (nothing: from the beginning)")
            if start and not is_date(start):
                raise UsageError(f"{start!r} is no date", hint="type it as 2031-03-31")
            self.talk.lines(reading_lines(readings_with(self.bench.store, value, start=start), WIDTH))
        elif kind == "firmware":
            self.talk.lines(use_lines(where_firmware(self.bench.units, value), WIDTH))
        elif kind:
            self.talk.lines(use_lines(where_used(self.bench.units, **{kind: value}), WIDTH))

    def _look(self) -> None:
        from benchtui.ui.lines.reference import look

        design = self.design()
        while design is not None:
            words = self.talk.ask("what of it, such as wires F3, pin map or bill (list: all, nothing: back)")
            if not words:
                return
            look(self.talk, self.bench, design, words="" if words == "list" else words)

    def _sum(self) -> None:
        from benchtui.calc.catalogue import everything

        name = self.talk.pick("Which sum?", [(one.name, one.title) for one in everything().values()])
        if name is None:
            return
        self.sum(name)

    def sum(self, name: str) -> None:
        """Do one sum."""
        from benchtui.calc.catalogue import get
        from benchtui.calc.run import run
        from benchtui.ui.view.sums import field_help, result_text

        calculator = get(name)
        texts: dict[str, str] = {}
        for entry in calculator.inputs:
            texts[entry.key] = self.talk.ask(field_help(entry, how="Type one of"))
        self.talk.rows(result_text(calculator, run(calculator, texts), ASCII))


def _left(job: JobSummary) -> str:
    """What is left on or hot by a job."""
    return f"left {', '.join(what.upper() for what in job.left_on)}; " if job.left_on else ""


def run(*, record: Path | None = None, read_only: bool = False) -> int:
    """Open the record and the library and talk until that is enough.

    Args:
        record: The record's file; the user's own when None.
        read_only: Write nothing.

    Returns:
        The exit code.

    Raises:
        RecordError: The record cannot be opened.
    """
    from benchtui.content.library import Library
    from benchtui.paths import record_file
    from benchtui.record.store import Store

    with Store.open(record or record_file(), read_only=read_only) as store:
        talk = Talk()
        _mind_signals(talk)
        BenchTalk(Library.open(), store, talk).go()
    return 0


def _mind_signals(talk: Talk) -> None:
    """Put work aside when the terminal goes away or the machine shuts down."""
    if sys.platform == "win32" or threading.current_thread() is not threading.main_thread():
        return
    for name in (signal.SIGHUP, signal.SIGTERM):
        signal.signal(name, lambda _number, _frame: talk.hang_up())
