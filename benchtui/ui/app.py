"""The full screen: what is shared by all screens, and the way from one to the next."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import threading
from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar, Final

from textual import events
from textual.app import App
from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.paths import is_practice
from benchtui.ui.gate import Keyboard
from benchtui.ui.sums_done import SumsDone
from benchtui.ui.themes import ORDER, PLAIN, THEMES
from benchtui.ui.trail import Trail
from benchtui.ui.view.shapes import shapes_for_terminal
from benchtui.ui.view.text import line, wrap
from benchtui.ui.waits import Waits, over_text

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine, Sequence
    from datetime import datetime
    from pathlib import Path

    from textual.binding import BindingType
    from textual.events import Event
    from textual.screen import Screen

    from benchtui.content.library import Library
    from benchtui.design.model import Design
    from benchtui.jobs.plan import Caution, Plan
    from benchtui.jobs.run import Run
    from benchtui.record.store import Store
    from benchtui.ui.gate import Press
    from benchtui.ui.view.rows import Row
    from benchtui.ui.view.text import Line


ANYWHERE: Final = frozenset({"ctrl+q", "question_mark", "f1", "exclamation_mark", "f9"})
"""Keys that answer in a window of any size: leaving, help, smoke or shock."""


class BenchApp(App[None]):
    """The program.

    Args:
        library: Designs, procedures, checklists, fault models.
        store: The record.
        clock: Gives the time of day with its offset.
        sums: File of the sums done before; None keeps them for this sitting only.
    """

    CSS_PATH = "bench.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "benchtui"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "leave the program", show=False, priority=True),
    ]

    def __init__(
        self,
        library: Library,
        store: Store,
        *,
        clock: Callable[[], datetime] | None = None,
        sums: Path | None = None,
    ) -> None:
        # Without colour the terminal's own is used throughout: the screen library would otherwise send grey levels.
        plain = bool(os.environ.get("NO_COLOR"))
        if not plain:
            os.environ.pop("NO_COLOR", None)  # present but empty asks for nothing (no-color.org)
        super().__init__(ansi_color=True if plain else None)
        from benchtui.faults.run import Hunts
        from benchtui.jobs.run import Bench
        from benchtui.jobs.run_sitting import present
        from benchtui.record.store import local_now
        from benchtui.ui.judge import Judge

        self.library = library
        self.store = store
        self.bench = Bench(library, store, clock=clock or local_now, judge=Judge())
        self.bench.meter = present(store).meter
        self.units = self.bench.units
        self.hunts = Hunts(
            library,
            store,
            clock=self.bench.clock,
            found_bad=self.units.found_bad,
            meter=self.bench.meter_id,
        )
        self.practice = is_practice(store.path)
        """Nothing done here is real, and every screen says so."""
        self.shapes = shapes_for_terminal()
        self._on_their_way: set[Screen[object]] = set()
        """Screens from which a way through others has begun and not come back."""
        self._designs: dict[str, Design] = {}
        """Designs read in this sitting: a picture is drawn at many keys, and reading its file takes a while."""
        self.last_look = ""
        """What was looked at last beside a step, as `ui.view.reference` names it."""
        self.trail = Trail()
        """Pages that were looked up in this sitting, to go back through."""
        self.keyboard = Keyboard()
        self.sums_done = SumsDone(sums, read_only=store.read_only)
        for theme in (*THEMES.values(), PLAIN):
            self.register_theme(theme)
        self.theme = PLAIN.name if plain else ORDER[0]
        self.set_class(plain, "-plain")

    @property
    def notice(self) -> str:
        """Why nothing can be written, when that is so."""
        return self.store.notice

    def on_mount(self) -> None:
        from benchtui.ui.screens.bench import BenchHome

        self.push_screen(BenchHome())
        self.waits = Waits(self.bench)
        self.set_interval(1.0, self.mind_waits)
        self._mind_signals()

    def mind_waits(self) -> None:
        """Ring when a wait is over, whichever screen is in front."""
        if not self.screen_stack:
            return  # the program is closing
        front = self.screen
        run, work = getattr(front, "run", None), getattr(front, "work", None)
        watched = {each.job for each in getattr(front, "runs", ())}  # a batch rings once for all its units
        over = self.waits.over(watched=watched)
        if over:
            self.bell()
            step = work.key if work is not None and run is not None else ""
            self.report(over_text(over, job=getattr(run, "job", ""), step=step))

    def _mind_signals(self) -> None:
        """Put work aside when the terminal goes away or the machine shuts down."""
        if sys.platform == "win32":
            return
        loop = asyncio.get_running_loop()
        if threading.current_thread() is threading.main_thread():
            for name in (signal.SIGHUP, signal.SIGTERM):
                loop.add_signal_handler(name, self._ended_from_outside)

    def _ended_from_outside(self) -> None:
        for screen in self.screen_stack:
            for run in (getattr(screen, "run", None), *getattr(screen, "runs", ())):
                if run is not None and hasattr(run, "suspend"):
                    # What cannot be written now is no worse than a program that was killed.
                    with suppress(BenchError):
                        run.suspend(forced=True)
        self.exit(return_code=0)

    async def on_event(self, event: Event) -> None:
        """Take note of each key, and refuse keys while the window is too small to see what they would answer."""
        if isinstance(event, events.Key) and not event.is_forwarded:
            self.keyboard.note(event.key, arrived=event.time, event=event)
            if self._refused(event.key):
                return
        try:
            await super().on_event(event)
        except BenchError as error:
            self.cannot(error)

    def cannot(self, error: BenchError) -> None:
        """Say on the screen in front what could not be read or written; the program goes on."""
        say = getattr(self.screen, "cannot", None)
        if say is not None:
            say(error)

    def _handle_exception(self, error: Exception) -> None:
        """A record that fails in what follows a page is said on the screen in front; anything else ends the program."""
        if isinstance(error, BenchError) and self.screen_stack:
            self.cannot(error)
        else:
            super()._handle_exception(error)

    def doubt(self, press: Press, then: Callable[[], None]) -> None:
        """Do something once it is known that its key is not held (`Keyboard.doubt`)."""
        self.keyboard.doubt(press, then)
        self._mind_doubt()

    def _mind_doubt(self) -> None:
        left = self.keyboard.due()
        if left:
            self.set_timer(left, self._mind_doubt)

    def _refused(self, key: str) -> bool:
        from benchtui.ui.screens.pages import EmergencyPage, HelpPage

        if not self.too_small or isinstance(self.screen, EmergencyPage | HelpPage):
            return False  # pages that only show something can be read and left at any size
        return key not in ANYWHERE

    @property
    def too_small(self) -> bool:
        """Whether the window cannot show a page whole."""
        from benchtui.ui.screens.base import LEAST

        width, height = self.size
        return 0 < width < LEAST[0] or 0 < height < LEAST[1]

    # -- pages reached from everywhere -----------------------------------------------------------------------------

    def action_help(self) -> None:
        """What the screen in front is for, and its keys."""
        from benchtui.ui.screens.pages import EmergencyPage, HelpPage

        if not isinstance(self.screen, HelpPage | EmergencyPage):
            self.push_screen(HelpPage(self.screen))

    def action_help_quit(self) -> None:
        """Ctrl-C, which in other programs would end this one."""
        self.report("Ctrl-Q leaves the program. Nothing is lost: every mark is on the disk")

    def action_emergency(self) -> None:
        """Smoke, smell or shock."""
        from benchtui.ui.screens.pages import EmergencyPage

        if not isinstance(self.screen, EmergencyPage):
            self.push_screen(EmergencyPage())

    def emergency(self) -> tuple[str, ...]:
        """The lines of the content on smoke, smell and shock; none when they cannot be read."""
        try:
            return self.library.emergency()
        except BenchError:
            return ()

    def action_theme(self) -> None:
        """The next of dark, light and dim."""
        if self.theme in ORDER:
            self.theme = ORDER[(ORDER.index(self.theme) + 1) % len(ORDER)]
            self.report(f"{self.theme.removeprefix('bench-')} colours")

    def report(self, text: str, *, problem: bool = False) -> None:
        """Say something in the line of the screen in front."""
        from benchtui.ui.screens.base import BenchScreen

        if isinstance(self.screen, BenchScreen):
            self.screen.say(text, problem=problem)

    def go(self, flow: Coroutine[object, object, object]) -> None:
        """Run a way through several screens; a refusal on it is said on the screen in front.

        A second press of its key, before the next screen has come, must not begin the same way once more.
        """
        here = self.screen
        if here in self._on_their_way:
            flow.close()
            return
        self._on_their_way.add(here)

        async def guarded() -> None:
            try:
                await flow
            except BenchError as error:
                self.report(str(error), problem=True)
            finally:
                self._on_their_way.discard(here)

        self.run_worker(guarded())

    # -- what a way asks (`ui.ways`) ---------------------------------------------------------------------------------

    async def pick(
        self,
        title: str,
        question: str,
        rows: Sequence[Row],
        *,
        wanted: str = "",
        more: Callable[[str], Sequence[Row]] | None = None,
    ) -> str | None:
        """Let one of many be picked, on a page of its own."""
        from benchtui.ui.screens.pick import PickScreen

        return await self.push_screen_wait(
            PickScreen(title, question, rows, wanted=wanted, more=more, more_last=bool(more))
        )

    async def ask(
        self,
        title: str,
        question: str,
        *,
        told: str = "",
        needed: str = "",
        check: Callable[[str], str] | None = None,
    ) -> str | None:
        """Ask for a text, on a page of its own."""
        from benchtui.ui.screens.pick import AskScreen

        lines = wrap(told, self.size.width, role="problem") if told else ()
        return await self.push_screen_wait(
            AskScreen(title, question, lines, needed=needed, check=check or (lambda _: ""))
        )

    async def heed(self, title: str, cautions: Sequence[Caution]) -> bool:
        """Have cautions read, on a page of their own; whether all of them were."""
        from benchtui.ui.screens.heed import HeedScreen

        return not cautions or await self.push_screen_wait(HeedScreen(title, cautions))

    async def read(self, title: str, text: Callable[[int], list[Line]]) -> None:
        """Show a text on a page of its own."""
        from benchtui.ui.screens.pages import TextPage

        await self.push_screen_wait(TextPage(title, text))

    async def work_on(self, run: Run) -> str:
        """Go through a job on its screens."""
        from benchtui.ui.flows import work_on

        return await work_on(self, run)

    # -- jobs --------------------------------------------------------------------------------------------------------

    def put_aside(self, run: Run, then: Callable[[], None], *, others: bool = False) -> None:
        """Put a job aside, and `others` of its batch with it; `then` is called when that was done, or it was ended."""
        from benchtui.ui.screens.aside import AsideScreen

        if self.store.read_only:  # it is only looked at: nothing can be said about the bench, and nothing is left
            then()
            return
        self.push_screen(AsideScreen(run, others=others), lambda left: then() if left else None)

    def close_page(self, run: Run, then: Callable[[str | None], None]) -> None:
        """The page at the end of a job; `then` is told how it was closed, or an empty text."""
        from benchtui.ui.screens.end import EndScreen

        self.push_screen(EndScreen(run), then)

    def title_of(self, id: str) -> str:
        """Title of a procedure or checklist; its id when it is no longer there."""
        return next((entry.title for entry in self.library.entries() if id and entry.id == id), id)

    # -- what several screens show ---------------------------------------------------------------------------------

    def panel(self, plan: Plan, *, width: int, height: int, rear: bool, mark: str) -> list[Line]:
        """The panel of a job's design, as its file stands now; nothing without a design."""
        try:
            design = self.design_of(plan)
        except BenchError as error:
            return [line((f"no picture: {error}", "quiet"))]
        return self.panel_of(design, width=width, height=height, rear=rear, mark=mark)

    def design_of(self, plan: Plan) -> Design | None:
        """The design of a job, as its file stands now; None for a job about none.

        Raises:
            BenchError: There is no such design any more, or its file has problems.
        """
        if not plan.design_id:
            return None
        if plan.design_id not in self._designs:
            from benchtui.design import load_design

            self._designs[plan.design_id] = load_design(self.library.path_of("design", plan.design_id))
        return self._designs[plan.design_id]

    def panel_of(self, design: Design | None, *, width: int, height: int, rear: bool, mark: str) -> list[Line]:
        """A panel as lines, front or rear, with one control marked."""
        if design is None:
            return []
        from benchtui.design.panel import panel_text

        title, *rows = panel_text(design, width=width, height=max(height, 6), rear=rear, mark=mark)
        return [line((title, "title")), *(line(row) for row in rows)]


def run(*, record: Path | None = None, read_only: bool = False) -> int:
    """Open the record and the library and run the full screen until it is left.

    Args:
        record: The record's file; the user's own when None.
        read_only: Write nothing.

    Returns:
        The exit code.

    Raises:
        RecordError: The record cannot be opened.
    """
    from benchtui.content.library import Library
    from benchtui.paths import content_roots, record_file
    from benchtui.record.store import Store

    path = record or record_file()
    library = Library.open(content_roots())
    with Store.open(path, read_only=read_only) as store:
        app = BenchApp(library, store, sums=path.with_name("sums.jsonl"))
        app.run()
        return app.return_code or 0
