"""Where things lie: the shipped content and the user's own folder. No other module knows either layout."""

from __future__ import annotations

import os
import sys
from pathlib import Path

_PACKAGE = Path(__file__).parent


def shipped(name: str) -> Path:
    """Folder of shipped content, `name` being "procedures" or "checklists".

    In a wheel the folders lie inside the package as `_data`; in a checkout or an editable install they are its
    neighbours.
    """
    inside = _PACKAGE / "_data" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def content_roots() -> tuple[Path, ...]:
    """Folders searched for content: shipped procedures and checklists, then the user's own."""
    roots = [shipped("procedures"), shipped("checklists"), user_folder() / "procedures", user_folder() / "checklists"]
    return tuple(root for root in roots if root.is_dir())


def user_folder() -> Path:
    """The user's own folder, which holds the record and their own designs; it need not exist yet.

    `BENCHTUI_HOME` overrides the platform's usual place.
    """
    chosen = os.environ.get("BENCHTUI_HOME")
    if chosen:
        return Path(chosen).expanduser()
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
        return Path(base) / "benchtui"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "benchtui"
    base = Path(os.environ.get("XDG_DATA_HOME", ""))
    # A relative place is to be ignored (XDG Base Directory 0.8): it would be another one in each folder.
    return (base if base.is_absolute() else Path.home() / ".local" / "share") / "benchtui"


def record_file() -> Path:
    """The record's file: events of every unit and job."""
    return user_folder() / "record.sqlite"


def practice_file() -> Path:
    """The record of practice runs, apart from the real one."""
    return user_folder() / "practice.sqlite"


def is_practice(record: Path) -> bool:
    """Whether a record holds practice only: its file is called practice, wherever it lies."""
    return record.stem == "practice"
