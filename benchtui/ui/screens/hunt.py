"""Fault finding: the next move with its reason, the answer by number or by reading, and the way out always in sight."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import Binding

from benchtui.faults import moves
from benchtui.faults.points import unit_of
from benchtui.faults.words import spot
from benchtui.ui import flows
from benchtui.ui.hunt_answers import nothing_to_measure
from benchtui.ui.hunt_sight import cautions_of, sight_of
from benchtui.ui.hunting import WORKING_OUT, Hunting
from benchtui.ui.lookups import beside
from benchtui.ui.screens.base import WIDE, Key
from benchtui.ui.screens.cautious import CautiousScreen
from benchtui.ui.screens.pick import PickScreen
from benchtui.ui.trouble import told
from benchtui.ui.view import hunt as view
from benchtui.ui.view.keys import FIELD
from benchtui.ui.walks import subject_of
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.work import Reply

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual import events
    from textual.binding import BindingType

    from benchtui.faults.run import HuntRun
    from benchtui.jobs.plan import Caution
    from benchtui.ui.view.text import Line


BELOW: Final = 3
"""Lines under the middle of the page while cautions are read: the edge and the ways out."""


class HuntScreen(CautiousScreen[str]):
    """One hunt. Leaves with how it was closed, or an empty text when it was put aside."""

    SIDE = True
    HELP = (
        "The move that is expected to bring a working input soonest stands at the top, with its reason. Do it and "
        "answer with a number, or type the reading with m. An answer can be taken back with u. "
        "The way out at the bottom is the work-around that always remains."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("m", "measure", "type the reading"),
        Binding("space,right,pagedown", "go_on", "done", key_display="Space, → or PgDn"),
        CautiousScreen.ACKNOWLEDGE,
        Binding("u", "undo", "take the last answer back"),
        Binding("o", "procedure", "go through the repair step by step"),
        Binding("r", "runner_up", "make the runner-up the move"),
        Binding("w", "way_out", "take the way out: the work-around"),
        Binding("l", "moves", "the list of all moves; pick one"),
        Binding("s", "pattern", "say what many controls show"),
        Binding("y", "tried", "that was tried already, before this hunt"),
        Binding("x", "not_possible", "this cannot be done here"),
        Binding("b", "power", "no power here; the next time, power again"),
        Binding("t", "curtain", "set or move the curtain time"),
        Binding("n", "note", "keep a note"),
        Binding("v", "working", "how the healthy readings come about"),
        Binding("p", "picture", "the panel: front, rear, away"),
        Binding("d", "beside", "the design: wiring lists, pins, test points, bill, checks"),
        Binding("e", "learnt", "what was learnt from repairs; forget it"),
        Binding("c", "close", "close this hunt"),
        Binding("down", "scroll(6)", "further down"),
        Binding("up", "scroll(-6)", "further up"),
        Binding("q,escape", "leave", "put it aside", key_display="q or Esc"),
        *CautiousScreen.COMMON,
    ]

    def __init__(self, run: HuntRun) -> None:
        super().__init__()
        self.run = run
        self.hunting = Hunting(run)
        self.side_shown = ""
        """Which side of the panel was asked for: front or rear; empty for what suits the move, where there is room."""
        self.working = False
        self.top = 0
        self._most = 0
        self._step = 1
        self._page: tuple[Caution, ...] = ()
        """Cautions to be acknowledged that stand on the page in sight, each one whole; one key acknowledges them."""
        self._read: set[str] = set()
        """Digests of the cautions acknowledged in this sitting."""

    # -- what stands on the screen ---------------------------------------------------------------------------------

    def head(self, width: int) -> list[Line]:
        design = self.run.state.design
        return view.hunt_head(
            self.run.state,
            width,
            self.shapes,
            design=design.title if design else self.run.state.started.design,
            unit=self.run.unit,
            elapsed=self.run.elapsed,
        )

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Cautions of the move in sight, gravest first."""
        return cautions_of(self.hunting)

    @property
    def unread(self) -> tuple[Caution, ...]:
        """Those that have to be acknowledged before the move opens."""
        return tuple(each for each in self.cautions if each.person and each.digest not in self._read)

    def body(self, width: int, height: int) -> list[Line]:
        self._page = view.on_page(self.unread, width, height - BELOW, self.shapes)
        sight = replace(
            sight_of(self.hunting),
            unread=self.unread,
            page=self._page,
            armed=self.gate.open(),
            working=self.working,
            below=tuple(self._picture(width, max(height - 9, 8))) if self.size.width < WIDE else (),
            top=self.top,
        )
        lines, self._most = view.hunt_page(self.hunting.in_sight, sight, width=width, height=height, shapes=self.shapes)
        self._step = max(view.middle_of(lines) - 1, 1)
        return lines

    def side(self, width: int, height: int) -> list[Line]:
        shown = self.side_shown or self._sides()[0]
        picture = self.host.panel_of(
            self.run.state.design, width=width, height=16, rear=shown == "rear", mark=self._subject
        )
        return [*picture, *view.trail(self.run.state, width)][:height]

    @property
    def _subject(self) -> str:
        """Id of the control that the move in sight is made on."""
        return subject_of(self.run, self.hunting.proposal.move)

    def _sides(self) -> tuple[str, str]:
        """The side on which the move in sight is made, and the other one: the rear where the lid has to be open."""
        inside = bool(getattr(self.hunting.proposal.move, "access", ""))
        return ("rear", "front") if inside else ("front", "rear")

    def _picture(self, width: int, height: int) -> list[Line]:
        if not self.side_shown:
            return []
        return self.host.panel_of(
            self.run.state.design,
            width=width,
            height=height,
            rear=self.side_shown == "rear",
            mark=self._subject,
        )

    def keys(self) -> Sequence[Key]:
        last = Key("?", "keys", "app.help")
        if self.typing:
            return FIELD
        if not self.hunting.settled:
            return (Key("u", "undo", "undo"), Key("l", "all moves", "moves"), last)
        if self.unread:
            read = (Key("a", "I have read this", "acknowledge"),) if self.gate.open() else ()
            return (*read, Key("r", "another move", "runner_up"), last)
        count = len(self.hunting.proposal.outcomes)
        if self.hunting.proposal.kind in ("close", "closed"):
            phase = self.run.state.phase
            early = self.hunting.proposal.kind == "close" and phase not in ("close", "closed")
            power = (Key("b", "there is power", "power"),) if self.run.state.no_power else ()
            every = (Key("l", "all moves", "moves"),) if phase == "look" else ()
            aside = (*power, Key("q", "put it aside", "leave"), *every) if early else ()
            if early and power:  # five keys with their words are as many as fit a narrow screen
                return (*aside, Key("space", "close it", "go_on"), last)
            return (*aside, Key("space", "write it down", "go_on"), Key("u", "undo", "undo"), last)
        first: tuple[Key, ...] = (Key(f"1-{count}", "answer"),) if count > 1 else (Key("space", "done", "go_on"),)
        if self.hunting.proposal.procedure:
            first = (*first, Key("o", "step by step", "procedure"))
        if self.hunting.proposal.expected and len(self.hunting.typed) < len(self.hunting.proposal.expected):
            first = (Key("m", "type the reading", "measure"), *first)
        if self.hunting.proposal.kind == "try again" and self.hunting.proposal.tries > 1:
            first = (Key("m", "clean tries", "measure"), *first)
        if self.hunting.line_to_say:
            first = (*first, Key("s", "say it as a line", "pattern"))
        return (*first, Key("u", "undo", "undo"), Key("l", "all moves", "moves"), last)

    # -- keys ------------------------------------------------------------------------------------------------------

    @told
    def on_mount(self) -> None:
        self._settle(Reply())
        self.set_interval(0.03, self._think)
        self.set_interval(20.0, self.redraw)

    @property
    def caution(self) -> Caution | None:
        return next(iter(self.unread), None) if self.hunting.settled else None

    def caution_read(self, caution: Caution) -> None:
        reply = Reply()
        for each in self._page:
            reply = self.hunting.caution_read(each)
            if reply.problem:
                break
            self._read.add(each.digest)
        self._settle(reply)

    def key_typed(self, event: events.Key, *, fresh: bool) -> None:
        if event.character and event.character.isdigit():
            event.stop()
            if not fresh:
                self.too_soon(self.host.keyboard.of(event))
            elif self._open():
                self._settle(self.hunting.answer(int(event.character)))

    def _settle(self, reply: Reply) -> None:
        """After an act: show the move in sight, say the answer, ask what is asked for."""
        self.top = 0
        self.mind_caution()
        self.say(reply.text, problem=reply.problem)
        if reply.ask == "close":
            self.action_close()
        elif reply.ask == "reading":
            self.action_measure()

    def _think(self) -> None:
        if self.prompt.asking or not self.is_current:
            return
        if self.hunting.think():
            self.mind_caution()
            self.redraw()  # what was said and how far was scrolled stay as they are

    def _open(self) -> bool:
        """Whether the move may be begun: it is shown, and every caution of it was read."""
        if not self.hunting.settled:
            self.say(WORKING_OUT)
            return False
        if self.unread:
            self.say("read the caution first; a says that you have", problem=True)
        return not self.unread

    def action_go_on(self) -> None:
        if not self.prompt.asking and self._open():
            self._settle(self.hunting.go_on())

    def action_measure(self) -> None:
        points, typed = self.hunting.proposal.expected, self.hunting.typed
        if self.hunting.proposal.kind == "try again":
            self._ask("Clean tries made since the repair", self.hunting.clean_tries)
        elif not points:
            self.say(nothing_to_measure(self.hunting.line_to_say), problem=True)
        elif self._open() and len(typed) < len(points):
            which = f" ({len(typed) + 1} of {len(points)})" if len(points) > 1 else ""
            point = points[len(typed)]
            self._ask(f"{spot(point.where)}{which}, healthy {point.text}", self._take_reading, unit=unit_of(point))
        elif len(typed) >= len(points):
            self.say("all of them are typed; answer with a number, or take the last answer back with u")

    def _take_reading(self, typed: str) -> Reply:
        reply = self.hunting.reading(typed, sure=self.deliberate)
        if reply.ask == "again":
            self.gate.show()
        return reply

    def action_undo(self) -> None:
        self._settle(self.hunting.undo())

    def action_runner_up(self) -> None:
        if not self.hunting.settled:
            self.say(WORKING_OUT)
            return
        self._settle(self.hunting.runner_up())

    def action_way_out(self) -> None:
        self._settle(self.hunting.way_out())

    def action_moves(self) -> None:
        every = moves.all_moves(self.run.state, ranking=self.hunting.ranking, elapsed=self.run.elapsed)
        rows = view.move_rows(every)

        def taken(id: str | None) -> None:
            if id:
                self._settle(self.hunting.pick(id))

        self.app.push_screen(PickScreen("Every move", f"Which one will you make? {view.ORDER}", rows), taken)

    def action_tried(self) -> None:
        self.host.go(flows.already_tried(self.host, self.run, self._afresh))

    def action_pattern(self) -> None:
        self._ask(f"Say it, such as: {self.hunting.line_to_say or 'F1 to F4 read 0,0,2,2'}", self.hunting.pattern)

    def action_procedure(self) -> None:
        procedure = self.hunting.proposal.procedure
        if not procedure:
            self.say("there is no procedure for this", problem=True)
        elif self._open():
            self.host.go(self._repair(procedure))

    async def _repair(self, procedure: str) -> None:
        """Go through a repair as a job of its own; when that is closed, the repair is done."""
        state = self.run.state
        done = await flows.walk_repair(self.host, self.run, procedure, self._subject)
        if done and state.phase == "look":
            self._settle(self.hunting.answer(1))

    def action_not_possible(self) -> None:
        if self.hunting.move and self.hunting.settled:
            self._ask("It cannot be done here, because", self.hunting.not_possible)

    def action_power(self) -> None:
        self._settle(self.hunting.power(there=self.run.state.no_power))

    def action_curtain(self) -> None:
        self._ask("Minutes from now to curtain (nothing: no hurry)", self.hunting.curtain)

    def action_note(self) -> None:
        self._ask("Note", self.hunting.note)

    def action_learnt(self) -> None:
        async def ask() -> None:
            self.say(await flows.what_was_learnt(self.host, self.run))

        self.host.go(ask())

    def _ask(self, label: str, act: Callable[[str], Reply], *, unit: str = "") -> None:
        def answer(typed: str) -> str:
            reply = act(typed)
            if reply.problem:
                return reply.text
            self.prompt.close()
            self._settle(reply)
            return ""

        self.ask(Question(f"{label}:", answer, unit=unit))

    def action_working(self) -> None:
        self.working = not self.working
        self.redraw()

    def action_beside(self) -> None:
        self.host.go(beside(self.host, self.run.state.design, self.run.state.target.control))

    def action_picture(self) -> None:
        suited, other = self._sides()
        if self.size.width >= WIDE:  # one of them always stands beside the move
            self.side_shown = other if (self.side_shown or suited) == suited else suited
        else:
            self.side_shown = {"": suited, suited: other}.get(self.side_shown, "")
        self.redraw()

    def action_scroll(self, by: int) -> None:
        by = max(min(by, self._step), -self._step)  # no line is passed over
        self.top = min(max(self.top + by, 0), self._most)
        self.say("")  # what was said before is about what stood there then

    def action_close(self) -> None:
        self.host.go(flows.close_hunt(self.host, self.run, self.dismiss, self._afresh))

    def _afresh(self, said: str = "") -> None:
        self.hunting.afresh()
        self._settle(Reply(said))

    def action_leave(self) -> None:
        self.dismiss("")
