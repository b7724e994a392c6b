"""Every mistake in content files: each file by itself, then what the files say of each other.

The first key of a file tells what it is, and its reader finds what is wrong inside it. What one file cannot know is
looked at here: calls to procedures, hazards against the cautions, and whether a procedure can really be laid out over
its design, which is tried step by step with the code that a job uses.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import yaml

from benchtui import paths
from benchtui.content.hazards import checklist_hazards, procedure_hazards
from benchtui.content.library import KINDS, Kind, Library
from benchtui.content.nodes import compose, place_of
from benchtui.content.rules import call_problems
from benchtui.errors import AbsentError, BenchError, DesignError, Place, Problem, UsageError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from benchtui.content.cautions import Caution
    from benchtui.content.checklist import Checklist
    from benchtui.content.procedure import Procedure
    from benchtui.design.checks.finding import Finding
    from benchtui.design.model import Design

ANY: Final = "any"
"""Stands for the design in a procedure, checklist or fault model that serves every design."""


def check_paths(given: Sequence[Path] = ()) -> list[Problem]:
    """Check files and folders.

    Args:
        given: Files, and folders with files; the shipped content and the user's own when empty.

    Returns:
        Every problem, in order of place. None means that the content is good.

    Raises:
        UsageError: One of the paths does not exist.
    """
    return Check(given).problems()


@dataclass(frozen=True, slots=True)
class _File:
    """One content file as its reader understood it."""

    path: Path
    name: str
    kind: Kind | None
    value: Any
    """The object; None when its shape is wrong."""
    problems: tuple[Problem, ...]

    @property
    def id(self) -> str:
        """The id of what the file holds; empty when its shape is wrong."""
        return str(getattr(self.value, "id", ""))


class Check:
    """One look at some files, with all the other content as their neighbours.

    Args:
        given: As for `check_paths`.
        library: All the content there is; the shipped content and the user's own when None.
        only: Id of the one design that procedures for any design are laid out over; every one when empty.
    """

    def __init__(self, given: Sequence[Path] = (), *, library: Library | None = None, only: str = "") -> None:
        self.library = library or Library.open()
        self.only = only
        self.files = tuple(map(_read, _find(given or paths.content_roots(), self.library)))
        """The files under check."""
        self._judged: dict[str, bool] = {}
        self._put_off: set[str] = set()
        """Designs that lack what a step measures, and that have a problem of their own: that one is told, for most
        often the other follows from it."""

    def problems(self) -> list[Problem]:
        """Every problem of the files under check, in order of place; then what cannot be done on a design.

        The second kind follows from the design, so what is wrong with the design itself stands before it.
        """
        designs = [file for file in self.files if file.kind == "design" and file.value is not None]
        return self.own_problems() + sorted({problem for file in designs for problem in self._serves(file)})

    def own_problems(self) -> list[Problem]:
        """Every problem of the files under check, without what other procedures cannot do on their designs."""
        found = [problem for file in self.files for problem in file.problems]
        found += self._doubled()
        for file in self.files:
            if file.value is not None:
                found += self._among_neighbours(file)
        return sorted(set(found))

    def advice(self) -> list[tuple[str, Problem]]:
        """Warnings and notes on the designs under check, as (level, what); none of them makes a design wrong."""
        found = [
            (finding.level, _problem(finding))
            for file in self.files
            if file.kind == "design" and file.value is not None
            for finding in self._findings(file, "warning", "note")
        ]
        return sorted(found, key=lambda each: (each[0] == "note", each[1]))

    def _findings(self, file: _File, *levels: str) -> Iterator[Finding]:
        from benchtui.design.checks import findings

        return (finding for finding in findings(file.value) if finding.level in levels)

    def _among_neighbours(self, file: _File) -> Iterator[Problem]:
        """What is wrong between a file and the others."""
        if file.kind == "procedure":
            from benchtui.design.safety import reading_hazards

            yield from call_problems(file.value, self._procedures, known=self._ids("procedure"))
            yield from procedure_hazards(file.value, self._cautions)
            yield from reading_hazards(file.value)
            yield from self._laid_out(file)
        elif file.kind == "checklist":
            yield from checklist_hazards(file.value, self._cautions)
            yield from self._laid_out(file)
        elif file.kind == "fault-model":
            from benchtui.faults import reading

            yield from reading.problems_with_cautions(file.value, self._cautions)
            yield from reading.problems_with_procedures(file.value, self._ids("procedure"))
        elif file.kind == "design":
            yield from (_problem(finding) for finding in self._findings(file, "problem"))

    # -- neighbours ------------------------------------------------------------------------------------------------

    @cached_property
    def _all(self) -> Mapping[Kind, Mapping[str, _File]]:
        """Every file by kind and id, those under check in the place of any other of their id."""
        found: dict[Kind, dict[str, _File]] = {kind: {} for kind in KINDS}
        checked = {file.path.resolve(): file for file in self.files}
        for entry in self.library.entries():
            path = entry.path.resolve()
            found[entry.kind][entry.id] = checked[path] if path in checked else _read(entry.path)
        for file in self.files:
            if file.kind is not None and file.id:
                found[file.kind][file.id] = file
        return found

    def _ids(self, kind: Kind) -> list[str]:
        return list(self._all[kind])

    @cached_property
    def _procedures(self) -> Mapping[str, Procedure]:
        return {id: file.value for id, file in self._all["procedure"].items() if file.value is not None}

    @property
    def unread_designs(self) -> bool:
        """Whether a design could not be judged as a whole: it could not be read, or lacks what a step measures."""
        return bool(self._put_off) or any(file.problems for file in self.files if file.kind == "design")

    def _wrong(self, design: Design) -> bool:
        """Whether something is wrong with a design itself."""
        if design.id not in self._judged:
            from benchtui.design.checks import problems

            self._judged[design.id] = bool(problems(design))
        return self._judged[design.id]

    @cached_property
    def _designs(self) -> Mapping[str, Design]:
        return {id: file.value for id, file in self._all["design"].items() if file.value is not None}

    @cached_property
    def _cautions(self) -> Mapping[str, Caution]:
        files = [file.value for file in self._all["cautions"].values() if file.value is not None]
        return {caution.id: caution for file in files for caution in file.cautions}

    def _doubled(self) -> Iterator[Problem]:
        """Two files in one folder of content that claim the same id."""
        seen: dict[tuple[object, ...], _File] = {}
        for file in self.files:
            if not file.id:
                continue
            root = next((root for root in self.library.roots if file.path.is_relative_to(root)), None)
            first = seen.setdefault((root, file.kind, file.id), file)
            if first is not file:
                yield Problem(
                    Place(file.name, 1, 1), f"the {file.kind} {file.id!r} is in {first.name} too", "rename one"
                )

    # -- over a design ---------------------------------------------------------------------------------------------

    def _laid_out(self, file: _File) -> Iterator[Problem]:
        """What goes wrong when a procedure or checklist is laid out over its design, or over every one of them."""
        content: Procedure | Checklist = file.value
        if content.design == ANY:
            for id, design in self._designs.items():
                if self.only not in ("", id):
                    continue
                for problem in self._over(file, design):
                    yield replace(problem, message=f"{problem.message} (over the design {id!r})")
        elif content.design in self._designs:
            yield from self._over(file, self._designs[content.design])
        elif content.design not in self._ids("design"):
            known = ", ".join(self._ids("design")) or "none"
            yield Problem(content.place, f"there is no design {content.design!r}", f"write any, or one of: {known}")

    def _serves(self, file: _File) -> Iterator[Problem]:
        """Procedures that cannot be laid out over this design, told at the design."""
        checked = {checked.id for checked in self.files if checked.kind == "procedure"}
        for procedure in self._all["procedure"].values():
            if procedure.value is None or procedure.id in checked or procedure.value.design not in (ANY, file.id):
                continue
            for problem in self._over(procedure, file.value):
                hint = problem.hint or f"give the design what is missing, or write your own {procedure.id}"
                yield Problem(Place(file.name, 1, 1), f"{procedure.id} cannot be done: {problem.message}", hint)

    def _over(self, file: _File, design: Design) -> Iterator[Problem]:
        """Each step laid out by itself, so that one mistake does not hide the next.

        A step that is wrong by itself is left out: what would come of it says nothing new.
        """
        content: Procedure | Checklist = file.value
        for place, name, rule, lay_out in _parts(content, design, self._cautions):
            if any(problem.message.startswith(f"{name}:") for problem in file.problems):
                continue
            subject = ""
            try:
                if rule.startswith("the "):
                    chosen = _chosen(design, rule.removeprefix("the "), getattr(content, "about", ()))
                    if not chosen:
                        continue
                    subject = chosen[0]
                elif rule and content.design != ANY and not design.subjects(rule):
                    yield Problem(
                        place,
                        f"{name}: this is never reached, for the design has nothing for {rule!r}",
                        "take it out, or correct `for:`",
                    )
                    continue
                lay_out(subject)
            except BenchError as error:
                if isinstance(error, AbsentError) and self._wrong(design):
                    self._put_off.add(design.id)
                else:
                    yield Problem(place, f"{name}: {error.message}", error.hint)


def _chosen(design: Design, kind: str, about: Sequence[str]) -> list[str]:
    """What "the fader" or "the bank" of a step may be: with kinds that the procedure is about, a control of those."""
    if not about:
        return _subjects(design, f"each {kind}")
    narrowed = [kind] if kind in about else about
    return [control.id for control in design.controls if control.kind in narrowed]


def _subjects(design: Design, rule: str) -> list[str]:
    try:
        return [subject.id for subject in design.subjects(rule)]
    except DesignError:
        return []  # a design without that kind of thing has no subject of it


def _parts(
    content: Procedure | Checklist, design: Design, cautions: Mapping[str, Caution]
) -> Iterator[tuple[Place, str, str, Callable[[str], object]]]:
    """(place, name, rule, a function that lays it out for a subject) of the head and of each step or item."""
    from benchtui.content.procedure import Procedure
    from benchtui.jobs.expand import expand, expand_checklist

    if isinstance(content, Procedure):
        head = replace(content, steps=())
        yield head.before.place, "before", "", lambda subject: expand(head, design, cautions, subject=subject)
        for step in content.steps:
            alone = replace(content, before=_nothing(content.before), after=(), purpose="", about=(), steps=(step,))
            yield (
                step.place,
                f"step {step.id!r}",
                step.for_,
                lambda subject, alone=alone: expand(alone, design, cautions, subject=subject),  # type: ignore[misc]
            )
    else:
        for item in content.items:
            only = replace(content, items=(item,))
            yield (
                item.place,
                f"item {item.id!r}",
                item.for_,
                lambda subject, only=only: expand_checklist(only, design, cautions, subject=subject),  # type: ignore[misc]
            )


def _nothing(before: Any) -> Any:
    return replace(before, conditions=(), tools=(), parts=(), materials=())


def _problem(finding: Finding) -> Problem:
    return Problem(finding.place, f"{finding.message} ({finding.source})", finding.hint)


# -- files ---------------------------------------------------------------------------------------------------------


def _find(given: Iterable[Path], library: Library) -> Iterator[Path]:
    """Content files under the given paths, each once."""
    seen: set[Path] = set()
    for path in given:
        for file in _under(path, library):
            if file.resolve() not in seen:
                seen.add(file.resolve())
                yield file


def _under(path: Path, library: Library) -> list[Path]:
    if path.is_dir():
        return sorted([*path.rglob("*.yaml"), *path.rglob("*.yml")])
    if path.exists():
        return [path]
    named = [entry.path for entry in library.entries() if entry.id == str(path)]
    if not named:
        known = [entry.id for entry in library.entries()]
        hint = did_you_mean(str(path), known, otherwise="give a file, a folder, or the id of one")
        raise UsageError(f"there is no file, folder or id {str(path)!r}", hint=hint)
    return named


def _read(path: Path) -> _File:
    """Read one file with the reader that its first key asks for; once, as long as its text is the same."""
    try:
        digest = sha256(path.read_bytes()).digest()
    except OSError:  # it cannot be read, and the reader says why
        digest = b""
    # Asked anew at each job that is begun, and there are some sixty files: only their texts are read again.
    return _read_text(path, _shown(path), digest)


@lru_cache(maxsize=256)
def _read_text(path: Path, name: str, _digest: bytes) -> _File:
    node, problems = compose(path, file=name)
    if path.suffix == ".yml":
        problems.append(Problem(Place(name), "content is looked for in files that end in .yaml", "rename this one"))
    if node is None:
        return _File(path, name, None, None, tuple(problems))
    kind, more = _kind_of(node, name)
    if kind is None:
        return _File(path, name, None, None, (*problems, *more))
    value, more = _reader_of(kind)(node, file=name)
    return _File(path, name, kind, value, (*problems, *more))


def _shown(path: Path) -> str:
    """The path as a person in this folder would type it."""
    absolute = path.resolve()
    here = Path.cwd()
    return str(absolute.relative_to(here)) if absolute.is_relative_to(here) else str(path)


def _kind_of(node: yaml.Node, file: str) -> tuple[Kind | None, list[Problem]]:
    hint = f"begin with one of: {', '.join(KINDS)}"
    if not isinstance(node, yaml.MappingNode) or not node.value:
        return None, [Problem(place_of(node, file), "this is not a content file: it has no keys", hint)]
    first = node.value[0][0]
    for kind in KINDS:
        if first.value == kind:
            return kind, []
    return None, [
        Problem(place_of(first, file), f"the first key tells what a file is, and {first.value!r} is none", hint)
    ]


def _reader_of(kind: Kind) -> Callable[..., tuple[Any, list[Problem]]]:
    """The reader of a kind of file, imported when the first such file comes."""
    if kind == "procedure":
        from benchtui.content.procedure import read_procedure

        return read_procedure
    if kind == "checklist":
        from benchtui.content.checklist import read_checklist

        return read_checklist
    if kind == "cautions":
        from benchtui.content.cautions import read_cautions

        return read_cautions
    if kind == "fault-model":
        from benchtui.faults.reading import read_model

        return read_model
    from benchtui.design import read_design

    return read_design
