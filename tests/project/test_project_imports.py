"""The architecture, as a test: arrows point inward, the screens alone know textual, and starting stays light."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "benchtui"

INNER = {"content", "units", "errors", "paths", "unit_states"}
MIDDLE = {"jobs", "faults", "record", "paper"}
ALLOWED = {
    "errors": set(),
    "options": {"errors"},
    "paths": set(),
    # What both the record and the jobs have to know of a unit.
    "unit_states": set(),
    "units": {"errors"},
    "content": {"units", "errors", "paths"},
    "calc": {"content", "units", "errors"},
    "design": {"content", "units", "errors", "calc"},
    # jobs and faults may reach the record only in the one file that joins them, see JOINS.
    "jobs": INNER | {"design", "calc"},
    "faults": INNER | {"design", "calc"},
    "record": INNER,
    "paper": INNER | {"design", "calc", "jobs", "record"},
    # What is wrong with a text is asked before a job moves to it.
    "check": INNER | {"design", "jobs", "faults"},
    "ui": INNER | MIDDLE | {"design", "calc", "check"},
}
"""Folder or module of the package to what it may import of the rest of the package."""

JOINS = {
    "jobs/run.py",
    "jobs/run_batch.py",
    "jobs/run_batches.py",
    "jobs/run_decisions.py",
    "jobs/run_ending.py",
    "jobs/run_job.py",
    "jobs/run_list.py",
    "jobs/run_parting.py",
    "jobs/run_passport.py",
    "jobs/run_sitting.py",
    "jobs/run_units.py",
    "jobs/run_where.py",
    "jobs/run_views.py",
    "faults/run.py",
    "faults/run_beside.py",
}
"""The files that join pure state to the record; a hunt also opens the job of its repair."""

OUTSIDE = {"__init__", "__main__", "cli"}
"""Modules on the outside, with the `*_command` modules and those of `RECORD`: they may use everything."""

RECORD = {"record_acts", "record_exchange", "record_words"}
"""Modules of `benchtui record` alone."""


def imports_of(path: Path) -> set[str]:
    """Every module name that the file imports, also inside functions, without those for the type checker alone."""
    found: set[str] = set()

    def walk(node: ast.AST) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test):
                continue
            if isinstance(child, ast.Import):
                found.update(alias.name for alias in child.names)
            elif isinstance(child, ast.ImportFrom):
                assert child.module and not child.level, f"{path}: imports are absolute"
                found.add(child.module)
                found.update(f"{child.module}.{alias.name}" for alias in child.names)
            walk(child)

    walk(ast.parse(path.read_text(encoding="utf-8")))
    return found


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def part_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_the_screens_know_textual_and_only_units_knows_pint(path: Path) -> None:
    tops = {name.partition(".")[0] for name in imports_of(path)}
    if part_of(path) != "ui":
        assert not tops & {"textual", "rich"}
    if part_of(path) != "units":
        assert "pint" not in tops


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_arrows_point_inward(path: Path) -> None:
    part = part_of(path)
    if part in OUTSIDE or part.endswith("_command") or part in RECORD:
        return
    assert part in ALLOWED, f"{part} is new here: say in ALLOWED what it may import"
    used = {name.split(".")[1] for name in imports_of(path) if name.startswith("benchtui.")} - {
        "__version__",
        part,
    }
    wrong = used - ALLOWED[part]
    if path.relative_to(PACKAGE).as_posix() in JOINS:
        wrong -= {"record", "jobs"}
    assert not wrong, f"{path.relative_to(PACKAGE)} may not import {sorted(wrong)}"


def test_importing_the_screens_imports_neither_pint_nor_markdown() -> None:
    code = (
        "import sys; import benchtui.cli, benchtui.ui.app\n"
        "print([name for name in ('pint', 'textual.widgets._markdown') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_importing_the_inner_parts_imports_no_screen_library() -> None:
    parts = ["units", "content", "calc", "design", "faults", "jobs", "record"]
    code = (
        "import sys, importlib\n"
        f"for name in {parts!r}: importlib.import_module('benchtui.' + name)\n"
        "print([name for name in ('textual', 'rich', 'pint') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
