"""The first screen: open work with where it stands, then what can be started."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from benchtui.jobs.run_batch import out_of_the_pass
from benchtui.jobs.run_sitting import present
from benchtui.jobs.timers import moment
from benchtui.ui import flows, sum_flows
from benchtui.ui.asking import ask_record
from benchtui.ui.batches import build_batch, open_batch
from benchtui.ui.ends_here import end_one
from benchtui.ui.judge import own_files_told
from benchtui.ui.lookups import look_at_design, look_at_units, look_up
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.sittings import choose_meter, name_bench
from benchtui.ui.trouble import told
from benchtui.ui.view.bench import bench_head, bench_rows, by_batch
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.jobs.glance import JobSummary
    from benchtui.ui.view.text import Line


class BenchHome(BenchScreen[None]):
    """The bench itself: everything begins and ends here."""

    HELP = (
        "Work that is open stands first, the one touched last at the top. Below is what can be started. "
        "Everything you do is on the disk before the screen says so, so you can close this program at any moment."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "find", "find a fault"),
        Binding("c", "sums", "do a sum"),
        Binding("u", "units", "units: where each stands, and its release"),
        Binding("d", "design", "a design: panel, wiring lists, pins, test points, bill, checks"),
        Binding("b", "batches", "build a batch: one step for all its units"),
        Binding("e", "end", "end the work at the mark: begun by mistake, or it ends here"),
        Binding("m", "meter", "choose the meter of this sitting"),
        Binding("n", "name", "what this bench is called, and who sits at it"),
        Binding("w", "ask", "where a lot, part or firmware went; what a meter has measured"),
        Binding("slash", "look_up", "look something up", key_display="/"),
        Binding("t", "app.theme", "dark, light or dim"),
        Binding("q", "app.quit", "leave the program"),
        *BenchScreen.COMMON,
    ]

    def __init__(self) -> None:
        super().__init__()
        self._open: list[str] = []
        self._work: tuple[JobSummary, ...] = ()
        self._place = ""
        """What this bench is called."""

    def on_screen_suspend(self) -> None:
        self._said = ("", "")  # what was said of one act is not to be read as the end of the next

    def compose_body(self) -> ComposeResult:
        yield Rows(id="rows", shapes=self.host.shapes)

    def head(self, width: int) -> list[Line]:
        meter = self.host.bench.meter
        known = f"meter: {meter.name or meter.id}" if meter else "no meter chosen: m"
        # The reason stands whole in the line above the keys; here it would be cut off.
        notice = "Reading only: nothing done here is kept" if self.host.notice else ""
        return bench_head(width, notice=notice, meter=known, work=self._work, shapes=self.shapes, place=self._place)

    def keys(self) -> Sequence[Key]:
        return (
            Key("enter", "take up, start", ""),
            Key("f", "find a fault", "find"),
            Key("c", "do a sum", "sums"),
            Key("/", "look up", "look_up"),
            Key("?", "keys", "app.help"),
        )

    def on_mount(self) -> None:
        self.fill("")
        self.query_one(Rows).focus()
        if self.host.notice:
            self.say(self.host.notice, problem=True)
        elif self.host.store.told:
            self.say(self.host.store.told, problem=True)
        elif told := own_files_told(self.host.library):
            self.say(told, problem=True)

    def on_screen_resume(self) -> None:
        if self.is_mounted:
            before = self._open
            self.fill(None)
            if self._open != before:
                self.fill("")  # back from some work: that work now stands first
        super().on_screen_resume()

    @told
    def fill(self, wanted: str | None) -> None:
        """Read the record and the library anew; of a record that cannot be read now, the last list stays."""
        self._work = work = self.host.bench.open_jobs()
        self._open = [job.job for job in work]
        self._place = present(self.host.store).place
        rows = bench_rows(
            work,
            self.host.library.entries(),
            now=self.host.bench.clock(),
            shapes=self.shapes,
            moment=moment(self.host.bench.clock),
            out=out_of_the_pass(self.host.store, work),
        )
        self.query_one(Rows).fill(rows, wanted=wanted)
        self.redraw()

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        what, _, rest = event.row.id.partition(":")
        if what == "open":
            self.host.go(flows.open_work(self.host, rest))
        elif what == "batch":
            self.host.go(open_batch(self.host, rest))
        elif what == "start":
            self.host.go(flows.start_job(self.host, rest))
        elif what == "more":
            self.host.go(flows.start_one_of(self.host, rest))
        elif what == "find":
            self.action_find()
        elif what == "sums":
            self.action_sums()
        elif what == "batches":
            self.action_batches()
        elif what == "units":
            self.action_units()
        elif what == "design":
            self.action_design()
        elif what == "ask":
            self.action_ask()
        elif what == "look":
            self.action_look_up()

    def action_find(self) -> None:
        self.host.go(flows.find_fault(self.host))

    def action_sums(self) -> None:
        self.host.go(sum_flows.do_sums(self.host))

    def action_end(self) -> None:
        """End the work of the row at the mark; of a batch, that of one of its units."""
        row = self.query_one(Rows).row
        kind, _, name = row.id.partition(":") if row is not None else ("", "", "")
        groups = [group for group in by_batch(self._work) if isinstance(group, tuple)]
        jobs = [job for job in self._work if job.job == name] if kind == "open" else []
        if kind == "batch":
            jobs = [job for group in groups if any(each.batch == name for each in group) for job in group]
        if not jobs:
            self.say("the mark stands on no open work: go to the one that ends, then e", problem=True)
        elif self.host.store.read_only:
            self.say(f"{self.host.store.notice}; nothing was saved", problem=True)
        else:
            self.host.go(self._end(jobs))

    async def _end(self, jobs: Sequence[JobSummary]) -> None:
        if await end_one(self.host, jobs):
            self.fill("")

    def action_meter(self) -> None:
        self.host.go(choose_meter(self.host))

    def action_name(self) -> None:
        self.host.go(self._named())

    async def _named(self) -> None:
        await name_bench(self.host)
        self.fill(None)

    def action_design(self) -> None:
        self.host.go(look_at_design(self.host))

    def action_batches(self) -> None:
        self.host.go(build_batch(self.host))

    def action_units(self) -> None:
        self.host.go(look_at_units(self.host))

    def action_ask(self) -> None:
        self.host.go(ask_record(self.host))

    def action_look_up(self) -> None:
        self.host.go(look_up(self.host))
