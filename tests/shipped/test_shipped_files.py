"""Every content file that ships reads clean by itself, and is what its head says it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchtui.content.cautions import load_cautions
from benchtui.content.checklist import load_checklist
from benchtui.content.library import entry_of
from benchtui.content.procedure import load_procedure
from benchtui.paths import shipped

ROOTS = (shipped("procedures"), shipped("checklists"))
FILES = [path for root in ROOTS for path in sorted(root.rglob("*.yaml"))]
LOADERS = {"procedure": load_procedure, "checklist": load_checklist, "cautions": load_cautions}


def name(path: Path) -> str:
    return str(path.relative_to(path.parents[len(path.parts) - len(ROOTS[0].parts)]))


@pytest.mark.parametrize("path", FILES, ids=name)
def test_it_is_a_content_file_that_reads_clean(path: Path) -> None:
    entry = entry_of(path)
    assert entry is not None, "the first key tells what a file is"
    if entry.kind in LOADERS:
        LOADERS[entry.kind](path)


def test_every_file_in_the_folders_is_content() -> None:
    others = [path for root in ROOTS for path in root.rglob("*") if path.is_file() and path.suffix != ".yaml"]
    assert others == []
