"""A text with a mistake is not moved to: the check that `benchtui check` makes stands before the key."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan
from helpers.jobs import started
from helpers.screens import Clock, running, screen_text

from benchtui import paths
from benchtui.content.library import Library
from benchtui.errors import JobError, Place, Problem
from benchtui.jobs.revision import Changes
from benchtui.jobs.run import Bench
from benchtui.record.store import Store
from benchtui.ui.judge import Judge
from benchtui.ui.newer import Newer, move, newer_text
from benchtui.ui.screens.newer import NewerPage
from benchtui.ui.view.revision import revision_lines
from benchtui.ui.view.shapes import ASCII
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.plan import Plan

TEXT = """\
procedure: mend-lead
title: Mend a lead
kind: rework
revision: 1
design: hollin-cue-desk
purpose: A broken lead is made whole again.
before:
  conditions: none
  tools: none
  parts: none
  materials: none
minutes: 10
after: none
steps:
  - id: look
    do: Look at the lead from end to end.
    minutes: 3
"""

SOLVENT = "Wipe the lead with isopropyl alcohol."


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "own" / "procedures"
    folder.mkdir(parents=True)
    (folder / "mend-lead.yaml").write_text(TEXT, encoding="utf-8")
    return folder / "mend-lead.yaml"


def test_a_text_without_its_caution_is_not_moved_to_and_its_place_is_told(tmp_path: Path, own: Path) -> None:
    library = Library.open([*paths.content_roots(), own.parent])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        run = Bench(library, store, clock=Clock(), judge=Judge()).start("mend-lead")
        assert newer_text(run) is None
        own.write_text(TEXT.replace("Look at the lead from end to end.", SOLVENT), encoding="utf-8")
        newer = newer_text(run)
        assert newer is not None
        said = [str(problem) for problem in newer.mistakes]
        assert any("mend-lead.yaml:" in line and "look" in line for line in said), said
        with pytest.raises(JobError, match="the newer text has a mistake"):
            move(run, newer, "it wants to be clean")
        assert run.plan.step("look").text == "Look at the lead from end to end."
        own.write_text(TEXT.replace("from end to end", "from plug to plug"), encoding="utf-8")
        good = newer_text(run)
        assert good is not None
        assert not good.mistakes
        with pytest.raises(JobError, match="edited again since"):
            move(run, replace(good, plan=newer.plan), "an old page")
        move(run, good, "clearer")
        assert run.plan.step("look").text == "Look at the lead from plug to plug."


def test_a_file_put_beside_the_shipped_one_meanwhile_is_found(tmp_path: Path, own: Path) -> None:
    theirs = tmp_path / "theirs"
    theirs.mkdir()
    library = Library.open([*paths.content_roots(), own.parent, theirs])
    with Store.open(tmp_path / "record.sqlite", clock=Clock()) as store:
        run = Bench(library, store, clock=Clock(), judge=Judge()).start("mend-lead")
        (theirs / "mend-lead.yaml").write_text(TEXT.replace("end to end", "plug to plug"), encoding="utf-8")
        newer = newer_text(run)
    assert newer is not None
    assert newer.changes.changed == ("look",)


async def test_the_page_lists_the_mistakes_and_has_no_key_to_move(tmp_path: Path) -> None:
    place = Place("own/hollin-wiring.yaml", 31, 9)
    wrong = Problem(place, "step 'wipe' names a solvent without a caution for it", "name its hazard")
    plan = demo_plan()
    async with running(tmp_path, plans={plan.id: plan}) as (app, pilot):
        page = NewerPage(
            app.bench.start(plan.id), Newer(plan=replace(plan, digest="e" * 64), changes=Changes(), mistakes=(wrong,))
        )
        app.push_screen(page)
        await pilot.pause()
        seen = screen_text(app)
        assert "The newer text has a mistake" in seen
        assert "own/hollin-wiring.yaml:31:9" in seen
        assert "move to the new" not in seen
        await pilot.press("m")
        assert "put the file right first" in screen_text(app)
        assert not page.prompt.asking


def test_two_texts_of_one_number_are_told_apart_in_words() -> None:
    plan = demo_plan()
    said = _page(replace(plan, digest="e" * 64))
    assert "both call themselves revision 3: raise the number" in said
    assert "the design it is laid out over was changed" in _page(replace(plan, design_digest="x"))


def _page(newer: Plan) -> str:
    return plain(revision_lines(started(demo_plan()), newer, Changes(), width=400, shapes=ASCII))


def test_a_file_that_is_older_than_the_job_is_not_called_newer() -> None:
    # After a merge the job may stand on a text that was edited at the other bench, whose file is not here.
    older = replace(demo_plan(), revision=demo_plan().revision - 1)
    text = plain(revision_lines(started(demo_plan()), older, Changes(), width=400, shapes=ASCII))
    assert "the files here have the older revision 2: another bench may have the newer file" in text
    assert "Moving would go back to the older text." in text
