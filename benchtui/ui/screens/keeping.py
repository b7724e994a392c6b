"""What a step keeps beside its marks, on the screen: parts, files, texts changed by hand; and its newer text."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.jobs.named import names_of
from benchtui.ui import kept
from benchtui.ui.newer import newer_text
from benchtui.ui.past import Background, around
from benchtui.ui.places import place_doubt
from benchtui.ui.screens.cautious import CautiousScreen
from benchtui.ui.view.revision import hidden_lines
from benchtui.ui.view.rows import Row
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.work import Reply, Work

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.binding import BindingType

    from benchtui.jobs.run import Run


WHERE: Final = 1
"""Number of the question for the place of a part, from 0."""


class KeepingScreen(CautiousScreen[str]):
    """Base of the screen of a step: asks in its prompt, while the step stays in sight."""

    KEEPING: ClassVar[list[BindingType]] = [
        Binding("f", "fit", "a part went in: its lot or serial number"),
        Binding("t", "attach", "keep a picture or other file with this step"),
        Binding("r", "redline", "change the text of this step by hand, with a reason"),
        Binding("c", "newer", "the procedure was edited: what changes, keep or move"),
        Binding("i", "hidden", "steps that are not for this unit, and why"),
    ]

    def __init__(self, run: Run) -> None:
        super().__init__()
        self.run = run
        self.around = around(run)
        self.work = Work(run)
        self.background = Background(run)

    def settle(self, reply: Reply) -> None:
        """After an act: show what it brought, say its answer, ask what it asks."""

    def action_fit(self) -> None:
        work = self.work
        if not work.key:
            return
        if work.step.trace and not work.known.fitted:
            self.ask_part()
            return
        # Where the step says is offered and not typed in: what is typed must not come behind it.
        here = kept.place_of(work)
        offered = f" (Enter: {here})" if here else ""
        asked = (
            ("What was fitted, such as fader", "", "say what was fitted"),
            (f"Where, such as F3 or F1 to F8{offered}", "", "" if here else "say where, such as F3"),
            ("Its lot or bag number (Enter: not known)", "", ""),
            ("Its serial number (Enter: none)", "", ""),
            ("What came out (Enter: nothing did)", "", ""),
        )
        doubted: list[str] = []

        def where(at: int, typed: str) -> str:
            """Asks about a place that nothing here is called by; the same typed again is kept."""
            if at != WHERE or not typed or typed in doubted:
                return ""
            design = None
            with suppress(BenchError):  # a design that cannot be read is no reason not to keep a part
                design = self.host.design_of(self.run.plan)
            doubt = place_doubt(design, typed, known=names_of(work.state).ids.values())
            if doubt:
                doubted.append(typed)
            return f"{doubt}. Enter again keeps it as typed" if doubt else ""

        def fit(*said: str) -> Reply:
            if not kept.how_it_goes_in(work, *said)[1]:
                return kept.fit_other(work, *said[:4])
            self.host.go(self._fit_as_asked(*said))
            return Reply()

        self.ask_each(asked, fit, check=where)

    async def _fit_as_asked(self, *said: str) -> None:
        """Ask before it is kept how a part goes in: in place of another or beside it, or what was touched."""
        question, answers = kept.how_it_goes_in(self.work, *said)
        rows = [Row(id=id, text=text, under=means) for id, (text, means) in answers.items()]
        goes = await self.host.pick(f"Part: {said[0]}", question, rows)
        if goes is None:
            self.settle(Reply("nothing was kept"))
        else:
            self.settle(kept.fit_other(self.work, *said[:4], replaces=said[4], goes=goes))

    def ask_part(self) -> None:
        """Ask for the lot or serial number that the step wants."""
        self.ask_why(kept.part_question(self.work.step), lambda typed: kept.fit(self.work, typed))

    def action_attach(self) -> None:
        self.ask_why("Path of the file", lambda typed: kept.attach(self.work, typed))

    def action_redline(self) -> None:
        if not self.work.key:
            return
        held = self.background.deviation(self.work.step)
        text = held.text if held and not self.work.known.redline else self.work.state.text(self.work.key)
        asked = (
            ("It should read", text, "type the step as it should read"),
            ("Because", held.reason if held else "", "say why the text is wrong"),
            ("For other units too, until (date or serial; nothing: this unit only)", "", ""),
        )
        self.ask_each(asked, lambda *said: kept.redline(self.work, said[0], said[1], until=said[2]))

    def action_newer(self) -> None:
        from benchtui.ui.screens.newer import NewerPage

        try:
            found = newer_text(self.run)
        except BenchError as error:
            self.say(f"the procedure as it stands now cannot be read: {error}", problem=True)
            return
        if found is None:
            self.say("this job goes by the newest text")
        else:
            self.app.push_screen(NewerPage(self.run, found), self._moved)

    def _moved(self, moved: bool | None) -> None:
        if moved:
            self.background = Background(self.run)
            self.settle(kept.after_move(self.work))

    def action_hidden(self) -> None:
        from benchtui.ui.screens.pages import TextPage

        plan = self.run.plan
        self.app.push_screen(
            TextPage("Steps that are not for this unit", lambda width: hidden_lines(plan, width, self.shapes))
        )

    # -- asking ----------------------------------------------------------------------------------------------------

    def ask_why(self, label: str, act: Callable[[str], Reply]) -> None:
        """Ask for one text and act on it; a refusal stands in the line of the screen while the field stays open."""

        def answer(typed: str) -> str:
            before = self.work.state
            reply = act(typed)
            # A reading outside its limits is a problem too, and yet it was kept: then the field has done its work.
            if reply.problem and not reply.ask and self.work.state is before:
                return reply.text
            self.prompt.close()
            self.settle(reply)
            return ""

        if self.work.key:
            self.ask(Question(f"{label}:", answer))

    def ask_each(
        self,
        asked: Sequence[tuple[str, str, str]],
        act: Callable[..., Reply],
        *,
        check: Callable[[int, str], str] | None = None,
    ) -> None:
        """Ask one thing after the other, then act on all the answers.

        Args:
            asked: Label, what stands in the field at first, and what to say when nothing was typed; empty where
                nothing is an answer too.
            act: Takes the answers in order.
            check: Takes the number of a question from 0 and its answer; says what is to be said against it.
        """
        given: list[str] = []

        def ask() -> None:
            label, value, _ = asked[len(given)]
            self.ask(Question(f"{len(given) + 1} of {len(asked)}  {label}:", answer, value=value))

        def answer(typed: str) -> str:
            needed = asked[len(given)][2]
            if needed and not typed.strip():
                return needed
            if check and (doubt := check(len(given), typed)):
                return doubt
            given.append(typed)
            if len(given) < len(asked):
                ask()
                return ""
            reply = act(*given)
            if reply.problem:
                given.pop()
                return reply.text
            self.prompt.close()
            self.settle(reply)
            return ""

        ask()
