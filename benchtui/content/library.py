"""The index of all content: a quick look at the head of each file, and the whole file only when it is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeVar

from benchtui import paths
from benchtui.content.cautions import Caution, CautionFile, load_cautions
from benchtui.content.checklist import Checklist, load_checklist
from benchtui.content.nodes import head_lines
from benchtui.content.procedure import Procedure, load_procedure
from benchtui.errors import ContentError, UsageError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

Kind = Literal["design", "procedure", "checklist", "cautions", "fault-model"]
KINDS: Final[tuple[Kind, ...]] = ("design", "procedure", "checklist", "cautions", "fault-model")
"""What a content file can be; its first key says which."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Entry:
    """One file of the library, as its head tells."""

    kind: Kind
    id: str
    title: str
    design: str
    """Id of the design it is for, `any`, or empty."""
    procedure_kind: str
    """assembly, rework or service for a procedure; the style of a checklist."""
    path: Path


class Library:
    """All content under some folders.

    Files are found and their heads read once; a file is parsed when it is asked for, and again when it has changed.
    """

    def __init__(self, roots: Iterable[Path]) -> None:
        self.roots = tuple(roots)
        self._entries: tuple[Entry, ...] = ()
        self.look_again()
        self._parsed: dict[Path, tuple[tuple[int, int], object]] = {}

    def look_again(self) -> None:
        """Find the files anew: one may have been added, renamed or taken away since."""
        found = [(path, entry_of(path)) for root in self.roots for path in sorted(root.rglob("*.yaml"))]
        self._entries = tuple(entry for _, entry in found if entry is not None)
        self.strays = tuple(path for path, entry in found if entry is None)
        """Files whose first key is none of ours: nothing of them is used."""

    @classmethod
    def open(cls, roots: Iterable[Path] | None = None) -> Library:
        """The library of the given folders; of the shipped ones and the user's own by default."""
        return cls(paths.content_roots() if roots is None else roots)

    def entries(self, kind: Kind | None = None) -> tuple[Entry, ...]:
        """The entries of one kind, or all. Of two with the same id the later one counts: a user's own file wins."""
        chosen = {(entry.kind, entry.id): entry for entry in self._entries if kind in (None, entry.kind)}
        return tuple(chosen.values())

    def path_of(self, kind: Kind, id: str) -> Path:
        """The file of an entry.

        Raises:
            UsageError: There is no such entry.
        """
        return self._entry(kind, id).path

    def procedure(self, id: str) -> Procedure:
        """A procedure, parsed.

        Raises:
            UsageError: There is none of that id.
            ContentError: Its file has problems.
        """
        return self._load(self.path_of("procedure", id), load_procedure)

    def checklist(self, id: str) -> Checklist:
        """A checklist, parsed. Raises as `procedure` does."""
        return self._load(self.path_of("checklist", id), load_checklist)

    def cautions(self) -> Mapping[str, Caution]:
        """Every caution by id. Raises ContentError when a file of them has problems."""
        return {caution.id: caution for file in self._caution_files() for caution in file.cautions}

    def emergency(self) -> tuple[str, ...]:
        """What to do if it smokes, smells or shocks, one line an act."""
        return tuple(line for file in self._caution_files() for line in file.emergency)

    def unreadable(self, folder: Path) -> tuple[Path, ...]:
        """The files under a folder that are not used as they stand: strays, and texts to be worked by with mistakes."""
        found = [path for path in self.strays if path.is_relative_to(folder)]
        for entry in self._entries:
            load = {"procedure": load_procedure, "checklist": load_checklist}.get(entry.kind)
            if load is not None and entry.path.is_relative_to(folder):
                try:
                    self._load(entry.path, load)
                except ContentError:
                    found.append(entry.path)
        return tuple(found)

    def _caution_files(self) -> list[CautionFile]:
        return [self._load(entry.path, load_cautions) for entry in self.entries("cautions")]

    def _entry(self, kind: Kind, id: str) -> Entry:
        entries = {entry.id: entry for entry in self.entries(kind)}
        if id not in entries:
            known = f"known are {', '.join(entries)}" if entries else "there is none at all: put its file back"
            hint = did_you_mean(id, entries, otherwise=known)
            raise UsageError(f"there is no {kind} {id!r}", hint=hint)
        return entries[id]

    def _load(self, path: Path, load: Callable[[Path], T]) -> T:
        status = path.stat()
        stamp = (status.st_mtime_ns, status.st_size)
        known = self._parsed.get(path)
        if known is None or known[0] != stamp:
            known = (stamp, load(path))
            self._parsed[path] = known
        return known[1]  # type: ignore[return-value]  # one path is always loaded by the same function


def entry_of(path: Path) -> Entry | None:
    """The entry of a file by its head; None when its first key is none of ours."""
    values: dict[str, str] = {}
    for line in head_lines(path):
        key, _, value = line.partition(":")
        values.setdefault(key, value.partition(" #")[0].strip().strip("'\""))
    first = next(iter(values), "")
    if first not in KINDS:
        return None
    kind: Kind = next(kind for kind in KINDS if kind == first)
    id = values[first] or path.stem
    return Entry(
        kind=kind,
        id=id,
        title=values.get("title", id),
        design=id if kind == "design" else values.get("design", ""),
        procedure_kind=values.get("kind", values.get("style", "")) if kind != "design" else "",
        path=path,
    )
