"""The history of a unit tells its hunts in the words of their model: the question, the answer, the repair, the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.faults import events as ev
from benchtui.faults.run import Hunts
from benchtui.faults.told import teller
from benchtui.record.store import Store
from benchtui.ui.view.history import job_lines, unit_lines
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

UNIT = "HCD-001-R"


def test_a_hunt_can_be_read_at_the_next_repair(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        library = Library.open()
        hunts = Hunts(library, store)
        design = load_design(library.path_of("design", "hollin-cue-desk"))
        model = hunts.model(hunts.models(design.id)[0])
        run = hunts.start(design, model=model, unit=UNIT, scope="control", subject="F6", symptom="control-dead")
        run.act(ev.TestAnswered(test="T32", outcome="odd"))
        run.act(ev.ReadingTyped(test="T12", typed="1.63"))
        run.act(ev.RepairDone(repair="re-terminate"))
        run.act(ev.TriedAgain(gone=True))
        run.act(ev.NeighboursTried(well=True))
        run.act(ev.HuntClosed(result="fixed", found="a broken strand", done="cut back"))
        events = store.events(unit=UNIT, newest=500)
        told = plain(unit_lines(events, 200, hunts=teller(events, store.text)))
        titles = {test.id: test.title for test in run.state.layout.tests}
        for words in (
            "it does this: ",
            f"test, {titles['T32']}",
            f"read 1.63: {titles['T12']}",
            "repaired: Cut back and re-terminate the signal lead",
            "the symptom tried again: gone",
            "neighbours tried: they all work",
            "found: a broken strand",
            "done: cut back",
        ):
            assert words in told, words
        for code in ("T32", "T12", "re-terminate,", "hunt ", "{it}"):
            assert code not in told, code
        own = store.events(job=run.job)
        assert "found: a broken strand" in plain(job_lines(own, 80, hunts=teller(own, store.text)))


def test_a_hunt_whose_model_is_gone_is_told_all_the_same(tmp_path: Path) -> None:
    with Store.open(tmp_path / "record.sqlite") as store:
        from benchtui.record.event import Draft

        store.append_all([Draft(kind="hunt-test", unit=UNIT, job="HA", data={"test": "T32", "outcome": "odd"})])
        events = store.events(unit=UNIT)
        assert "test, T32: odd" in plain(unit_lines(events, 80, hunts=teller(events, store.text)))
