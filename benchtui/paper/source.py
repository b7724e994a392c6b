"""Where the pages come from: plans of a library's procedures and checklists, laid out over one design."""

from __future__ import annotations

import hashlib
from functools import cached_property
from typing import TYPE_CHECKING, Final

from benchtui.design import load_design
from benchtui.errors import DesignError, UsageError
from benchtui.jobs.expand import expand, expand_checklist

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from benchtui.content.checklist import Checklist
    from benchtui.content.library import Entry, Kind, Library
    from benchtui.content.procedure import Procedure
    from benchtui.design import Design
    from benchtui.jobs.plan import Plan

ANY: Final = "any"
_CHOSEN: Final = "the "


class Source:
    """Plans for print.

    Args:
        library: All content.
        design: Id or title of the design; the only one of the library when empty.
        optional: Whether there need be no design: a checklist for any design has nothing to ask of one.
        subject: Control that "the control" in a procedure stands for; the first that fits when empty.

    Raises:
        UsageError: There is no such design, or several and none was chosen.
        ContentError: The design's file has problems.
    """

    def __init__(self, library: Library, *, design: str = "", subject: str = "", optional: bool = False) -> None:
        self.library = library
        self.subject = subject
        self._plans: dict[str, Plan] = {}
        entries = library.entries("design")
        ids = [entry.id for entry in entries]
        titled = {" ".join(entry.title.casefold().split()): entry.id for entry in entries}
        design = titled.get(" ".join(design.casefold().split()), design)
        if not design and len(ids) == 1:
            design = ids[0]
        if not design and not optional:
            raise UsageError("which design?", hint=f"add --design and one of: {', '.join(ids) or 'none is there'}")
        self.chosen: Design | None = load_design(library.path_of("design", design)) if design else None
        """The design; None where none was chosen and none is needed."""

    @property
    def design(self) -> Design:
        """The design. Raises UsageError when none was chosen."""
        if self.chosen is None:
            raise UsageError("which design?", hint="add --design and its id")
        return self.chosen

    @cached_property
    def titles(self) -> Mapping[str, str]:
        """Title of every procedure by id."""
        return {entry.id: entry.title for entry in self.library.entries("procedure")}

    def ids(self, kind: Kind, procedure_kind: str = "") -> tuple[str, ...]:
        """Ids of the procedures or checklists for this design, those for it alone before those for any.

        One that is about a kind of control which the design does not have is left out.
        """

        def fits(entry: Entry) -> bool:
            return entry.design in (ANY, self.design.id) and procedure_kind in ("", entry.procedure_kind)

        found = [entry for entry in self.library.entries(kind) if fits(entry) and self._serves(entry)]
        return tuple(entry.id for entry in sorted(found, key=lambda entry: entry.design == ANY))

    def procedure(self, id: str) -> Plan:
        """The plan of a procedure.

        Raises:
            UsageError: There is none of that id, or it is not for this design.
            ContentError: Its file has problems.
        """
        if id not in self._plans:
            # Working out the limits of some hundred readings takes a second, and a manual needs most plans twice.
            procedure = self.library.procedure(id)
            self._same_design(procedure)
            subject = self._subject((step.for_ for step in procedure.steps), procedure.about)
            digest = self._digest("procedure", id)
            cautions = self.library.cautions()
            self._plans[id] = expand(procedure, self.chosen, cautions, digest=digest, subject=subject)
        return self._plans[id]

    def checklist(self, id: str) -> Plan:
        """The plan of a checklist. Raises as `procedure` does."""
        checklist = self.library.checklist(id)
        self._same_design(checklist)
        subject = self._subject(item.for_ for item in checklist.items)
        digest = self._digest("checklist", id)
        return expand_checklist(checklist, self.chosen, self.library.cautions(), digest=digest, subject=subject)

    def with_called(self, ids: Iterable[str]) -> Iterator[Plan]:
        """Plans of procedures and of all that they call, each once: a caller, then what it calls as the work goes."""
        waiting = list(ids)
        seen: set[str] = set()
        while waiting:
            id = waiting.pop(0)
            if id in seen:
                continue
            seen.add(id)
            plan = self.procedure(id)
            yield plan
            waiting[:0] = [step.call for step in plan.steps if step.call and self.serves(step.call)]

    def serves(self, id: str) -> bool:
        """Whether a procedure has anything to do on this design."""
        return self._serves(self._entry(id))

    def _serves(self, entry: Entry) -> bool:
        if entry.kind == "checklist":
            kinds = _kinds(item.for_ for item in self.library.checklist(entry.id).items)
        else:
            procedure = self.library.procedure(entry.id)
            kinds = list(procedure.about) or _kinds(step.for_ for step in procedure.steps)
        return not kinds or any(map(self._ids_of, kinds))

    def _same_design(self, content: Procedure | Checklist) -> None:
        if content.design != ANY and content.design != self.design.id:
            raise UsageError(
                f"{content.id} is for the design {content.design!r}, not for {self.design.id!r}",
                hint=f"add --design {content.design}",
            )

    def _subject(self, rules: Iterable[str], about: Sequence[str] = ()) -> str:
        """The control that rules such as "the fader" stand for, one of the kinds `about` where some are named; empty
        when there is no such rule."""
        kinds = _kinds(rules)
        if not kinds or self.subject:
            return self.subject if kinds else ""
        # The control that the most steps are about shows the reader the most.
        wanted = [id for kind in kinds for id in self._ids_of(kind)]
        if about:
            able = [id for kind in about for id in self._ids_of(kind)]
            wanted = [id for id in wanted if id in able] or able
        if not wanted:
            named = " or ".join(dict.fromkeys(about or kinds))
            raise UsageError(f"this is about one {named}, and {self.design.title} has none")
        return max(wanted, key=wanted.count)

    def _ids_of(self, kind: str) -> tuple[str, ...]:
        try:
            return tuple(subject.id for subject in self.design.subjects(f"each {kind}"))
        except DesignError:
            return ()

    def _entry(self, id: str) -> Entry:
        self.library.path_of("procedure", id)  # an unknown id is answered with the nearest one
        return next(entry for entry in self.library.entries("procedure") if entry.id == id)

    def _digest(self, kind: Kind, id: str) -> str:
        return hashlib.sha256(self.library.path_of(kind, id).read_bytes()).hexdigest()


def _kinds(rules: Iterable[str]) -> list[str]:
    """Kinds of control that rules for one chosen control ask for: "fader" of "the fader"."""
    return [rule.removeprefix(_CHOSEN) for rule in rules if rule.startswith(_CHOSEN)]
