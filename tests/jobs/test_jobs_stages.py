"""Assembly procedures stand in the order in which a design is built."""

from __future__ import annotations

from pathlib import Path

from benchtui.content.library import Library
from benchtui.jobs.stages import in_build_order


def ids(library: Library) -> list[str]:
    common = [
        entry for entry in library.entries("procedure") if (entry.procedure_kind, entry.design) == ("assembly", "any")
    ]
    return [entry.id for entry in in_build_order(library, sorted(common, key=lambda entry: entry.title))]


def test_the_shipped_stages_come_in_the_order_of_the_build() -> None:
    """Stages C, F, G, H, I, J of the trade notes; what they call in turn comes after them."""
    order = ids(Library.open())
    stages = ["build-harness", "inspect-joints", "inspect-unpowered", "first-power", "load-firmware"]
    stages += ["test-inputs", "close-and-pack"]
    assert order[: len(stages)] == stages
    assert set(order[len(stages) :]) >= {"crimp-contact", "solder-lug"}


def test_a_file_that_cannot_be_read_and_an_uncalled_procedure_come_last(tmp_path: Path) -> None:
    def write(id: str, design: str, body: str) -> None:
        head = f"procedure: {id}\ntitle: {id}\nkind: assembly\nrevision: 1\ndesign: {design}\n"
        (tmp_path / f"{id}.yaml").write_text(head + body, encoding="utf-8")

    for id in ("alpha", "beta"):
        write(id, "any", "steps: [\n")
    write("whole", "box", "steps: [\n")  # broken: nothing is known of what it calls
    assert ids(Library([tmp_path])) == ["alpha", "beta"]
