"""The defects of a job: written down before they are touched, decided, put right, and tested again."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from benchtui.design.joints import joints_at, soldering_of, unknown_joint
from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.named import joint_name, names_of
from benchtui.jobs.quality import DISPOSITIONS
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.screens.pick import AskScreen, PickScreen
from benchtui.ui.view.defects import MEANINGS, defect_rows, design_unread, heated_text
from benchtui.ui.view.head import job_head
from benchtui.ui.view.keys import FIELD
from benchtui.ui.view.owed import owed_rows
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import wrap
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.design.model import Design
    from benchtui.jobs.jobstate import Defect
    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class DefectScreen(BenchScreen[None]):
    """The list; Enter does what comes next for the defect at the mark."""

    WRITES = True

    HELP = (
        "A defect is written down before it is touched. Enter does what comes next: decide, begin the rework, end it. "
        "Rework opens again the tests whose proof it made void; the unit is not finished until they pass."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "write a defect down"),
        Binding("q,escape,left", "leave", "back to the steps", key_display="q, Esc or ←"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, run: Run, *, step: str = "") -> None:
        super().__init__()
        self.run = run
        self.step = step

    def compose_body(self) -> ComposeResult:
        yield Rows(id="rows", shapes=self.shapes)

    def head(self, width: int) -> list[Line]:
        return job_head(self.run.state, width, self.shapes)

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return FIELD
        return (
            Key("enter", "do what comes next"),
            Key("n", "write one down", "new"),
            Key("q", "back", "leave"),
            Key("?", "keys", "app.help"),
        )

    def on_mount(self) -> None:
        self._fill("")
        self.query_one(Rows).focus()

    def _fill(self, wanted: str | None = None) -> None:
        owed = owed_rows(self.host.units.missing(self.run.unit)) if self.run.unit else []
        self.query_one(Rows).fill([*defect_rows(self.run.state, self.shapes), *owed], wanted=wanted)
        self.redraw()

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        id = event.row.id.partition(":")[2]
        if not id:
            self.action_new()
        else:
            self.host.go(self._next(self.run.state.defects[id]))

    async def _next(self, defect: Defect) -> None:
        """What comes next for a defect."""
        title = f"Defect {defect.id}: {defect.text}"
        event: ev.JobEvent | None = None
        if defect.status == "found":
            event = await self._decide(title, defect)
        elif defect.status == "decided" and defect.disposition in ("rework", "repair"):
            design, gone = self._design()
            known = joints_at(design, defect.subject)
            such = f"one of {', '.join(known)}" if known else "such as F3 lug 2"
            page = AskScreen(
                title,
                f"Joint to be heated, {such} (nothing: none)",
                wrap(gone, self.size.width, role="problem") if gone else (),
                check=lambda typed: unknown_joint(design, self._joint(typed)) if typed else "",
            )
            joint = await self.app.push_screen_wait(page)
            event = None if joint is None else await self._heat(title, defect, self._joint(joint))
        elif defect.status == "in rework":
            rows = [
                Row(id="no", text="Not yet: back to the work"),
                Row(id="yes", text="It is done", under="the tests it made void are open again"),
            ]
            if await self.app.push_screen_wait(PickScreen(title, "Is the rework done?", rows)) != "yes":
                return
            question = f"What was touched, such as F3 J1; all: everything (nothing: {defect.subject or 'everything'})"
            touched = await self.app.push_screen_wait(AskScreen(title, question))
            if touched is not None:
                names = tuple(touched.replace(",", " ").split()) or tuple(filter(None, (defect.subject,)))
                event = ev.ReworkDone(defect=defect.id, touched=names)
        if event is not None:
            self.run.act(event)
            self._fill()

    def _design(self) -> tuple[Design | None, str]:
        """The design of the job, or why it cannot be asked; the work goes on by the text that the job keeps."""
        try:
            return self.host.design_of(self.run.plan), ""
        except BenchError as error:
            return None, f"{design_unread(error.message)} Nothing checks the name of the joint: read it twice."

    def _joint(self, typed: str) -> str:
        """The joint as it is written down, so that each is counted once however it is typed."""
        units = self.host.units
        names = units.names(self.run.unit) if self.run.unit else names_of(self.run.state)
        return joint_name(typed, names)

    async def _heat(self, title: str, defect: Defect, joint: str) -> ev.JobEvent | None:
        """Begin a rework; a joint whose part bears no more solder is heated again only for a reason."""
        design, gone = self._design()
        solder = soldering_of(design, joint)
        heated = self.host.units.view(self.run.unit).joints if self.run.unit else self.run.state.joints
        before, kept = heated.get(joint, (0, 0))
        # A design that is gone says nothing any more; what was written down with an earlier rework still stands.
        limit = solder.attempts if solder else kept + 1 if kept else 0
        unknown = bool(gone and joint and not limit)
        if unknown or (limit and before + 1 >= limit):
            source = f"figure from: {solder.source if solder else 'the last rework of this joint'}"
            under = "read the sheet of the part first" if unknown else source
            rows = [
                Row(id="no", text="Leave it, and replace the part instead", under=under),
                Row(id="yes", text="Heat it once more, with a reason"),
            ]
            question = heated_text(joint, before, limit)
            if await self.app.push_screen_wait(PickScreen(title, question, rows)) != "yes":
                return None
            why = await self.app.push_screen_wait(AskScreen(title, "Because", needed="say why this is right"))
            if why is None:
                return None
            how = "again, and what its part bears is not known" if unknown else "beyond what its part bears"
            self.run.act(ev.NoteAdded(text=f"{joint} is heated {how}: {why}", step=defect.step))
        return ev.ReworkStarted(defect=defect.id, joint=joint, limit=max(limit - 1, 0))

    async def _decide(self, title: str, defect: Defect) -> ev.JobEvent | None:
        rows = [Row(id=name, text=name, right=MEANINGS[name]) for name in DISPOSITIONS]
        disposition = await self.app.push_screen_wait(PickScreen(title, "What is to be done?", rows))
        if disposition is None:
            return None
        why = await self.app.push_screen_wait(AskScreen(title, "Because", needed="say why this is right"))
        if why is None:
            return None
        return ev.DispositionGiven(defect=defect.id, disposition=disposition, reason=why)

    def action_new(self) -> None:
        self.ask(Question("What do you see:", self._found))

    def _found(self, seen: str) -> str:
        number = f"D{len(self.run.state.defects) + 1}"
        subject = ""
        if self.step:
            about = self.run.plan.step(self.step).subject
            subject = about.id if about else ""
        try:
            self.run.act(ev.DefectFound(defect=number, text=seen.strip(), step=self.step, subject=subject))
        except BenchError as error:
            return str(error)
        self.prompt.close()
        self._fill()
        self.say(f"defect {number} is written down")
        return ""

    def action_leave(self) -> None:
        self.dismiss(None)
