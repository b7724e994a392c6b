"""The shared fault-finding records, by id, and the numbers of a hunt made from them."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from benchtui.faults.table import Cure, Look, Place, Table

FOLDER = Path(__file__).resolve().parents[1] / "reference"


@cache
def _records() -> dict[str, dict[str, Any]]:
    text = (FOLDER / "diagnosis.yaml").read_text(encoding="utf-8")
    return {record["id"]: record for record in yaml.load(text, Loader=yaml.CSafeLoader)}


def record(id: str) -> dict[str, Any]:
    """One record."""
    return _records()[id]


def record_ids() -> list[str]:
    """Every record that is a check; leads (incomplete data) are left out."""
    return [id for id, entry in _records().items() if entry["kind"] != "lead"]


def posteriors() -> dict[str, Any]:
    """The reference posteriors, computed outside by two libraries."""
    loaded: dict[str, Any] = json.loads((FOLDER / "posteriors.json").read_text(encoding="utf-8"))
    return loaded


def table_of(model: dict[str, Any]) -> Table:
    """The numbers of a "noisy tests and repairs" record."""
    count = len(model["priors"])
    return Table(
        faults=tuple(f"f{index}" for index in range(count)),
        prior=tuple(model["priors"]),
        looks=tuple(
            Look(
                id=f"t{index}",
                minutes=test["cost"],
                rows=tuple(zip(*test["cpt"], strict=True)),
                place=0 if test["inside"] else -1,
            )
            for index, test in enumerate(model["tests"])
        ),
        cures=tuple(
            Cure(
                id=f"r{index}",
                minutes=repair["cost"],
                fixes=tuple((fault, chance) for fault, chance in enumerate(repair["p_fix"]) if chance),
                place=0 if repair["inside"] else -1,
            )
            for index, repair in enumerate(model["repairs"])
        ),
        fallback=model["service_cost"],
        places=(Place("lid", model["open_cost"]),),
    )
