"""Which unit: one that is known, or a new one by its serial number."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from benchtui.errors import BenchError
from benchtui.record.of_design import other_words, others, unlikely
from benchtui.ui.screens.base import BenchScreen, Key
from benchtui.ui.trouble import told
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.units import serial_typed, unit_rows
from benchtui.ui.widgets.prompt import Question
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType

    from benchtui.ui.view.text import Line


class UnitScreen(BenchScreen[str]):
    """Leaves with the serial number; empty for work on no unit in particular, None when nothing was chosen."""

    HELP = (
        "The unit that is on the bench. A new one gets its serial number here, with a last letter that tells a "
        "misreading. It stands on every screen of the job, so that look-alike units are not mixed up."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "a new unit"),
        Binding("q,escape", "leave", "back", key_display="q or Esc"),
        *BenchScreen.COMMON,
    ]

    def __init__(self, title: str, design: str, *, known_first: bool = False, known_only: bool = False) -> None:
        super().__init__()
        self.known_first = known_first or known_only
        self.known_only = known_only
        """A unit that is not in the record cannot be named: a slip of the fingers would make one."""
        self._next = ""
        """The serial number that the next new unit gets."""
        self._others: Mapping[str, str] = {}
        """Units of another design, with its id: none of them can be meant."""
        self._unlikely: Mapping[str, str] = {}
        """Units that only hunts on another design are known of, with its id: asked about before one is taken."""
        self._doubted = ""
        """What was typed and names no unit yet."""
        self.about = title
        self.design = design

    def compose_body(self) -> ComposeResult:
        yield Rows(id="rows", shapes=self.host.shapes)

    def head(self, width: int) -> list[Line]:
        return plain_head(self.about, width, under="On which unit?")

    def keys(self) -> Sequence[Key]:
        if self.typing:
            return (Key("enter", "take it"), Key("esc", "leave the field"))
        return (
            Key("enter", "choose"),
            Key("n", "type its number" if self.known_only else "new unit", "new"),
            Key("q", "back", "leave"),
            Key("?", "keys", "app.help"),
        )

    @told
    def on_mount(self) -> None:
        named = self.design not in ("", "any")
        self._next = self.host.units.next_serial(self.design) if named else ""
        self._others = others(self.host.store, self.design) if named else {}
        self._unlikely = unlikely(self.host.store, self.design) if named else {}
        hidden = {*self._others, *self._unlikely}
        rows = unit_rows(
            [unit for unit in self.host.store.units() if unit.unit not in hidden],
            now=self.host.bench.clock(),
            next_serial=self._next,
            known_first=self.known_first,
            known_only=self.known_only,
        )
        self.query_one(Rows).fill(rows, wanted="")
        self.query_one(Rows).focus()
        self.redraw()

    @on(Rows.Chosen)
    def _chosen(self, event: Rows.Chosen) -> None:
        what, _, serial = event.row.id.partition(":")
        if what in ("unit", "next"):
            self.dismiss(serial)
        elif what == "none":
            self.dismiss("")
        else:
            self.action_new()

    def action_new(self) -> None:
        self.ask(Question("Serial number, as marked on the unit:", self._named))

    def _named(self, typed: str) -> str:
        if not typed.strip():
            return "type the serial number that is marked on the unit"
        known = [unit.unit for unit in self.host.store.units()]
        try:
            serial = serial_typed(typed, known)
        except BenchError as error:
            return str(error)
        if serial in self._others:
            return (
                f"{other_words(serial, self._others[serial])}: read the number again, or go back and choose its design"
            )
        again = self._doubted == serial and self.host.keyboard.last.marks
        if serial in self._unlikely and not again:
            self._doubted = serial
            return f"faults of {self._unlikely[serial]} were looked for on {serial}: Enter again takes it all the same"
        if serial not in known:
            if self.known_only:
                return f"there is no unit {serial} in this record: read the number again, or begin work on it first"
            if serial != self._next and not again:
                self._doubted = serial
                return f"there is no unit {serial} in this record: Enter again makes a new one of it"
        self.dismiss(serial)
        return ""

    def action_leave(self) -> None:
        self.dismiss(None)
