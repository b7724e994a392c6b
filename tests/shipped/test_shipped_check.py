"""All content that ships stands the whole check, each procedure laid out over each design."""

from __future__ import annotations

from benchtui.check import check_paths
from benchtui.paths import shipped


def test_the_shipped_content_has_no_mistake() -> None:
    assert check_paths([shipped("procedures"), shipped("checklists")]) == []
