"""`benchtui new design NAME`: a small design with a comment on every part of it, and how it is built; both valid."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui import paths
from benchtui.errors import UsageError
from benchtui.options import words_and_options

if TYPE_CHECKING:
    from collections.abc import Sequence

USAGE: Final = """\
usage: benchtui new design NAME [--folder FOLDER]

Writes NAME/design.yaml and NAME/assembly.yaml into FOLDER, or into your own procedures where none is given: a small
design and how it is built, both valid as they stand. Change them line by line, and look after each change with:
benchtui check NAME NAME-assembly"""

TEMPLATE: Final = Path(__file__).with_name("new_design.yaml")
"""The design a new one begins as; a valid file itself, so that the check of the shipped content covers it."""

ASSEMBLY: Final = Path(__file__).with_name("new_assembly.yaml")
"""The procedure that builds a new design: its own steps, and the common stages called."""

_ID: Final = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def main(argv: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    if not argv or {"--help", "-h"}.intersection(argv):
        print(USAGE)
        return 0 if argv else 2
    words, options = words_and_options(argv, command="new", known=("--folder",))
    folder = Path(options["--folder"]).expanduser() if options else None
    if words[:1] != ["design"]:
        raise UsageError(f"nothing new can be made of {' '.join(words)!r}", hint="type: benchtui new design NAME")
    if len(words) != 2:
        raise UsageError("a new design has one name", hint="join words with hyphens: benchtui new design foot-box")
    path = new_design(words[1], folder)
    names = [words[1], f"{words[1]}-assembly"] if folder is None else [str(path), str(path.with_name("assembly.yaml"))]
    print(f"{path} is written, and assembly.yaml, how it is built, beside it.")
    print("Change them, and look after each change with:")
    print(f"  benchtui check {' '.join(names)}")
    return 0


def new_design(name: str, folder: Path | None = None) -> Path:
    """Write a new design and the procedure that builds it.

    Args:
        name: Its id.
        folder: Where its own folder is made; the user's procedures when None.

    Returns:
        The design's file; assembly.yaml stands beside it.

    Raises:
        UsageError: The name cannot be an id or is taken, or the file cannot be written.
    """
    if not _ID.fullmatch(name):
        near = "-".join(re.findall(r"[a-z0-9]+", name.lower())) or "foot-box"
        raise UsageError(f"{name!r} cannot be the id of a design", hint=f"small letters, digits and hyphens: {near}")
    from benchtui.content.library import Library

    if any(entry.id == name for entry in Library.open().entries("design")):
        raise UsageError(f"there is a design {name!r} already", hint="choose another name; ids are never reused")
    path = (folder or paths.user_folder() / "procedures") / name / "design.yaml"
    title = name.replace("-", " ").capitalize()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        for template, file in ((TEMPLATE, path), (ASSEMBLY, path.with_name("assembly.yaml"))):
            text = template.read_text(encoding="utf-8").replace("my-design", name).replace("My design", title)
            with file.open("x", encoding="utf-8") as stream:
                stream.write(text)
    except FileExistsError:
        raise UsageError(f"{path} is there already", hint="choose another name or folder") from None
    except OSError as error:
        raise UsageError(f"{path} cannot be written ({error.strerror})", hint="choose another with --folder") from None
    return path
