"""The full screen: what is shared by all screens, and the way from one to the next."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, ClassVar

from textual.app import App
from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.ui.themes import ORDER, THEMES
from benchtui.ui.view.shapes import shapes_for_terminal
from benchtui.ui.view.text import line

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from pathlib import Path

    from textual.binding import BindingType

    from benchtui.content.library import Library
    from benchtui.jobs.plan import Plan
    from benchtui.jobs.run import Run
    from benchtui.record.store import Store
    from benchtui.ui.view.text import Line


class BenchApp(App[None]):
    """The program.

    Args:
        library: Designs, procedures, checklists, fault models.
        store: The record.
        clock: Gives the time of day with its offset.
    """

    CSS_PATH = "bench.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "benchtui"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "leave the program", show=False, priority=True),
    ]

    def __init__(self, library: Library, store: Store, *, clock: Callable[[], datetime] | None = None) -> None:
        # Without colour the terminal's own is used throughout: the screen library would otherwise send grey levels.
        plain = bool(os.environ.get("NO_COLOR"))
        super().__init__(ansi_color=True if plain else None)
        from benchtui.jobs.run import Bench

        self.library = library
        self.store = store
        self.bench = Bench(library, store, clock=clock) if clock else Bench(library, store)
        self.shapes = shapes_for_terminal()
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = "ansi-dark" if plain else ORDER[0]

    @property
    def notice(self) -> str:
        """Why nothing can be written, when that is so."""
        return self.store.notice

    def on_mount(self) -> None:
        from benchtui.ui.screens.bench import BenchHome

        self.push_screen(BenchHome())

    # -- pages reached from everywhere -----------------------------------------------------------------------------

    def action_help(self) -> None:
        """What the screen in front is for, and its keys."""
        from benchtui.ui.screens.pages import HelpPage, Page

        if not isinstance(self.screen, Page):
            self.push_screen(HelpPage(self.screen))

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

    # -- jobs ------------------------------------------------------------------------------------------------------

    def start(self, id: str) -> None:
        """Start a procedure or checklist: on which unit, then its preliminary page, then its steps."""
        from benchtui.ui.screens.units import UnitScreen

        entry = next((entry for entry in self.library.entries() if entry.id == id), None)
        if entry is None:
            return

        def on_unit(unit: str | None) -> None:
            if unit is None:
                return
            try:
                run = self.bench.start(id, unit)
            except BenchError as error:
                self.report(str(error), problem=True)
                return
            self._before(run)

        self.push_screen(UnitScreen(entry.title, entry.design), on_unit)

    def open_job(self, job: str, back: Callable[[str, str], None] | None = None) -> None:
        """Take up a job; `back` is told its name and how it was closed (empty: put aside)."""
        from benchtui.ui.screens.resume import ResumeScreen
        from benchtui.ui.view.resume import needs_page

        try:
            run = self.bench.resume(job)
            left = run.state.suspended
            others = [each for each in self.bench.open_jobs() if each.unit not in ("", run.unit)]
            if left is not None and not needs_page(run.state, run.away):
                from benchtui.jobs.events import Resumed

                run.act(Resumed(identify=False))
                left = None
        except BenchError as error:
            self.report(str(error), problem=True)
            return
        if left is None:
            self._before(run, back)
            return

        def on_return(taken: bool | None) -> None:
            if taken:
                self._before(run, back)
            elif back:
                back(run.job, "")

        self.push_screen(ResumeScreen(run, identify=bool(others)), on_return)

    def _before(self, run: Run, back: Callable[[str, str], None] | None = None) -> None:
        """The preliminary page, where it has not been gone through, then the steps."""
        before = run.plan.before
        fresh = not any(known.begun or known.reason for known in run.state.steps.values())
        if fresh and any((before.conditions, before.tools, before.parts, before.materials)):
            from benchtui.ui.screens.before import BeforeScreen

            def on_ready(ready: bool | None) -> None:
                if ready:
                    self._steps(run, back)
                else:
                    run.suspend()
                    if back:
                        back(run.job, "")

            self.push_screen(BeforeScreen(run), on_ready)
        else:
            self._steps(run, back)

    def _steps(self, run: Run, back: Callable[[str, str], None] | None = None) -> None:
        from benchtui.ui.screens.step import StepScreen

        self.push_screen(StepScreen(run), lambda result: back(run.job, result or "") if back else None)

    def put_aside(self, run: Run, then: Callable[[], None]) -> None:
        """Put a job aside; `then` is called when that was done."""
        from benchtui.ui.screens.aside import AsideScreen

        self.push_screen(AsideScreen(run), lambda left: then() if left else None)

    def close_page(self, run: Run, then: Callable[[str | None], None]) -> None:
        """The page at the end of a job; `then` is told how it was closed, or an empty text."""
        from benchtui.ui.screens.end import EndScreen

        self.push_screen(EndScreen(run), then)

    def panel(self, plan: Plan, *, width: int, height: int, rear: bool, mark: str) -> list[Line]:
        """The panel of a job's design as lines, front or rear, with one control marked; nothing without a design."""
        if not plan.design_id:
            return []
        from benchtui.design import load_design
        from benchtui.design.panel import panel_text

        try:
            design = load_design(self.library.path_of("design", plan.design_id))
        except BenchError as error:
            return [line((f"no picture: {error}", "quiet"))]
        side = "seen from the rear" if rear else "seen from the front"
        marked = f", {mark} marked" if mark else ""
        lines = panel_text(design, width=width, height=max(height - 1, 4), rear=rear, mark=mark)
        return [line((f"panel {side}{marked}", "title")), *(line(text) for text in lines)]

    # -- faults and sums -------------------------------------------------------------------------------------------

    def find_fault(self) -> None:
        """Start fault finding."""
        self.report("fault finding is not here yet", problem=True)

    def sums(self) -> None:
        """The calculators."""
        self.report("the sums are not here yet", problem=True)


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
        app = BenchApp(library, store)
        app.run()
        return app.return_code or 0
